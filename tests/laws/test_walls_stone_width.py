"""What is dug beyond the outline is as wide as the drain stone the file asks for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from demo_plans import demo
from lynchet.core.findings import Verdict
from lynchet.units.format import length
from lynchet.walls.limits import bank_held, limit_findings
from lynchet.walls.seen import all_seen

ALLOWED_M = 0.25


@pytest.mark.parametrize("wide_m", [0.20, 0.30, 0.45])
def test_digging_outside_is_as_wide_as_the_stone_asked_for(wide_m: float) -> None:
    """With a quarter metre allowed outside the outline, a strip of stone narrower than that passes and a wider one
    stops, each told with its own width."""
    plan = demo("l_garden")
    project = replace(plan.project, drain=replace(plan.project.drain, stone_width_m=wide_m))
    lines = tuple(replace(line, dig_beyond_m=ALLOWED_M) for line in plan.terraces.lines)
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    found = limit_findings(project, replace(plan.terraces, lines=lines), plan.walls.legs, plan.walls.steps, seen)
    assert any(bank_held(leg) for leg in plan.walls.legs)
    stops = [finding for finding in found if finding.code == "walls.dig_beyond"]
    assert bool(stops) == (wide_m > ALLOWED_M)
    for stop in stops:
        assert stop.verdict is Verdict.STOP and (stop.demand, stop.capacity) == (wide_m, ALLOWED_M)
        assert length(wide_m, project.units) in stop.text and length(wide_m, project.units) in stop.cures[0].text
