"""Sheets of planned random yards: what a machine can see is right on all of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lynchet.drawings.faults import crossed, faults
from lynchet.drawings.lower import lower
from lynchet.drawings.sheets import sheets_of
from lynchet.drawings.stamp import Stamp
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from random_yards import realistic


@pytest.mark.parametrize(("seed", "units"), [(0, "metric"), (3, "us"), (4, "metric"), (18, "us"), (22, "metric")])
def test_sheets_of_a_planned_yard_have_no_fault(seed: int, units: str) -> None:
    """Plan, section and every wall of a random yard: no text meets another, is covered, or leaves its place."""
    project, _ = realistic(seed)
    plan = plan_project(replace(project, units=units), effort=LIVE)  # type: ignore[arg-type]
    sheets = list(sheets_of(plan, Stamp(date="12 May 2026"), kept_back=True).values())
    own = [sheet for sheet in sheets if not sheet.id.startswith("permit")]  # the office's set is counted by itself
    assert [sheet.fields.number for sheet in own] == list(range(1, len(own) + 1))
    texts = through = 0
    for sheet in sheets:
        display = lower(sheet)
        assert faults(display, sheet.paper) == [], sheet.id
        texts, through = texts + len(display.texts), through + len(crossed(display))
    assert texts > 100
    assert through <= texts / 100
