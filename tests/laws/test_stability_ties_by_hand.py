"""Ties where the drain lies in the only course they could use: held to the ties laid once the drain is gone."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from by_command import YARDS
from lynchet.core.findings import Cure, Verdict
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load_text
from lynchet.project.read import checked
from lynchet.stability.stage import stability

IN = 0.0254


@cache
def _ladder(brief: str) -> Plan:
    text = (YARDS / "ladder_three.toml").read_text().replace('ties = "never"', brief)
    return plan_project(checked(load_text(text, "ladder.toml", YARDS), []), effort=LIVE)


def _cure(plan: Plan) -> Cure:
    (finding,) = [f for f in plan.stability.findings if f.code == "stability.wall"]
    return next(cure for cure in finding.cures if cure.name == "ties-under-drain")


def test_with_the_drain_out_of_the_way_these_ties_are_laid_and_hold() -> None:
    """The same wall checked without its pipes, beds dug 4 in at most: six ties of 1.2 m in course 2, no stop left; with
    the pipes none finds room."""
    plan = _ladder('ties = "auto"\ndig_depth = "4 in"')
    assert not plan.stability.ties and plan.stability.walls[0].verdict is Verdict.STOP
    dry = replace(plan.water, bodies=tuple(body for body in plan.water.bodies if body.kind in ("stone", "fabric")))
    held = stability(plan.project, plan.ground, plan.terraces, plan.walls, dry)
    assert held.walls[0].tied and held.walls[0].verdict <= Verdict.WATCH
    assert {tie.course for tie in held.ties} == {plan.walls.leg("A0").lowest_course + 1}
    text = _cure(plan).text
    assert f"{len(held.ties)} ties" in text and {tie.length_m for tie in held.ties} == {1.2}
    assert "3 ft 11 1/4 in long, every 6 ft 8 in, in course 2 from below" in text
    pulls = [check.demand_kn for check in held.tie_checks if check.place.leg == "A0"]
    (told,) = re.findall(r"each pulls ([\d,]+) lb", _cure(plan).effect)
    assert float(told.replace(",", "")) * 0.0044482 == pytest.approx(max(pulls), rel=0.1)


@pytest.mark.parametrize("brief", ['ties = "never"', 'ties = "auto"', 'ties = "auto"\ndig_depth = "4 in"'])
def test_the_drain_goes_down_until_it_clears_the_ties(brief: str) -> None:
    """By hand: highest crown of the pipes, 2 in of gap, to the underside of course 2, 2 3/4 in over the ground; out
    under the lowest course, whose underside lies 2 3/4 in deep, with 2 in of free fall. A help switched off is none."""
    plan = _ladder(brief)
    crown = max(body.top_m for body in plan.water.bodies if body.kind == "drain pipe")
    lower = (crown + 0.05 - 2.75 * IN) / IN
    outlet = (2.75 * IN + plan.project.drain.outside_m + 0.05) / IN
    found = re.findall(r"(?:lie|on ground) (\d+)(?: (\d+)/(\d+))? in (?:lower|under)", _cure(plan).text)
    inches = [float(a) + (int(b) / int(c) if b else 0.0) for a, b, c in found]
    assert inches == pytest.approx([lower, outlet], abs=0.13)
    off = plan_project(replace(plan.project, brief=replace(plan.project.brief, helps_off=("ties",))), effort=LIVE)
    assert not any(cure.name == "ties-under-drain" for f in off.stability.findings for cure in f.cures)
