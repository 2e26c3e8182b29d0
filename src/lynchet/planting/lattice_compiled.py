"""Places of plants in one ring, compiled: the quick twin of ``plant_counts.lattice_points``, species by species.

Imported only where numba is there.
"""

from __future__ import annotations

from math import ceil, floor, hypot, sqrt

import numpy as np
from numba import njit
from numpy.typing import NDArray

from lynchet.planting.plant_counts import SLACK

Array = NDArray[np.float64]


@njit(cache=True)
def _clear(u: float, v: float, ring: Array, clearance: float) -> bool:
    """Whether a point lies inside or on an outline and no nearer to any side than the clearance."""
    within, nearest = False, np.inf
    for side in range(len(ring)):
        ax, ay = ring[side]
        bx, by = ring[(side + 1) % len(ring)]
        side_x, side_y, off_x, off_y = bx - ax, by - ay, u - ax, v - ay
        share = min(max((off_x * side_x + off_y * side_y) / max(side_x**2 + side_y**2, 1e-300), 0.0), 1.0)
        nearest = min(nearest, (off_x - share * side_x) ** 2 + (off_y - share * side_y) ** 2)
        if clearance > SLACK and nearest < (clearance - SLACK) ** 2:
            return False
        if (ay > v) != (by > v) and (side_x * off_y - side_y * off_x > 0.0) == (side_y > 0.0):
            within = not within
    return within or sqrt(nearest) <= SLACK


@njit(cache=True)
def staggered_places(
    ring: Array, side: int, spacing: float, rise: float, clearance: float, stretch: tuple[float, float]
) -> Array:
    """Places of staggered rows along one side of an anticlockwise ring.

    Args:
        ring: (n, 2) metres.
        side: number of the side that gives the rows.
        spacing: distance in a row.
        rise: distance of the rows.
        clearance: least distance from every side.
        stretch: places are kept from here to there, metres along the side's direction from the origin.

    Returns:
        (k, 2), row by row.
    """
    start, end = ring[side].copy(), ring[(side + 1) % len(ring)]
    size = hypot(end[0] - start[0], end[1] - start[1])
    ux, uy = (end[0] - start[0]) / size, (end[1] - start[1]) / size
    local = np.empty_like(ring)
    for row in range(len(ring)):
        x, y = ring[row, 0] - start[0], ring[row, 1] - start[1]
        local[row, 0], local[row, 1] = x * ux + y * uy, y * ux - x * uy
    base = start[0] * ux + start[1] * uy
    low_u, high_u = max(local[:, 0].min(), stretch[0] - base), min(local[:, 0].max(), stretch[1] - base)
    low_v, high_v = local[:, 1].min(), local[:, 1].max()
    first, last = ceil((low_v - clearance) / rise - 1e-6), floor((high_v - clearance) / rise + 1e-6)
    found = [(0.0, 0.0) for _ in range(0)]
    for row in range(first, last + 1):
        shift = clearance + (spacing / 2.0 if row % 2 != 0 else 0.0)
        v = clearance + row * rise
        for step in range(floor((low_u - shift) / spacing), ceil((high_u - shift) / spacing) + 1):
            u = shift + step * spacing
            if stretch[0] <= base + u <= stretch[1] and _clear(u, v, local, clearance):
                found.append((u * ux - v * uy + start[0], u * uy + v * ux + start[1]))
    places = np.empty((len(found), 2))
    for row in range(len(found)):
        places[row, 0], places[row, 1] = found[row]
    return places
