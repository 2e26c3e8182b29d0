"""Fewer points for the same ground, and how far the thinned ground may be off."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from lynchet.ground.model import Array
from lynchet.ground.surface import build_surface, level_at

MOST = 2000
_ROUNDS = 4


@dataclass(frozen=True)
class Thinned:
    """Points kept, and how far the ground through them lies from those left out."""

    kept: NDArray[np.intp]
    """Indices, rising."""
    most_m: float
    usual_m: float
    """95 in 100 points left out lie nearer than this."""


def thin(points: Array, most: int = MOST) -> Thinned:
    """Keep the hull, an even spread, and then always the points the ground misses most.

    Args:
        points: (n, 3) x, y, level.
        most: how many to keep, about.

    Returns:
        All points where there are no more than ``most``.
    """
    if len(points) <= most:
        every = np.arange(len(points))
        every.flags.writeable = False
        return Thinned(every, 0.0, 0.0)
    from scipy.spatial import ConvexHull

    kept = np.zeros(len(points), dtype=bool)
    kept[ConvexHull(points[:, :2]).vertices] = True
    kept[_spread(points, most // 2)] = True
    room = (most - int(kept.sum())) // _ROUNDS
    for _ in range(_ROUNDS):
        off = _missed(points, kept)
        kept[np.argsort(off)[-max(room, 1) :]] = True
    off = _missed(points, kept)
    found = np.flatnonzero(kept)
    found.flags.writeable = False
    return Thinned(found, float(off.max()), float(np.quantile(off[~kept], 0.95)))


def _missed(points: Array, kept: NDArray[np.bool_]) -> Array:
    """How far the ground through the kept points lies from every point; 0 at those kept."""
    off = np.zeros(len(points))
    surface = build_surface(points[kept])
    off[~kept] = np.abs(level_at(surface, points[~kept, :2], reach_m=1.0) - points[~kept, 2])
    return np.nan_to_num(off, nan=0.0)


def _spread(points: Array, count: int) -> NDArray[np.intp]:
    """One point of each cell of a square grid of about this many cells: the one nearest its middle."""
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    side = sqrt(float(np.prod(np.maximum(high - low, 1e-6))) / count)
    place = (points[:, :2] - low) / side
    cell = np.floor(place).astype(int)
    number = cell[:, 0] * (int(cell[:, 1].max()) + 1) + cell[:, 1]
    away = np.hypot(*(place - cell - 0.5).T)
    order = np.lexsort((away, number))
    return order[np.flatnonzero(np.diff(number[order], prepend=-1))]
