"""Permit sheets and the first look: figures are the stages' own, heights are counted both ways, pictures are true."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import hypot

import numpy as np
import pytest

from demo_plans import DEMOS
from lynchet.drawings.faults import crossed, faults
from lynchet.drawings.figures import Figures
from lynchet.drawings.first_look_sheet import first_look_sheet
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Dim, Leader, Text
from lynchet.drawings.permit_asks import permit_asks
from lynchet.drawings.permit_elevation import elevation_box, facing
from lynchet.drawings.permit_heights import wall_heights
from lynchet.drawings.permit_plan import ways
from lynchet.drawings.permit_sheets import permit_sheet_names, permit_sheets
from lynchet.drawings.permit_walls import permit_walls
from lynchet.drawings.section import section_sheet
from lynchet.drawings.sheets import sheets_of
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.water_sheet import water_sheet
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import figures, rounded_money
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import HeightRule
from lynchet.project.read import read_project_text
from office_plan import office, stopped
from random_yards import realistic
from stacked_yards import stacked

CASES = tuple(product(DEMOS, ("metric", "us")))


def _marks(sheet: object) -> list[str]:
    return [item.text for item in sheet.marks if isinstance(item, Text)]  # type: ignore[attr-defined]


@pytest.mark.parametrize(("name", "units"), CASES)
def test_office_sheets_have_no_fault(name: str, units: str) -> None:
    """No text of the permit sheets and the first look meets another, leaves its place, is covered or too small."""
    plan = office(name, units)
    sheets = [first_look_sheet(plan, stamp_of(plan)), *permit_sheets(plan, stamp_of(plan))]
    assert [sheet.id for sheet in sheets[1:]] == ["permit-1", "permit-2", "permit-3"]
    texts = through = 0
    for sheet in sheets:
        display = lower(sheet)
        assert faults(display, sheet.paper) == [], sheet.id
        texts, through = texts + len(display.texts), through + len(crossed(display))
    assert through <= texts / 50


@pytest.mark.parametrize("seed", range(6))
def test_office_sheets_of_random_yards_have_no_fault(seed: int) -> None:
    """Yards of any shape, also such as stop: the office's pages stay whole."""
    plan = plan_project(realistic(40 + seed)[0], effort=LIVE)
    for sheet in (first_look_sheet(plan, stamp_of(plan)), *permit_sheets(plan, stamp_of(plan))):
        assert faults(lower(sheet), sheet.paper) == [], sheet.id


@pytest.mark.parametrize(("name", "units"), CASES)
def test_a_wall_has_one_height_on_every_sheet(name: str, units: str) -> None:
    """What the office reads of each wall with its buried timber is what the terraces plan says, to the last eighth."""
    plan = office(name, units)
    figures_of = Figures(plan.project.units)
    terraces, permit = _marks(terraces_plan(plan, stamp_of(plan))), _marks(permit_walls(plan, stamp_of(plan)))
    found = wall_heights(plan)
    # A strip that is full lists some walls alone, or none.
    whole = "WALLS" in terraces and not any(text.startswith("… and ") for text in terraces)
    assert whole or name == "spot_levels"
    for wall in (*found.stack, *found.others):
        assert not whole or figures_of.timber(wall.whole_m) in terraces, wall.leg
        assert figures_of.height(wall.whole_m) in permit, wall.leg


@pytest.mark.parametrize(("name", "units"), CASES)
def test_no_figure_of_a_water_plan_is_cut(name: str, units: str) -> None:
    """Lengths and levels of pipes stand whole in their table."""
    sheet = water_sheet(office(name, units), stamp_of(office(name, units)))
    cut = [] if sheet is None else [text for text in _marks(sheet) if text.endswith("…") and not text.startswith("…")]
    assert cut == []


STACKS = ((6, 6, "metric"), (6, 6, "us"), (1, 2, "metric"), (1, 2, "us"))


