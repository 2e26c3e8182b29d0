"""Walls one above the other: each that stands behind a stretch is met, and every way up the slope is added up."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from demo_plans import demo
from lynchet.plan.model import Plan
from lynchet.project.model import HeightRule, Place
from lynchet.stability.heights import check_heights
from lynchet.stability.model import TierCheck
from lynchet.stability.places import LEAST_HELD_M
from lynchet.walls.model import Leg
from worked import SEEDS, plan_of

_AFAR_M = 7.9


@pytest.mark.parametrize("yard", ["l_garden", *SEEDS])
def test_a_wall_behind_any_part_of_a_stretch_is_a_tier(yard: int | str) -> None:
    """Every stretch walked in 16 steps, looking straight back from each with another geometry: the first wall that
    holds the ground beyond it is among the tiers, and the tier's setback, from timber face to timber face, is no more
    than the way there (10 cm beside the place from which a wall begins to hold)."""
    plan = demo(yard) if isinstance(yard, str) else plan_of(yard)
    known = {(check.lower, check.upper): check for check in plan.stability.tiers}
    lines = {leg.id: _line(leg) for leg in plan.walls.legs}
    stretches: dict[tuple[str, int, int], list[float]] = {}
    for place in plan.stability.places:
        stretches.setdefault((place.leg, place.stretch, place.held), []).append(place.station_m)
    for (leg, _, held), ends in stretches.items():
        for station in np.linspace(min(ends), max(ends), 18)[1:-1].tolist() if len(ends) > 1 else ():
            met = _first_met(plan, lines, leg, station, held)
            if met is not None:
                assert known[leg, met[1]].setback_m <= met[0] + 0.10


def _line(leg: Leg) -> Any:
    return shapely.MultiLineString([(leg.point_at(s.start_m), leg.point_at(s.end_m)) for s in leg.segments])


def _first_met(plan: Plan, lines: dict[str, Any], own: str, station: float, held: int) -> tuple[float, str] | None:
    leg = plan.walls.leg(own)
    start = leg.point_at(station, held * (leg.thickness_m / 2.0 + 1e-3))
    ray = shapely.LineString([start, leg.point_at(station, held * _AFAR_M)])
    found = []
    for other in plan.walls.legs:
        if other.id == own or not lines[other.id].intersects(ray):
            continue
        crossed = lines[other.id].intersection(ray)
        if crossed.geom_type != "Point":
            continue
        at = other.station_of((crossed.x, crossed.y))
        span = other.span_at(at)
        left, right = span.levels_at(at)
        facing = held * span.held * (leg.normal[0] * other.normal[0] + leg.normal[1] * other.normal[1])
        if facing > 0.51 and abs(left - right) > LEAST_HELD_M + 1e-3:
            found.append((_face_to_face_m(leg, station, held, other), other.id))
    return min(found, default=None)


def _face_to_face_m(leg: Leg, station: float, held: int, other: Leg) -> float:
    """From the front of a wall's timber straight back to the front of another's, measured on the bands their
    timber fills in plan."""
    front = leg.point_at(station, leg.thickness_m if held < 0 else 0.0)
    ray = shapely.LineString([front, leg.point_at(station, held * _AFAR_M)])
    across = ((0.0, other.thickness_m), (other.thickness_m, 0.0))
    bands = [
        shapely.Polygon(
            [other.point_at(at, left) for at, both in zip((s.start_m, s.end_m), across, strict=True) for left in both]
        )
        for s in other.segments
    ]
    return float(shapely.Point(front).distance(ray.intersection(shapely.union_all(bands).buffer(1e-6))))


def test_the_higher_of_two_ways_up_counts() -> None:
    """Where two walls stand above one, the sum goes by way of whichever adds more, though the other stands nearer."""
    plan = plan_of(SEEDS[0])
    low, near, far, top = list(dict.fromkeys(place.leg for place in plan.stability.places))[:4]
    rule = HeightRule("sum", "exposed", 0.1, "always")
    project = replace(plan.project, place=Place("invented", True, (rule,)))

    def tier(lower: str, upper: str, setback: float) -> TierCheck:
        return TierCheck(lower, upper, 0.4, 0.3, setback, 0.8, 0.2, setback > 0.8)

    def counted(*tiers: TierCheck) -> tuple[float, set[str]]:
        (check,) = check_heights(project, plan.walls, mine, tiers)
        return check.height_m, set(check.walls)

    mine = tuple(place for place in plan.stability.places if place.leg in (low, near, far, top))
    by_far = counted(tier(low, far, 2.0), tier(far, top, 1.0))
    both = counted(tier(low, near, 1.0), tier(low, far, 2.0), tier(far, top, 1.0))
    assert by_far[1] == {low, far, top}
    assert both[0] == pytest.approx(max(by_far[0], counted(tier(low, near, 1.0))[0]))
    assert both[0] == pytest.approx(by_far[0]) and both[1] == by_far[1]
