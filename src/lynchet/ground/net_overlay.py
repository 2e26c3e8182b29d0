"""Exact integrals over triangle nets: convex pieces are cut by lines, what is linear on them is integrated."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lynchet.ground.outlines import cross

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


def clip(pieces: Array, distance: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Convex pieces cut back to where a linear distance is 0 or more.

    Args:
        pieces: (n, m, k) corners in order; first two values x and y, the rest linear on the piece. A piece with fewer
            corners repeats its first.
        distance: (n, m) signed distance at the corners, in any unit.

    Returns:
        (n', m + 1, k) pieces of which something is left, and (n,) which those are.
    """
    n, m, k = pieces.shape
    inside = distance >= 0
    following, after = np.roll(pieces, -1, axis=1), np.roll(distance, -1, axis=1)
    change = inside != np.roll(inside, -1, axis=1)
    share = distance / np.where(change, distance - after, 1.0)
    slots = np.empty((n, 2 * m, k))
    slots[:, 0::2] = pieces
    slots[:, 1::2] = pieces + np.where(change, share, 0.0)[..., None] * (following - pieces)
    kept = np.empty((n, 2 * m), dtype=bool)
    kept[:, 0::2], kept[:, 1::2] = inside, change
    order = np.argsort(~kept, axis=1, kind="stable")[:, : m + 1]
    count = kept.sum(axis=1)
    order = np.where(np.arange(m + 1)[None, :] < count[:, None], order, order[:, :1])
    left = np.asarray(count >= 3, dtype=bool)
    return np.take_along_axis(slots, order[..., None], axis=1)[left], left


def integrals(pieces: Array) -> tuple[Array, Array]:
    """Plan area of each piece (anticlockwise) and the integral over it of the last value of its corners."""
    first, one, two = pieces[:, :1], pieces[:, 1:-1], pieces[:, 2:]
    area = cross(one[..., :2] - first[..., :2], two[..., :2] - first[..., :2]) / 2.0
    mean = (first[..., -1] + one[..., -1] + two[..., -1]) / 3.0
    return area.sum(axis=1), (area * mean).sum(axis=1)


def cut_fill_area(pieces: Array) -> tuple[float, float, float, float]:
    """Cut, fill, net volume and plan area of pieces whose last value is the depth, ground less formation."""
    area, net = integrals(pieces)
    _, cut = integrals(clip(pieces, pieces[..., -1])[0])
    _, fill = integrals(clip(pieces, -pieces[..., -1])[0])
    return float(cut.sum()), float(-fill.sum()) + 0.0, float(net.sum()), float(area.sum())


def overlapping(first: Array, second: Array) -> tuple[Indices, Indices]:
    """Pairs of triangles (n, 3, k) and (m, 3, k) whose upright boxes meet."""
    from shapely import STRtree, box

    def boxes(triangles: Array) -> NDArray[np.object_]:
        low, high = triangles[..., :2].min(axis=1), triangles[..., :2].max(axis=1)
        return np.asarray(box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))

    ours, theirs = STRtree(boxes(second)).query(boxes(first))
    return ours.astype(np.intp), theirs.astype(np.intp)


def cut_by_triangles(pieces: Array, triangles: Array) -> tuple[Array, Indices]:
    """Pieces of the first triangles within the second, pair by pair.

    Args:
        pieces: (n, m, k) convex pieces.
        triangles: (n, 3, ...) anticlockwise, one for each piece.

    Returns:
        What is left, and for each the number of its pair.
    """
    number = np.arange(len(pieces))
    for corner in range(3):
        start, end = triangles[number, corner, :2], triangles[number, (corner + 1) % 3, :2]
        distance = cross((end - start)[:, None, :], pieces[..., :2] - start[:, None, :])
        pieces, left = clip(pieces, distance)
        number = number[left]
    return pieces, number


def overlay(first: Array, second: Array) -> tuple[Array, Indices]:
    """All pieces that triangles (n, 3, k) share with triangles (m, 3, ...), and the second's number of each piece."""
    ours, theirs = overlapping(first, second)
    pieces, number = cut_by_triangles(first[ours], second[theirs])
    return pieces, theirs[number]


def outline_triangles(ring: Array) -> Array:
    """(m, 3, 2) triangles that fill a simple outline, anticlockwise."""
    from shapely import constrained_delaunay_triangles, get_coordinates, get_parts
    from shapely.geometry import Polygon

    parts = get_parts(constrained_delaunay_triangles(Polygon(ring)))
    corners = np.asarray(get_coordinates(parts), dtype=np.float64).reshape(-1, 4, 2)[:, :3]
    turned = cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) < 0
    corners[turned] = corners[turned][:, ::-1]
    return corners
