"""Readings that stand far out from their neighbours: slips of pen, foot or rod."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lynchet.ground.model import Array

NEIGHBOURS = 8
LEAST_READINGS = 7
LEAST_M = 0.12
"""Ground this rough is usual in a yard; nothing under it is called out. PRACTICE."""
SPREADS = 6.0
"""Times the usual misfit (from its median) that a reading must be off. PRACTICE."""
APART = 3.0
"""Times that a reading must be off more than its neighbours are without it: a mound bends them all. PRACTICE."""
MOST = 5
GROSS_M = 2.0
GROSS_SPREADS = 2.0
"""A reading farther from all others than this, and than so many times the whole fall of those, is asked even among few
readings: a decimal point out of place, a foot for a metre. PRACTICE."""
GROSS_OF = 4
"""One of so many readings may be such a slip; with fewer nobody can tell which one. PRACTICE."""


@dataclass(frozen=True)
class FarReading:
    """One reading that does not fit: its place in the list, and how far it lies above what its neighbours say."""

    index: int
    off_m: float


def misfits(points: Array) -> Array:
    """How far each reading lies above the plane through its nearest neighbours (itself left out).

    Args:
        points: (n, 3) x, y, level in metres; n at least 5.

    Returns:
        (n,) metres, positive above.
    """
    from scipy.spatial import KDTree

    count = min(NEIGHBOURS, len(points) - 1)
    distance, index = KDTree(points[:, :2]).query(points[:, :2], count + 1)
    distance, index = distance[:, 1:], index[:, 1:]
    near = points[index] - points[:, None, :]
    scale = np.maximum(distance.mean(axis=1), 1e-6)[:, None]
    design = np.concatenate([near[:, :, :2] / scale[:, :, None], np.ones((*index.shape, 1))], axis=2)
    weight = 1.0 / np.maximum(distance / scale, 0.1)
    normal = np.einsum("nki,nk,nkj->nij", design, weight, design)
    right = np.einsum("nki,nk,nk->ni", design, weight, near[:, :, 2])
    normal += 1e-6 * np.trace(normal, axis1=1, axis2=2)[:, None, None] * np.eye(3)  # neighbours on one line
    return -np.linalg.solve(normal, right[:, :, None])[:, 2, 0]


def far_readings(points: Array, trust_m: Array) -> list[FarReading]:
    """Readings that do not fit their neighbours, the worst first, at most five.

    The worst is set aside before the next is looked for, so that it does not accuse its own neighbours; and one whose
    neighbours do not fit each other either (a mound, a bank, a ditch) is not accused.

    Args:
        points: (n, 3) x, y, level.
        trust_m: (n,) one standard deviation of each level.
    """
    found = _gross(points)
    left = np.delete(np.arange(len(points)), [far.index for far in found])
    while len(left) >= LEAST_READINGS and len(found) < MOST:
        off = misfits(points[left])
        usual = 1.4826 * float(np.median(np.abs(off)))
        over = np.abs(off) - np.maximum(max(SPREADS * usual, LEAST_M), 5.0 * trust_m[left])
        tried = [int(k) for k in np.argsort(-over)[:MOST] if over[k] > 0.0]
        worst = next((k for k in tried if _alone(points[left], k, float(off[k]))), None)
        if worst is None:
            break
        found.append(FarReading(int(left[worst]), float(off[worst])))
        left = np.delete(left, worst)
    return found


def _gross(points: Array) -> list[FarReading]:
    """The few readings that lie in level beyond a gap wider than all the others fall, off the plane of those."""
    order = np.argsort(points[:, 2])
    level = points[order, 2]
    for few in range(min(len(points) // GROSS_OF, MOST), 0, -1):
        low = order[:few], order[few:], level[few] - level[few - 1]
        high = order[-few:], order[:-few], level[-few] - level[-few - 1]
        for far, rest, gap in (low, high):
            room = max(GROSS_M, GROSS_SPREADS * float(np.ptp(points[rest, 2])))
            off = points[far, 2] - _plane(points[rest], points[far])
            if gap > room and np.abs(off).min() > room:
                return [FarReading(int(far[k]), float(off[k])) for k in np.argsort(-np.abs(off))]
    return []


def _plane(points: Array, at: Array) -> Array:
    """Levels of the plane nearest to some points, elsewhere."""
    middle = points.mean(axis=0)
    slope = np.linalg.lstsq(points[:, :2] - middle[:2], points[:, 2] - middle[2], rcond=None)[0]
    return np.asarray(middle[2] + (at[:, :2] - middle[:2]) @ slope)


def _alone(points: Array, index: int, off_m: float) -> bool:
    """Whether one reading is odd by itself: without it, its neighbours fit each other."""
    others = np.delete(points, index, axis=0)
    away = np.hypot(*(others[:, :2] - points[index, :2]).T)
    near = np.argsort(away)[:NEIGHBOURS]
    return bool(abs(off_m) > APART * np.abs(misfits(others)[near]).max())
