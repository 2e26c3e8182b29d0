"""The ring: the line outside the outline on which solid pipe runs along the walls to daylight."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.ground.surface import profile
from lynchet.water.yard import Yard

Point = tuple[float, float]
FloatArray = NDArray[np.float64]
Flags = NDArray[np.bool_]
_SPACING_M = 0.25


@dataclass(frozen=True, eq=False)
class Ring:
    """Samples along the closed ring, anticlockwise, the first repeated as the last."""

    at_m: FloatArray
    """(n,) distance along the ring."""
    points: FloatArray
    """(n, 2)."""
    levels_m: FloatArray
    """(n,) ground; NaN where not measured."""
    open: Flags
    """(n - 1,) whether a pipe may run between samples i and i + 1."""
    pour: Flags
    """(n,) whether water may come out at sample i."""

    @property
    def length_m(self) -> float:
        """Length round."""
        return float(self.at_m[-1])

    @cached_property
    def pours(self) -> FloatArray:
        """(n,) 1.0 where water may come out at sample i, else 0.0."""
        return self.pour.astype(np.float64)

    @cached_property
    def line(self) -> Any:
        """The ring as a shapely line."""
        from shapely.geometry import LineString

        return LineString(self.points)

    def point_at(self, r_m: float) -> Point:
        """Plan point at a distance along the ring (any number of times round)."""
        r = r_m % self.length_m
        return float(np.interp(r, self.at_m, self.points[:, 0])), float(np.interp(r, self.at_m, self.points[:, 1]))

    def nearest_m(self, point: Point) -> float:
        """Distance along the ring of the point nearest to a plan point."""
        from shapely.geometry import Point as Dot

        return float(self.line.project(Dot(point)))

    def points_between(self, r_m: float, way: int, length_m: float) -> list[Point]:
        """Corner points from ``r_m`` on, ends included."""
        end = r_m + way * length_m
        found = [self.point_at(r_m)]
        for turn in (-1, 0, 1):
            corners = self.corners_m + turn * self.length_m
            low, high = sorted((r_m, end))
            inner = corners[(corners > low + 1e-6) & (corners < high - 1e-6)]
            found += [self.point_at(float(c)) for c in (inner if way > 0 else inner[::-1])]
        if len(found) > 2:
            found = [found[0], *sorted(found[1:], key=lambda p: self._ahead(r_m, way, p))]
        return [*found, self.point_at(end)]

    def _ahead(self, r_m: float, way: int, point: Point) -> float:
        return (self.nearest_m(point) - r_m) * way % self.length_m

    @cached_property
    def corners_m(self) -> FloatArray:
        """Distances along the ring at which it turns."""
        steps = np.diff(self.points, axis=0)
        angles = np.arctan2(steps[:, 1], steps[:, 0])
        turn = np.abs((np.diff(angles) + np.pi) % (2 * np.pi) - np.pi)
        inner = self.at_m[1:-1][turn > 1e-6]
        first = abs((angles[0] - angles[-1] + np.pi) % (2 * np.pi) - np.pi) > 1e-6
        return np.concatenate([[0.0], inner]) if first else inner


def ring_of(yard: Yard, banks: Any) -> Ring:
    """The ring of a yard.

    Args:
        yard: the earlier results.
        banks: plan strips of drained bank outside, on which no water is let out.
    """
    import shapely

    settings = yard.settings
    shape = yard.outline.buffer(settings.ring_m, join_style="mitre", mitre_limit=3.0)
    coords = _from_corner(list(shape.exterior.coords)[:-1], yard.project.area.outline_m[0])
    points, levels, at, along = [], [], [], 0.0
    for a, b in zip(coords, coords[1:] + coords[:1], strict=True):
        stations, z = _side(yard, a, b)
        length = hypot(b[0] - a[0], b[1] - a[1])
        share = stations / length
        points.append(np.column_stack([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])])[:-1])
        levels.append(z[:-1])
        at.append(along + stations[:-1])
        along += length
    where = np.concatenate([*points, points[0][:1]])
    z = np.concatenate([*levels, levels[0][:1]])
    r = np.concatenate([*at, [along]])
    parts = shapely.linestrings(np.stack([where[:-1], where[1:]], axis=1))
    barred = yard.barred.buffer(settings.radius_m)
    for shape in (barred, yard.no_dig, yard.walked, yard.lot_lines, banks):
        shapely.prepare(shape)
    blocked = shapely.intersects(parts, barred) | shapely.intersects(parts, yard.no_dig)
    blocked |= np.isnan(z[:-1]) | np.isnan(z[1:])
    dots = shapely.points(where)
    beyond = shapely.intersects(shapely.shortest_line(dots, yard.outline), yard.lot_lines)
    blocked |= beyond[:-1] | beyond[1:]
    pour = ~beyond & ~shapely.intersects(dots, yard.walked) & ~shapely.intersects(dots, banks)
    if not yard.houses.is_empty:
        pour &= shapely.distance(dots, yard.houses) >= settings.house_mouth_m
    return Ring(r, where, z, ~blocked, pour & ~np.isnan(z))


def _from_corner(coords: list[Point], first: Point) -> list[Point]:
    """Anticlockwise coordinates from the corner nearest to the outline's first."""
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(coords, coords[1:] + coords[:1], strict=True))
    turned = coords if area > 0 else coords[::-1]
    start = min(range(len(turned)), key=lambda i: hypot(turned[i][0] - first[0], turned[i][1] - first[1]))
    return turned[start:] + turned[:start]


def _side(yard: Yard, a: Point, b: Point) -> tuple[FloatArray, FloatArray]:
    """Stations and ground levels along one side: at every bend of the ground and at even spacing."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    exact, _ = profile(yard.ground.surface, a, b, yard.settings.ground_reach_m)
    even = np.linspace(0.0, length, max(2, int(length / _SPACING_M) + 1))
    stations = np.unique(np.concatenate([exact, even]))
    keep = np.concatenate([[True], np.diff(stations) > 1e-6])
    stations = stations[keep]
    stations[-1] = length
    points = [(a[0] + s / length * (b[0] - a[0]), a[1] + s / length * (b[1] - a[1])) for s in stations]
    return stations, yard.level_at(points)
