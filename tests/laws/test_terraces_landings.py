"""Landings of steps on ground that is no bed: stone in every list, and the depth a code asks for."""

from __future__ import annotations

from math import dist

import pytest

from demo_plans import DEMOS, demo
from lawbook.whole import whole
from lynchet.core.plane import signed_area
from lynchet.ground.surface import level_at
from lynchet.plan.model import Plan
from lynchet.plan.placed import placed
from lynchet.terraces.step_frames import STEP_STONE_M, on_ground
from random_yards import realistic

SEEDS = (0, 7, 14)


def _area(ring: tuple[tuple[float, float], ...]) -> float:
    return abs(signed_area(ring))


def _plans() -> list[Plan]:
    return [*(demo(name) for name in DEMOS), *(whole(*realistic(seed)).plan for seed in SEEDS)]


def test_a_landing_at_a_foot_on_open_ground_is_placed_as_stone() -> None:
    """Level on top, at least as deep as the stone under steps, down to the ground under it, and a placed thing."""
    seen = 0
    for plan in _plans():
        things = {thing.id: thing for thing in placed(plan)}
        for flight in plan.terraces.flights:
            for end in flight.landings:
                bed = plan.terraces.face(end.face)
                if bed is not None and bed.kind == "bed":
                    assert not end.stone
                    continue
                if end.where == "foot":
                    assert sum(_area(one.outline_m) for one in end.stone) == pytest.approx(
                        _area(end.outline_m), rel=1e-6
                    )
                for one in end.stone:
                    seen += 1
                    assert things[one.id].kind == "stone bed" and things[one.id].top_m == end.level_m
                    under = [z for z in level_at(plan.ground.surface, one.outline_m, 2.0).tolist() if z == z]
                    assert all(one.bottom_m <= z + 1e-9 for z in under)
                    assert end.where == "head" or one.top_m - one.bottom_m >= STEP_STONE_M - 1e-9
    assert seen


def test_its_stone_is_ordered_and_pushes_soil_out() -> None:
    """The base stone of the order list grows by the stone of the landings, and no less is in the soil account."""
    for plan in _plans():
        stone = [one for flight in plan.terraces.flights for end in flight.landings for one in end.stone]
        if not stone:
            continue
        line = next(one for one in plan.works.order if one.key == "base_stone")
        walls = sum(t.volume_m3 for t in placed(plan) if t.kind == "stone bed" and not t.owner.startswith("S"))
        steps = sum(_area(t.outline_m) * STEP_STONE_M for f in plan.terraces.flights for t in on_ground(f))
        assert line.quantity == pytest.approx(walls + steps + sum(one.volume_m3 for one in stone), rel=0.02)


@pytest.mark.parametrize(("name", "deep"), [("side_yard", 0.9144), ("l_garden", 0.9)])
def test_a_landing_is_as_deep_as_the_code_of_its_units_asks(name: str, deep: float) -> None:
    """36 in (IRC R311.7.6, MEMORY) in a project in feet: said as 3 ft 0 in; 0.9 m in a metric one."""
    plan = demo(name)
    assert plan.terraces.flights
    for flight in plan.terraces.flights:
        foot = next(end for end in flight.landings if end.where == "foot")
        a, b, c, _ = foot.outline_m
        assert any(abs(side - deep) < 1e-9 for side in (dist(a, b), dist(b, c)))
