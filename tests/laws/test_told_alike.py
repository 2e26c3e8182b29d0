"""Law: sheets, book, lists, spreadsheet, drawing, model, map, points and screen say the same of every quantity.

What the plan's own data say is read from ``plan.json``; each output is read back from what is written, and every figure
must be that of the data, rounded as printed. A reader that no longer finds a figure fails as well as one that finds
another; and each law is shown a doctored copy of each output, with one figure changed a little, which it must refuse.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from demo_plans import DEMOS, demo
from filed_yards import filed
from lynchet.core.standing import LegStanding, Standing
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Site
from random_yards import realistic
from told.facts import Reader, Told, Wanted, disagreements, doctored, wrong
from told.pages import told
from told.read_beds import beds
from told.read_ground import ground
from told.read_levels import levels
from told.read_timber import timber
from told.read_walls import walls, weep_holes
from told.read_words import words
from told.read_works import works

WEEPS: Wanted = {
    "weep holes of a wall": ("water sheet", "setting-out.csv", "drawing", "model"),
    "level of a weep hole": ("setting-out.csv", "drawing"),
    "weep holes to bore": ("order-list.csv",),
}
LAWS: dict[str, tuple[Reader, Wanted]] = {
    "walls": (walls, {
        "number of walls": ("screen", "first look", "book"),
        "number of terraces": ("screen", "first look", "book"),
        "greatest height held": ("screen", "first look", "book"),
        "most courses": ("screen", "first look", "book"),
        "greatest height seen": ("permit sheet",),
        "greatest height with buried timber": ("permit sheet",),
        "pieces of a wall": ("drawing", "model"),
        "pieces to cut of a wall": ("pieces.csv",),
        "number of ties": ("model",),
        **WEEPS,
        "number of risers": ("terraces sheet",),
        "height of a riser": ("section",),
        "timbers of a flight": ("model", "pieces.csv"),
    }),
    "levels": (levels, {
        "highest top": ("setting-out.csv", "permit sheet"),
        "highest top from the mark": ("book",),
        "lowest underside": ("setting-out.csv",),
        "underside at a peg": ("setting-out.csv", "LandXML"),
    }),
    "timber": (timber, {
        "number of pieces": ("pieces.csv",),
        "length of a piece": ("pieces.csv",),
        "name of a piece": ("pieces.csv",),
        "stick of a piece": ("pieces.csv",),
        "wall of a piece": ("pieces.csv",),
        "course of a piece": ("pieces.csv",),
        "underside of a piece": ("pieces.csv",),
        "underside of timber that stands": ("drawing",),
        "mark of a piece": ("wall sheet",),
        "area of a piece": ("drawing",),
        "volume of a piece": ("model",),
        "number of sticks": ("screen", "first look", "book"),
        "fasteners placed": ("model",),
        "pins into the ground": ("model",),
    }),
    "soil and water": (ground, {
        "left over loose": ("screen", "soil sheet", "book"),
        "loads of soil": ("soil sheet", "book"),
        "barrows of soil": ("soil sheet", "book"),
        "topsoil dug": ("soil sheet",),
        "topsoil laid back": ("soil sheet", "book"),
        "placed": ("soil sheet", "book"),
        "loose": ("soil sheet", "book"),
        "barrows of": ("soil sheet", "book"),
        "walls of a stage": ("book",),
        "fill of a stage": ("soil sheet", "book"),
        "away from a stage": ("soil sheet", "book"),
        "heap of a stage": ("soil sheet", "book"),
        "barrows of a stage": ("soil sheet", "book"),
        "level of an outlet": ("terraces sheet",),
    }),
    "beds and plants": (beds, {
        "area of all beds": ("screen", "first look", "book"),
        "open soil of all beds": ("book",),
        "level of a bed": ("site sheet", "setting-out.csv", "LandXML"),
        "open soil of a bed": ("book",),
        "plants of a kind in a bed": ("plants.csv", "spreadsheet", "book", "planting picture", "model"),
        "botanical name": ("plants.csv", "spreadsheet", "book"),
        "plants of a kind": ("planting sheet",),
    }),
    "amounts, hours and money": (works, {
        "amount to buy": ("order-list.csv", "spreadsheet"),
        "money of a line": ("order-list.csv", "spreadsheet"),
        "days of work": ("screen", "first look", "book"),
        "fewest days": ("screen", "first look", "book"),
        "most days": ("screen", "first look", "book"),
        "hours, likely": ("spreadsheet", "book"),
        "hours of a task, likely": ("spreadsheet",),
        "hours of a day": ("spreadsheet",),
        "date of a day": ("spreadsheet", "day sheet"),
        "money, low": ("screen", "first look", "book"),
        "money, likely": ("spreadsheet", "book"),
    }),
    "words": (words, {
        "word on the plan": ("screen", "first look", "book"),
        "caution": ("screen", "book"),
        "finding": ("screen", "book"),
    }),
}  # fmt: skip
"""By name: the reader of all outputs, and which of them must tell what."""


WITH_DAYS = ("side_yard", "us")
"""The demo whose day sheets and days of the book are read too; of others they take as long as all the rest."""


@cache
def _demo(name: str, units: str) -> Told:
    plan = demo(name)
    drawn = replace(plan, project=replace(plan.project, units=units))  # type: ignore[arg-type]
    return told(drawn, days=(name, units) == WITH_DAYS)


FOLLOWED = 3
"""The random yard, with steps, of which a wall stands high, and the others follow it."""


@cache
def _yard(seed: int) -> Told:
    """A random yard with a place on earth; the units by turns."""
    project = realistic(seed)[0]
    project = replace(project, site=Site(50.0, 8.0, 10.0), units="us" if seed % 2 else "metric")
    plan = plan_project(project, effort=LIVE)
    return told(_followed(plan) if seed == FOLLOWED else plan, days=False)


def _followed(plan: Plan) -> Plan:
    """The same yard with the first course of its first wall laid, 18 mm too high, and followed."""
    leg = next(leg for leg in plan.walls.legs if leg.segments)
    parts = tuple((part.start_m, part.end_m, part.base, part.top) for part in leg.segments)
    low, bottoms = leg.lowest_course, plan.terraces.lattice.bottoms_m
    stood = LegStanding(leg.id, ((low, 0.018),), parts, low, answer="follow")
    after = plan_project(plan.project, standing=Standing((stood,), bottoms[low], firm=True), effort=LIVE)
    moved = {run.leg for run in after.walls.runs if abs(run.top_m - bottoms[run.course + 1] - 0.018) < 1e-6}
    assert len(moved) > 1 and after.terraces.flights
    return after


def _wrong(outputs: Told) -> list[str]:
    days = "sheet day-1" in outputs.pages
    found = []
    for law, (read, wanted) in LAWS.items():
        asked = {what: tuple(out for out in outs if days or out != "day sheet") for what, outs in wanted.items()}
        found += [f"{law}: {one}" for one in sorted(wrong(outputs, read, asked))]
    return found


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", DEMOS)
def test_all_outputs_of_a_demo_say_the_same(name: str, units: str) -> None:
    """Whatever an output says of a demo is what its plan has, rounded as printed; what must be told is told."""
    assert _wrong(_demo(name, units)) == []


@pytest.mark.parametrize("seed", [4, 7, FOLLOWED])
def test_all_outputs_of_a_random_yard_say_the_same(seed: int) -> None:
    """The same of random yards; of one a wall stands high and is followed, and all give the levels that come of it."""
    assert _wrong(_yard(seed)) == []


MANY = (29, 108)
"""Filed yards of 13 and 15 walls: the permit sheet's table has room for some of the second alone."""
HEIGHTS = ("greatest height seen", "greatest height with buried timber")


