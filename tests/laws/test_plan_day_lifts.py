"""Fill and drain stone of a day: at no wall are they told to rise over the timber that stands there by the evening."""

from __future__ import annotations

from functools import cache

import pytest

from demo_plans import DEMOS, demo
from flight_yards import SEEDS, flight_plan
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.day_places import naming
from lynchet.plan.building_days import days_of
from lynchet.plan.day_lifts import lift_tops, under_soil
from lynchet.plan.day_parts import day_parts
from lynchet.plan.model import Plan

YARDS = (*DEMOS, *SEEDS)
_FEW = 3


@cache
def _plan(name: str | int) -> Plan:
    return demo(name) if isinstance(name, str) else flight_plan(name)


@pytest.mark.parametrize("name", YARDS)
def test_fill_rises_no_higher_than_each_wall_that_holds_it(name: str | int) -> None:
    """Each wall that holds the bed filled, from its first timber on, has a level: at most that of its highest timber
    laid by then, and where levels differ the day sheet says the lowest first and names its walls."""
    plan, days, checked = _plan(name), days_of(_plan(name)), 0
    terraces = {bed.id: bed.terrace for bed in plan.terraces.beds}
    named = naming(plan, Words())
    for today, content in zip(day_parts(plan), day_contents(plan, Words()), strict=True):
        for share in (one for one in today.shares if one.top_m is not None and one.task.terrace in terraces.values()):
            tops = lift_tops(plan, today.day.number, share)
            for leg in (leg for leg in plan.walls.legs if all(span.high_face in terraces for span in leg.spans)):
                spans = [span for span in leg.spans if terraces[span.high_face] == share.task.terrace]
                laid = [piece.top_m for piece in plan.pieces
                        if piece.leg == leg.id and days.day_of(piece.id) <= today.day.number
                        and any(min(max(piece.end_m), span.end_m) > max(min(piece.start_m), span.start_m)
                                for span in spans)]  # fmt: skip
                if share.task.kind == "stone" and leg.id not in tops:  # no stone behind it here
                    continue
                if laid and min(laid) <= share.top_m:
                    assert tops[leg.id] <= min(max(laid), share.top_m) + 1e-6
                    checked += 1
            told = [line for step in content.steps if step.task == share.task.id for line in step.more]
            lines = [line for line in told if line.startswith("Lift by lift")]
            levels = sorted(set(tops.values()))
            if levels:
                off = plan.walls.setting_out.benchmark_m - levels[0]
                assert any(named.tape(abs(off)) in line for line in lines)
            if 1 < len(levels) <= _FEW:
                assert any(all(wall in line for wall in tops) for line in lines)
    assert checked


@pytest.mark.parametrize("name", DEMOS)
def test_stone_and_fill_stop_under_the_soil_over_them(name: str) -> None:
    """Drain stone is told to rise no higher than it is drawn, fill in a bed no higher than the bench under its soil."""
    plan, named, stone, soil = _plan(name), naming(_plan(name), Words()), 0, 0
    ends = [(one.leg, max(one.top_start_m, one.top_end_m)) for one in plan.water.stone]
    highest = {leg: max(top for of, top in ends if of == leg) for leg, _ in ends}
    for today, content in zip(day_parts(plan), day_contents(plan, Words()), strict=True):
        for share in (one for one in today.shares if one.top_m is not None):
            tops = lift_tops(plan, today.day.number, share)
            if share.task.kind == "stone":
                assert all(level <= highest[leg] + 1e-6 for leg, level in tops.items() if leg in highest)
                stone += len(tops)
            for bed, level in under_soil(plan, share).items():
                face = next(face for face in plan.terraces.beds if face.id == bed)
                assert face.level_m - level == pytest.approx(plan.project.bed_soil_m, abs=plan.project.planting.mulch_m)
                far = named.ground(abs(plan.walls.setting_out.benchmark_m - level))
                told = [line for step in content.steps if step.task == share.task.id for line in step.more]
                assert any("bed soil" in line and far in line for line in told)
                soil += 1
    assert stone and soil
