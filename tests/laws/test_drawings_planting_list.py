"""No plant and no bed is left out: beside the planting plan, or on a list of its own where they are many."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from demo_plans import DEMOS, demo
from lynchet.drawings.faults import faults
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Sheet, Text
from lynchet.drawings.planting_list import planting_list, planting_list_names
from lynchet.drawings.planting_rows import letters
from lynchet.drawings.planting_sheet import planting_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.plan.model import Plan
from lynchet.units.measures import System


def _in(name: str, units: System) -> Plan:
    plan = demo(name)
    return replace(plan, project=replace(plan.project, units=units))


def _many(plan: Plan, times: int) -> Plan:
    """The same planted with more kinds: every planting again under other names."""
    kinds = [
        replace(one, id=f"{one.id}x{n}", species=replace(one.species, botanical_name=f"{n} {one.id}"))
        for n in range(times) for one in plan.planted.plantings
    ]  # fmt: skip
    return replace(plan, planted=replace(plan.planted, plantings=tuple(kinds)))


@cache
def _said(sheet: Sheet) -> str:
    """What stands beside the views."""
    return " ".join(item.text for item in sheet.marks if isinstance(item, Text))


def _sheets(plan: Plan) -> list[Sheet]:
    sheet = planting_sheet(plan, Stamp())
    return [*([sheet] if sheet else []), *planting_list(plan, Stamp())]


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", DEMOS)
def test_every_plant_and_bed_is_told(name: str, units: System) -> None:
    """Number and name of every kind stand on the sheet or its list, and the light of every bed; none is left out."""
    plan = _in(name, units)
    for case in (plan, _many(plan, 3)):
        sheets = _sheets(case)
        assert bool(sheets) == bool(case.planted.plantings)
        said = " ".join(_said(sheet) for sheet in sheets)
        assert "more:" not in said and "…" not in said
        for species, _, count in letters(case):
            assert species.common_name in said and str(count) in said, species.common_name
        beds = [bed for bed in case.planted.beds if sheets and case.planted.sun_of(bed.bed)]
        assert len(re.findall(r"\d+ h\b", said)) >= len(beds)


def test_many_plants_stand_on_pages_of_their_own() -> None:
    """A long list goes on upon further pages, each named, none with a fault; a short one has no page."""
    plan = demo("l_garden")
    assert planting_list_names(plan) == ()
    many = _many(plan, 9)
    pages = list(planting_list(many, Stamp()))
    assert tuple(page.id for page in pages) == planting_list_names(many) and len(pages) > 1
    for page in pages:
        assert faults(lower(page), page.paper) == []
