"""Laws on the timber of each course, seen from above."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from typing import Any

import numpy as np
import shapely

from lawbook.case import GRID_M, Case
from lynchet.walls.model import Leg, Node, Run

OVERLAP_M2 = 0.5e-4
HOLE_M2 = 0.5e-4
TOUCH_M = 0.002
BIG_M = 50.0
MITRED = 0.707
"""Cosine of the widest bend that is mitred: 45 degrees, and a hundredth more for points that are rounded."""


def no_overlap(case: Case) -> list[str]:
    """1. No two runs of one course share more than half a square centimetre."""
    runs = case.walls.runs
    if not runs:
        return []
    polygons = shapely.polygons([run.outline_m for run in runs])
    tree = shapely.STRtree(polygons)
    first, second = tree.query(polygons, predicate="intersects")
    pairs = [(i, j) for i, j in zip(first, second, strict=True) if i < j and runs[i].course == runs[j].course]
    if not pairs:
        return []
    a, b = np.array(pairs).T
    areas = shapely.area(shapely.intersection(polygons[a], polygons[b], grid_size=GRID_M))
    return [
        f"{runs[i].id} and {runs[j].id} share {size * 1e4:.1f} cm2"
        for (i, j), size in zip(pairs, areas, strict=True)
        if size > OVERLAP_M2
    ]


def not_degenerate(case: Case) -> list[str]:
    """2. Every run is a simple, anticlockwise quadrilateral longer than 2 cm on both sides."""
    wrong = []
    for run in case.walls.runs:
        ring = shapely.LinearRing(run.outline_m)
        long = min(run.end.line_m - run.start.line_m, run.end.far_m - run.start.far_m) > 0.019
        if not (ring.is_simple and ring.is_ccw and long):
            wrong.append(f"{run.id} is no proper run")
    return wrong


def corners_filled(case: Case) -> list[str]:
    """3. Where two legs end on each other, the corner both cover is timber on every course both have."""
    wrong = []
    legs = {leg.id: leg for leg in case.walls.legs}
    for node in case.walls.nodes:
        if node.kind != "corner":
            continue
        a, b = (legs[arm.leg] for arm in node.arms)
        for course in sorted(set(_courses_at(case, node, a)) & set(_courses_at(case, node, b))):
            corner = _strip(a, course, case).intersection(_strip(b, course, case))
            reach = 6 * a.thickness_m
            corner = corner.intersection(shapely.Point(node.point_m).buffer(reach))
            missing = shapely.difference(corner, case.timber[course], grid_size=GRID_M)
            if not _mitred(a, b) and missing.area > HOLE_M2:
                wrong.append(f"corner {node.id} lacks {missing.area * 1e4:.1f} cm2 on course {course}")
    return wrong


def _mitred(a: Leg, b: Leg) -> bool:
    return a.direction[0] * b.direction[0] + a.direction[1] * b.direction[1] > MITRED


def _courses_at(case: Case, node: Node, leg: Leg) -> Iterator[int]:
    for arm in node.arms:
        if arm.leg == leg.id:
            for seg in leg.segments:
                if arm.station_m == (seg.start_m if arm.way > 0 else seg.end_m):
                    yield from range(seg.base, seg.top + 1)


def _offset(leg: Leg, course: int) -> float:
    if not leg.segments:
        return 0.0
    low, high = min(seg.base for seg in leg.segments), max(seg.top for seg in leg.segments)
    return leg.setback_m * (min(max(course, low), high) - low)


def _strip(leg: Leg, course: int, case: Case, low: float = -BIG_M, high: float | None = None) -> Any:
    o, t = _offset(leg, course), leg.thickness_m
    high = leg.length_m + BIG_M if high is None else high
    return shapely.Polygon(
        [leg.point_at(low, o), leg.point_at(high, o), leg.point_at(high, o + t), leg.point_at(low, o + t)]
    )


def no_hole(case: Case) -> list[str]:
    """4. The strip of every course of every leg is full of timber, up to the far face of what it meets at its ends.

    Exact at skew ends: at a corner or tee the strip is bounded by the far face of the other leg, at a mitred bend by
    the bisector, elsewhere it ends square. Notches are named openings.
    """
    wrong = []
    for leg in case.walls.legs:
        for course in {k for seg in leg.segments for k in range(seg.base, seg.top + 1)}:
            for part in case.stretches(leg, course):
                wanted = _wanted(case, leg, course, part)
                for hole in case.avoid.openings:
                    if (hole.leg, hole.course) == (leg.id, course):
                        wanted = wanted.difference(_strip(leg, course, case, hole.start_m, hole.end_m))
                if course in case.timber and case.timber[course].covers(wanted.buffer(-1e-5)):
                    continue
                solid = shapely.union_all([one for one in shapely.get_parts(wanted) if one.geom_type == "Polygon"])
                missing = shapely.difference(solid, case.timber.get(course, shapely.Polygon()), grid_size=GRID_M).area
                if missing > HOLE_M2:
                    wrong.append(f"{leg.id} course {course} has a hole of {missing * 1e4:.1f} cm2")
    return wrong


def _wanted(case: Case, leg: Leg, course: int, part: tuple[float, float]) -> Any:
    """Plan of one stretch of a course of a leg, bounded at nodes by the other leg."""
    ends = []
    for station, way in ((part[0], 1), (part[1], -1)):
        node = _node_at(case, leg, station, way)
        ends.append(_bound(case, leg, course, node, (station, way)) if node else (station, station))
    o, t = _offset(leg, course), leg.thickness_m
    (l0, f0), (l1, f1) = ends
    return shapely.Polygon([leg.point_at(l0, o), leg.point_at(l1, o), leg.point_at(f1, o + t), leg.point_at(f0, o + t)])


def _node_at(case: Case, leg: Leg, station: float, way: int) -> Node | None:
    for node in case.walls.nodes:
        for arm in node.arms:
            if (arm.leg, arm.way) == (leg.id, way) and arm.station_m == station:
                return node
    return None


def _bound(case: Case, leg: Leg, course: int, node: Node, at: tuple[float, int]) -> tuple[float, float]:
    """Stations on line side and far side where the stretch must still be timber."""
    station, way = at
    others = [case.walls.leg(arm.leg) for arm in node.arms if arm.leg != leg.id]
    if not others:
        return station, station
    other = others[0]
    sine = leg.direction[0] * other.direction[1] - leg.direction[1] * other.direction[0]
    if abs(sine) < 2e-3:
        return station, station
    o, t = _offset(leg, course), leg.thickness_m
    q = _offset(other, course)
    corner = node.kind == "corner" and node.arms[0].way != node.arms[1].way
    if corner and _mitred(leg, other):
        return _cross(leg, o, other, q), _cross(leg, o + t, other, q + t)
    cuts = [(_cross(leg, o, other, face), _cross(leg, o + t, other, face)) for face in (q, q + other.thickness_m)]
    cuts.sort(key=sum)
    return cuts[0] if way > 0 else cuts[1]


def _cross(leg: Leg, left: float, other: Leg, other_left: float) -> float:
    """Station on a leg where a line beside it crosses a line beside another."""
    p, q = leg.point_at(0.0, left), other.point_at(0.0, other_left)
    d, e = leg.direction, other.direction
    return ((q[0] - p[0]) * e[1] - (q[1] - p[1]) * e[0]) / (d[0] * e[1] - d[1] * e[0])


def supported(case: Case) -> list[str]:
    """5. Every run lies on the course below or on its bedding, but for a set-back where its end follows a lean."""
    wrong = []
    for run in case.walls.runs:
        leg = case.walls.leg(run.leg)
        below = case.timber.get(run.course - 1, shapely.Polygon())
        if leg.setback_m:
            below = below.buffer(leg.setback_m + 1e-4)
        if below.covers(run.polygon.buffer(-1e-5)):
            continue
        bedding = [
            _wanted(case, leg, run.course, (seg.start_m, seg.end_m)) for seg in leg.segments if seg.base == run.course
        ]
        rest = shapely.union_all([below, *bedding], grid_size=GRID_M)
        loose = shapely.difference(run.polygon, rest, grid_size=GRID_M).area
        leans = [case.walls.leg(end.other).setback_m if end.other else 0.0 for end in (run.start, run.end)]
        if loose > 1.2 * sum(leans) * leg.thickness_m + HOLE_M2:
            wrong.append(f"{run.id} hangs over {loose * 1e4:.1f} cm2")
    return wrong


def butts_touch(case: Case) -> list[str]:
    """10. The whole cut of a butt or a mitre with a partner on the course lies on other timber within 2 mm."""
    wrong = []
    for run in case.walls.runs:
        for end, index in ((run.start, (0, 3)), (run.end, (1, 2))):
            if end.kind != "butt":
                continue
            partners = [other.polygon for other in case.walls.runs_of(end.other, run.course)]
            a, b = (run.outline_m[i] for i in index)
            for share in (0.05, 0.5, 0.95):
                point = shapely.Point(a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
                if not any(point.distance(partner) < TOUCH_M for partner in partners):
                    wrong.append(f"{run.id} does not touch {end.other}")
                    break
    return wrong


def inside_area(case: Case) -> list[str]:
    """11. All timber lies inside the cleaned area."""
    grown = case.area.buffer(1e-4, join_style="mitre")
    shapely.prepare(grown)
    runs: list[Run] = [run for run in case.walls.runs if not grown.covers(run.polygon)]
    wrong = []
    for run in runs:
        out = shapely.difference(run.polygon, grown, grid_size=GRID_M).area
        if out > HOLE_M2:
            wrong.append(f"{run.id} lies outside the area by {out * 1e4:.1f} cm2")
    return wrong


def lengths_agree(case: Case) -> list[str]:
    """Plan area of every run is its mean length times its thickness."""
    wrong = []
    for run in case.walls.runs:
        leg = case.walls.leg(run.leg)
        mean = (run.end.line_m - run.start.line_m + run.end.far_m - run.start.far_m) / 2
        if abs(run.polygon.area - mean * leg.thickness_m) > 1e-6 or hypot(*leg.direction) - 1 > 1e-9:
            wrong.append(f"{run.id}: outline and stations disagree")
    return wrong


def overlay_whole(case: Case) -> list[str]:
    """The union of a course has the area of its runs: neither overlaps nor a failed overlay ate any."""
    wrong = []
    for course, runs in case.by_course.items():
        lost = sum(run.polygon.area for run in runs) - case.timber[course].area
        if abs(lost) > 1e-3:
            wrong.append(f"course {course} lost {lost * 1e4:.1f} cm2 in the overlay")
    return wrong


TIMBER_LAWS = (
    no_overlap, overlay_whole, not_degenerate, corners_filled, no_hole, supported, butts_touch, inside_area,
    lengths_agree,
)  # fmt: skip