@pytest.mark.parametrize(("walls", "courses", "units"), STACKS)
def test_many_walls_and_a_single_bed_stay_readable(walls: int, courses: int, units: str) -> None:
    """Six walls of six courses and a bed alone: no fault, the sum never left out, every name over its own wall."""
    plan = stacked(walls, courses, units)
    first, *permit = (first_look_sheet(plan, stamp_of(plan)), *permit_sheets(plan, stamp_of(plan)))
    for sheet in (first, *permit):
        assert faults(lower(sheet), sheet.paper) == [], sheet.id
    assert "sum of tiers" in _marks(permit[1])
    (view,) = permit[1].views
    ends = [item.end[0] for item in view.items if isinstance(item, Leader)]
    (left, _), (right, _) = elevation_box(plan)
    assert len(ends) >= walls and all(left - 1e-6 <= x <= right + 1e-6 for x in ends)


@pytest.mark.parametrize("name", DEMOS)
def test_distances_are_the_shortest(name: str) -> None:
    """The way to each lot line and house is the least distance of any corner of the walls, found by brute force."""
    plan = office(name)
    corners = [point for run in plan.walls.runs for point in run.outline_m]
    corners += [point for flight in plan.terraces.flights for point in flight.outline_m]
    for lot in plan.project.lot_lines:
        way = next(one for one in ways(plan) if one.to == lot.name)
        (ax, ay), (bx, by) = lot.line_m
        long = hypot(bx - ax, by - ay)
        nearest = min(abs((bx - ax) * (ay - y) - (ax - x) * (by - ay)) / long for x, y in corners)
        assert way.length_m == pytest.approx(nearest, abs=1e-6)
    assert [way.known for way in ways(plan)][:2] == ["by survey", "from a fence"]


@pytest.mark.parametrize("name", DEMOS)
def test_sum_of_tiers_is_what_a_rule_that_adds_all_counts(name: str) -> None:
    """Timber seen of the stack adds up to the height by the rule that always adds tiers; base to top holds the rest."""
    found = wall_heights(office(name))
    (rule,) = [check for check in office(name).stability.heights if check.tiers == len(found.stack)]
    assert rule.measure == "exposed"
    # The sheet reads the ground 0.1 mm inside a stretch, the rule at its very ends.
    assert found.seen_m == pytest.approx(rule.height_m, abs=1e-6)
    assert tuple(wall.leg for wall in found.stack) == rule.walls
    for wall in (*found.stack, *found.others):
        assert wall.held_m <= wall.seen_m + 1e-9 <= wall.whole_m + 1e-6
        assert wall.top_m - wall.base_m <= wall.whole_m + 1e-9


@pytest.mark.parametrize("name", DEMOS)
def test_one_height_with_buried_timber_on_every_sheet(name: str) -> None:
    """The height with buried timber is the greatest of any station, and the terraces plan gives the same number."""
    plan = office(name)
    found = wall_heights(plan)
    said = Figures(plan.project.units)
    printed = [item for item in terraces_plan(plan, stamp_of(plan)).marks if isinstance(item, Text)]
    rows = {item.text: [other.text for other in printed if other.at[1] == item.at[1]] for item in printed}
    for wall in (*found.stack, *found.others):
        runs = [run for run in plan.walls.runs if run.leg == wall.leg]
        start, end = min(run.outer_m[0] for run in runs), max(run.outer_m[1] for run in runs)
        most = 0.0
        for station in np.linspace(start, end, 4001)[1:-1]:
            here = [run for run in runs if run.outer_m[0] < station < run.outer_m[1]]
            if here:
                most = max(most, max(run.top_m for run in here) - min(run.bottom_m for run in here))
        assert wall.whole_m == pytest.approx(most, abs=1e-6)
        if len(rows.get(wall.leg, ())) == 5:  # a long table ends with how many rows it leaves out
            assert rows[wall.leg][3] == said.timber(wall.whole_m)
    assert any(len(rows.get(wall.leg, ())) == 5 for wall in (*found.stack, *found.others))


