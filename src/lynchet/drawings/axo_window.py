"""Where the picture of a day looks: where most of what comes that day is seen, from the lower side, cut at one end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import cos, radians, sin
from typing import Any

import numpy as np

from lynchet.core.same import Same
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed
from lynchet.terraces.built_with import BuiltWith
from lynchet.walls.model import Leg
from lynchet.works.model import Task
from lynchet.works.volumes import REST

Point = tuple[float, float]
ASIDE_DEG = 35.0
"""How far beside the wall's square the viewer stands."""
LENGTH_M = 2.9
FRONT_M = 0.7
BEHIND_M = 2.0
UNDER_M = 0.35
"""Ground shown under the lowest thing."""
_STEP_M = 0.5
_ROUND_BED_M = 0.8
_SPLIT = 3.0
"""How much a metre that the cut splits lengthways costs."""
_WALL_KINDS = (
    "topsoil", "trench", "base", "first course", "pipe trench", "drain", "bench", "courses", "stone", "fill", "steps",
)  # fmt: skip
_SHAPING = frozenset({"bench", "fill"})
_IN_PLACE = frozenset({"base", "first course", "drain", "courses", "stone", "steps"})
"""Kinds of tasks that put something in place at a wall, which is what one wants to see of the day."""
_WEIGHTS = {"timber": 3.0, "tie": 6.0, "cross-piece": 4.0, "step": 4.0, "drain pipe": 3.0, "solid pipe": 2.0,
            "stone": 2.0, "stone bed": 2.0, "fitting": 2.0, "outlet": 2.0}  # fmt: skip
"""How much a metre of a thing is worth seeing on the day it comes."""


@dataclass(frozen=True, eq=False)
class Window:
    """What is shown of the yard, and from where."""

    shape: Any
    """Shapely polygon in plan, convex."""
    bearing: Point
    """Plan direction to the viewer."""
    whole: bool = False
    """Beds or the whole yard: what lies in the ground is not shown."""
    leg: str = ""
    """Wall it looks at."""


@dataclass(frozen=True)
class _Stand:
    """A place to look at: the middle of a stretch of wall."""

    leg: Leg
    station_m: float
    held: int
    aside: int
    """+1: the viewer stands toward higher stations, -1: toward lower ones."""


def window_of(days: BuildingDays, day: int) -> Window:
    """The window of a day: round the wall, else the beds worked on; the whole yard where it is neither."""
    plan = days.plan
    tasks = [plan.works.task(step.task) for step in plan.works.days[day - 1].steps]
    stages = {task.terrace for task in tasks if task.terrace and task.kind in _WALL_KINDS}
    if _on_banks(plan, tasks):
        return _round(plan, _area(plan))
    stands = list(_stands(plan, stages)) if stages else []
    if stands:
        return _best(stands, _new_points(days, day), _standing_lines(days, day))
    beds = {task.id.partition("/")[0] for task in tasks}
    rings = [face.outline_m for face in plan.terraces.beds if face.id in beds]
    return _round(plan, [point for ring in rings for point in ring] or _area(plan))


def _best(stands: Sequence[_Stand], new: tuple[Any, Any], standing: Any) -> Window:
    """The window with most to be seen in it that splits least; of equals that of the longest wall.

    What splits only takes off, so the windows are looked at from the one with most in it on, until the rest cannot win.
    """
    from shapely.geometry import Polygon

    rings = np.array([_ring_of(stand) for stand in stands])
    bearings = [_bearing_of(stand) for stand in stands]
    scores = _scores(rings, np.array(bearings), *new)
    best: tuple[tuple[float, float, int], int] | None = None
    for n in sorted(range(len(stands)), key=lambda n: (-scores[n], n)):
        if best is not None and scores[n] < best[0][0] - 1e-6:
            break
        seen = round(scores[n] - _SPLIT * _split_along(rings[n], standing), 6)
        worth = seen, stands[n].leg.length_m + (stands[n].aside > 0) * 1e-3, -n
        if best is None or worth > best[0]:
            best = worth, n
    assert best is not None
    return Window(Polygon(rings[best[1]]), bearings[best[1]], False, stands[best[1]].leg.id)


