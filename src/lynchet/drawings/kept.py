"""Shapes kept for the next drawing that asks for them."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

Point = tuple[float, float]


@lru_cache(maxsize=1 << 12)
def area_of(ring: tuple[Point, ...], wider_m: float = 0.0) -> Any:
    """The valid shapely area in a ring, or that wider by some metres all round."""
    from shapely.geometry import Polygon

    return Polygon(ring).buffer(wider_m)
