"""What whole pages must keep to: figures off lot lines, contours without hooks, heights named, room to write in."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import acos, degrees, hypot

import pytest
from shapely.geometry import LineString, Point, Polygon

from demo_plans import DEMOS, demo
from lynchet.book.engineer_texts import said
from lynchet.book.parts.engineer_levels import engineer_levels
from lynchet.drawings.contours import contours
from lynchet.drawings.detail_sheets import BUILT_OTHERWISE, detail_sheets
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Dim, Item, Line, Sheet, Symbol, Text, View
from lynchet.drawings.permit_plan import permit_plan
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_facts import heights
from lynchet.drawings.wall_pages import legs_on, wall_pages
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.model import Plan

HOOK_DEG = 60.0
SIGN_MM = 7.0
"""Radius of the north sign."""


def _metric(plan: Plan) -> Plan:
    return replace(plan, project=replace(plan.project, units="metric"))


@pytest.mark.parametrize("name", ["l_garden", "side_yard"])
def test_no_contour_ends_in_a_hook(name: str) -> None:
    """The ends of an open contour, from 50 mm on, go on the way they came: ground has no hook at its border."""
    for line in contours(demo(name).ground.surface, 0.1):
        points = [line.points[0], *(b for a, b in pairwise(line.points) if hypot(b[0] - a[0], b[1] - a[1]) > 0.05)]
        long = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))
        if points[0] == points[-1] or len(points) < 4 or long < 0.5:
            continue
        for a, b, c in (points[:3], points[:-4:-1]):
            one, two = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
            turn = (one[0] * two[0] + one[1] * two[1]) / (hypot(*one) * hypot(*two))
            assert degrees(acos(max(-1.0, min(1.0, turn)))) < HOOK_DEG, (line.level_m, a, b, c)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_figures_of_the_depths_keep_off_the_lot_line(units: str) -> None:
    """No figure of the chain beside the plan stands on the lot line that runs along it."""
    plan = demo("side_yard")
    plan = _metric(plan) if units == "metric" else plan
    sheet = terraces_plan(plan, Stamp())
    view = sheet.views[0]
    lots = [LineString([view.paper(point) for point in lot.line_m]) for lot in plan.project.lot_lines]
    chain = next(item for item in view.items if isinstance(item, Dim) and item.id == "chain-depths")
    figures = [text for text in lower(sheet).texts if text.of == chain.id]
    assert lots and len(figures) == len(chain.texts)
    for text in figures:
        assert all(lot.distance(Polygon(text.corners())) > 0.3 for lot in lots), text.text


@pytest.mark.parametrize("name", DEMOS)
def test_a_height_of_one_end_is_said_to_be_of_that_end(name: str) -> None:
    """Where the timber seen differs along a wall its sheet says that the height drawn is that at the end drawn."""
    plan, figures = demo(name), Figures(demo(name).project.units)
    for sheet in wall_sheets(plan, Stamp()):
        page = next(one for one in wall_pages(plan) if legs_on(one) and f"wall-{legs_on(one)[0]}" == sheet.id)
        legs = [plan.walls.leg(leg) for leg in legs_on(page)]
        differ = any(len({figures.timber(one.seen_m) for one in heights(plan, leg)}) > 1 for leg in legs)
        drawn = {item.text for view in sheet.views for item in view.items if isinstance(item, Text)}
        if "seen" in drawn:
            assert ("at this end" in drawn) == differ, sheet.id


def test_the_free_foot_of_a_detail_sheet_can_be_written_on() -> None:
    """A sheet with a single row of details has lines to write on under it, a full one has none."""
    sheets: list[Sheet] = list(detail_sheets(_metric(demo("side_yard")), Stamp()))
    heads = [{item.text for item in sheet.marks if isinstance(item, Text)} for sheet in sheets]
    assert [BUILT_OTHERWISE in texts for texts in heads] == [False, True]


@pytest.mark.parametrize("name", DEMOS)
def test_the_engineer_reads_water_from_end_to_end(name: str) -> None:
    """Neighbouring stretches of a wall differ in what they say, and none is left out between its first and its last."""
    plan = demo(name)
    table = next((one for one in engineer_levels(plan) if getattr(one, "heads", ())[1:2] == ("Stretch",)), None)
    rows = getattr(table, "rows", ())
    assert bool(rows) == bool(plan.water.levels)
    for one, two in pairwise(rows):
        if one[0] == two[0]:
            joined = said("levels.stretch", start="", end="").strip()
            assert one[2:] != two[2:] or one[1].split(joined)[1].strip() != two[1].split(joined)[0].strip()


@pytest.mark.parametrize("units", ["metric", "us"])
def test_north_stands_over_nothing_but_the_lines_of_the_ground(units: str) -> None:
    """Neither wall, bed nor house lies under the north sign of a plan of the side yard, nor its lot line."""
    plan, signs = demo("side_yard"), 0
    plan = replace(plan, project=replace(plan.project, units=units))  # type: ignore[arg-type]
    for view in (draw(plan, Stamp()).views[0] for draw in (permit_plan, site_sheet, terraces_plan)):
        for sign in (item for item in view.items if isinstance(item, Symbol) and item.name == "north"):
            signs += 1
            round_it = Point(view.paper(sign.at)).buffer(SIGN_MM)
            assert not [item.id for item in view.items if _strong(item) and round_it.intersects(_shape(item, view))]
    assert signs == 3


def _strong(item: Item) -> bool:
    """A tone or a wall, or a line that is none of the ground's."""
    if isinstance(item, Area):
        return len(item.rings[0]) > 2
    return isinstance(item, Line) and len(item.pts) > 1 and item.layer != "ground before"


def _shape(item: Item, view: View) -> Polygon | LineString:
    if isinstance(item, Area):
        return Polygon(view.papers(item.rings[0]))
    assert isinstance(item, Line)
    return LineString(view.papers(item.pts))