@pytest.mark.parametrize("name", DEMOS)
def test_both_heights_of_every_wall_are_on_the_sheet(name: str) -> None:
    """Each wall has a row with ground held, timber seen and the whole; the stack has its sum."""
    plan = office(name)
    sheet = permit_walls(plan, stamp_of(plan))
    said, found = _marks(sheet), wall_heights(plan)
    for wall in (*found.stack, *found.others):
        assert wall.leg in said or any(note.startswith(f"not on the sheet: {wall.leg} ") for note in sheet.notes)
    assert "sum of tiers" in said


def test_the_elevation_is_true_and_from_below() -> None:
    """Every wall between terraces is drawn, its timber at its own levels and its own length across the view."""
    plan = office("side_yard")
    sheet = permit_walls(plan, stamp_of(plan))
    (view,) = sheet.views
    drawn = {item.of.split("/")[0] for item in view.items if isinstance(item, Area)}
    assert {leg.id for leg in plan.walls.legs if leg.role == "front" and leg.segments} <= drawn
    low, high = elevation_box(plan)
    k = 1000.0 / view.scale
    (x0, y0), (x1, y1) = view.paper(low), view.paper(high)
    assert x1 - x0 == pytest.approx((high[0] - low[0]) * k) and y0 - y1 == pytest.approx((high[1] - low[1]) * k)
    tops = {run.top_m for run in plan.walls.runs if run.leg in drawn}
    assert high[1] == pytest.approx(max(tops))
    # Far walls are drawn first: going up the slope the list runs down.
    ax, ay = plan.terraces.along
    depth = [
        -leg.point_at(leg.length_m / 2, 0.0)[0] * ay + leg.point_at(leg.length_m / 2, 0.0)[1] * ax
        for leg in facing(plan)
    ]
    assert depth == sorted(depth, reverse=True)


@pytest.mark.parametrize(("name", "units"), CASES)
def test_no_line_to_a_wall_crosses_a_name(name: str, units: str) -> None:
    """Names over the elevation stand like stairs: no leader runs through the text of another."""
    plan = office(name, units)
    (view,) = permit_walls(plan, stamp_of(plan)).views
    per_mm = view.scale / 1000.0
    names = [item for item in view.items if isinstance(item, Text)]
    for leader in (item for item in view.items if isinstance(item, Leader)):
        top = -leader.start_mm[1]
        for text in names:
            lower_down = -text.shift_mm[1] < top - 1.0
            starts = text.at[0] + (text.shift_mm[0] - 0.5) * per_mm
            assert not lower_down or leader.start[0] < starts


def test_unknown_places_ask_and_known_ones_tell() -> None:
    """Samples of other places are called questions; rules of the file are called the file's."""
    plan = office("l_garden")
    said = " ".join(_marks(permit_walls(plan, stamp_of(plan))))
    assert "never law" in said
    rule = HeightRule("town rule", "retained", 0.3)
    known = replace(
        plan, project=replace(plan.project, place=replace(plan.project.place, name="Town", known=True, heights=(rule,)))
    )
    said = " ".join(_marks(permit_walls(known, stamp_of(known))))
    assert "never law" not in said and "last word" in said


@pytest.mark.parametrize(("name", "units"), CASES)
def test_no_level_lies_over_a_house_cut(name: str, units: str) -> None:
    """On the section of the third permit sheet no level stands over or under the house, its floor's beside it."""
    plan = office(name, units)
    sheet = list(permit_sheets(plan, stamp_of(plan)))[2]
    view = sheet.views[0]
    houses = [[view.paper(point) for point in item.rings[0]] for item in view.items
              if isinstance(item, Area) and item.id.startswith("house-")]  # fmt: skip
    levels = [text for text in lower(sheet).texts if text.text.startswith(("floor ", "+", "−", "±"))]
    floors = sum(house.floor_m is not None for house in plan.project.houses)
    assert levels and sum(text.text.startswith("floor ") for text in levels) == min(floors, len(houses))
    for text, house in product(levels, houses):
        (left, _, right, _), (xs, _) = text.box(), zip(*house, strict=True)
        assert right < min(xs) or left > max(xs), text.text


