"""Big files of points: cropped to the yard, one point kept in each cell, and how far that may be off."""

from __future__ import annotations

from math import ceil, sqrt

Row = tuple[str, float, float, float]
"""Name, x, y, level in metres."""
MANY = 2000
CELLS = 20_000


def thin_points(rows: list[Row], box: tuple[float, float, float, float] | None) -> tuple[list[Row], float]:
    """Points near the yard, at most about 20,000 of them.

    Args:
        rows: every point of the file.
        box: least and largest x and y worth keeping; None keeps all.

    Returns:
        The points kept, in file order, and how far the levels of 95 in 100 dropped points lie from the kept point of
        their cell once the cell's own slope is taken off (0 where nothing was dropped).
    """
    if len(rows) <= MANY:
        return rows, 0.0
    if box is not None:
        x0, x1, y0, y1 = box
        near = [row for row in rows if x0 <= row[1] <= x1 and y0 <= row[2] <= y1]
        rows = near if len(near) >= 3 else rows
    if len(rows) <= CELLS:
        return rows, 0.0
    return _one_per_cell(rows)


def _one_per_cell(rows: list[Row]) -> tuple[list[Row], float]:
    import numpy as np

    at = np.array([row[1:] for row in rows])
    low, high = at[:, :2].min(axis=0), at[:, :2].max(axis=0)
    side = sqrt(float(np.prod(high - low)) / CELLS) or 1.0
    wide = ceil(float(high[0] - low[0]) / side) + 1
    column, row_number = ((at[:, :2] - low) / side).astype(int).T
    cell = row_number * wide + column
    plane = np.column_stack([at[:, :2] - low, np.ones(len(at))])
    off = at[:, 2] - plane @ np.linalg.lstsq(plane, at[:, 2], rcond=None)[0]
    order = np.lexsort((off, cell))  # within a cell by height over the plane: its middle one is the median
    starts = np.flatnonzero(np.diff(cell[order], prepend=-1))
    counts = np.diff(np.append(starts, len(order)))
    middle = order[starts + counts // 2]
    spread = np.abs(off[order] - np.repeat(off[middle], counts))
    return [rows[index] for index in np.sort(middle)], float(np.quantile(spread, 0.95))
