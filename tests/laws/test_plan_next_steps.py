"""What to do next, after the findings of a plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from demo_plans import demo
from lynchet.core.findings import Finding, Verdict
from lynchet.plan.next_steps import next_steps


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