def _on_banks(plan: Plan, tasks: Sequence[Task]) -> bool:
    """Whether banks outside the area are shaped and no wall goes up, so that one looks at the whole yard."""
    at = {bed.terrace for bank in plan.walls.banks if (bed := plan.terraces.face(bank.face)) is not None}
    shaped = any(task.kind in _SHAPING and task.terrace in at for task in tasks)
    shaped |= bool(at) and any(task.id.startswith(f"{REST}/") for task in tasks)
    return shaped and not any(task.terrace and task.kind in _IN_PLACE for task in tasks)


def _area(plan: Plan) -> list[Point]:
    """The area with the banks outside it."""
    rings = [ring[0] for ring in plan.terraces.area_outlines_m] or [plan.project.area.outline_m]
    rings += [bank.outline_m for bank in plan.walls.shaped]
    return [point for ring in rings for point in ring]


def _round(plan: Plan, points: list[Point]) -> Window:
    """A box round some points, along and up the fall, seen from its low side."""
    from shapely.geometry import Polygon

    (ax, ay), (x, y) = plan.terraces.along, (-plan.terraces.along[1], plan.terraces.along[0])
    along = [px * ax + py * ay for px, py in points]
    up = [px * x + py * y for px, py in points]
    a, b, c, d = (min(along) - _ROUND_BED_M, max(along) + _ROUND_BED_M, min(up) - _ROUND_BED_M, max(up) + _ROUND_BED_M)
    ring = [(s * ax + t * x, s * ay + t * y) for s, t in ((a, c), (b, c), (b, d), (a, d))]
    return Window(Polygon(ring), turned((-x, -y), ASIDE_DEG), True)


def turned(way: Point, by_deg: float) -> Point:
    """A plan direction turned anticlockwise."""
    c, s = cos(radians(by_deg)), sin(radians(by_deg))
    return way[0] * c - way[1] * s, way[0] * s + way[1] * c


def _stands(plan: Plan, stages: set[int]) -> Iterator[_Stand]:
    """Places along the walls of some stages, from which both ends can be looked at."""
    built = BuiltWith(plan.terraces)
    for leg in plan.walls.legs:
        for segment in leg.segments:
            for span in leg.spans:
                start, end = max(segment.start_m, span.start_m), min(segment.end_m, span.end_m)
                if end - start < 0.05 or built.of(span.high_face, span.low_face) not in stages:
                    continue
                count = max(1, int((end - start) / _STEP_M))
                for n in range(count):
                    at = start + (n + 0.5) / count * (end - start)
                    for aside in (1, -1):
                        yield _Stand(leg, at, span.held or 1, aside)


def _ring_of(stand: _Stand) -> list[Point]:
    """Corners in plan of the window at a place."""
    leg, held, half = stand.leg, stand.held, LENGTH_M / 2.0
    near, far = (-FRONT_M, BEHIND_M) if held > 0 else (-BEHIND_M + leg.thickness_m, FRONT_M + leg.thickness_m)
    ends = (stand.station_m - half, stand.station_m + half)
    return [leg.point_at(at, left) for at, left in ((ends[0], near), (ends[1], near), (ends[1], far), (ends[0], far))]


def _bearing_of(stand: _Stand) -> Point:
    """Plan direction from a place to the viewer."""
    leg, held = stand.leg, stand.held
    low = (-held * leg.normal[0], -held * leg.normal[1])
    c, s = cos(radians(ASIDE_DEG)), sin(radians(ASIDE_DEG)) * stand.aside
    return low[0] * c + leg.direction[0] * s, low[1] * c + leg.direction[1] * s


def _new_points(days: BuildingDays, day: int) -> tuple[Any, Any]:
    """Points along everything that comes on a day, and what each is worth."""
    points, weights, on = _weighed(Same(days))
    return points[on == day], weights[on == day]


