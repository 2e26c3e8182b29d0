"""Tables kept as data files: comment lines with source and knowledge, a row of names, a row of units, then the values.

# source: author, work, edition, table
# known: SEEN
duration_min,fraction
min,-
5,0.114
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True)
class Table:
    """One data file as read."""

    source: str
    known: str
    units: dict[str, str]
    rows: tuple[dict[str, str], ...]

    def column(self, name: str) -> tuple[float, ...]:
        """The numbers of one column, in file order."""
        return tuple(float(row[name]) for row in self.rows)

    def words(self, name: str) -> tuple[str, ...]:
        """The texts of one column, in file order."""
        return tuple(row[name] for row in self.rows)


@cache
def read_table(room: str, name: str) -> Table:
    """The table ``data/<name>.csv`` of a room, read once.

    Args:
        room: package of the room below ``lynchet``, e.g. "water".
        name: file name without ending.
    """
    text = files(f"lynchet.{room}").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line.strip()]
    remarks = dict(_remark(line) for line in lines if line.startswith("#"))
    rows = list(csv.reader(line for line in lines if not line.startswith("#")))
    names, units = rows[0], rows[1]
    values = tuple(dict(zip(names, row, strict=True)) for row in rows[2:])
    return Table(remarks["source"], remarks["known"], dict(zip(names, units, strict=True)), values)


def _remark(line: str) -> tuple[str, str]:
    key, _, text = line.lstrip("# ").partition(":")
    return key.strip(), text.strip()
