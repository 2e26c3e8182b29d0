"""Points from files that are big, or no lists: read at once as numbers, without names."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

from lynchet.core.errors import InputError
from lynchet.ground.elevation_text import parse_elevation

BIG_LINES = 50_000
GRIDS = {".asc": "esri_ascii", ".xml": "landxml", ".landxml": "landxml"}
"""Endings of grid and surface files, and their kind."""

Point = tuple[str, float, float, float]


def points_of_grid(text: str, name: str, unit: str, said: bool) -> list[Point]:
    """Points of an ASCII grid or a LandXML surface, in metres.

    Args:
        text: the file.
        name: its name; the ending tells the kind.
        unit: "m", "ft" or "us_ft".
        said: somebody wrote that unit; else a surface's own unit goes before it.

    Raises:
        InputError: it cannot be read, holds more than one surface, or contradicts the unit said.
    """
    form = GRIDS[Path(name).suffix.lower()]
    try:
        found = parse_elevation(form, text, None if form == "landxml" and not said else unit)
    except InputError as error:
        if said or error.faults[0].key != "unit":
            raise
        found = parse_elevation(form, text, unit)
    return [(f"point {n}", x, y, z) for n, (x, y, z) in enumerate(found.points.tolist(), start=1)]


def big_points(text: str, order: str) -> list[Point] | None:
    """Rows of a long list of plain numbers; None where it is short, has a header, or is not so plain.

    Args:
        text: the file.
        order: "xyz" or "pnez" columns.

    Returns:
        Name, x, y, level in the file's own unit, in file order.
    """
    if text.count("\n") < BIG_LINES:
        return None
    import numpy as np

    first = next((line for line in text.split("\n", 50) if line.strip() and not line.startswith("#")), "")
    mark = next((mark for mark in (";", "\t", ",") if mark in first), None)
    columns = (2, 1, 3) if order == "pnez" else (0, 1, 2)
    try:
        found = np.loadtxt(StringIO(text), delimiter=mark, usecols=columns, comments="#", ndmin=2)
    except (ValueError, IndexError):
        return None
    if not np.isfinite(found).all():
        return None
    return [(f"point {n}", x, y, z) for n, (x, y, z) in enumerate(found.tolist(), start=1)]
