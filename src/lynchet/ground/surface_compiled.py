"""Levels at plan points well inside a triangle, compiled: the quick twin of the search tree of ``surface.level_at``.

Imported only where numba is there.
"""

from __future__ import annotations

from math import floor

import numpy as np
from numba import njit

from lynchet.ground.model import Array, Cells

_SURE = 1e-14
"""Times its two products a turn is out by less than this: of a point nearer to a side nothing is said."""
_OFF_M = 1e-6


@njit(cache=True)
def levels_inside(
    at: Array, reach: float, corners: Array, planes: Array, cells: Cells, rim: Array
) -> tuple[Array, list[int]]:
    """Level at each point that surely lies inside one triangle and off all others; NaN at every other point.

    Args:
        at: (n, 2) plan points.
        reach: farther off the ground than this no level is asked for.
        corners: (m, 6) plan corners of the triangles, anticlockwise.
        planes: (m, 3) coefficients of level = a x + b y + c.
        cells: of ``Surface.cells``.
        rim: of ``Surface.rim``.

    Returns:
        The levels, and the indices of those that cannot be told here.
    """
    (west, south, per_m), (wide, high), start, members = cells
    levels = np.full(len(at), np.nan)
    others = [0][:0]
    for i in range(len(at)):
        x, y = at[i]
        if _far_off(x, y, reach, rim):
            continue
        across, up = floor((x - west) * per_m), floor((y - south) * per_m)
        if not (0 <= across < wide and 0 <= up < high):
            others.append(i)
            continue
        cell = int(up * wide + across)
        found, sure = -1, True
        for k in range(start[cell], start[cell + 1]):
            inside = _inside(x, y, corners[members[k]])
            if inside == 0 or (inside > 0 and found >= 0):
                sure = False
                break
            if inside > 0:
                found = members[k]
        if sure and found >= 0:
            levels[i] = planes[found, 0] * x + planes[found, 1] * y + planes[found, 2]
        else:
            others.append(i)
    return levels, others


@njit(cache=True)
def _far_off(x: float, y: float, reach: float, rim: Array) -> bool:
    """Whether a point surely lies farther off the ground than the reach."""
    farthest = -np.inf
    for side in range(len(rim)):
        farthest = max(farthest, rim[side, 0] * x + rim[side, 1] * y - rim[side, 2])
    return farthest > reach + _OFF_M


@njit(cache=True)
def _inside(x: float, y: float, corners: Array) -> int:
    """1 inside an anticlockwise triangle, -1 outside, 0 where rounding does not let it be told."""
    told = 1
    for side in range(3):
        a, b = 2 * side, 2 * ((side + 1) % 3)
        one = (corners[b] - corners[a]) * (y - corners[a + 1])
        two = (corners[b + 1] - corners[a + 1]) * (x - corners[a])
        turn, doubt = one - two, _SURE * (abs(one) + abs(two))
        if turn < -doubt:
            return -1
        if not turn > doubt:
            told = 0
    return told
