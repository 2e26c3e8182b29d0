"""A bank as it is shaped: part of the built geometry."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import dist, hypot
from typing import Any

from lynchet.core.plane import Point, cross, minus, signed_area, unit
from lynchet.core.quick import quick

BANK_SLOPE = 0.5
"""A bank stands at 1 in 2."""


@quick
@dataclass(frozen=True)
class Bank:
    """Ground sloped 1 in 2 outside an edge without a wall, from the level of a bed to where it meets the ground."""

    line: str
    face: str
    """The bed."""
    raised: int
    """1 where the bed stands over the ground outside (the bank is filled), -1 where it lies under it (it is dug)."""
    level_m: float
    """Of the bed: the bank begins there."""
    edge_m: tuple[Point, ...]
    """Plan points along the edge."""
    toe_m: tuple[Point, ...]
    """Where the bank meets the ground, out from each of them."""
    toe_levels_m: tuple[float, ...]
    measured: bool
    """Whether the ground was measured out to the toe; elsewhere it is taken to go on as it falls across the yard."""

    @property
    def outline_m(self) -> tuple[Point, ...]:
        """What it covers on the plan, anticlockwise."""
        return (*reversed(self.edge_m), *self.toe_m)

    @cached_property
    def polygon(self) -> Any:
        """What it covers on the plan, as a shapely polygon."""
        from shapely.geometry import Polygon

        return Polygon(self.outline_m)

    def levels_at(self, points: Any) -> Any:
        """Its level at plan points, (n, 2): it falls, or rises, 1 in 2 away from the edge, round a corner as a cone."""
        from shapely import LineString, distance
        from shapely import points as dots

        return self.level_m - self.raised * BANK_SLOPE * distance(LineString(self.edge_m), dots(points))

    @property
    def facets(self) -> tuple[tuple[tuple[Point, ...], tuple[float, float, float]], ...]:
        """Parts with one plane each, a x + b y + c: the strip along the edge, and the cone round a corner in parts."""
        a, b = self.edge_m[0], self.edge_m[-1]
        way = unit(minus(b, a))
        rise = (-self.raised * BANK_SLOPE * way[1], self.raised * BANK_SLOPE * way[0])
        first = max(i for i, edge in enumerate(self.edge_m) if edge == a)
        last = min(i for i, edge in enumerate(self.edge_m) if edge == b)
        ring = (*reversed(self.edge_m[first : last + 1]), *self.toe_m[first : last + 1])
        found = [(ring, (*rise, self.level_m - rise[0] * a[0] - rise[1] * a[1]))]
        found += [
            self._facet(i) for i in (*range(first), *range(last, len(self.edge_m) - 1)) if abs(self._turn(i)) > 1e-9
        ]
        return tuple(found)

    def _turn(self, i: int) -> float:
        return cross(minus(self.toe_m[i], self.edge_m[i]), minus(self.toe_m[i + 1], self.edge_m[i]))

    def _facet(self, i: int) -> tuple[tuple[Point, ...], tuple[float, float, float]]:
        """From a corner out to two points of the toe."""
        (x, y), (px, py), (qx, qy) = self.edge_m[i], self.toe_m[i], self.toe_m[i + 1]
        p, q = self.toe_levels_m[i] - self.level_m, self.toe_levels_m[i + 1] - self.level_m
        turn = self._turn(i)
        a, b = (p * (qy - y) - q * (py - y)) / turn, (q * (px - x) - p * (qx - x)) / turn
        return ((x, y), (px, py), (qx, qy)), (a, b, self.level_m - a * x - b * y)

    @property
    def slope_m2(self) -> float:
        """Its surface, measured on the slope."""
        return abs(signed_area(self.outline_m)) * hypot(1.0, BANK_SLOPE)

    @property
    def high_m(self) -> float:
        """Between bed and toe, at its highest."""
        return max(abs(self.level_m - level) for level in self.toe_levels_m)

    @property
    def wide_m(self) -> float:
        """From the edge to the toe, at its widest, round its corners too."""
        return max(dist(a, b) for a, b in zip(self.edge_m, self.toe_m, strict=True))
