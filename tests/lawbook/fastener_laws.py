"""Laws of joints and fasteners, looked at from the finished timber alone: pieces and steel as solids and stations."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from lynchet.timber.model import Fastener
from lynchet.walls.joints import Avoid, JointRules
from lynchet.walls.model import Piece, Walls

TIE_CLEAR_M = 0.15
NOTCH_CLEAR_M = 0.15
PIN_NOTCH_M = 0.05
"""A corner pin may come nearer to a notch beside a skew corner: four of its diameters."""
EDGE_M = 0.019
"""One and a half diameters of a 12.7 mm pin."""
SCREW_END_M = 0.066
"""Seven diameters of a 9.5 mm screw to the end of its timber, for full strength. NDS 2018, Table 12.5.1A."""
UNDER_M = 0.01
"""Timber left under the point of a screw or a pin. PRACTICE."""
APART_M = 0.036
"""Near enough four diameters of a 9.5 mm screw."""
WIDEST_M = 0.6 + 0.4
"""Screws at 0.6 m, each moved aside by up to 0.2 m."""


def layings(
    walls: Walls, pieces: Sequence[Piece], rules: JointRules, avoid: Avoid, told: dict[str, float]
) -> list[str]:
    """Every run filled once and end to end; pieces no longer than may be; joints apart, or it is told how much less.

    Args:
        walls: legs and runs.
        pieces: in any order.
        rules: as asked.
        avoid: notches and fixings.
        told: by leg, the joint offset that a finding gives instead.
    """
    wrong: list[str] = []
    by_run: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        by_run[piece.run].append(piece)
    joints: dict[tuple[str, int], list[float]] = defaultdict(list)
    for run in walls.runs:
        own = sorted(by_run.pop(run.id, []), key=lambda piece: min(piece.start_m))
        union = shapely.union_all([piece.polygon for piece in own])
        holes = sum(o.end_m - o.start_m for o in avoid.openings if (o.leg, o.course) == (run.leg, run.course)
                    and run.outer_m[0] < o.start_m and o.end_m < run.outer_m[1])  # fmt: skip
        thick = walls.leg(run.leg).thickness_m
        if abs(union.area - sum(piece.polygon.area for piece in own)) > 1e-6:
            wrong.append(f"{run.id}: pieces lie on each other")
        if abs(union.area + holes * thick - run.polygon.area) > 1e-5:
            wrong.append(f"{run.id} is not filled")
        wrong += [f"{piece.id} is {piece.length_m:.3f} m" for piece in own if piece.length_m > rules.most_m + 1e-6]
        joints[run.leg, run.course] += [
            max(a.end_m) for a, b in pairwise(own) if abs(max(a.end_m) - min(b.start_m)) < 1e-6
        ]
    wrong += [f"pieces of {name}, which is no run" for name in by_run]
    for (leg, course), stations in joints.items():
        kept = told.get(leg, rules.offset_m)
        below = [*joints.get((leg, course - 1), ())]
        near = [s for s in stations for other in below if abs(s - other) < kept - 1e-6]
        wrong += [f"{leg}/{course}: joint at {s:.3f} m over one below" for s in near]
        for name, at, station in avoid.fixings if kept > 0 else ():
            if (name, at) == (leg, course):
                wrong += [f"{leg}/{course}: joint at {s:.3f} m in a fixing" for s in stations
                          if abs(s - station) < TIE_CLEAR_M - 1e-6]  # fmt: skip
    return wrong


def fasteners(walls: Walls, pieces: Sequence[Piece], found: Sequence[Fastener], avoid: Avoid) -> list[str]:
    """Upright screws and pins stand in two courses of timber, clear of edges, ends, notches, ties, pins, each other."""
    wrong: list[str] = []
    upright = [one for one in found if one.kind != "tie screw"]
    names = [one.id for one in found]
    if len(set(names)) != len(names):
        wrong.append("two fasteners of one name")
    by_course: dict[int, list[Piece]] = defaultdict(list)
    for piece in pieces:
        by_course[piece.course].append(piece)
    for one in upright:
        point = shapely.Point(one.point_m)
        own = [piece for piece in by_course[one.course] if piece.leg == one.leg and _holds(piece, point)]
        below = [piece for piece in by_course[one.course - 1] if _holds(piece, point)]
        if len(own) != 1 or not below:
            wrong.append(f"{one.id} stands in {len(own)} pieces of its course, {len(below)} below")
            continue
        low = max(piece.bottom_m for piece in below)
        if one.kind == "corner pin":  # a timber let in over the one under it is thinner there
            low = max([low, *(piece.top_m for piece in by_course[one.course - 2] if _holds(piece, point))])
        half = max(piece.top_m for piece in below) - 0.45 * (max(piece.top_m for piece in below) - low)
        if abs(one.top_m - own[0].top_m) > 1e-6 or one.bottom_m > half:
            wrong.append(f"{one.id} does not reach half into the course below")
        if one.kind == "screw" and not all(_clear_of_ends(piece, one.station_m) for piece in (own[0], *below)):
            wrong.append(f"{one.id} is too near the end of a timber")
        if one.bottom_m < low + UNDER_M - 1e-6:
            wrong.append(f"{one.id} comes out below")
        for opening in avoid.openings:
            touches = opening.leg == one.leg and opening.course in (one.course, one.course - 1)
            clear = NOTCH_CLEAR_M if one.kind == "screw" else PIN_NOTCH_M
            if touches and opening.start_m - clear + 1e-6 < one.station_m < opening.end_m + clear - 1e-6:
                wrong.append(f"{one.id} is too near a notch")
        for leg, course, station in avoid.fixings:
            shared = one.kind == "screw" and leg == one.leg and course in (one.course, one.course - 1)
            if shared and abs(station - one.station_m) < APART_M:
                wrong.append(f"{one.id} meets a tie or pin at {station:.2f} m")
    return wrong + _too_near(upright)


def _holds(piece: Piece, point: shapely.Point) -> bool:
    return bool(piece.polygon.contains(point) and piece.polygon.exterior.distance(point) >= min(EDGE_M, 0.01))


def _clear_of_ends(piece: Piece, station: float) -> bool:
    return max(piece.start_m) + SCREW_END_M <= station <= min(piece.end_m) - SCREW_END_M


def _too_near(upright: Sequence[Fastener]) -> list[str]:
    """Pairs that stand in one course nearer than four diameters."""
    if len(upright) < 2:
        return []
    points = np.array([one.point_m for one in upright])
    levels = np.array([(one.bottom_m, one.top_m) for one in upright])
    tree = shapely.STRtree(shapely.points(points))
    first, second = tree.query(shapely.points(points), predicate="dwithin", distance=APART_M)
    out = []
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i < j and min(levels[i, 1], levels[j, 1]) - max(levels[i, 0], levels[j, 0]) > 1e-3:
            out.append(
                f"{upright[i].id} and {upright[j].id} are {np.hypot(*(points[i] - points[j])) * 1000:.0f} mm apart"
            )
    return out


def screws_hold_every_lap(walls: Walls, pieces: Sequence[Piece], found: Sequence[Fastener]) -> list[str]:
    """Wherever 0.5 m or more of a piece lies on one of the course below, a screw joins them, and no gap is too wide."""
    wrong: list[str] = []
    stations: dict[tuple[str, int], list[float]] = defaultdict(list)
    for one in found:
        if one.kind == "screw":
            stations[one.leg, one.course].append(one.station_m)
    below: dict[tuple[str, int], list[Piece]] = defaultdict(list)
    for piece in pieces:
        below[piece.leg, piece.course].append(piece)
    for piece in pieces:
        for lower in below[piece.leg, piece.course - 1]:
            low = max(*piece.start_m, *lower.start_m)
            high = min(*piece.end_m, *lower.end_m)
            if high - low < 0.5:
                continue
            own = sorted(s for s in stations[piece.leg, piece.course] if low < s < high)
            marks = [low, *own, high]
            if not own or max(b - a for a, b in pairwise(marks)) > WIDEST_M:
                wrong.append(
                    f"{piece.id} on {lower.id}: screws at {[round(s - low, 2) for s in own]} of {high - low:.2f} m"
                )
    return wrong
