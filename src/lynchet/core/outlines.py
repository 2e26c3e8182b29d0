"""Many outlines as polygons in one go: a fraction of the time of one after the other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain
from typing import Any

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]


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

    if not len(counts):
        return np.array([], dtype=object)
    return shapely.polygons(shapely.linearrings(points, indices=np.repeat(np.arange(len(counts)), counts)))
