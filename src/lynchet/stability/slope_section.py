"""The cross-section through the whole slope, as built: benches, steps of the walls, natural ground above and below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

import numpy as np
import shapely

from lynchet.core.frame import Point
from lynchet.ground.surface import level_at
from lynchet.stability.kinds import Array
from lynchet.stability.model import Place
from lynchet.stability.places import Yard

_STEP_M = 0.05
_BEYOND = 1.5
"""How far the section goes on above and below the yard, in heights of the slope. PRACTICE."""
_SIMPLE_M = 0.01


@dataclass(frozen=True)
class SlopeSection:
    """A line up the slope and the finished ground along it."""

    start_m: Point
    way: Point
    """Unit vector uphill."""
    x_m: Array
    """Stations from the start, rising."""
    y_m: Array
    """Finished ground."""


def section_through(yard: Yard, places: Sequence[Place]) -> SlopeSection | None:
    """The section up the fall through the wall that holds most; None on level ground."""
    fall = hypot(*yard.terraces.fall)
    if fall < 1e-3 or not places:
        return None
    way = (yard.terraces.fall[0] / fall, yard.terraces.fall[1] / fall)
    tallest = max(places, key=lambda place: place.retained_m)
    through = yard.walls.leg(tallest.leg).point_at(tallest.station_m)
    reach = np.array([p for outline in yard.terraces.area_outlines_m for ring in outline for p in ring])
    along = (reach - through) @ np.array(way)
    beyond = max(_BEYOND * fall * float(along.max() - along.min()), 2.0)
    low, high = float(along.min()) - beyond, float(along.max()) + beyond
    stations = np.arange(low, high + _STEP_M, _STEP_M)
    points = np.array(through) + stations[:, None] * np.array(way)
    levels = _finished(yard, points, (through, stations, fall))
    line = shapely.LineString(np.column_stack([stations - low, levels])).simplify(_SIMPLE_M)
    x, y = shapely.get_coordinates(line).T
    start = (through[0] + low * way[0], through[1] + low * way[1])
    return SlopeSection(start, way, np.asarray(x), np.asarray(y))


def _finished(yard: Yard, points: Array, along: tuple[Point, Array, float]) -> Array:
    """Bench levels inside beds, else the ground; beyond the readings it goes on with the yard's own fall."""
    _, stations, fall = along
    levels = level_at(yard.ground.surface, points)
    places: Any = shapely.points(points)
    for face in yard.terraces.beds:
        levels[shapely.covers(face.polygon, places)] = face.level_m
    known = np.flatnonzero(~np.isnan(levels))
    if not len(known):
        return stations * fall
    first, last = known[0], known[-1]
    gaps = np.isnan(levels)
    levels[gaps] = np.interp(stations[gaps], stations[known], levels[known])
    levels[:first] = levels[first] + fall * (stations[:first] - stations[first])
    levels[last + 1 :] = levels[last] + fall * (stations[last + 1 :] - stations[last])
    return levels


def pocket_water(section: SlopeSection, steps: Sequence[tuple[float, float, float]]) -> list[list[float]]:
    """The water line with every outlet shut: up behind each wall, down to its foot one height further back.

    Args:
        section: the section.
        steps: (station, water level behind, foot level) of each wall crossed, uphill.
    """
    x0, x1 = float(section.x_m[0]), float(section.x_m[-1])
    deep = float(section.y_m.min()) - 5.0
    knots: list[tuple[float, float]] = []
    for station, water, foot in steps:
        height = max(water - foot, 0.05)
        knots += [(station, foot), (station + 0.1, water), (station + 0.1 + height, foot)]
    if not knots:
        return [[x0, deep], [x1, deep]]
    x = np.unique(np.concatenate([section.x_m, [k[0] for k in knots], [x0, x1]]))
    x = x[(x >= x0) & (x <= x1)]
    spots = np.array(sorted(knots))
    y = np.interp(x, spots[:, 0], np.maximum.accumulate(spots[:, 1]) if len(spots) < 2 else spots[:, 1])
    ground = np.interp(x, section.x_m, section.y_m)
    return [[float(a), float(b)] for a, b in zip(x, np.minimum(y, ground - 0.002), strict=True)]