@lru_cache(maxsize=2)
def _weighed(days: Same[BuildingDays]) -> tuple[Any, Any, Any]:
    """(n, 2) points along things that are worth seeing, what each is worth, and the day on which it comes."""
    rows = [(*point, metres * _WEIGHTS[thing.kind], days.thing.day_of(thing.id))
            for thing in days.thing.things if thing.kind in _WEIGHTS for point, metres in _along(thing)]  # fmt: skip
    table = np.array(rows).reshape(-1, 4)
    return table[:, :2], table[:, 2], table[:, 3]


def _standing_lines(days: BuildingDays, day: int) -> Any:
    """(n, 6): points along timber and stone that stand, the way these run, half their width, and the metres."""
    names, counts, table = _lines(Same(days))
    done = days.done(day)
    return table[np.repeat([days.stands(name, done) for name in names], counts)]


@lru_cache(maxsize=2)
def _lines(days: Same[BuildingDays]) -> tuple[list[str], list[int], Any]:
    """Things, how many rows of ``_standing_lines`` each has, and the rows, whenever it comes."""
    names: list[str] = []
    counts: list[int] = []
    rows: list[tuple[float, ...]] = []
    for thing in days.thing.things:
        if thing.kind in ("timber", "stone", "stone bed"):
            ring = thing.outline_m
            sides = sorted(zip(ring, ring[1:] + ring[:1], strict=True), key=lambda side: -_length(side))
            (ax, ay), (bx, by) = sides[0]
            long, half = _length(sides[0]), 0.5 * _length(sides[-1])
            own = [(x, y, (bx - ax) / long, (by - ay) / long, half, metres) for (x, y), metres in _along(thing)]
            names.append(thing.id)
            counts.append(len(own))
            rows += own
    return names, counts, np.array(rows).reshape(-1, 6)


def _split_along(corners: Any, lines: Any) -> float:
    """Metres of timber and stone that an edge of the window splits lengthways."""
    step = corners[[1, 2, 3, 0]] - corners
    long = np.hypot(step[:, :1], step[:, 1:])
    wx, wy = (step / long).T[:, :, None]
    x, y, dx, dy, half, metres = lines.T
    x, y = x - corners[:, :1], y - corners[:, 1:]
    off, at = y * wx - x * wy, x * wx + y * wy
    beside = (np.abs(dx * wx + dy * wy) > 0.8) & (np.abs(off) < half + 0.02) & (at > 0) & (at < long)
    return sum(float(metres[edge].sum()) for edge in beside)


def _along(thing: Placed) -> Iterator[tuple[Point, float]]:
    """Points along the middle of a thing's footprint, each with the metres it stands for."""
    ring = thing.outline_m
    sides = sorted(zip(ring, ring[1:] + ring[:1], strict=True), key=lambda side: -_length(side))
    (ax, ay), (bx, by) = sides[0]
    length = _length(sides[0])
    mx, my = sum(x for x, _ in ring) / len(ring) - (ax + bx) / 2, sum(y for _, y in ring) / len(ring) - (ay + by) / 2
    count = max(1, int(length / 0.3))
    for n in range(count):
        share = (n + 0.5) / count
        yield (ax + share * (bx - ax) + mx, ay + share * (by - ay) + my), length / count


def _length(side: tuple[Point, Point]) -> float:
    (ax, ay), (bx, by) = side
    return abs(complex(bx - ax, by - ay))  # as ``numpy.hypot`` to the last digit, in a tenth of the time


def _scores(rings: Any, bearings: Any, points: Any, weights: Any) -> list[float]:
    """What is seen in each of (n, 4, 2) windows; what lies on the cut counts once more: its inside is seen there."""
    if not len(points):
        return [0.0] * len(rings)
    middle = rings.mean(axis=1)
    a, b = rings[:, 1] - rings[:, 0], rings[:, 3] - rings[:, 0]
    off = points - middle[:, None]
    one, two = (np.einsum("npi,ni->np", off, side) / (side * side).sum(axis=1)[:, None] for side in (a, b))
    inside = (np.abs(one) < 0.5) & (np.abs(two) < 0.5)
    toward = np.sign((a * bearings).sum(axis=1))
    cut = inside & (one * toward[:, None] > 0.5 - 0.3 / LENGTH_M)
    scores: list[float] = np.round(inside @ weights + 2.0 * (cut @ weights), 6).tolist()
    return scores
