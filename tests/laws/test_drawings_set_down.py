"""Words on the site and setting-out sheets keep off what is set down there, and off each other."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import shapely

from demo_plans import DEMOS, demo
from lynchet.drawings.display import Letters, Stroke
from lynchet.drawings.faults import faults
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Label, Line, Text, View
from lynchet.drawings.placing import place_labels
from lynchet.drawings.setting_sheet import setting_sheet
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import Stamp, stamp_of
from lynchet.plan.effort import LIVE
from lynchet.plan.further_pegs import further_pegs
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text

UNITS = ("metric", "us")
SLOPE = """
lynchet = 1
units = "us"
[ground]
slope = { fall = "4 ft in 24 ft", cross_fall = "1 ft in 30 ft" }
held = "level"
[area]
outline = [[0, 0], [30, 0], [30, 24], [0, 24]]
edges = [{ from = 1, inset = "6 ft", finish = "open" }]
[[house]]
outline = [[-2, 24], [34, 24], [34, 44], [-2, 44]]
[[fixed]]
kind = "tree"
name = "old oak"
at = [34, 9]
stem = "10 in"
[[lot_line]]
line = [[-4, -5], [-4, 40]]
trust = "fence"
[[steps]]
line = [[6, -3], [6, 24]]
width = "3 ft"
"""


def _plan(name: str, units: str) -> Plan:
    project = read_project_text(SLOPE, "slope.toml") if name == "slope" else demo(name).project
    return plan_project(replace(project, units=units), effort=LIVE)  # type: ignore[arg-type]


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", [*DEMOS, "slope"])
def test_words_keep_off_heaps_and_off_each_other(name: str, units: str) -> None:
    """No text meets another on either sheet; over a heap or a stack, or its border, stand its own words alone."""
    plan = _plan(name, units)
    site, pegs = site_sheet(plan, Stamp()), setting_sheet(plan, Stamp())
    assert pegs is not None
    for sheet in (site, pegs):
        display = lower(sheet)
        assert faults(display, sheet.paper) == []
        view = sheet.views[0]
        laid = {item.id: shapely.Polygon([view.paper(point) for point in item.rings[0]])
                for item in view.items if isinstance(item, Area) and item.layer == "heaps"}  # fmt: skip
        assert bool(laid) == (sheet is site)
        words = {item.id for item in view.items if isinstance(item, Label)}
        for letters in (mark for mark in display.marks if isinstance(mark, Letters) and mark.of in words):
            for thing, shape in laid.items():
                own = letters.of == f"{thing}-name"
                assert own or not shapely.intersects(shape, shapely.Polygon(letters.corners())), (letters.text, thing)


def test_a_heap_too_narrow_for_its_words_has_them_beside_it() -> None:
    """On a small scale the words of a narrow heap and of the stack stand wholly off them, or wholly inside."""
    plan = _plan("slope", "us")
    middle = (12.0, -12.0)
    thin = tuple((middle[0] + dx, middle[1] + dy) for dx, dy in ((-0.4, -4.0), (0.4, -4.0), (0.4, 4.0), (-0.4, 4.0)))
    heaps = tuple(replace(heap, outline_m=thin) if heap.id == "heap" else heap for heap in plan.earth.heaps)
    sheet = site_sheet(replace(plan, earth=replace(plan.earth, heaps=heaps)), Stamp())
    view = sheet.views[0]
    ring = shapely.Polygon([view.paper(point) for point in thin])
    words = [mark for mark in lower(sheet).marks if isinstance(mark, Letters) and mark.of == "heap-name"]
    assert len(words) == 3
    assert not any(shapely.intersects(ring, shapely.Polygon(letters.corners())) for letters in words)


@pytest.mark.parametrize(("layer", "off"), [("heaps", True), ("tones", False)])
def test_a_word_beside_a_heap_does_not_go_into_it(layer: str, off: bool) -> None:
    """The best place of a point's name, to its upper right, is not taken where a heap fills it; plain ground is."""
    label = Label(id="name", layer="labels", anchor=((0.0, 0.0),), lines=("oak",))
    view = View("v", "plan", 100, (label,), (0.0, 0.0, 200.0, 200.0), "", (0.0, 0.0), (100.0, 100.0))
    heap = ((100.0, 60.0), (160.0, 60.0), (160.0, 101.0), (100.0, 101.0))
    marks, _ = place_labels([label], view, [Stroke((heap,), layer, True, fill="fill", of="heap")])
    (letters,) = (mark for mark in marks if isinstance(mark, Letters))
    assert shapely.intersects(shapely.Polygon(heap), shapely.Polygon(letters.corners())) != off


def test_sheets_speak_only_of_what_they_show() -> None:
    """NO DIGGING is to be pegged off only where some ground is marked so; as many tapes are named as are drawn."""
    for name in DEMOS:
        plan = demo(name)
        marked = any(thing.clear_m > 0 for thing in plan.project.fixed)
        for fixed in (plan.project.fixed, ()):
            bare = replace(plan, project=replace(plan.project, fixed=fixed))
            told = " ".join(m.text for m in site_sheet(bare, stamp_of(bare)).marks if isinstance(m, Text))
            assert ("NO DIGGING" in told) == (marked and bool(fixed))
        sheet = setting_sheet(plan, stamp_of(plan))
        if sheet is not None:
            told = " ".join(m.text for m in sheet.marks if isinstance(m, Text))
            tapes = sum(isinstance(i, Line) and i.id.startswith("tape-") for view in sheet.views for i in view.items)
            assert ("Two tapes are drawn" in told, "One tape is drawn" in told) == (tapes == 2, tapes == 1)


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", [*DEMOS, "slope"])
def test_points_off_the_sheet_are_named_on_it(name: str, units: str) -> None:
    """Every point of walls, steps, pipes and the drop zone has its mark, or is named, or counted where many are off."""
    plan = _plan(name, units)
    sheet = setting_sheet(plan, Stamp())
    assert sheet is not None
    labels = [item for view in sheet.views for item in view.items if isinstance(item, Label)]
    marked = {name for item in labels if item.id.startswith("peg-") for name in item.lines[0].split(", ")}
    card = plan.walls.setting_out
    pegs = {*(peg.id for peg in (*card.points, *card.moved))}
    pegs |= {one.peg.id for one in further_pegs(plan) if one.kind != "heap"}
    told = " ".join(mark.text for mark in sheet.marks if isinstance(mark, Text) and mark.id.startswith("how-"))
    found = re.search(r"Past the edge of this sheet: (.*?)(?: and (\d+) more)?; the card has them", told)
    named = set(found[1].split(", ")) if found else set()
    assert {peg.id for peg in card.points} <= marked, "walls are pegged from this sheet: only what lies far off may be"
    assert marked | named <= pegs and len(pegs - marked - named) == int((found and found[2]) or 0)
    assert (name, units) != ("l_garden", "us") or named == {"Z2", "Z3"}
