"""Levels from an ASCII grid: keywords, then values row by row from the north."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from lynchet.core.calculator import refuse, refuse_if
from lynchet.ground.elevation_points import EDGE_M, ElevationPoints, number, unit_given

Array = NDArray[np.float64]
_KEYWORDS = ("ncols", "nrows", "cellsize", "xllcorner", "yllcorner", "xllcenter", "yllcenter", "nodata_value")
_LEAST_CELL_M = 0.01


@dataclass(frozen=True, eq=False)
class _Grid:
    """A grid in metres; row 0 is the southern one."""

    levels: Array
    """(rows, columns); holes are NaN."""
    x_m: float
    y_m: float
    """Centre of the south-west cell."""
    cell_m: float


def parse_grid(text: str, unit: str | None) -> ElevationPoints:
    """Read an ASCII grid.

    Args:
        text: keywords in any case and order, then the values; line breaks mean nothing.
        unit: "m", "ft" or "us_ft", of the plan and of the levels.

    Raises:
        InputError: unit, cellsize, ncols, nrows, corner, degree or values, named in the text.
    """
    factor = unit_given(unit)
    head, tokens = _head(text.removeprefix("\ufeff").split())
    cell = head.get("cellsize")
    refuse_if(cell is None or cell <= 0, "cellsize", "missing" if cell is None else f"{cell:g} found", "above 0")
    columns, rows = (_whole(head, key) for key in ("ncols", "nrows"))
    x, y = _south_west(head, cell or 1.0)
    size = (cell or 1.0) * factor
    refuse_if(size < _LEAST_CELL_M - EDGE_M, "cellsize", f"a cell of {size:g} m", "metres or feet: is it in degrees?")
    levels = _values(tokens, rows * columns).reshape(rows, columns)
    hole = levels == head.get("nodata_value", -9999.0)
    refuse_if(bool(hole.all()), "values", "nothing but holes", "a level somewhere")
    grid = _Grid(np.where(hole, np.nan, levels * factor)[::-1], x * factor, y * factor, size)
    return ElevationPoints(_points(grid), int(hole.sum()), None, partial(_level_at, grid))


def _head(tokens: list[str]) -> tuple[dict[str, float], list[str]]:
    """Keywords with their numbers, and the tokens after them."""
    head: dict[str, float] = {}
    while len(tokens) > 0 and not _begins_a_number(tokens[0]):
        key = tokens[0].lower()
        refuse_if(key in ("dx", "dy"), "cellsize", f"{key} found instead", "one cellsize, square cells")
        if key not in _KEYWORDS:
            break
        spoken = f"{key} (corner or center)" if key[1:3] == "ll" else key
        refuse_if(key in head, spoken, "given twice", "once")
        value = number(tokens[1]) if len(tokens) > 1 else None
        if value is None:
            raise refuse(spoken, f"{' '.join(tokens[1:2])!r} found", "a finite number")
        head[key] = value
        tokens = tokens[2:]
    return head, tokens


def _begins_a_number(token: str) -> bool:
    return token[0] in "+-.0123456789"


def _whole(head: dict[str, float], key: str) -> int:
    value = head.get(key)
    wrong = value is None or value < 1 or not value.is_integer()
    refuse_if(wrong, key, "missing" if value is None else f"{value:g} found", "a whole number, 1 or more")
    return int(value or 1)


def _south_west(head: dict[str, float], cell: float) -> tuple[float, float]:
    """Centre of the south-west cell, in the unit of the text."""
    corner = [head[key] for key in ("xllcorner", "yllcorner") if key in head]
    centre = [head[key] for key in ("xllcenter", "yllcenter") if key in head]
    fine = (len(corner), len(centre)) in ((2, 0), (0, 2))
    accepted = "xllcorner and yllcorner, or xllcenter and yllcenter"
    refuse_if(not fine, "corner", f"{len(corner)} corner and {len(centre)} center keywords", accepted)
    return (corner[0] + cell / 2, corner[1] + cell / 2) if corner else (centre[0], centre[1])


def _values(tokens: list[str], count: int) -> Array:
    found = [number(token) for token in tokens]
    wrong = next((token for token, value in zip(tokens, found, strict=True) if value is None), None)
    refuse_if(wrong is not None, "values", f"{wrong!r} found", "finite numbers")
    refuse_if(len(found) != count, "values", f"{len(found)} found", f"{count} (ncols x nrows)")
    return np.array(found, dtype=float)


def _points(grid: _Grid) -> Array:
    """Cells with a level, row by row from the north, west to east."""
    rows, columns = grid.levels.shape
    x, y = np.meshgrid(grid.x_m + grid.cell_m * np.arange(columns), grid.y_m + grid.cell_m * np.arange(rows))
    points = np.stack([x, y, grid.levels], axis=2)[::-1].reshape(-1, 3)
    return np.asarray(points[np.isfinite(points[:, 2])], dtype=float)


def _level_at(grid: _Grid, x_m: float, y_m: float) -> float | None:
    """Bilinear level between cell centres; None beyond the outermost; a hole is refused."""
    shares = []
    for place, start, count in ((y_m, grid.y_m, grid.levels.shape[0]), (x_m, grid.x_m, grid.levels.shape[1])):
        off = place - start
        if not -EDGE_M <= off <= grid.cell_m * (count - 1) + EDGE_M:
            return None
        steps = min(max(off / grid.cell_m, 0.0), count - 1.0)
        low = int(steps)  # at the last centre the next has no weight and is not read
        shares.append(((low, 1.0 - (steps - low)), (low + 1, steps - low)))
    total = weights = 0.0
    for row, by_row in shares[0]:
        for column, by_column in shares[1]:
            weight = by_row * by_column
            if weight > 1e-9:
                level = float(grid.levels[row, column])
                refuse_if(
                    level != level, "sample", f"a hole beside {x_m:g}, {y_m:g}", "a place between cells with levels"
                )
                total, weights = total + weight * level, weights + weight
    return total / weights
