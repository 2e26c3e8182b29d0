"""Texts stand clear of lines: what may give way is open at them, whether or not they have a halo."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from shapely.geometry import LineString

from demo_plans import demo
from lynchet.drawings.display import Display, Letters, Stroke
from lynchet.drawings.faults import crossed
from lynchet.drawings.lower import lower, marks_of, place_view
from lynchet.drawings.model import Area, Dim, Label, Line, Sheet, Symbol, Text
from lynchet.drawings.planting_sheet import planting_sheet
from lynchet.drawings.section import section_sheet
from lynchet.drawings.section_sheets import section_sheets
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.model import Plan
from stacked_yards import stacked


def _in(plan: Plan, units: str) -> Plan:
    return replace(plan, project=replace(plan.project, units=units))  # type: ignore[arg-type]


def struck(sheet: Sheet, least_mm: float = 0.25) -> list[str]:
    """Lines of a pen and more that run under or over a text, as "line through 'text': line"."""
    display: Display = lower(sheet)
    bare = tuple(replace(one, halo="") if isinstance(one, Letters) else one for one in display.marks)
    return crossed(replace(display, marks=bare), least_mm)


def _yards(units: str) -> list[Plan]:
    return [_in(demo(name), units) for name in ("side_yard", "spot_levels")] + [stacked(1, 3, units)]


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_old_ground_is_open_at_every_text(units: str) -> None:
    """On walls and cuts the line of the ground before runs through no mark, length, height or level."""
    seen = 0
    for plan in _yards(units):
        cuts = [sheet for sheet in (section_sheet(plan, Stamp()), *section_sheets(plan, Stamp())) if sheet]
        for sheet in (*cuts, *wall_sheets(plan, Stamp())):
            old = {item.id for view in sheet.views for item in view.items
                   if isinstance(item, Line) and item.key == "ground before"}  # fmt: skip
            seen += len(old)
            assert [one for one in struck(sheet) if one.rpartition(": ")[2] in old] == [], sheet.id
    assert seen > 10


def _planted(units: str, paper: str = "") -> Plan:
    plan = _in(demo("l_garden"), units)
    return replace(plan, project=replace(plan.project, sheet=replace(plan.project.sheet, paper=paper)))


@pytest.mark.parametrize(("units", "paper"), [("metric", "A3"), ("metric", "A4"), ("us", "Letter")])
def test_every_plant_has_its_letter_or_a_line_to_it(units: str, paper: str) -> None:
    """However small the plan is drawn, from each dot lines of its own planting lead to a plant with the letter."""
    plan = _planted(units, paper)
    sheet = planting_sheet(plan, Stamp())
    assert sheet is not None
    items = {item.id: item for item in sheet.views[0].items}
    shown = Counter(type(item) for item in items.values() if item.id.startswith("plant-"))
    assert shown.total() == sum(planting.count for planting in plan.planted.plantings)
    assert (shown[Symbol] > 50) == (paper != "A3")
    for planting in plan.planted.plantings:
        name = planting.id.replace("/", "-")
        ends = [item.pts for key, item in items.items() if key.startswith(f"link-{name}-") and isinstance(item, Line)]
        own = {plant.point_m: items[f"plant-{plant.id.replace('/', '-')}"] for plant in planting.plants}
        reached = {at for at, item in own.items() if isinstance(item, Text)}
        if not reached:
            (label,) = (item for key, item in items.items() if key == f"plants-{name}" and isinstance(item, Label))
            reached = {label.anchor[0]}
        for _ in own:
            reached |= {b for a, b in ends if a in reached}
        assert reached == own.keys(), planting.id


@pytest.mark.parametrize(("units", "paper"), [("metric", "A3"), ("metric", "A4"), ("us", "Letter")])
def test_names_of_beds_and_trees_are_clear_of_walls(units: str, paper: str) -> None:
    """On the planting plan each bed and each tree seen is named, no name struck through by timber or a house."""
    plan = _planted(units, paper)
    sheet = planting_sheet(plan, Stamp())
    assert sheet is not None
    said = " ".join(text.text for text in lower(sheet).texts)
    assert all(f"BED {bed.id[1:]}" in said for bed in plan.terraces.beds) and "apple, keep" in said
    assert [one for one in struck(sheet) if "BED" in one or "sun" in one or "keep" in one] == []


@pytest.mark.parametrize("units", ["metric", "us"])
def test_no_level_of_a_pipe_stands_on_a_pipe(units: str) -> None:
    """On the terraces plan a level of an inside bottom stands beside the pipes, its own too."""
    sheet = terraces_plan(_in(demo("spot_levels"), units), Stamp())
    assert [one for one in struck(sheet) if "inv " in one and "drain-" in one] == []


@pytest.mark.parametrize("units", ["metric", "us"])
def test_words_of_a_notch_stand_on_no_stone_or_pin(units: str) -> None:
    """On walls that step down too, size and place of a notch stand over the wall, not in the bedding under it."""
    said = 0
    for sheet in wall_sheets(_in(demo("spot_levels"), units), Stamp()):
        said += sum("from the left" in text.text for text in lower(sheet).texts)
        met = [one for one in struck(sheet, 0.18) if "from the left" in one]
        assert [one for one in met if one.rpartition(": ")[2].startswith(("bed-", "pin-"))] == [], sheet.id
    assert said > 3


@pytest.mark.parametrize("units", ["metric", "us"])
def test_no_name_of_a_wall_points_across_another_wall(units: str) -> None:
    """On the terraces plan no leader from a wall to its name passes over the timber of another wall."""
    view = terraces_plan(_in(demo("l_garden"), units), Stamp()).views[0]
    marks, _ = place_view(view)
    walls = {item.of: LineString([*map(view.paper, item.rings[0])]) for item in view.items
             if isinstance(item, Area) and item.id.startswith("wall-")}  # fmt: skip
    seen = 0
    for _, mark in marks:
        if isinstance(mark, Stroke) and mark.of.startswith("bubble-") and not mark.closed:
            seen += 1
            leader, own = LineString(mark.paths[0]), mark.of.removeprefix("bubble-")
            assert [leg for leg, wall in walls.items() if leg != own and leader.crosses(wall)] == [], mark.of
    assert seen, "a wall has its name at a leader"
    assert len(walls) > 5


@pytest.mark.parametrize("units", ["metric", "us"])
def test_no_line_of_a_dimension_runs_through_a_bed(units: str) -> None:
    """Depths of benches are taken from walls that come near the chain: their lines cross no other wall."""
    view = terraces_plan(_in(demo("l_garden"), units), Stamp()).views[0]
    chain = next(item for item in view.items if isinstance(item, Dim) and item.id == "chain-depths")
    walls = [LineString([*map(view.paper, item.rings[0])]) for item in view.items
             if isinstance(item, Area) and item.id.startswith("wall-")]  # fmt: skip
    lines = [LineString(path) for mark in marks_of(chain, view) if isinstance(mark, Stroke) for path in mark.paths]
    assert len(chain.values_m) == 4
    assert [line.bounds for line in lines if sum(line.crosses(wall) for wall in walls) > 1] == []
