"""Sheets of planned random yards: what a machine can see is right on all of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lynchet.drawings.faults import crossed, faults
from lynchet.drawings.lower import lower
from lynchet.drawings.section import section_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_sheet import wall_sheet_ids, wall_sheets
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from random_yards import realistic


@pytest.mark.parametrize(("seed", "units"), [(0, "metric"), (3, "us"), (4, "metric"), (18, "us"), (22, "metric")])
def test_sheets_of_a_planned_yard_have_no_fault(seed: int, units: str) -> None:
    """Plan, section and every wall of a random yard: no text meets another, is covered, or leaves its place."""
    project, _ = realistic(seed)
    plan = plan_project(replace(project, units=units), effort=LIVE)  # type: ignore[arg-type]
    stamp = Stamp(date="12 May 2026")
    sheets = [terraces_plan(plan, stamp), section_sheet(plan, stamp)]
    sheets += [sheet for leg in wall_sheet_ids(plan) for sheet in wall_sheets(plan, leg, stamp)]
    texts = through = 0
    for sheet in sheets:
        if sheet is None:
            continue
        display = lower(sheet)
        assert faults(display, sheet.paper) == [], sheet.id
        texts, through = texts + len(display.texts), through + len(crossed(display))
    assert texts > 100
    assert through <= texts / 100
