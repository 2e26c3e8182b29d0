"""Every wall and height that the permit sheet adds or compares is listed there, so that an officer can follow it."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from lynchet.drawings.faults import faults
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Sheet, Text
from lynchet.drawings.permit_heights import wall_heights
from lynchet.drawings.permit_walls import permit_walls
from lynchet.drawings.stamp import stamp_of
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from office_plan import office
from random_yards import realistic
from stacked_yards import stacked
from told.pages import sheet_rows

UNITS = ("metric", "us")
STACKS = ((1, 2), (2, 3), (6, 6), (8, 3), (10, 3))
CELL = {"retained": 2, "exposed": 3, "base_to_top": 4}
"""Column of the table in which the height by each measure stands."""


def _listed(sheet: Sheet) -> dict[str, tuple[str, ...]]:
    """Rows of the wall table by wall, both halves of a wide one."""
    halves: dict[int, dict[str, tuple[str, ...]]] = {}
    heads: list[int] = []
    for row in sheet_rows(sheet):
        if "top at" in row:
            heads = [n - 1 for n, text in enumerate(row) if text == "top at"]
        elif row and row[0] == "rule":
            break
        for start in heads:
            cells = row[start : start + 6]
            if len(cells) == 6 and (re.fullmatch(r"[A-Z]\d[\w.]*", cells[0]) or cells[0] in ("sum of tiers", "sum")):
                halves.setdefault(start, {})[cells[0].replace("sum of tiers", "sum")] = cells
    return {wall: cells for start in sorted(halves) for wall, cells in halves[start].items()}


def _rules(sheet: Sheet) -> list[tuple[str, ...]]:
    """Rows of the rules: rule, what is counted, of which walls, limit, here."""
    rows = list(sheet_rows(sheet))
    start = next(n for n, row in enumerate(rows) if row[0] == "rule")
    return [row for row in rows[start + 1 :] if len(row) == 5]


def _follows(plan: Plan) -> None:
    sheet, said, found = permit_walls(plan, stamp_of(plan)), Figures(plan.project.units), wall_heights(plan)
    listed = _listed(sheet)
    text = " ".join(item.text for item in sheet.marks if isinstance(item, Text))
    # Each wall that is added has its row, and the rows add up to the sum.
    if len(found.stack) > 1:
        total = listed["sum"]
        assert total[5] == f"{len(found.stack)} walls"
        assert [wall.leg for wall in found.stack] == [leg for leg in listed if leg in {w.leg for w in found.stack}]
        for cell, whole in ((2, found.held_m), (3, found.seen_m), (4, found.whole_m)):
            assert total[cell] == said.height(whole)
    for wall in (*found.stack, *found.others):
        if wall.leg in listed:
            # The level under "top at" is the highest of the wall's timber as built.
            assert listed[wall.leg][1] == said.laid(max(run.top_m for run in plan.walls.runs if run.leg == wall.leg))
            heights = (said.height(wall.held_m), said.height(wall.seen_m), said.height(wall.whole_m))
            assert listed[wall.leg][2:5] == heights
        else:  # of those left out it is said how high they are, and that none is higher
            assert "Not added, and none of them higher" in text
            heights = (said.height(wall.held_m), said.height(wall.seen_m), said.height(wall.whole_m))
            assert f"{wall.leg} {' / '.join(heights)}" in text
            assert all(getattr(wall, name) <= max(getattr(one, name) for one in (*found.stack, *found.others)
                                                  if one.leg in listed) + 1e-9
                       for name in ("held_m", "seen_m", "whole_m"))  # fmt: skip
    shown = _rules(sheet)
    for check in plan.stability.heights:
        here = said.height(check.height_m) + ((" LOAD" if check.loaded else " OVER") if check.triggered else "")
        rows = [row for row in shown if row[4] == here and row[3] == said.height(check.limit_m)]
        if not rows:
            assert not check.triggered and "not reached." in text
            continue
        of = rows[0][2]
        assert set(check.counted) <= set(listed)
        if len(check.counted) == 1:
            assert any(row[2] == check.counted[0] for row in rows)
            assert listed[check.counted[0]][CELL[check.measure]] == said.height(check.height_m)
        elif len(check.counted) == len(found.stack):
            assert of == "sum of tiers" or any(row[2] == "sum of tiers" for row in rows)
        else:
            assert any(check.counted[0] in row[2] and check.counted[-1] in row[2] for row in rows)
    assert faults(lower(sheet), sheet.paper) == []


@pytest.mark.parametrize(("stack", "units"), tuple(product(STACKS, UNITS)))
def test_all_walls_of_a_stack_are_listed(stack: tuple[int, int], units: str) -> None:
    """One bed to ten walls one above the other: each wall that is added has its row, no figure stands for none."""
    _follows(stacked(*stack, units))


@pytest.mark.parametrize(("zero_m", "units"), tuple(product((100.0, 1500.0, -45.0), UNITS)))
@pytest.mark.parametrize("stack", [(2, 3), (10, 3)])
def test_levels_of_a_survey_stand_whole_in_the_table(stack: tuple[int, int], zero_m: float, units: str) -> None:
    """Levels over the sea, to hundreds of feet and an eighth: no cell of either table is cut, in one column or two."""
    plan = stacked(*stack, units, zero_m)
    _follows(plan)
    sheet = permit_walls(plan, stamp_of(plan))
    assert not [item.text for item in sheet.marks if isinstance(item, Text) and item.text.endswith("…")]
    # The picture is that of the same yard near its zero, so much higher.
    low = permit_walls(stacked(*stack, units), stamp_of(stacked(*stack, units)))
    faces = [
        [(item.id, [(x, z - level) for x, z in item.rings[0]]) for item in one.views[0].items if isinstance(item, Area)]
        for one, level in ((sheet, zero_m), (low, 10.0))
    ]
    assert [name for name, _ in faces[0]] == [name for name, _ in faces[1]] and faces[0]
    for (_, ring), (_, other) in zip(*faces, strict=True):
        assert np.allclose(ring, other, atol=1e-6)


@pytest.mark.parametrize(("stack", "units"), tuple(product(((10, 7), (10, 8)), UNITS)))
def test_no_figure_is_cut_where_sums_are_long(stack: tuple[int, int], units: str) -> None:
    """Sums of more than ten metres, or feet, in a table of two halves: a figure cut short would be a wrong one."""
    plan = stacked(*stack, units)
    sheet = permit_walls(plan, stamp_of(plan))
    assert not [item.text for item in sheet.marks if isinstance(item, Text) and item.text.endswith("…")]
    assert _listed(sheet)["sum"][2:5] == tuple(
        Figures(plan.project.units).height(getattr(wall_heights(plan), name))
        for name in ("held_m", "seen_m", "whole_m")
    )


@pytest.mark.parametrize(("name", "units"), tuple(product(("l_garden", "side_yard"), UNITS)))
def test_all_walls_of_a_demo_are_listed(name: str, units: str) -> None:
    """Demos with steps between wing walls: what each rule compares can be found in the table."""
    _follows(office(name, units))


@pytest.mark.parametrize("seed", (0, 2, 5))
def test_all_walls_of_random_yards_are_listed(seed: int) -> None:
    """Yards of any shape, in both unit systems."""
    plan = plan_project(realistic(140 + seed)[0], effort=LIVE)
    for units in UNITS:
        _follows(replace(plan, project=replace(plan.project, units=units)))  # type: ignore[arg-type]
