"""Where each wall is checked: every stretch of a leg on which base, top, ground, faces and water keep their kind."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan, degrees

import numpy as np
import shapely

from lynchet.core.frame import Point
from lynchet.ground.model import Ground
from lynchet.ground.surface import level_at
from lynchet.project.model import Project
from lynchet.stability.model import FrontGround, Place
from lynchet.terraces.model import HOUSE, OUTSIDE, Terraces
from lynchet.walls.model import Leg, Segment, Span, Walls
from lynchet.water.model import Water, WaterLevel

LEAST_HELD_M = 0.05
"""Differences of level under this need no wall."""
_STEP_M = 1e-6
_LOOK_M = 1.0
"""How far the slope of the ground in front and behind is looked at, at least. PRACTICE."""


@dataclass(frozen=True)
class Yard:
    """The earlier results the stage reads, in one hand."""

    project: Project
    ground: Ground
    terraces: Terraces
    walls: Walls
    water: Water


def places(yard: Yard) -> list[Place]:
    """Both ends of every stretch of every leg that holds ground, loads and tiers not yet put on.

    A stretch has one base, one top, one pair of faces, and straight levels, so its worst section lies at an end.
    """
    found: list[Place] = []
    for leg in yard.walls.legs:
        for number, (start, end, segment, span, level) in enumerate(_stretches(leg, yard.water)):
            for station in (start + _STEP_M, end - _STEP_M):
                place = _place(yard, leg, station, segment, span)
                if place.high_m - place.low_m >= LEAST_HELD_M:
                    rim = place.high_m if _is_natural(yard.terraces, span.high_face) else place.top_m
                    found.append(_with_water(replace(place, stretch=number), level, rim, yard.project.brief.weeps))
    return _with_slopes(yard, found)


def _stretches(leg: Leg, water: Water) -> list[tuple[float, float, Segment, Span, WaterLevel | None]]:
    cuts = {s for segment in leg.segments for s in (segment.start_m, segment.end_m)}
    cuts |= {s for span in leg.spans for s in (span.start_m, span.end_m)}
    cuts |= {s for row in water.levels_of(leg.id) for s in (row.start_m, row.end_m)}
    stations = sorted(cuts)
    found = []
    for start, end in pairwise(stations):
        middle = 0.5 * (start + end)
        segment = leg.segment_at(middle)
        if end - start < 1e-3 or segment is None:
            continue
        span = leg.span_at(middle)
        if span.held == 0 or span.high_face == HOUSE:
            continue
        level = water.level_at(leg.id, middle)
        found.append((start, end, segment, span, level if level and level.held == span.held else None))
    return found


def _place(yard: Yard, leg: Leg, station: float, segment: Segment, span: Span) -> Place:
    runs_base = _run_levels(yard.walls, leg, segment.base, station)
    runs_top = _run_levels(yard.walls, leg, segment.top, station)
    left, right = span.levels_at(station)
    high, low = (left, right) if span.held > 0 else (right, left)
    lean = degrees(atan(leg.setback_m / yard.project.timber.course_m))
    return Place(
        leg=leg.id,
        held=span.held,
        station_m=station,
        stretch=0,
        courses=segment.top - segment.base + 1,
        base_m=runs_base[0],
        top_m=runs_top[1],
        low_m=low,
        high_m=high,
        backslope_deg=0.0,
        front_fall_deg=0.0,
        front=_front(yard.terraces, span.low_face, _in_front(leg, station, span.held)),
        lean_deg=lean * span.held,
        wet_m=None,
        one_shut_m=None,
        all_shut_m=None,
    )


def _in_front(leg: Leg, station: float, held: int) -> Point:
    """A point a foot's length before the wall, on its low side."""
    return leg.point_at(station, -0.1 if held > 0 else leg.thickness_m + 0.1)


def _run_levels(walls: Walls, leg: Leg, course: int, station: float) -> tuple[float, float]:
    """Bottom and top of the run of a course nearest a station: every run carries its own level."""
    runs = walls.runs_of(leg.id, course)
    near = min(runs, key=lambda run: max(run.outer_m[0] - station, station - run.outer_m[1], 0.0))
    return near.bottom_m, near.top_m


def _front(terraces: Terraces, face: str, foot: Point) -> FrontGround:
    """What lies in front: a path strip at the wall's foot is ground that is not dug.

    Args:
        terraces: the faces.
        face: the low face.
        foot: a point just in front of the wall.
    """
    if face == HOUSE:
        return "house"
    found = terraces.face(face)
    if found is None or found.kind != "bed":
        return "undug"
    strips = [shapely.Polygon(ring).buffer(_STEP_M * 10) for ring in found.strip_m]
    return "undug" if any(strip.covers(shapely.Point(foot)) for strip in strips) else "bed"


def _with_water(place: Place, level: WaterLevel | None, rim_m: float, weeps: bool) -> Place:
    """Water behind the place by case; open gaps in the lowest seen course let out what would stand above it.

    Args:
        place: the place.
        level: of its stretch, which may be that of a higher place on it.
        rim_m: water cannot stand higher here.
        weeps: gaps are left open.
    """
    if level is None:
        return place
    wet = min(level.wet_m, rim_m)
    out = max(place.low_m + place.course_m, wet) if weeps else rim_m
    return replace(
        place, wet_m=wet, one_shut_m=min(level.one_shut_m, out), all_shut_m=min(level.all_shut_m, out),
        by_stone=level.drained == "stone",
    )  # fmt: skip


def _with_slopes(yard: Yard, found: list[Place]) -> list[Place]:
    """The rise behind and the fall in front, where natural ground lies there, read from the measured surface."""
    behind = _ground_beyond(yard, found, high_side=True)
    before = _ground_beyond(yard, found, high_side=False)
    return [
        replace(
            place,
            backslope_deg=0.0 if np.isnan(up) else degrees(atan(max(0.0, up))),
            front_fall_deg=0.0 if np.isnan(down) else degrees(atan(max(0.0, -down))),
        )
        for place, up, down in zip(found, behind, before, strict=True)
    ]


def _ground_beyond(yard: Yard, found: list[Place], high_side: bool) -> list[float]:
    """Mean slope (rise over run) away from the wall; NaN where a bench or no natural ground lies there."""
    points: list[Point] = []
    runs: list[float] = []
    for place in found:
        leg = yard.walls.leg(place.leg)
        distance = max(_LOOK_M, 2.0 * place.retained_m) if high_side else _LOOK_M
        side = place.held if high_side else -place.held
        points.append(leg.point_at(place.station_m, side * distance + (leg.thickness_m if side > 0 else 0.0)))
        runs.append(distance)
    levels = level_at(yard.ground.surface, points) if points else np.array([])
    slopes = []
    for place, level, run in zip(found, levels, runs, strict=True):
        span = yard.walls.leg(place.leg).span_at(place.station_m)
        natural = _is_natural(yard.terraces, span.high_face if high_side else span.low_face)
        start = place.high_m if high_side else place.low_m
        slope = (float(level) - start) / run
        if natural and np.isnan(level):  # beyond the readings: as the yard falls on the whole
            leg = yard.walls.leg(place.leg)
            side = place.held if high_side else -place.held
            slope = side * (leg.normal[0] * yard.terraces.fall[0] + leg.normal[1] * yard.terraces.fall[1])
        slopes.append(slope if natural else float("nan"))
    return slopes


def _is_natural(terraces: Terraces, face: str) -> bool:
    if face in (OUTSIDE, HOUSE):
        return face == OUTSIDE
    found = terraces.face(face)
    return found is not None and found.kind in ("path", "kept")
