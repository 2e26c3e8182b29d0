"""Keeping what was worked out of a plan, or a shape, for the next drawing that asks for it."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, Generic, TypeVar

T = TypeVar("T")
Point = tuple[float, float]


class Same(Generic[T]):
    """A thing by what it is, not by what it holds: a key for ``lru_cache`` where going through it would take long."""

    def __init__(self, thing: T) -> None:
        self.thing = thing

    def __hash__(self) -> int:
        return id(self.thing)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.thing is self.thing


@lru_cache(maxsize=1 << 12)
def area_of(ring: tuple[Point, ...]) -> Any:
    """The valid shapely area in a ring."""
    from shapely.geometry import Polygon

    return Polygon(ring).buffer(0)
