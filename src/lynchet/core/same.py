"""A thing as a key by what it is: to keep what was worked out of it for the next who asks."""

from __future__ import annotations

from typing import Generic, TypeVar

T = TypeVar("T")


class Same(Generic[T]):
    """A thing by what it is, not by what it holds: a key for ``lru_cache`` where going through it would take long."""

    def __init__(self, thing: T) -> None:
        self.thing = thing

    def __hash__(self) -> int:
        return id(self.thing)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.thing is self.thing
