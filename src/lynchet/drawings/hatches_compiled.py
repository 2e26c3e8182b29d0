"""The loops of ``hatches``, compiled: which points lie in an area, which pebbles and dots do as a whole.

Imported only where numba is there.
"""

from __future__ import annotations

from math import cos, floor, pi, sin
from typing import Any

from numba import njit


@njit(cache=True, error_model="numpy")
def _is_inside(corners: Any, starts: Any, x: float, y: float) -> bool:
    """Whether a place lies in an area with holes (even-odd rule)."""
    odd = False
    for ring in range(len(starts) - 1):
        before = starts[ring + 1] - 1
        for at in range(starts[ring], starts[ring + 1]):
            ax, ay, bx, by = corners[before, 0], corners[before, 1], corners[at, 0], corners[at, 1]
            before = at
            if (ay <= y) != (by <= y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
                odd = not odd
    return odd


@njit(cache=True, error_model="numpy")
def inside_at(corners: Any, starts: Any, points: Any, found: Any) -> None:
    """Tell of (n, 2) points which lie in an area.

    Args:
        corners: (m, 2) of all rings, one ring after the other.
        starts: (k + 1,) first corner of each ring, and their number.
        points: (n, 2) asked for.
        found: (n,) to be filled.
    """
    for n in range(len(points)):
        found[n] = _is_inside(corners, starts, points[n, 0], points[n, 1])


@njit(cache=True, error_model="numpy")
def all_inside_at(corners: Any, starts: Any, points: Any, shape: Any, found: Any) -> None:
    """Tell of (n, 2) points round which all (k, 2) corners of a shape lie in an area; otherwise as ``inside_at``."""
    for n in range(len(points)):
        found[n] = True
        for k in range(len(shape)):
            if not _is_inside(corners, starts, points[n, 0] + shape[k, 0], points[n, 1] + shape[k, 1]):
                found[n] = False
                break


@njit(cache=True, error_model="numpy")
def rounds_at(corners: Any, starts: Any, grid: Any, form: Any, found: Any) -> int:
    """Fill in the rounds of a jittered grid that lie wholly in an area; how many there are.

    Args:
        corners, starts: as for ``inside_at``.
        grid: first column and row, number of columns, gap, jitter, number the noise hangs on.
        form: how large a round is, and in how many corners.
        found: (n, sides, 2) to be filled, with room for every place of the grid.
    """
    column, row, across, gap, jitter, noise = grid
    size_mm, sides = form
    used = 0
    for place in range(len(found)):
        i, j = column + place % across, row + place // across
        wave = sin(i * 12.9898 + j * 78.233 + noise)
        one, two = wave * 43758.5453, wave * 24634.6345
        x = (i + 0.5 * (j % 2)) * gap + (one - floor(one) - 0.5) * jitter * gap
        y = j * gap + (two - floor(two) - 0.5) * jitter * gap
        size, turn = size_mm * (0.75 + 0.25 * sin(x * 7.1 + y * 3.3)), x * 1.7 + y * 2.9
        whole = True
        for n in range(sides):
            angle = turn + n / sides * (2 * pi)
            u, v = x + size * cos(angle), y + size * (0.8 * sin(angle))
            if not _is_inside(corners, starts, u, v):
                whole = False
                break
            found[used, n, 0], found[used, n, 1] = u, v
        used += whole
    return used


@njit(cache=True, error_model="numpy")
def lines_at(turned: Any, starts: Any, gap: Any, cuts: Any, found: Any) -> int:
    """Fill in the parts of level lines that lie in an area; how many there are.

    Args:
        turned: (m, 2) corners as for ``inside_at``, turned so that the lines are level.
        starts: as for ``inside_at``.
        gap: number of the first line and of the last, the distance, and the least length.
        cuts: (m,) to work in.
        found: (n, 3) start and end along the line, and its level; to be filled, with room for all.
    """
    first, last, step, least = gap
    used = 0
    for line in range(first, last + 1):
        level, many = line * step, 0
        for ring in range(len(starts) - 1):
            for at in range(starts[ring], starts[ring + 1]):
                after = at + 1 if at + 1 < starts[ring + 1] else starts[ring]
                au, av, bu, bv = turned[at, 0], turned[at, 1], turned[after, 0], turned[after, 1]
                if (av <= level) != (bv <= level):
                    cut = au + (level - av) / (bv - av) * (bu - au)
                    n = many
                    while n > 0 and cuts[n - 1] > cut:
                        cuts[n] = cuts[n - 1]
                        n -= 1
                    cuts[n] = cut
                    many += 1
        for n in range(0, many, 2):
            if cuts[n + 1] - cuts[n] > least:
                found[used, 0], found[used, 1], found[used, 2] = cuts[n], cuts[n + 1], level
                used += 1
    return used
