"""Tables as comma-separated text (RFC 4180): UTF-8, one header row with units, a point for decimals."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import StringIO

from lynchet.units.measures import FOOT, POUND_KG, System

Cell = str | int | float | None
_RISKY = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet takes text that begins so for a formula."""


def csv_text(heads: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """The table as text, lines ended by CR LF.

    Args:
        heads: column names, units in square brackets.
        rows: cells; None is left empty, a float keeps at most four decimals, text that a spreadsheet would compute is
            led by an apostrophe.
    """
    stream = StringIO()
    writer = csv.writer(stream)
    writer.writerow(heads)
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    return stream.getvalue()


def _cell(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{round(cell, 4) + 0.0:.4f}".rstrip("0").rstrip(".")
    if isinstance(cell, int):
        return str(cell)
    return f"'{cell}" if cell.startswith(_RISKY) else cell


@dataclass(frozen=True)
class PlainUnits:
    """Units of plain numbers: metres and kilograms, or decimal feet and pounds."""

    system: System

    @property
    def length(self) -> str:
        """Name of the unit of length: m or ft."""
        return "ft" if self.system == "us" else "m"

    @property
    def length_m(self) -> float:
        """Its size."""
        return FOOT if self.system == "us" else 1.0

    @property
    def mass(self) -> str:
        """Name of the unit of weight: kg or lb."""
        return "lb" if self.system == "us" else "kg"

    def of_mass(self, kg: float) -> float:
        """A weight in that unit, to a tenth."""
        return round(kg / (POUND_KG if self.system == "us" else 1.0), 1)

    def of_length(self, metres: float | None) -> float | None:
        """A length or level in that unit."""
        return None if metres is None else metres / self.length_m
