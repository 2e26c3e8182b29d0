"""Numbers of files of readings within the ranges of the same keys of the project file."""

from __future__ import annotations

from lynchet.core.errors import Fault, InputError
from lynchet.project.csv_rows import CsvFile, CsvRow
from lynchet.project.keys import Key
from lynchet.project.keys_yard import level
from lynchet.project.values import PLACE, in_range
from lynchet.units.measures import System

Named = tuple[str, float, float, float]
"""Name, x, y and level of a point."""
_ROD = Key("length", "a rod reading", low=-10.0, high=10.0)
_RANGES = {
    "x": PLACE, "y": PLACE, "level": level("level of a point"), "known": level("level of a mark"),
    "backsight": _ROD, "intermediate": _ROD, "foresight": _ROD,
}  # fmt: skip
_OF_A_POINT = ("x", "y", "level")


def cell_fault(file: CsvFile, row: CsvRow, key: str, cell: tuple[str, float], system: System) -> Fault | None:
    """What is wrong with a number of a row; None for nothing.

    Args:
        file, row: where it stands.
        key: its column, by meaning.
        cell: as written, and in metres.
        system: of the project.
    """
    text, value = cell
    if key not in _RANGES:
        return None
    try:
        in_range(_RANGES[key], value, value, system)
    except InputError as error:
        return file.fault(row.line, f"{text} found", error.faults[0].accepted, key)
    return None


def refuse_far_points(points: list[Named], file: str, system: System) -> None:
    """Points of a grid, a surface or a long list, which has no rows to name.

    Args:
        points: in metres.
        file: its name.
        system: of the project.

    Raises:
        InputError: the first point that lies where no yard is.
    """
    import numpy as np

    if not points:
        return
    places = np.array([point[1:] for point in points])
    for column, key in enumerate(_OF_A_POINT):
        one = _RANGES[key]
        assert one.low is not None and one.high is not None
        off = np.flatnonzero((places[:, column] < one.low) | (places[:, column] > one.high))
        if off.size:
            name, value = points[off[0]][0], float(places[off[0], column])
            try:
                in_range(one, value, f"{value:g}", system)
            except InputError as error:
                found = f"{name}: {key} {value:g} m found"
                raise InputError(Fault(found, error.faults[0].accepted, file=file)) from None
