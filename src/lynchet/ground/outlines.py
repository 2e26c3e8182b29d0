"""Plan outlines: crossings, touching sides, area, centroid. No calculator stands here, only what several share."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
TOUCH_M = 1e-9


def open_ring(points: Sequence[Sequence[float]]) -> Array:
    """Corners as an (n, 2) array; a first corner repeated at the end is dropped."""
    ring = np.array([[point[0], point[1]] for point in points], dtype=float).reshape(-1, 2)
    if len(ring) > 1 and hypot(*(ring[0] - ring[-1])) <= TOUCH_M:
        ring = ring[:-1]
    return ring


def different_points(points: ArrayLike) -> int:
    """How many different places there are."""
    return len(np.unique(np.asarray(points, dtype=float)[:, :2], axis=0))


def same_place(points: ArrayLike, within_m: float) -> tuple[int, int] | None:
    """Numbers of two points whose plan places lie within a distance of each other; None where all lie apart."""
    from scipy.spatial import cKDTree

    plan = np.asarray(points, dtype=float)[:, :2]
    distance, found = cKDTree(plan).query(plan, k=2, distance_upper_bound=within_m * (1.0 + 1e-9))
    near = np.isfinite(distance).all(axis=1)
    if not near.any():
        return None
    first = int(np.argmax(near))
    other = next(int(j) for j in found[first] if j != first)
    return min(first, other), max(first, other)


def off_line(points: ArrayLike) -> float:
    """Largest distance of the points from the line through their two farthest-apart places, in metres."""
    local = np.asarray(points, dtype=float)[:, :2]
    local = local - local[0]
    first = local[np.argmax(np.hypot(*local.T))]  # farthest from point 1, then farthest from that one
    second = local[np.argmax(np.hypot(*(local - first).T))]
    along = first - second
    length = hypot(*along)
    if length == 0.0:
        return 0.0
    return float(np.abs(cross(local - second, along / length)).max())


def cross(first: ArrayLike, second: ArrayLike) -> Array:
    """Cross product of plan vectors in the last axis: positive when the second lies anticlockwise of the first."""
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0], dtype=float)


def area_and_centroid(ring: Array) -> tuple[float, float, float]:
    """Signed area (anticlockwise positive) and centroid of a simple outline.

    Coordinates are reduced by those of corner 1 first, so that large grid numbers lose no digits.

    Args:
        ring: (n, 2) corners, area not zero.
    """
    local = ring - ring[0]
    following = np.roll(local, -1, axis=0)
    products = cross(local, following)
    twice = float(products.sum())
    if twice == 0.0:
        return 0.0, float(ring[0, 0]), float(ring[0, 1])
    centre = ((local + following) * products[:, None]).sum(axis=0) / (3.0 * twice)
    return twice / 2.0, float(ring[0, 0] + centre[0]), float(ring[0, 1] + centre[1])


def perimeter(ring: Array) -> float:
    """Length all round."""
    return float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())


def distance_to_segments(point: Array, starts: Array, ends: Array) -> Array:
    """Distance of one point from each of n segments."""
    along = ends - starts
    squared = (along**2).sum(axis=1)
    share = np.clip(((point - starts) * along).sum(axis=1) / np.where(squared > 0, squared, 1.0), 0.0, 1.0)
    return np.asarray(np.hypot(*(starts + share[:, None] * along - point).T), dtype=float)


def crosses(start: Array, end: Array, starts: Array, ends: Array) -> NDArray[np.bool_]:
    """Whether one segment and each of n others cut through each other (meeting at an end is no crossing)."""
    along, others = end - start, ends - starts
    one = cross(along, starts - start) * cross(along, ends - start)
    two = cross(others, start - starts) * cross(others, end - starts)
    return np.asarray((one < 0) & (two < 0), dtype=bool)


def sides_meet(ring: Array) -> bool:
    """Whether an outline crosses or touches itself, has a side of no length or uses a corner twice.

    Neighbouring sides share their corner only.
    """
    local = ring - ring[0]
    following = np.roll(local, -1, axis=0)
    if (np.hypot(*(following - local).T) <= TOUCH_M).any():
        return True
    count = len(local)
    for index in range(count):
        apart = np.ones(count, dtype=bool)  # sides that do not have this corner as an end
        apart[[index, index - 1]] = False
        if (distance_to_segments(local[index], local[apart], following[apart]) <= TOUCH_M).any():
            return True
        if crosses(local[index], following[index], local, following).any():
            return True
    return False
