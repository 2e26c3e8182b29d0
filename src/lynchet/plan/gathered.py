"""Placed things with their footprints and levels as arrays, worked out once for all that looks at them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from itertools import compress
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from lynchet.core.outlines import flat_rings, polygons_at
from lynchet.plan.placed import Placed

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
_LEVEL = (0.0, 0.0)


class Gathered(Sequence[Placed]):
    """A sequence of placed things that knows their polygons and levels."""

    def __init__(self, things: Iterable[Placed]) -> None:
        """Take them in their order.

        Args:
            things: any number.
        """
        self._things = tuple(things)

    @overload
    def __getitem__(self, index: int) -> Placed: ...

    @overload
    def __getitem__(self, index: slice) -> tuple[Placed, ...]: ...

    def __getitem__(self, index: int | slice) -> Placed | tuple[Placed, ...]:
        """One of them, or some."""
        return self._things[index]

    def __len__(self) -> int:
        """How many."""
        return len(self._things)

    def __iter__(self) -> Iterator[Placed]:
        """One after another."""
        return iter(self._things)

    @cached_property
    def _rings(self) -> tuple[Array, Indices]:
        return flat_rings(thing.outline_m for thing in self._things)

    @cached_property
    def shapes(self) -> Any:
        """(n,) footprints as shapely polygons."""
        return polygons_at(*self._rings)

    @cached_property
    def tree(self) -> Any:
        """Index of the footprints."""
        import shapely

        return shapely.STRtree(self.shapes)

    @cached_property
    def levels(self) -> tuple[Array, Array]:
        """(n,) lowest bottom and highest top of each thing, slopes taken in."""
        if not self._things:
            return np.empty(0), np.empty(0)
        low = np.array([one.bottom_m for one in self._things], dtype=np.float64)
        high = np.array([one.top_m for one in self._things], dtype=np.float64)
        sloping = np.array([one.slope != _LEVEL for one in self._things], dtype=np.bool_)
        if sloping.any():
            points, counts = self._rings
            points, counts = points[np.repeat(sloping, counts)], counts[sloping]
            rows = np.array([(*one.slope, *one.origin_m) for one in compress(self._things, sloping.tolist())])
            slope_x, slope_y, x, y = np.repeat(rows, counts, axis=0).T
            rise = slope_x * (points[:, 0] - x) + slope_y * (points[:, 1] - y)
            starts = np.cumsum(counts) - counts
            low[sloping] = np.minimum.reduceat(np.repeat(low[sloping], counts) + rise, starts)
            high[sloping] = np.maximum.reduceat(np.repeat(high[sloping], counts) + rise, starts)
        return low, high

    def some(self, rows: Sequence[int] | Indices) -> Gathered:
        """Some of them, by number; their arrays are taken over."""
        at = np.asarray(rows, dtype=np.intp)
        found = Gathered(self._things[row] for row in at.tolist())
        found.__dict__["shapes"] = self.shapes[at]
        found.__dict__["levels"] = tuple(part[at] for part in self.levels)
        return found

    def where(self, wanted: Callable[[str], bool]) -> Gathered:
        """Those of some kinds."""
        kinds = {kind: wanted(kind) for kind in {thing.kind for thing in self._things}}
        return self.some([row for row, thing in enumerate(self._things) if kinds[thing.kind]])


def gathered(things: Sequence[Placed]) -> Gathered:
    """The things gathered, as they are where they are so already."""
    return things if isinstance(things, Gathered) else Gathered(things)
