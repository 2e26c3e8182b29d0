"""The shortest way of a pipe through free ground: straight where possible, else round the corners in its way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import dist, inf
from typing import Any

import numpy as np

from lynchet.core.quick import quick
from lynchet.water.round_corners import Part

Point = tuple[float, float]
ROUND_M = 0.01
"""Free ground is smoothed by so much, so what is in the way is kept clear of by as much more."""
_SURE_M = 1.1 * ROUND_M
"""Farther from every edge than this, smoothing and rounding to the grid change nothing."""


class Room:
    """Free ground for the middle of a pipe, with what every search in it needs worked out once.

    Args:
        ground: polygon or several.
        taken: polygons that are not free of it.
    """

    def __init__(self, ground: Any, taken: Sequence[Any] = ()) -> None:
        self._ground, self._taken = ground, np.array(taken, dtype=object)
        self._ways: dict[tuple[Point, Point], _Found] = {}
        self._away: dict[Point, float] = {}
        self._at: dict[Point, list[Part]] = {}

    @cached_property
    def shape(self) -> Any:
        """The free ground: polygon or several."""
        from shapely import union_all

        if not len(self._taken):
            return self._ground
        return self._ground.difference(union_all(self._taken, grid_size=1e-5), grid_size=1e-5)

    @cached_property
    def _parts(self) -> list[Part]:
        from shapely import prepare

        found = []
        for part in getattr(self.shape, "geoms", [self.shape]):
            if not part.is_empty:
                plain = part.simplify(ROUND_M)
                grown = plain.buffer(1e-6)
                prepare(grown)
                found.append(Part(grown, plain))
        return found

    @cached_property
    def _bounds(self) -> tuple[Any, Any]:
        """The ground, then all that is taken of it; and their edges."""
        from shapely import boundary

        shapes = np.array([self._ground, *self._taken], dtype=object)
        return shapes, boundary(shapes)

    def away_m(self, point: Point) -> float:
        """From a point to the nearest free ground; infinite where there is none."""
        from shapely import Point as Dot

        if point not in self._away:
            self._away[point] = inf if self.shape.is_empty else float(self.shape.distance(Dot(point)))
        return self._away[point]

    def way(self, start: Point, end: Point, longest_m: float = 1e3) -> tuple[Point, ...] | None:
        """Shortest way between two points inside, start and end included; None where there is none short enough.

        Openings at many levels in one place, and one net after the other, ask for the same ways.
        """
        known = self._ways.get((start, end))
        if known is None or (known.way is None and longest_m > known.longest_m):
            known = self._ways[start, end] = self._searched(start, end, longest_m)
        return known.way if known.length_m < longest_m or known.straight else None

    def _searched(self, start: Point, end: Point, longest_m: float) -> _Found:
        from shapely import covers, linestrings

        if "_parts" not in self.__dict__:
            sure = self._surely_straight(start, end)
            if sure is not None:
                return _Found((start, end) if sure else None, inf)
        for part in self._parts_at(start):
            if part in self._parts_at(end):
                if covers(part.shape, linestrings((start, end))):
                    return _Found((start, end), inf)
                return _Found(part.way(start, end, longest_m), longest_m)
        return _Found(None, inf)

    def _parts_at(self, point: Point) -> list[Part]:
        """The pieces of free ground a point lies in; most places a pipe might come from lie in none."""
        from shapely import intersects_xy

        if point not in self._at:
            self._at[point] = [part for part in self._parts if intersects_xy(part.shape, *point)]
        return self._at[point]

    def _surely_straight(self, start: Point, end: Point) -> bool | None:
        """Whether the straight way is free, as far as can be told before the free ground is worked out, which is dear.

        False where an end lies well outside the free ground; None where something is too near to be sure.
        """
        from shapely import dwithin, intersects_xy, linestrings, points

        shapes, edges = self._bounds
        for point in (start, end):
            inside = intersects_xy(shapes, *point)
            inside[0] = not inside[0]  # what matters is that the point lies off the ground
            if np.any(inside & ~dwithin(edges, points(point), _SURE_M)):
                return False
        clear = not inside.any() and not dwithin(edges, linestrings((start, end)), _SURE_M).any()
        return True if clear else None


@quick
@dataclass(frozen=True)
class _Found:
    """What a search came to: the shortest way, or that none is shorter than what was asked."""

    way: tuple[Point, ...] | None
    longest_m: float

    @cached_property
    def length_m(self) -> float:
        """Length of the way; infinite where none was found."""
        return inf if self.way is None else sum(dist(a, b) for a, b in pairwise(self.way))

    @property
    def straight(self) -> bool:
        """Straight ways hold however short a way is asked for."""
        return self.way is not None and len(self.way) == 2
