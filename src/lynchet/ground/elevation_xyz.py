"""Spot levels from lines of text: separator, decimal comma and column order found out as they stand."""

from __future__ import annotations

import re
from functools import partial

import numpy as np

from lynchet.core.calculator import refuse, refuse_if
from lynchet.ground.elevation_points import ElevationPoints, level_on_net, number, unit_given
from lynchet.ground.outlines import same_place

Columns = tuple[int, int, int]
_ORDER: dict[str, Columns] = {"xyz": (0, 1, 2), "pnez": (2, 1, 3)}
_NAMES = {
    **dict.fromkeys(("x", "e", "east", "easting"), 0),
    **dict.fromkeys(("y", "n", "north", "northing"), 1),
    **dict.fromkeys(("z", "elev", "elevation", "level", "rl", "height"), 2),
}


def parse_xyz(text: str, unit: str | None, columns: str = "xyz") -> ElevationPoints:
    """Read spot levels.

    Args:
        text: one point a line; blank lines and lines that start with # are passed over.
        unit: "m", "ft" or "us_ft".
        columns: "xyz" (x, y, level) or "pnez" (point, northing, easting, level), where no heading says otherwise.

    Raises:
        InputError: unit, line, header or duplicate, named in the text.
    """
    factor = unit_given(unit)
    numbered = enumerate(re.split(r"\r\n|\r|\n", text.removeprefix("\ufeff")), start=1)
    lines = [(place, line.strip()) for place, line in numbered]
    lines = [(place, line) for place, line in lines if line and not line.startswith("#")]
    refuse_if(not lines, "text", "no line with a point", "one point a line")
    separator = next((mark for mark in (";", "\t", ",") if mark in lines[0][1]), None)
    order = _ORDER[columns]
    first = _fields(lines[0][1], separator)
    if all(_value(first, column, separator) is None for column in order):
        order = _order_by_heading(first, order)
        lines = lines[1:]
        refuse_if(not lines, "text", "no line with a point after the header", "one point a line")
    points = np.array([_point(place, line, separator, order) for place, line in lines]) * factor
    pair = same_place(points, 1e-6)
    if pair is not None:
        raise refuse(
            "text", f"duplicate plan place: points {pair[0] + 1} and {pair[1] + 1}", "one level for each place"
        )
    return ElevationPoints(points, 0, None, partial(level_on_net, points))


def _fields(line: str, separator: str | None) -> list[str]:
    return [field.strip().strip('"').strip() for field in line.split(separator)]


def _value(fields: list[str], column: int, separator: str | None) -> float | None:
    """The number in a column, a decimal comma read as a point unless commas separate; None where there is none."""
    if column >= len(fields):
        return None
    return number(fields[column] if separator == "," else fields[column].replace(",", "."))


def _order_by_heading(fields: list[str], order: Columns) -> Columns:
    """Columns of x, y and level as the heading names them, or as they were where it names none."""
    places: dict[int, int] = {}
    for column, field in enumerate(fields):
        name = re.split(r"[\s(\[{]", field.lower(), maxsplit=1)[0]
        if name in _NAMES:
            refuse_if(_NAMES[name] in places, "text", f"header {fields} names one thing twice", "x, y and level once")
            places[_NAMES[name]] = column
    if not places:
        return order
    refuse_if(len(places) < 3, "text", f"header {fields} names only some", "x, y and level, or none of them")
    return places[0], places[1], places[2]


def _point(place: int, line: str, separator: str | None, order: Columns) -> list[float]:
    fields = _fields(line, separator)
    found = [value for value in (_value(fields, column, separator) for column in order) if value is not None]
    if len(found) < 3:
        columns = ", ".join(str(column + 1) for column in order)
        raise refuse("text", f"line {place} cannot be read: {line!r}", f"numbers in columns {columns}")
    return found