def test_lot_lines_that_are_guessed_or_missing_are_told() -> None:
    """A line that is not by survey, and a file without any, is said on the plan in the colour of warnings."""
    plan = office("l_garden")
    for lots, word in (
        (plan.project.lot_lines, "not by survey may be wrong"),
        ((), "No lot line is in the project file"),
    ):
        shown = replace(plan, project=replace(plan.project, lot_lines=lots))
        sheet = next(permit_sheets(shown, stamp_of(shown)))
        warned = " ".join(item.text for item in sheet.marks if isinstance(item, Text) and item.role == "warn")
        assert word in warned


def test_permit_sheets_are_kept_back_with_the_rest() -> None:
    """A stop of the site keeps the permit sheets back; the first look stays; a yard without walls has none."""
    plan = stopped(office("l_garden"))
    names = set(sheets_of(plan))
    assert "first-look" in names and not any(name.startswith("permit") for name in names)
    bare = replace(plan, walls=replace(plan.walls, runs=()))
    assert permit_sheet_names(bare) == () and list(permit_sheets(bare, stamp_of(bare))) == []


@pytest.mark.parametrize("name", DEMOS)
def test_the_first_look_says_the_plan_in_figures(name: str) -> None:
    """Word, sticks, days and money of the page are those of the plan; without prices that is said."""
    plan = office(name)
    found, said = figures(plan), " ".join(_marks(first_look_sheet(plan, stamp_of(plan))))
    assert plan.verdict.words.upper() in said
    assert f"about {found.sticks} sticks" in said
    assert f"{found.days} days" in said
    assert (rounded_money(found.money.low) if found.money else "no price") in said


FENCED = """
lynchet = 1
units = "metric"
[ground]
slope = { fall = "18 %" }
held = "level"
[area]
length = "9 m"
depth = "7 m"
[[lot_line]]
name = "west fence"
line = [[-1.8, -8], [-1.8, 16]]
trust = "survey"
[brief]
terraces = 3
"""


def test_stone_outside_a_wall_is_told_to_the_office() -> None:
    """An edge wall that holds the neighbour's side has its drain stone outside: how near it comes is said."""
    plan = plan_project(read_project_text(FENCED), effort=LIVE)
    bodies = [body for body in plan.water.bodies if body.kind == "stone"]
    fence = plan.project.lot_lines[0].line_m[0][0]
    stone = min(x for body in bodies for x, _ in body.outline_m) - fence
    wall = min(x for run in plan.walls.runs for x, _ in run.outline_m) - fence
    assert stone < wall - 0.1
    words = " ".join(text.text for text in lower(permit_asks(plan, stamp_of(plan))).texts)
    assert f"comes to {stone:.2f} m from west fence" in words and f"{wall:.2f} m from wall" in words


AT_THE_EDGE = """
lynchet = 1
units = "metric"
[ground]
held = "level"
[ground.points]
readings = [{ at = [0, 0], level = 0 }, { at = [10.4, 0], level = -0.13 },
            { at = [0, 9.4], level = 1.4 }, { at = [10.4, 9.4], level = 1.22 }]
[area]
length = "10.4 m"
depth = "7.6 m"
[brief]
terraces = 5
lean = "1 in 12"
"""


def test_the_office_reads_the_chain_of_the_section() -> None:
    """From wall to wall the section on the permit sheet has the lengths of sheet A-A, where the cut begins at a wall.

    The cut begins at the lowest course; the face of a leaning wall stands back from it.
    """
    plan = plan_project(read_project_text(AT_THE_EDGE), effort=LIVE)
    chains = []
    for sheet in (section_sheet(plan, stamp_of(plan)), permit_asks(plan, stamp_of(plan))):
        assert sheet is not None
        chains.append([item.values_m for item in sheet.views[0].items if isinstance(item, Dim) and item.id == "chain"])
    assert chains[0][0] == pytest.approx(chains[1][0], abs=1e-6)
