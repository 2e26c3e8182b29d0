"""Many outlines as polygons in one go: a fraction of the time of one after the other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain
from typing import Any

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
_MANY = 40
"""Fewer outlines are made the short way."""


def polygons_of(outlines: Iterable[Sequence[Point]]) -> Any:
    """The polygons of outlines without holes.

    Args:
        outlines: rings of three points or more each, closed or not.

    Returns:
        (n,) array of shapely polygons, in order.
    """
    return polygons_at(*flat_rings(outlines))


def flat_rings(outlines: Iterable[Sequence[Point]]) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """(points, 2) of all outlines one after another, and (outlines,) how many points each has."""
    rings = [*outlines]
    counts = np.array([len(ring) for ring in rings], dtype=np.intp)
    flat = chain.from_iterable(chain.from_iterable(rings))
    return np.fromiter(flat, dtype=np.float64, count=2 * int(counts.sum())).reshape(-1, 2), counts


def polygons_at(points: NDArray[np.float64], counts: NDArray[np.intp]) -> Any:
    """(n,) polygons of the outlines of ``flat_rings``."""
    import shapely

    size = len(counts)
    if not size:
        return np.array([], dtype=object)
    if size < _MANY and (counts == counts[0]).all():
        return shapely.polygons(points.reshape(size, -1, 2))
    ends = counts.cumsum()
    starts = ends - counts
    if size < _MANY or (points[starts] == points[ends - 1]).all(axis=1).any():
        return shapely.polygons(shapely.linearrings(points, indices=np.repeat(np.arange(size), counts)))
    every = np.arange(size + 1)  # none is closed yet: each is here, which takes two thirds of the time
    last = ends + every[:-1]
    corners = np.arange(len(points) + size) - np.repeat(every[:-1], counts + 1)
    corners[last] = starts
    return shapely.from_ragged_array(shapely.GeometryType.POLYGON, points[corners], (np.append(0, last + 1), every))
