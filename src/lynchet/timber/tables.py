"""Lookups in the tables of timber and fasteners (``timber/data``)."""

from __future__ import annotations

from lynchet.core.tables import read_table


def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a table as text by column.

    Args:
        name: file name without its ending, e.g. "us_fasteners".
    """
    return read_table("timber", name).rows


def find(name: str, **wanted: str) -> dict[str, str] | None:
    """The first row of a table whose columns read as wanted; None when there is none."""
    return next((row for row in rows(name) if all(row[key] == text for key, text in wanted.items())), None)
