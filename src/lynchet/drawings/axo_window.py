"""Where the picture of a day looks: the stretch of wall that is worked on, seen from its lower side, cut at one end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Any

from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan
from lynchet.walls.model import Leg

Point = tuple[float, float]
ASIDE_DEG = 35.0
"""How far beside the wall's square the viewer stands."""
LENGTH_M = 3.6
FRONT_M = 0.7
BEHIND_M = 1.6
UNDER_M = 0.35
"""Ground shown under the lowest thing."""
_WALL_KINDS = ("trench", "base", "first course", "drain", "bench", "courses", "stone", "fill", "steps")


@dataclass(frozen=True, eq=False)
class Window:
    """What is shown of the yard, and from where."""

    shape: Any
    """Shapely polygon in plan, convex."""
    bearing: Point
    """Plan direction to the viewer."""
    whole: bool = False
    """The whole yard is shown."""
    leg: str = ""
    """Wall it looks at."""


def window_of(days: BuildingDays, day: int) -> Window:
    """The window of a day: round the wall worked on longest, or the whole yard where no wall is worked on."""
    plan = days.plan
    hours: dict[int, float] = {}
    for step in plan.works.days[day - 1].steps:
        task = plan.works.task(step.task)
        if task.kind in _WALL_KINDS and task.legs:
            hours[task.terrace] = hours.get(task.terrace, 0.0) + step.crew_h
    if not hours:
        return whole_yard(plan)
    stage = max(hours, key=lambda one: (hours[one], one))
    found = _stretch(days, stage)
    if found is None:
        return whole_yard(plan)
    leg, station = found
    return _beside(plan, leg, station)


def whole_yard(plan: Plan) -> Window:
    """The whole area with a margin, seen from its low side."""
    from shapely.geometry import MultiPoint

    points = [point for rings in plan.terraces.area_outlines_m for point in rings[0]] or list(
        plan.project.area.outline_m
    )
    x, y = plan.terraces.fall
    size = (x * x + y * y) ** 0.5 or 1.0
    shape = MultiPoint(points).minimum_rotated_rectangle.buffer(0.6, join_style="mitre")
    return Window(shape, turned((-x / size, -y / size), ASIDE_DEG), True)


def turned(way: Point, by_deg: float) -> Point:
    """A plan direction turned anticlockwise."""
    c, s = cos(radians(by_deg)), sin(radians(by_deg))
    return way[0] * c - way[1] * s, way[0] * s + way[1] * c


def _stretch(days: BuildingDays, stage: int) -> tuple[Leg, float] | None:
    """The longest stretch of wall of a stage that holds a bed, and its middle; fronts before sides."""
    from lynchet.terraces.built_with import BuiltWith

    built = BuiltWith(days.plan.terraces)
    best: tuple[float, Leg, float] | None = None
    for leg in days.plan.walls.legs:
        for start, end, number in _stretches(leg, built):
            if number != stage:
                continue
            size = (end - start) * (2.0 if leg.role == "front" else 1.0)
            if best is None or size > best[0] + 1e-6:
                best = size, leg, 0.5 * (start + end)
    return None if best is None else best[1:]


def _stretches(leg: Leg, built: Any) -> Iterable[tuple[float, float, int]]:
    for segment in leg.segments:
        for span in leg.spans:
            start, end = max(segment.start_m, span.start_m), min(segment.end_m, span.end_m)
            if end - start > 0.05:
                yield start, end, built.of(span.high_face, span.low_face)


def _beside(plan: Plan, leg: Leg, station: float) -> Window:
    from shapely.geometry import Polygon

    held = leg.span_at(station).held or 1
    half = LENGTH_M / 2.0
    near, far = (-FRONT_M, BEHIND_M) if held > 0 else (-BEHIND_M + leg.thickness_m, FRONT_M + leg.thickness_m)
    ends = (station - half, station + half)
    ring = [leg.point_at(at, left) for at, left in ((ends[0], near), (ends[1], near), (ends[1], far), (ends[0], far))]
    low = (-held * leg.normal[0], -held * leg.normal[1])
    return Window(Polygon(ring), turned(low, ASIDE_DEG), False, leg.id)
