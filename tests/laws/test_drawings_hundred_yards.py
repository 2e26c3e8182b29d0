"""A hundred planned random yards: every sheet of every one is drawn and looked at by machine.

Small yards, so that a hundred are quick; larger ones are in ``test_drawings_random_yards``. Day sheets and the eye
view have tests of their own: each is a picture of the whole yard, drawn anew for every day.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from lynchet.drawings.cut_sheets import cut_sheets
from lynchet.drawings.detail_sheets import detail_sheets
from lynchet.drawings.faults import crossed, faults
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Sheet
from lynchet.drawings.planting_sheet import planting_sheet
from lynchet.drawings.rod_sheets import rod_sheets
from lynchet.drawings.section import section_sheet
from lynchet.drawings.section_sheets import section_sheets
from lynchet.drawings.setting_sheet import setting_sheet
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.soil_sheet import soil_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_sheet import wall_sheet_ids, wall_sheets
from lynchet.drawings.water_sheet import water_sheet
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Project
from random_yards import realistic

COUNT, AT_ONCE = 100, 10
LARGEST_M2 = 28.0
MOST_TERRACES = 2
STAMP = Stamp(date="12 May 2026")


@cache
def _seeds() -> tuple[int, ...]:
    """The first hundred seeds whose yard is small."""
    found: list[int] = []
    seed = 100
    while len(found) < COUNT:
        if _small(realistic(seed)[0]):
            found.append(seed)
        seed += 1
    return tuple(found)


def _small(project: Project) -> bool:
    ring = project.area.outline_m
    twice = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True))
    return abs(twice) / 2.0 <= LARGEST_M2 and (project.brief.terraces or 0) <= MOST_TERRACES


def _sheets(plan: Plan) -> Iterator[Sheet]:
    one = (site_sheet, terraces_plan, water_sheet, section_sheet, setting_sheet, planting_sheet, soil_sheet)
    for draw in one:
        sheet = draw(plan, STAMP)
        if sheet is not None:
            yield sheet
    for leg in wall_sheet_ids(plan):
        yield from wall_sheets(plan, leg, STAMP)
    for several in (section_sheets, detail_sheets, rod_sheets):
        yield from several(plan, STAMP)
    yield from cut_sheets(plan, plan.timber, STAMP)


@pytest.mark.parametrize("block", range(COUNT // AT_ONCE))
def test_no_sheet_of_a_hundred_yards_has_a_fault(block: int) -> None:
    """No text meets another, is covered, under 2.2 mm or out of its place; foreign lines cross one text in 200 at most.

    Every crossing of a label is counted in its line of the dump.
    """
    texts = through = 0
    wrong: list[str] = []
    for seed in _seeds()[block * AT_ONCE : (block + 1) * AT_ONCE]:
        plan = plan_project(replace(realistic(seed)[0], units="us" if seed % 2 else "metric"), effort=LIVE)
        for sheet in _sheets(plan):
            display = lower(sheet)
            wrong += [f"yard {seed}, {sheet.id}: {fault}" for fault in faults(display, sheet.paper)]
            texts, through = texts + len(display.texts), through + len(crossed(display))
    assert wrong == []
    assert texts > 1000
    assert through <= texts / 200
