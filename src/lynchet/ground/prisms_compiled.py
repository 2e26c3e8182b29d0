"""Rings cut to triangles, and prisms above and under a level, compiled: the quick twins of ``prisms``.

Imported only where numba is there. The same steps in the same order as the plain code, so the same to the last digit.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from lynchet.ground.model import Array


@njit(cache=True)
def fans(corners: Array, planes: Array, points: Array, counts: NDArray[np.intp]) -> Array:
    """(n, 4) signed area and three levels of fans over what each triangle cuts from the rings.

    Args:
        corners: (m, 6) plan corners of the triangles, anticlockwise.
        planes: (m, 3) coefficients of level = a x + b y + c.
        points: (p, 2) of all rings one after another.
        counts: how many points each ring has.
    """
    most = int(counts.max()) * 8 + 8  # each of three cuts doubles a ring at most
    one, two = np.empty((most, 2)), np.empty((most, 2))
    rows = np.empty((most * 16, 4))
    made = 0
    for t in range(len(corners)):
        a, b, c = planes[t]
        first = 0
        for count in counts:
            one[:count] = points[first : first + count]
            first += count
            left = _clipped(one, count, corners[t], two)
            if left < 3:
                continue
            if made + left > len(rows):
                longer = np.empty((2 * len(rows), 4))
                longer[:made] = rows[:made]
                rows = longer
            x0, y0 = two[0]
            x1, y1 = two[1]
            z0, z1 = a * x0 + b * y0 + c, a * x1 + b * y1 + c
            for k in range(2, left):
                x2, y2 = two[k]
                z2 = a * x2 + b * y2 + c
                rows[made, 0] = 0.5 * ((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0))
                rows[made, 1], rows[made, 2], rows[made, 3] = z0, z1, z2
                made += 1
                x1, y1, z1 = x2, y2, z2
    return rows[:made].copy()


@njit(cache=True)
def _clipped(part: Array, count: int, triangle: Array, out: Array) -> int:
    """As ``prisms.clipped``: the ring of ``count`` points in ``part`` is cut, ``out`` gets what is left; how many."""
    for i in range(3):
        j = (i + 1) % 3
        px, py, qx, qy = triangle[2 * i], triangle[2 * i + 1], triangle[2 * j], triangle[2 * j + 1]
        nx, ny = py - qy, qx - px
        made = 0
        ax, ay = part[count - 1]
        da = (ax - px) * nx + (ay - py) * ny
        for k in range(count):
            bx, by = part[k]
            db = (bx - px) * nx + (by - py) * ny
            if (da >= 0.0) != (db >= 0.0):
                share = da / (da - db)
                out[made, 0], out[made, 1] = ax + share * (bx - ax), ay + share * (by - ay)
                made += 1
            if db >= 0.0:
                out[made, 0], out[made, 1] = bx, by
                made += 1
            ax, ay, da = bx, by, db
        if made == 0:
            return 0
        count = made
        part[:count] = out[:count]
    return count


@njit(cache=True, error_model="numpy")
def mean_and_below(levels: Array, corners: tuple[Array, Array, Array], middle: Array, low: Array, high: Array) -> Array:
    """(2, k, n) mean height of each triangle over each level, and the part of a unit of its area below it.

    Args:
        levels: (k,).
        corners, middle, low, high: of ``Prisms.sides``.
    """
    one, two, three = corners
    found = np.empty((2, len(levels), len(middle)))
    for k in range(len(levels)):
        for n in range(len(middle)):
            d1, d2, d3 = one[n] - levels[k], two[n] - levels[k], three[n] - levels[k]
            mean = middle[n] - levels[k]
            below = -mean
            if d1 >= 0.0:
                below = 0.0
            elif d2 >= 0.0:
                below = -(d1 * d1 * d1) / low[n]
            elif d3 > 0.0:
                below = d3 * d3 * d3 / high[n] - mean
            found[0, k, n], found[1, k, n] = mean, below
    return found
