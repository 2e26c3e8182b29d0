"""A load behind a wall counts wherever along the wall it stands, also between the ends of a long even stretch."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Polygon

from demo_plans import DEMOS, demo
from lynchet.core.findings import Verdict
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.things import Load
from lynchet.walls.model import Leg


def _with_load(plan: Plan, leg: Leg, along: tuple[float, float], off_m: float) -> Plan:
    """A load on a strip behind a front, between two shares of its length, 0.4 m deep."""
    held = leg.spans[0].held
    back = leg.thickness_m if held > 0 else 0.0
    a, b = (share * leg.length_m for share in along)
    low, high = held * (back + off_m), held * (back + off_m + 0.4)
    outline = (leg.point_at(a, low), leg.point_at(b, low), leg.point_at(b, high), leg.point_at(a, high))
    return plan_project(replace(plan.project, loads=(Load("shed", outline, 5.0),)), effort=LIVE)


def _uncounted(plan: Plan) -> list[str]:
    """By rays every tenth of a metre: where one to the wall's own height meets a load that no place there counts."""
    shapes = [Polygon(load.outline_m) for load in plan.project.loads]
    wrong = []
    for leg in plan.walls.legs:
        places = [place for place in plan.stability.places if place.leg == leg.id]
        by_stretch: dict[int, list] = {}
        for place in places:
            by_stretch.setdefault(place.stretch, []).append(place)
        for ends in by_stretch.values():
            start, end = min(p.station_m for p in ends), max(p.station_m for p in ends)
            far = max(p.top_m - p.base_m for p in ends) + leg.thickness_m
            for station in np.arange(start + 0.02, end - 0.02, 0.1):
                ray = LineString([leg.point_at(station), leg.point_at(station, ends[0].held * (far - 0.01))])
                if any(shape.intersects(ray) for shape in shapes) and not all(p.surcharge_kpa > 0 for p in ends):
                    wrong.append(f"{leg.id} at {station:.2f}")
    return wrong


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("along", [(0.4, 0.6), (0.1, 0.2), (-0.2, 0.5)])
def test_a_load_between_the_ends_of_a_stretch_counts(name: str, along: tuple[float, float]) -> None:
    """A shed on the middle fifth of a front, near its end, or over its end: checked with it there; and it is asked of
    an engineer."""
    plan = demo(name)
    leg = next(one for one in plan.walls.legs if one.id == "W2")
    loaded = _with_load(plan, leg, along, 0.1)
    assert _uncounted(loaded) == []
    assert any(place.surcharge_kpa > 0 for place in loaded.stability.places if place.leg == "W2")
    found = [one for one in loaded.findings if one.code == "stability.load" and one.place == "W2"]
    assert found and found[0].verdict >= Verdict.ASK


@pytest.mark.parametrize("name", DEMOS)
def test_a_load_beyond_the_height_of_the_wall_does_not(name: str) -> None:
    """Half a metre further off than the wall is high."""
    plan = demo(name)
    leg = next(one for one in plan.walls.legs if one.id == "W2")
    high = max(place.top_m - place.base_m for place in plan.stability.places if place.leg == "W2")
    loaded = _with_load(plan, leg, (0.4, 0.6), high + 0.5)
    assert not any(place.surcharge_kpa for place in loaded.stability.places if place.leg == "W2")
