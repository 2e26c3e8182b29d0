"""Where each wall is checked: every stretch of a leg on which base, top, ground, faces and water keep their kind."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice
from math import atan, degrees, isnan, nan

import numpy as np
import shapely

from lynchet.core.changed import changed
from lynchet.core.frame import Point
from lynchet.core.outlines import polygons_of
from lynchet.core.quick import quick
from lynchet.core.standing import READ_M, Open
from lynchet.ground.model import Ground
from lynchet.ground.surface import level_at
from lynchet.project.model import Project
from lynchet.stability.held_stretches import HeldStretch
from lynchet.stability.model import FrontGround, Place
from lynchet.stability.weep_holes import Weeps
from lynchet.terraces.model import HOUSE, OUTSIDE, Terraces
from lynchet.walls.joints import CLEAR_TIE_M
from lynchet.walls.model import Leg, Run, Segment, Span, Walls
from lynchet.water.model import Water, WaterLevel
from lynchet.water.timber_gaps import timber_gaps

LEAST_HELD_M = 0.05
"""Differences of level under this need no wall."""
_STEP_M = 1e-6
_JOINT_CLEAR_M = CLEAR_TIE_M - READ_M
"""From joints that stand, as read off the timber; new joints keep off instead."""
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
    stretches: Mapping[str, Sequence[HeldStretch]]
    """Of each leg those that hold ground."""
    weeps: Weeps = field(default_factory=Weeps)
    """Bored before anything rests on them."""

    @cached_property
    def gaps(self) -> Mapping[str, Sequence[Open]]:
        """Notches and other openings of every wall: course, first and last station."""
        return {leg.id: timber_gaps(self.walls, self.water, leg.id) for leg in self.walls.legs}

    def at_standing_joint(self, leg: str, course: int, station_m: float) -> bool:
        """Whether a tie or a pin would come too near to a joint that stands."""
        return any(abs(station_m - joint) < _JOINT_CLEAR_M for joint in self.walls.standing.cuts(leg, course) or ())


_Water = tuple[float | None, float | None, float | None]
"""Wet, with one outlet shut, with all shut."""


@quick
@dataclass(frozen=True)
class _Spot:
    """One end of a stretch, before all is read off that lies there."""

    leg: Leg
    stretch: int
    station_m: float
    segment: Segment
    span: Span
    water: WaterLevel | None
    low_m: float
    high_m: float
    held: int
    """Of the span."""
    high_face: str
    low_face: str

    @property
    def retained_m(self) -> float:
        """High side less low side."""
        return self.high_m - self.low_m


def places(yard: Yard) -> list[Place]:
    """Both ends of every stretch of every leg that holds ground, loads and tiers not yet put on.

    A stretch has one base, one top, one pair of faces, and straight levels, so its worst section lies at an end.
    """
    spots = _spots(yard)
    natural = _natural(yard.terraces)
    behind, before = (_ground_beyond(yard, spots, natural, high_side=high) for high in (True, False))
    fronts = _fronts(yard.terraces, spots)
    return [
        _place(yard, spot, spot.high_face in natural, slopes, front)
        for spot, slopes, front in zip(spots, zip(behind, before, strict=True), fronts, strict=True)
    ]


def blocked(yard: Yard, found: Sequence[Place]) -> list[Place]:
    """Places of the walls that weep holes serve, their loads and tiers on them, as they are with the holes blocked too.

    Args:
        yard: the earlier results.
        found: all places.
    """
    legs = {place.leg for place in found if place.weep_m is not None}
    natural = _natural(yard.terraces)
    shut = []
    for place in found:
        if place.weep_m is not None:
            row = yard.stretches[place.leg][place.stretch]
            rim_m = place.high_m if row.span.high_face in natural else place.top_m
            _, one_shut, all_shut = _water(row.water, rim_m, None)
            place = changed(place, one_shut_m=one_shut, all_shut_m=all_shut, weep_m=None)
        if place.leg in legs:
            shut.append(place)
    return shut


def _spots(yard: Yard) -> list[_Spot]:
    found: list[_Spot] = []
    for leg in yard.walls.legs:
        for number, (start, end, segment, span, level, held) in enumerate(yard.stretches[leg.id]):
            faces = (span.left, span.right) if held > 0 else (span.right, span.left)
            for station in (start + _STEP_M, end - _STEP_M):
                left, right = span.levels_at(station)
                high, low = (left, right) if held > 0 else (right, left)
                if high - low >= LEAST_HELD_M:
                    found.append(_Spot(leg, number, station, segment, span, level, low, high, held, *faces))
    return found


def _place(yard: Yard, spot: _Spot, natural: bool, slopes: tuple[float, float], front: FrontGround) -> Place:
    """A spot with all that stands and lies there.

    Args:
        yard: the earlier results.
        spot: where.
        natural: the ground on its high side is not finished.
        slopes: rise over run behind and in front, away from the wall; NaN where no natural ground lies there.
        front: what lies in front.
    """
    leg, segment, (up, down) = spot.leg, spot.segment, slopes
    base_m, top_m = base_and_top(yard.walls, leg, segment, spot.station_m)
    courses = segment.top - segment.base + 1
    rim_m = spot.high_m if natural else top_m
    out_m = yard.weeps.out_m(leg, spot.stretch, spot.station_m)
    if out_m is not None:
        out_m = max(out_m, spot.low_m + (top_m - base_m) / courses)
    wet, one_shut, all_shut = _water(spot.water, rim_m, out_m)
    return Place(
        leg=leg.id,
        held=spot.held,
        station_m=spot.station_m,
        stretch=spot.stretch,
        courses=courses,
        base_m=base_m,
        top_m=top_m,
        low_m=spot.low_m,
        high_m=spot.high_m,
        backslope_deg=0.0 if isnan(up) else degrees(atan(max(0.0, up))),
        front_fall_deg=0.0 if isnan(down) else degrees(atan(max(0.0, -down))),
        front=front,
        lean_deg=degrees(atan(leg.setback_m / yard.project.timber.course_m)) * spot.held,
        wet_m=wet,
        one_shut_m=one_shut,
        all_shut_m=all_shut,
        by_stone=spot.water is not None and spot.water.drained == "stone",
        undrained=spot.water is not None and spot.water.drained == "none",
        weep_m=out_m,
        two_ways=yard.project.drain.ways_out > 1 and spot.water is not None and spot.water.two_ways,
    )


def _in_front(leg: Leg, station: float, held: int) -> Point:
    """A point a foot's length before the wall, on its low side."""
    return leg.point_at(station, -0.1 if held > 0 else leg.thickness_m + 0.1)


