"""Water let out uphill of a wall of one's own, close to its stone: it would run into that, and fill it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lynchet.water.model import Stone

NEAR_M = 3.0
"""Water let out no nearer than this above stone of another wall is not asked about. PRACTICE."""
LOWER_M = 0.1


def over_stone(
    stones: Sequence[Stone], points: NDArray[np.float64], grounds_m: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Whether stone of a wall lies close to places, and lower than the ground there.

    Args:
        stones: drain stone of the walls.
        points: (n, 2) plan points.
        grounds_m: (n,) level of the ground at each; nothing is lower where it is NaN.

    Returns:
        (n,) whether water that comes out there would run into the stone.
    """
    import shapely

    if not len(stones):
        return np.zeros(len(points), dtype=bool)
    outlines = np.array([shapely.Polygon(stone.outline_m) for stone in stones], dtype=object)
    tops = np.array([max(stone.top_start_m, stone.top_end_m) for stone in stones])
    places = np.array(shapely.points(points), dtype=object)
    close = shapely.distance(outlines[:, None], places[None, :]) < NEAR_M
    return np.asarray((close & (tops[:, None] < grounds_m - LOWER_M)).any(axis=0))
