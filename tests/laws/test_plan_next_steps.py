"""What to do next, after the findings of a plan."""

from __future__ import annotations

import csv
import re
from dataclasses import replace

import pytest

from demo_plans import demo
from lynchet.core.findings import Finding, Verdict
from lynchet.exports.folder import _lists
from lynchet.plan.clash import Clash, clash_findings
from lynchet.plan.next_steps import next_steps
from lynchet.plan.told_places import told_part


@pytest.mark.parametrize(("verdict", "asked"), [(Verdict.STOP, True), (Verdict.ASK, True), (Verdict.WATCH, False)])
def test_an_engineer_is_asked_first_where_a_check_asks_one(verdict: Verdict, asked: bool) -> None:
    """A finding that is no mere care and names the engineer comes first, with its place; without one, none is asked."""
    plan = demo("side_yard")
    others = tuple(one for one in plan.findings if one.ask == "engineer" and one.verdict >= Verdict.ASK)
    found = Finding("invented", verdict, "Invented.", "W9", ask="engineer")
    steps = next_steps(replace(plan, clashes=(*plan.clashes, found)))
    if asked:
        assert steps[0].startswith("ask a licensed engineer about") and ("W9" in steps[0] or "more" in steps[0])
    assert not any("W9" in step for step in steps) or asked
    assert any("engineer" in step for step in steps) == (asked or bool(others))


def test_no_id_of_the_program_is_told() -> None:
    """An outlet to ask about is called as on the plan, and so are two pipes in one place; the order list of the folder
    names walls, steps, beds and pipes as sheets do."""
    plan = demo("l_garden")
    outlet, drain = plan.water.outlets[0].id, plan.water.drains[0].id
    found = Finding("invented", Verdict.ASK, "Invented.", outlet, ask="engineer")
    assert next_steps(replace(plan, clashes=(found,)))[0] == "ask a licensed engineer about OUT1"
    clash = Clash(outlet, drain, ("outlet", "drain"), (0.0, 0.0), 1.0, 0.1)
    told = told_part(plan.water, plan.walls)
    (met,) = clash_findings([clash], told=told)
    assert met.text.startswith("Outlet OUT1 and drain D1 are") and met.place == outlet
    assert told(f"{drain}/stone/2") == "of D1" and told(plan.pieces[0].id) == f"of {plan.pieces[0].leg}"
    assert told("S0.1") == "S0.1"
    rows = list(csv.DictReader(str(_lists(plan)["order-list.csv"]()).splitlines()))
    told = {name for row in rows for name in row["for"].split(", ") if name}
    walls, beds = {leg.id for leg in plan.walls.legs}, {planting.bed for planting in plan.planted.plantings}
    flights = {flight.id for flight in plan.terraces.flights}
    pipes = told - walls - beds - flights
    assert {"A0", "D1", "P1"} <= told and all(re.fullmatch(r"[DPRC]\d+", name) for name in pipes)
