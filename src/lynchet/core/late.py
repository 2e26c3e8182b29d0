"""A working worked out when it is first read: whoever plans again and again and reads none pays for none."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

Worked = tuple[str, tuple[tuple[str, object], ...]]
"""A calculator and its arguments."""


class LateWorking:
    """Reads, compares and is stored as the calculator and arguments that it holds the means to find.

    Args:
        make: gives them from frozen results, always the same.
    """

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], Worked]) -> None:
        self._make: Callable[[], Worked] | None = make
        self._made: Worked | None = None

    @property
    def worked(self) -> Worked:
        """The calculator and its arguments."""
        made, make = self._made, self._make
        if made is None and make is not None:
            made = self._made = make()
            self._make = None  # what it was found from may go
        assert made is not None
        return made

    def __iter__(self) -> Iterator[Any]:
        return iter(self.worked)

    def __eq__(self, other: object) -> bool:
        return bool(self.worked == (other.worked if isinstance(other, LateWorking) else other))

    def __hash__(self) -> int:
        return hash(self.worked)

    def __repr__(self) -> str:
        return repr(self.worked)

    def __reduce__(self) -> tuple[type[tuple[Any, ...]], tuple[Worked]]:
        return tuple, (self.worked,)
