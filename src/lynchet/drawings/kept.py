"""Shapes kept for the next drawing that asks for them, and their corners."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

Point = tuple[float, float]


@lru_cache(maxsize=1 << 12)
def area_of(ring: tuple[Point, ...], wider_m: float = 0.0) -> Any:
    """The valid shapely area in a ring, or that wider by some metres all round."""
    from shapely.geometry import Polygon

    return Polygon(ring).buffer(wider_m)


def corners_of(ring: Any) -> tuple[Point, ...]:
    """Corners of a shapely ring, the first not repeated."""
    from shapely import get_coordinates

    x, y = get_coordinates(ring)[:-1].T.tolist()
    return tuple(zip(x, y, strict=True))
