"""Laws of the section sheets: heights as the walls' own sheets give them, and no last sheet of a few sections."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from demo_plans import DEMOS, demo
from lynchet.drawings.faults import meeting
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Dim, Label, Sheet, Symbol
from lynchet.drawings.section import behind_sheet, section_sheet
from lynchet.drawings.section_along import along_fall
from lynchet.drawings.section_places import section_places
from lynchet.drawings.section_sheets import section_sheets
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.wall_facts import top_and_base
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from wished_yards import wished_plan

BOTH = [(name, units) for name in DEMOS for units in ("metric", "us")]


@cache
def _plan(name: str, units: str) -> Plan:
    plan = demo(name)
    if units == plan.project.units:
        return plan
    return plan_project(replace(plan.project, units=units), effort=LIVE)  # type: ignore[arg-type]


@cache
def _sheets(name: str, units: str) -> dict[str, Sheet]:
    plan = _plan(name, units)
    stamp = stamp_of(plan)
    made = (section_sheet(plan, stamp), behind_sheet(plan, stamp), *section_sheets(plan, stamp))
    return {one.id: one for one in made if one is not None}


@pytest.mark.parametrize(("name", "units"), BOTH)
def test_a_height_in_the_section_is_the_height_of_the_wall_there(name: str, units: str) -> None:
    """The timber seen where the section meets a wall is what the wall's own spans say at that station."""
    plan = _plan(name, units)
    found = along_fall(plan)
    assert found is not None
    dims = {item.id: item for item in _sheets(name, units)["section"].views[0].items if isinstance(item, Dim)}
    met = 0
    for leg in dict.fromkeys(block.of for block in found.timber):
        dim = dims.get(f"seen-{leg}")
        if dim is None:
            continue
        wall, blocks = plan.walls.leg(leg), found.of_leg(leg)
        station = wall.station_of(found.cut.at((blocks[0].start_m + blocks[0].end_m) / 2))
        stands = top_and_base(plan, wall, station)
        assert stands is not None
        seen = stands[0] - min(wall.span_at(station).levels_at(station))
        assert dim.values_m[0] == pytest.approx(seen, abs=0.02), leg
        met += 1
    assert met


@pytest.mark.parametrize(("name", "units"), BOTH)
def test_no_last_sheet_holds_a_few_sections_that_find_room_elsewhere(name: str, units: str) -> None:
    """Every smaller section stands on one sheet, and none of the demos needs a sheet for three sections or fewer."""
    plan, sheets = _plan(name, units), _sheets(name, units)
    letters = [view.id.removeprefix("section-") for one in sheets.values() for view in one.views
               if view.id.startswith("section-")]  # fmt: skip
    assert sorted(letters) == sorted(place.letter for place in section_places(plan, Figures(plan.project.units)))
    assert all(len(one.views) > 3 for sheet, one in sheets.items() if sheet.startswith("sections"))
    joined = [view.id for view in sheets["section"].views if view.id.startswith("section-")]
    title = sheets["section"].fields.title
    assert ("Sections A" in title) == bool(joined)


def test_a_bed_on_both_sides_of_a_wall_has_its_level_once() -> None:
    """Walls beside steps stand in a bed that the cut shows twice: its level is told once, on no timber, and no two
    labels of the picture go by one name."""
    plan = wished_plan(98017)
    sheet = section_sheet(plan, stamp_of(plan))
    assert sheet is not None and meeting(lower(sheet)) == []
    found = along_fall(plan)
    assert found is not None
    for view in sheet.views:
        names = [item.id for item in view.items if isinstance(item, Label)]
        assert len(names) == len(set(names))
    (one,) = [item for item in sheet.views[1].items if isinstance(item, Symbol) and item.name == "level"]
    assert not any(block.start_m < one.at[0] < block.end_m for block in found.timber)
