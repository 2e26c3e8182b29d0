"""Tables of timber and fasteners: CSV files with their source on top, a row of names and a row of units."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a table in ``timber/data`` as text by column; source lines and the unit row left out.

    Args:
        name: file name without its ending, e.g. "us_fasteners".
    """
    text = files("lynchet.timber").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    found = list(csv.DictReader(lines))
    return tuple(found[1:])


@cache
def source(name: str) -> str:
    """The source lines on top of a table, as one text."""
    text = files("lynchet.timber").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    return " ".join(line.lstrip("# ") for line in text.splitlines() if line.startswith("#"))


def find(name: str, **wanted: str) -> dict[str, str] | None:
    """The first row of a table whose columns read as wanted; None when there is none."""
    return next((row for row in rows(name) if all(row[key] == text for key, text in wanted.items())), None)