@pytest.mark.parametrize("seed", MANY)
def test_every_wall_of_a_large_plan_has_its_heights(seed: int) -> None:
    """Of many walls each has both heights on the permit sheet, in the table, under it or at its name in the picture,
    and all that is said of them anywhere is what the plan has."""
    outputs = told(plan_project(filed(seed), effort=LIVE), days=False)
    facts = [one for one in walls(outputs) if one.about[0] in (*HEIGHTS, "length of a wall")]
    assert list(disagreements(outputs, facts)) == []
    built = {name for what, name in outputs.known if what == HEIGHTS[0]}
    assert len(built) >= 13
    for what in HEIGHTS:
        assert {one.about[1] for one in facts if one.out == "permit sheet" and one.about[0] == what} == built


@pytest.mark.parametrize("law", LAWS)
def test_a_figure_changed_a_little_is_refused(law: str) -> None:
    """Of each quantity in each output, one figure is written over by the least that can be printed: it is found."""
    read, wanted = LAWS[law]
    assert list(doctored(_demo(*WITH_DAYS), read, wanted)) == []
    assert len({(one.out, one.about[0]) for one in read(_demo(*WITH_DAYS))}) >= 7


def test_a_weep_hole_left_out_or_moved_is_refused() -> None:
    """Of a demo with weep holes: one fewer on the water sheet, in the drawing, model, map or points, one square of
    fabric fewer to buy, or one level changed by the least that can be printed, is found."""
    outputs = _demo("l_garden", "metric")
    assert list(doctored(outputs, weep_holes, WEEPS)) == []
    assert {one.out for one in weep_holes(outputs)} == {
        "water sheet", "drawing", "model", "map", "setting-out.csv", "order-list.csv", "spreadsheet"
    }  # fmt: skip