def base_and_top(walls: Walls, leg: Leg, segment: Segment, station: float) -> tuple[float, float]:
    """Underside and top of the wall at a station."""
    base = _run_at(walls.runs_of(leg.id, segment.base), station)
    return base.bottom_m, _run_at(walls.runs_of(leg.id, segment.top), station).top_m


def _run_at(runs: Sequence[Run], station: float) -> Run:
    """The run of a course nearest a station: every run carries its own level."""
    if len(runs) == 1:
        return runs[0]
    return min(runs, key=lambda run: max(run.outer_m[0] - station, station - run.outer_m[1], 0.0))


def _fronts(terraces: Terraces, spots: Sequence[_Spot]) -> list[FrontGround]:
    """What lies in front of each spot: a path strip at the wall's foot is ground that is not dug."""
    outlines = [outline for bed in terraces.beds for outline in bed.strip_m]
    shapes = iter(polygons_of(outlines))
    strips = {bed.id: np.array([*islice(shapes, len(bed.strip_m))]) for bed in terraces.beds if bed.strip_m}
    kinds: dict[str, FrontGround] = dict.fromkeys((face.id for face in terraces.beds), "bed")
    kinds[HOUSE] = "house"
    found = [kinds.get(spot.low_face, "undug") for spot in spots]
    for name, strip in strips.items():
        here = [number for number, spot in enumerate(spots) if spot.low_face == name]
        feet = [_in_front(spots[number].leg, spots[number].station_m, spots[number].held) for number in here]
        if feet:
            on_strip = shapely.dwithin(strip[:, None], shapely.points(feet), _STEP_M * 10).any(axis=0)
            for number in np.array(here)[on_strip].tolist():
                found[number] = "undug"
    return found


def _water(level: WaterLevel | None, rim_m: float, out_m: float | None) -> _Water:
    """Water behind a spot, wet, with one outlet and with all shut; None where none stands there.

    Args:
        level: of the stretch, which may be that of a higher place on it.
        rim_m: water cannot stand higher here.
        out_m: weep holes in the lowest seen course let out what would stand above; None where none serve it.
    """
    if level is None:
        return None, None, None
    wet = min(level.wet_m, rim_m)
    most = rim_m if out_m is None else max(out_m, wet)
    return wet, min(level.one_shut_m, most), min(level.all_shut_m, most)


def _ground_beyond(yard: Yard, spots: Sequence[_Spot], natural: Collection[str], high_side: bool) -> list[float]:
    """Mean slope (rise over run) of the measured ground away from the wall, behind it or in front.

    NaN where a bench or no natural ground lies there.
    """
    here = [n for n, spot in enumerate(spots) if (spot.high_face if high_side else spot.low_face) in natural]
    points: list[Point] = []
    runs: list[float] = []
    for number in here:
        spot = spots[number]
        distance = max(_LOOK_M, 2.0 * spot.retained_m) if high_side else _LOOK_M
        side = spot.held if high_side else -spot.held
        points.append(spot.leg.point_at(spot.station_m, side * distance + (spot.leg.thickness_m if side > 0 else 0.0)))
        runs.append(distance)
    levels: list[float] = level_at(yard.ground.surface, points).tolist() if points else []
    slopes = [nan] * len(spots)
    for number, level, run in zip(here, levels, runs, strict=True):
        spot = spots[number]
        slope = (level - (spot.high_m if high_side else spot.low_m)) / run
        if isnan(level):  # beyond the readings: as the yard falls on the whole
            side, normal = spot.held if high_side else -spot.held, spot.leg.normal
            slope = side * (normal[0] * yard.terraces.fall[0] + normal[1] * yard.terraces.fall[1])
        slopes[number] = slope
    return slopes


def _natural(terraces: Terraces) -> set[str]:
    """Faces whose ground is left as it is."""
    return {OUTSIDE, *(face.id for face in terraces.faces if face.kind in ("path", "kept"))}
