"""The ring: the line outside the outline on which solid pipe runs along the walls to daylight."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.ground.surface import bends
from lynchet.water.yard import Yard

Point = tuple[float, float]
FloatArray = NDArray[np.float64]
Flags = NDArray[np.bool_]
_SPACING_M = 0.25


@dataclass(frozen=True, eq=False)
class OneWay:
    """The samples of a ring twice round in one direction; sample i ends side i."""

    at_m: FloatArray
    levels_m: FloatArray
    pours: FloatArray
    open_ahead: list[int]
    """From each side of the first round, how many sides in a row are open, itself included; at most twice round."""

    @cached_property
    def table(self) -> FloatArray:
        """(3, n) places, levels and flags."""
        return np.stack([self.at_m, self.levels_m, self.pours])


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

    @cached_property
    def length_m(self) -> float:
        """Length round."""
        return float(self.at_m[-1])

    @cached_property
    def pours(self) -> FloatArray:
        """(n,) 1.0 where water may come out at sample i, else 0.0."""
        return self.pour.astype(np.float64)

    @cached_property
    def runs(self) -> dict[int, OneWay]:
        """Its samples anticlockwise (+1) and clockwise (-1)."""
        ahead, back = slice(1, None), slice(-2, None, -1)
        return {
            way: OneWay(
                np.tile(self.at_m[one], 2), np.tile(self.levels_m[one], 2), np.tile(self.pours[one], 2),
                _open_ahead(np.tile(self.open[::way], 2)),
            )
            for way, one in ((1, ahead), (-1, back))
        }  # fmt: skip

    @cached_property
    def at(self) -> list[float]:
        """``at_m`` as plain numbers, looked up one by one far more quickly."""
        places: list[float] = self.at_m.tolist()
        return places

    @cached_property
    def levels(self) -> list[float]:
        """``levels_m`` as plain numbers."""
        levels: list[float] = self.levels_m.tolist()
        return levels

    @cached_property
    def _lowest_ahead(self) -> dict[tuple[int, float], list[float]]:
        return {}

    def lowest_ahead(self, way: int, fall: float) -> list[float]:
        """From each side twice round, the lowest end of it and of the open sides behind it in that direction.

        To every level the fall of a pipe from the start of the round is added. A side that is shut counts alone.
        """
        if (way, fall) not in self._lowest_ahead:
            run = self.runs[way]
            along = way * run.at_m
            along[len(along) // 2 :] += self.length_m
            lowest: list[float] = (run.levels_m + fall * along).tolist()
            for i in range(len(lowest) - 2, -1, -1):
                if run.open_ahead[i] > 1 and not lowest[i] <= lowest[i + 1]:
                    lowest[i] = lowest[i + 1]
            self._lowest_ahead[way, fall] = lowest
        return self._lowest_ahead[way, fall]

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

    def ahead_m(self, starts: FloatArray, ways: FloatArray, reach_m: float) -> tuple[FloatArray, FloatArray]:
        """Where the ring lies straight ahead of points: the first crossing within reach.

        Args:
            starts: (n, 2) plan points.
            ways: (n, 2) unit vectors.
            reach_m: how far to look.

        Returns:
            (n,) places along the ring and (n,) distances, NaN where nothing is crossed.
        """
        (ax, ay), (vx, vy) = self.points[:-1].T, np.diff(self.points, axis=0).T
        rx, ry = ax - starts[:, :1], ay - starts[:, 1:]
        wx, wy = ways[:, :1], ways[:, 1:]
        sine = wx * vy - wy * vx
        with np.errstate(divide="ignore", invalid="ignore"):
            away, share = (rx * vy - ry * vx) / sine, (rx * wy - ry * wx) / sine
        hit = (np.abs(share - 0.5) <= 0.5 + 1e-12) & (away >= 0.0) & (away <= reach_m)
        away = np.where(hit, away, np.inf)
        side, row = away.argmin(axis=1), np.arange(len(starts))
        at = self.at_m[side] + np.clip(share[row, side], 0.0, 1.0) * np.diff(self.at_m)[side]
        found = hit[row, side]
        return np.where(found, at, np.nan), np.where(found, away[row, side], np.nan)

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


def _open_ahead(passes: Flags) -> list[int]:
    """How many true values in a row begin at each place."""
    shut = np.append(np.flatnonzero(~passes), len(passes))
    here = np.arange(len(passes))
    count: list[int] = (shut[np.searchsorted(shut, here)] - here).tolist()
    return count


def ring_of(yard: Yard, banks: Any) -> Ring:
    """The ring of a yard.

    Args:
        yard: the earlier results.
        banks: plan strips of drained bank outside, on which no water is let out.
    """

    settings = yard.settings
    shape = yard.outline.buffer(settings.ring_m, join_style="mitre", mitre_limit=3.0)
    coords = _from_corner(list(shape.exterior.coords)[:-1], yard.project.area.outline_m[0])
    points, at, along = [], [], 0.0
    for a, b in zip(coords, coords[1:] + coords[:1], strict=True):
        stations = _stations(yard, a, b)
        length = hypot(b[0] - a[0], b[1] - a[1])
        share = stations / length
        points.append(np.column_stack([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])])[:-1])
        at.append(along + stations[:-1])
        along += length
    where = np.concatenate([*points, points[0][:1]])
    z, sheds = _finished(yard, where[:-1])
    z = np.concatenate([z, z[:1]])
    r = np.concatenate([*at, [along]])
    blocked, pour = _barriers(yard, where, banks)
    pour &= np.concatenate([sheds, sheds[:1]])
    blocked |= np.isnan(z[:-1]) | np.isnan(z[1:])
    return Ring(r, where, z, ~blocked, pour & ~np.isnan(z))


def _finished(yard: Yard, where: FloatArray) -> tuple[FloatArray, Flags]:
    """Level of the finished ground at places, banks outside included, and whether water that comes out there runs away
    from the beds: down a bank that is dug it would run back into them."""
    import shapely

    z, sheds = yard.level_at(where), np.ones(len(where), dtype=bool)
    for bank in yard.walls.shaped:
        on = shapely.intersects_xy(bank.polygon, where)
        if on.any():
            z[on] = bank.levels_at(where[on])
            sheds[on] &= bank.raised > 0
    return z, sheds


def _barriers(yard: Yard, where: FloatArray, banks: Any) -> tuple[Flags, Flags]:
    """Whether a pipe is barred between each two samples, and whether water may come out at each."""
    import shapely

    blocked, pour = np.zeros(len(where) - 1, dtype=bool), np.ones(len(where), dtype=bool)
    for shape in (yard.barred_round, yard.no_dig):
        near = np.flatnonzero(_boxes_meet(shape, where))
        if len(near):
            shapely.prepare(shape)
            parts = shapely.linestrings(np.stack([where[near], where[near + 1]], axis=1))
            blocked[near] |= shapely.intersects(shape, parts)
    walked = np.array([*yard.walked, banks], dtype=object)
    near_each = _near_boxes(walked, where, 0.0)
    for number in np.flatnonzero(near_each.any(axis=1)):
        near = np.flatnonzero(near_each[number])
        pour[near] &= ~shapely.intersects_xy(walked[number], where[near])
    if not yard.lot_lines.is_empty:
        shapely.prepare(yard.lot_lines)
        beyond = shapely.intersects(yard.lot_lines, shapely.shortest_line(shapely.points(where), yard.outline))
        blocked |= beyond[:-1] | beyond[1:]
        pour &= ~beyond
    near = np.flatnonzero(_near_boxes(np.array([yard.houses]), where, yard.settings.house_mouth_m)[0])
    if len(near):
        pour[near] &= shapely.distance(yard.houses, shapely.points(where[near])) >= yard.settings.house_mouth_m
    return blocked, pour


def _boxes_meet(shape: Any, where: FloatArray) -> Flags:
    """Whether the box round each part of a line meets the box round a shape; never where the shape is empty."""
    west, south, east, north = shape.bounds
    low, high = np.minimum(where[:-1], where[1:]), np.maximum(where[:-1], where[1:])
    return np.asarray((low <= (east, north)).all(axis=1) & (high >= (west, south)).all(axis=1))


def _near_boxes(shapes: Any, where: FloatArray, reach_m: float) -> Flags:
    """(shapes, points) whether a point lies within reach of the box round a shape; never where the shape is empty."""
    import shapely

    boxes = shapely.bounds(shapes)[:, None, :]
    apart = np.maximum(boxes[..., :2] - where, where - boxes[..., 2:])
    return np.asarray((apart <= reach_m).all(axis=2))


def _from_corner(coords: list[Point], first: Point) -> list[Point]:
    """Anticlockwise coordinates from the corner nearest to the outline's first."""
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(coords, coords[1:] + coords[:1], strict=True))
    turned = coords if area > 0 else coords[::-1]
    start = min(range(len(turned)), key=lambda i: hypot(turned[i][0] - first[0], turned[i][1] - first[1]))
    return turned[start:] + turned[:start]


def _stations(yard: Yard, a: Point, b: Point) -> FloatArray:
    """Stations along one side: at every bend of the ground and at even spacing."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    even = np.linspace(0.0, length, max(2, int(length / _SPACING_M) + 1))
    stations = np.sort(np.concatenate([bends(yard.ground.surface, a, b), even]))
    stations = stations[np.concatenate([[True], np.diff(stations) > 1e-6])]
    stations[-1] = length
    return np.asarray(stations)
