"""Place the ties of one wall: evenly along it, moved aside where something is in the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
import shapely

from lynchet.core.frame import Point
from lynchet.stability.model import Tie
from lynchet.stability.obstacles import Obstacles
from lynchet.stability.places import Yard
from lynchet.stability.tie_design import Design
from lynchet.walls.model import Leg, Run
from lynchet.walls.off_level import FINE_M

END_CLEAR_M = 0.30
"""Ties keep this far from nodes and from the ends of the tied stretch. PRACTICE."""
NOTCH_CLEAR_M = 0.15
STEP_CLEAR_M = 0.15
WEEP_CLEAR_M = 0.10
_TIP = 5.0
"""Thicknesses from a corner up to which timber of the other wall may lie in this one: of corners down to 23 degrees."""
_SHIFTS = (0.0, 0.1, -0.1, 0.2, -0.2, 0.3, -0.3, 0.45, -0.45, 0.6, -0.6)


@dataclass(frozen=True)
class Stretch:
    """A stretch of a leg that needs ties."""

    leg: str
    held: int
    start_m: float
    end_m: float


def lay_out(yard: Yard, stretch: Stretch, design: Design, blocked: Obstacles) -> tuple[list[Tie], int]:
    """Ties of one design over one stretch; what is placed is added to ``blocked``.

    Returns:
        The ties, and how many wished places found no room.
    """
    leg = yard.walls.leg(stretch.leg)
    ties: list[Tie] = []
    missed = 0
    length = stretch.end_m - stretch.start_m
    for row, below in enumerate(design.below_top):
        # one more in every second row staggers the rows and is the same from either end
        count = max(1, ceil(length / design.spacing_m - 1e-9)) + row % 2
        wished = [stretch.start_m + (number + 0.5) * length / count for number in range(count)]
        tries = [_tries(yard, leg, stretch, design, (below, station)) for station in wished]
        for station, free in zip(wished, _free(tries, blocked), strict=True):
            tie = next((one for one in free if not _meets_ties(one, blocked)), None)
            if tie is None:
                missed += _wanted(leg, station, below)
                continue
            ties.append(tie)
            blocked.add(shapely.Polygon(tie.outline_m), tie.bottom_m, tie.top_m, tie.id)
            blocked.add(shapely.Polygon(tie.cross_outline_m), tie.bottom_m, tie.top_m, tie.id)
    return ties, missed


def _wanted(leg: Leg, station: float, below: int) -> bool:
    segment = leg.segment_at(station)
    return segment is not None and segment.top - below > segment.base


def _tries(yard: Yard, leg: Leg, stretch: Stretch, design: Design, wish: tuple[int, float]) -> list[Tie]:
    """One tie at every station near the wished one that suits its wall, the nearest first."""
    below, wished = wish
    found = []
    for shift in _SHIFTS:
        station = wished + shift
        segment = leg.segment_at(station)
        if abs(shift) > design.spacing_m / 3.0 or segment is None or segment.top - below <= segment.base:
            continue
        course = segment.top - below
        if _clear_along(yard, leg, station, course, stretch):
            tie = _tie(yard, leg, stretch, design, (course, station))
            found += [tie] if tie is not None else []
    return found


def _free(tries: Sequence[Sequence[Tie]], blocked: Obstacles) -> list[list[Tie]]:
    """The tries that meet nothing that stands; all are looked at in one go."""
    flat = [tie for group in tries for tie in group]
    if not flat:
        return [[] for _ in tries]
    shapes = shapely.polygons([outline for tie in flat for outline in (tie.outline_m, tie.cross_outline_m)])
    shapes = shapely.buffer(shapes, -1e-3, join_style="mitre")
    levels = np.repeat([(tie.bottom_m, tie.top_m) for tie in flat], 2, axis=0)
    pairs = blocked.hits(shapes, levels, flat[0].leg).reshape(-1, 2)
    met = iter([bool(tie or cross) for tie, cross in pairs])
    return [[tie for tie in group if not next(met)] for group in tries]


def _clear_along(yard: Yard, leg: Leg, station: float, course: int, stretch: Stretch) -> bool:
    half = leg.thickness_m / 2.0
    if any(abs(station - node) < END_CLEAR_M + half for node in leg.node_stations_m):
        return False
    for at, low, high in yard.gaps[leg.id]:
        if at == course and low - NOTCH_CLEAR_M - half < station < high + NOTCH_CLEAR_M + half:
            return False
    if yard.at_standing_joint(leg.id, course, station):
        return False
    holes = yard.weeps.stations_m(leg.id, course)
    if any(abs(station - hole) < WEEP_CLEAR_M + half for hole in holes):
        return False
    ends = [s for seg in leg.segments for s in (seg.start_m, seg.end_m)]
    if any(abs(station - end) < STEP_CLEAR_M + half for end in ends):
        return False
    return stretch.start_m <= station <= stretch.end_m


def _tie(yard: Yard, leg: Leg, stretch: Stretch, design: Design, where: tuple[int, float]) -> Tie | None:
    course, station = where
    run = next((r for r in yard.walls.runs_of(leg.id, course) if r.inner_m[0] < station < r.inner_m[1]), None)
    if run is None or run.top_m - run.bottom_m < yard.project.timber.course_m - FINE_M:
        return None  # a thinned course is no bed for a whole tie
    if _in_other_wall(yard, leg, run, station):
        return None
    half = leg.thickness_m / 2.0
    back = run.offset_m + (leg.thickness_m if stretch.held > 0 else 0.0)
    far = back + stretch.held * design.length_m
    near_cross = far - stretch.held * leg.thickness_m

    def box(s0: float, s1: float, n0: float, n1: float) -> tuple[Point, ...]:
        low, high = min(n0, n1), max(n0, n1)
        return (leg.point_at(s0, low), leg.point_at(s1, low), leg.point_at(s1, high), leg.point_at(s0, high))

    return Tie(
        id=f"{leg.id}/{course}/tie",
        leg=leg.id,
        held=stretch.held,
        course=course,
        station_m=station,
        length_m=design.length_m,
        bottom_m=run.bottom_m,
        top_m=run.top_m,
        outline_m=box(station - half, station + half, back, near_cross),
        cross_outline_m=box(station - design.cross_m / 2.0, station + design.cross_m / 2.0, near_cross, far),
        cross_length_m=design.cross_m,
    )


def _in_other_wall(yard: Yard, leg: Leg, run: Run, station: float) -> bool:
    """Whether timber of another wall fills the course where a tie would be screwed to it, as in the tip of a corner."""
    if all(abs(station - node) > _TIP * leg.thickness_m for node in leg.node_stations_m):
        return False
    half = leg.thickness_m / 2.0 - 1e-3
    near, far = run.offset_m, run.offset_m + leg.thickness_m
    ends = ((station - half, near), (station + half, near), (station + half, far), (station - half, far))
    place = shapely.Polygon([leg.point_at(*end) for end in ends])
    others = (one for one in yard.walls.runs if one.leg != leg.id)
    level = (one for one in others if one.bottom_m < run.top_m - 1e-6 and one.top_m > run.bottom_m + 1e-6)
    return any(place.intersects(one.polygon) for one in level)


def _meets_ties(tie: Tie, blocked: Obstacles) -> bool:
    if not blocked.ties:
        return False
    shapes = [shapely.Polygon(outline).buffer(-1e-3) for outline in (tie.outline_m, tie.cross_outline_m)]
    return any(blocked.meets_tie(shape, tie.bottom_m, tie.top_m) for shape in shapes)
