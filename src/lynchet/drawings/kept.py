"""Shapes kept for the next drawing that asks for them, and their corners."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np

Point = tuple[float, float]


@lru_cache(maxsize=1 << 12)
def area_of(ring: tuple[Point, ...], wider_m: float = 0.0) -> Any:
    """The valid shapely area in a ring, or that wider by some metres all round."""
    from shapely.geometry import Polygon

    return Polygon(ring).buffer(wider_m)


@lru_cache(maxsize=512)
def united(shapes: tuple[Any, ...], grid_m: float = 0.0) -> Any:
    """Several shapely shapes as one, on a grid or as they are: from sheet to sheet most are asked for again."""
    from shapely import union_all

    return union_all(shapes, grid_size=grid_m or None)


def corners_of(ring: Any) -> tuple[Point, ...]:
    """Corners of a shapely ring, the first not repeated."""
    from shapely import get_coordinates

    x, y = get_coordinates(ring)[:-1].T.tolist()
    return tuple(zip(x, y, strict=True))


def rings_of(shapes: Sequence[Any]) -> list[tuple[tuple[Point, ...], ...]]:
    """Corners of the rings of shapely polygons, as ``corners_of`` has each: the outer one of each, then holes."""
    from shapely import get_coordinates, get_rings

    rings, of_shape = get_rings(shapes, return_index=True)
    points, of_ring = get_coordinates(rings, return_index=True)
    corners = list(zip(*points.T.tolist(), strict=True))
    ends = np.cumsum(np.bincount(of_ring, minlength=len(rings))).tolist()
    found: list[list[tuple[Point, ...]]] = [[] for _ in shapes]
    for shape, start, end in zip(of_shape.tolist(), [0, *ends[:-1]], ends, strict=False):
        found[shape].append(tuple(corners[start : end - 1]))
    return [tuple(own) for own in found]
