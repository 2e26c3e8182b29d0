"""Cures that take more than one step: low walls that keep the steps, ground left beside a house, a second way out."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise

import pytest

from lynchet.core.findings import Verdict
from lynchet.plan.cure_edits import cure_edits
from lynchet.plan.cures import tried_cures
from lynchet.plan.effort import LIVE
from lynchet.plan.house_cures import SHORT_OF_HOUSE, TRENCH_CODE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.plan.terrace_cures import LOW_WALLS
from lynchet.project.read import Edit, read_project_text

TALL = """
lynchet = 1
units = "metric"
[ground]
slope = { fall = "1.4 m in 9 m", cross_fall = "1 %" }
[area]
outline = [[0, 0], [12, 0], [12, 9], [0, 9]]
edges = [{ from = 1, finish = "bank", width = "1.5 m" }, { from = 2, finish = "open" },
         { from = 3, finish = "bank", width = "1.5 m" }]
[[steps]]
line = [[6, -1], [6, 10]]
width = "1.2 m"
[soil]
feel = "sandy"
[brief]
highest_wall = "0.6 m"
path_strip = "0.6 m"
weeps = true
[[timber]]
section = "100 mm x 200 mm"
stock = ["2.4 m", "4.8 m"]
"""
HOUSE = """
lynchet = 1
units = "metric"
[ground]
slope = { fall = "1.5 m in 9 m", cross_fall = "4 %" }
[area]
outline = [[0, 0], [8.2, 0.6], [9.4, 8.8], [1.0, 9.6]]
edges = [{ from = 2, finish = "house" }, { from = 3, finish = "wall", inset = "1.5 m" }]
[[house]]
name = "house"
outline = [[1.0, 9.6], [9.4, 8.8], [10.2, 16], [1.6, 17]]
floor = "1.9 m"
footing_depth = "0.6 m"
[soil]
feel = "sticky"
[brief]
path_strip = "0.6 m"
[[timber]]
section = "150 mm x 150 mm"
stock = ["2.4 m", "3.6 m"]
"""


@cache
def _plan(text: str) -> Plan:
    return _edited(text, ())


def _edited(text: str, edits: Sequence[Edit]) -> Plan:
    return plan_project(read_project_text(text, edits=edits), effort=LIVE)


def _stops(plan: Plan) -> set[str]:
    return {one.code for one in plan.findings if one.verdict is Verdict.STOP}


def test_low_walls_are_offered_where_one_or_two_terraces_more_do_not_do() -> None:
    """Walls of light timber that a shut drain pushes out: the count offered leaves fronts of two courses at most and
    room for the steps, and planned by itself it is better, as told."""
    plan = _plan(TALL)
    assert "stability.wall" in _stops(plan) or "stability.ties" in _stops(plan)
    tried = {one.cure.name: one for one in tried_cures(plan, lambda edits: read_project_text(TALL, edits=edits))}
    assert LOW_WALLS in tried
    edits = dict(tried[LOW_WALLS].cure.edits)
    made = _edited(TALL, list(edits.items()))
    assert len(made.terraces.levels_m) == edits["brief.terraces"]
    assert max(b - a for a, b in pairwise(made.terraces.levels_m)) <= 2 * 0.1 + 1e-6
    assert "terraces.flight_unfit" not in _stops(made)
    assert tried[LOW_WALLS].helps is not bool(_stops(made))


@pytest.mark.parametrize("ways", [1, 2])
def test_a_cleanout_comes_up_through_no_pipe(ways: int) -> None:
    """Drains that part at a high point, each with its own way out: nothing is in one place."""
    plan = _edited(TALL, [("drain.ways_out", ways)])
    assert any(fitting.kind == "cleanout" for fitting in plan.water.fittings)
    assert [one.text for one in plan.clashes if one.code == "clash"] == []


def test_ground_left_at_a_house_keeps_trenches_off_its_footing() -> None:
    """A wall that ends at a house deeper than its footing allows is a stop; the edit offered leaves none."""
    plan = _plan(HOUSE)
    assert TRENCH_CODE in _stops(plan)
    cure = next(one for one in cure_edits(plan) if one.name == SHORT_OF_HOUSE)
    assert TRENCH_CODE not in _stops(_edited(HOUSE, cure.edits))
