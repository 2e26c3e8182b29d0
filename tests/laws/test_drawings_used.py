"""What the yard is used for is on its plans: paths, loads, what stands on walls; beds say name and level together."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from shapely.geometry import LineString, Point, Polygon, box

from demo_plans import DEMOS, demo
from lynchet.core.findings import Finding, Verdict
from lynchet.drawings.display import Letters, Stroke
from lynchet.drawings.lower import lower, marks_of, place_view
from lynchet.drawings.model import Area, Dim, Label, Line, Sheet, Text, View
from lynchet.drawings.plan_stays import unpaper
from lynchet.drawings.section import section_sheet
from lynchet.drawings.section_along import along_fall
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_face import face_of
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.drawings.wall_used import loads_behind
from lynchet.drawings.water_sheet import water_sheet
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text
from lynchet.project.things import Load
from wished_yards import wished_plan

YARD = """
lynchet = 1
units = "{units}"
[ground]
slope = {{ fall = "1.2 m in 8 m" }}
held = "level"
[area]
length = "6 m"
depth = "8 m"
[[path]]
name = "brick path"
line = [[{out}, {low}], [{out}, {high}]]
width = "1 m"
[[load]]
name = "tool shed"
outline = [[{a}, {c}], [{b}, {c}], [{b}, {d}], [{a}, {d}]]
pressure = "5 kPa"
[[on_wall]]
kind = "fence"
at = "W2"
fixed_to = "own posts"
height = "0.9 m"
[[on_wall]]
kind = "seat"
at = "W3"
[brief]
terraces = 3
"""


@cache
def _plan(units: str) -> Plan:
    m = 1.0 if units == "metric" else 1.0 / 0.3048
    sizes = {"out": 7.5, "low": 0.0, "high": 8.0, "a": 1.0, "b": 3.0, "c": 9.0, "d": 10.5}
    text = YARD.format(units=units, **{name: f"{value * m:.4f}" for name, value in sizes.items()})
    return plan_project(read_project_text(text), effort=LIVE)


def _told(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in sheet.marks if isinstance(mark, Text))


@pytest.mark.parametrize(("units", "weighs", "high"), [("metric", "5 kPa", "0.90 m"), ("us", "104 psf", "2′-11")])
def test_paths_loads_and_things_on_walls_are_on_the_plans(units: str, weighs: str, high: str) -> None:
    """A path of 8 m by 1 m is drawn as 8 m²; the shed with what it weighs (5 kPa = 104.4 psf: 1 psf = 47.88 Pa, NIST SP
    811); fence and seat with their walls; the key names both."""
    plan = _plan(units)
    for sheet in (terraces_plan(plan, stamp_of(plan)), site_sheet(plan, stamp_of(plan))):
        items = [item for view in sheet.views for item in view.items]
        path = [Polygon(item.rings[0]).area for item in items if isinstance(item, Area) and item.key == "path"]
        assert sum(path) == pytest.approx(8.0, abs=0.01)
        assert "path at the level of the ground" in _told(sheet) and "load on the ground" in _told(sheet)
        if sheet.id == "site":
            (name,) = (item for item in items if isinstance(item, Label) and item.id == "load-name-0")
            assert name.lines == ("tool shed", weighs)
    told = _told(terraces_plan(plan, stamp_of(plan)))
    assert f"W2: fence {high}" in told and "on posts of its own" in told and "W3: seat" in told


@pytest.mark.parametrize("name", DEMOS)
def test_a_bed_says_its_name_and_level_in_one_box(name: str) -> None:
    """Apart, a name beside the level of a landing was read with that level; the box lies on no landing."""
    plan = demo(name)
    sheet = terraces_plan(plan, stamp_of(plan))
    (view,) = sheet.views
    labels = {item.id: item for item in view.items if isinstance(item, Label)}
    landings = [Polygon(item.rings[0]) for item in view.items if isinstance(item, Area) and item.key == "landing"]
    for face in (one for one in plan.terraces.faces if one.kind == "bed"):
        label = labels[f"bed-level-{face.id}"]
        assert label.lines[0] == f"BED {face.id[1:]}" and len(label.lines) == 2
        assert f"bed-name-{face.id}" not in labels
        assert all(Polygon(label.anchor).intersection(landing).area < 1e-3 for landing in landings)


def test_a_flight_without_room_has_its_stop_at_its_wall() -> None:
    """The sheet says STOP in its title: it says on the plan why."""
    plan = demo("side_yard")
    stop = Finding("terraces.flight_unfit", Verdict.STOP, 'Flight "steps" over W2 does not fit: no room.', "S0@W2")
    stopped = replace(plan, clashes=(*plan.clashes, stop))
    sheet = terraces_plan(stopped, stamp_of(stopped))
    marks, _ = place_view(sheet.views[0])
    told = " ".join(mark.text for _, mark in marks if isinstance(mark, Letters) and mark.of == "stop-W2")
    assert "does not fit" in told


def test_every_stretch_of_a_wall_is_named() -> None:
    """A wall that stands in three stretches says its name at each: one name among them was taken for the nearest."""
    plan = demo("side_yard")
    sheet = terraces_plan(plan, stamp_of(plan))
    (view,) = sheet.views
    stretches = [Polygon(item.rings[0]) for item in view.items if isinstance(item, Area) and item.of == "A3"]
    marks, _ = place_view(view)
    names = [mark for _, mark in marks if isinstance(mark, Letters) and mark.text == "A3"]
    assert len(stretches) == 3 == len(names)
    labels = [item for item in view.items if isinstance(item, Label) and item.lines == ("A3",)]
    touched = [sum(shape.distance(Point(label.anchor[0])) < 0.01 for label in labels) for shape in stretches]
    assert touched == [1, 1, 1]


def _depths(view: View) -> LineString:
    """The line of the chain of depths, on paper."""
    chain = next(item for item in view.items if isinstance(item, Dim) and "depths" in item.id)
    paths = [path for mark in marks_of(chain, view) if isinstance(mark, Stroke) for path in mark.paths]
    return max((LineString(path) for path in paths), key=lambda one: float(one.length))


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8])
def test_depths_are_not_written_over_an_outlet(share: float) -> None:
    """The chain of depths beside the plan moves where water comes out right where its figures would stand."""
    plan = _plan("metric")
    (view,) = terraces_plan(plan, stamp_of(plan)).views
    spot = _depths(view).interpolate(share, normalized=True)
    outlet = replace(demo("l_garden").water.outlets[0], point_m=unpaper(view, (spot.x, spot.y)), apron_m=())
    wet = replace(plan, water=replace(plan.water, outlets=(outlet,)))
    (moved,) = terraces_plan(wet, stamp_of(wet)).views
    assert _depths(moved).distance(Point(moved.paper(outlet.point_m))) > 4.0


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_load_behind_a_wall_is_on_its_sheet_where_the_checks_count_it(units: str) -> None:
    """Set down 0.1 m behind W2 from 1.5 to 3.5 m from its left end: the sheet says so and draws it there, and every
    place of the wall within is checked with it, none beyond; 1 m further off it is neither drawn nor counted."""
    plain = replace(_plan(units).project, loads=())
    leg = next(one for one in _plan(units).walls.legs if one.id == "W2")
    face = face_of(plan_project(plain, effort=LIVE), leg)
    back = leg.thickness_m if face.held > 0 else 0.0

    def with_load(off: float) -> Plan:
        ends = [face.end_m - x if face.flipped else face.start_m + x for x in (1.5, 3.5)]
        low, high = (face.held * (back + d) for d in (off, off + 1.0))
        outline = tuple(leg.point_at(s, d) for s, d in zip((*ends, *ends[::-1]), (low, low, high, high), strict=True))
        return plan_project(replace(plain, loads=(Load("kiln", outline, 5.0),)), effort=LIVE)

    plan = with_load(0.1)
    (sheet,) = wall_sheets(plan, stamp_of(plan), ("W2",))
    told, wanted = (
        _told(sheet),
        {"metric": "0.10 m behind it, from 1.50 to 3.50 m", "us": "behind it, from 4′-11″ to 11′-6″"},
    )
    assert "kiln" in told and wanted[units] in told
    drawn = sorted(x for view in sheet.views for item in view.items if isinstance(item, Line) and item.key == "load"
                   for x, _ in item.pts)  # fmt: skip
    assert (drawn[0], drawn[-1]) == pytest.approx((1.5, 3.5), abs=1e-6)
    assert sum(place.surcharge_kpa > 0 for place in plan.stability.places if place.leg == "W2") >= 2
    for place in (one for one in plan.stability.places if one.leg == "W2"):
        x = face.x(place.station_m)
        if abs(x - 1.5) > 1e-3 and abs(x - 3.5) > 1e-3:
            assert (place.surcharge_kpa > 0) == (1.5 < x < 3.5)
    far = with_load(1.5)
    assert not any(place.surcharge_kpa for place in far.stability.places if place.leg == "W2")
    assert "kiln" not in _told(wall_sheets(far, stamp_of(far), ("W2",))[0])


@pytest.mark.parametrize("units", ["metric", "us"])
def test_what_stands_on_walls_is_in_the_section_and_on_their_sheets(units: str) -> None:
    """The fence 0.9 m over W2 and the seat on W3 reach up from their timber by that in the section along the fall; the
    key says that their thickness is not known; each wall's sheet names its own."""
    plan = _plan(units)
    sheet = section_sheet(plan, stamp_of(plan))
    assert sheet is not None and "how thick" in _told(sheet)
    items = {item.id: item for item in sheet.views[0].items if isinstance(item, Area)}
    tops = {block.of: max(one.top0_m for one in along_fall(plan).timber if one.of == block.of)
            for block in along_fall(plan).timber}  # fmt: skip
    fence = next(item for name, item in items.items() if name.startswith("used-W2"))
    assert max(z for _, z in fence.rings[0]) == pytest.approx(tops["W2"] + plan.project.on_wall[0].height_m)
    assert any(name.startswith("used-W3") for name in items)
    for wall, thing in (("W2", "fence"), ("W3", "seat")):
        assert f"{wall}: {thing}" in _told(wall_sheets(plan, stamp_of(plan), (wall,))[0])


def test_a_load_behind_a_wall_that_holds_either_side_is_told() -> None:
    """A wall beside a path that holds one side here and the other there: wherever the checks count a load, its sheet
    tells it (a random yard in which it was not)."""
    plan = wished_plan(98050)
    counted = {place.leg for place in plan.stability.places if place.surcharge_kpa > 0}
    told = {leg.id for leg in plan.walls.legs if leg.segments and loads_behind(face_of(plan, leg))}
    assert counted and counted <= told


FAR = """
lynchet = 1
units = "us"
[ground]
slope = {{ fall = "16 %" }}
held = "level"
[area]
length = "34 ft"
depth = "25 ft"
[[house]]
name = "house"
outline = [[0, {low}], [34, {low}], [34, 70], [0, 70]]
[brief]
terraces = 3
[sheet]
paper = "Tabloid"
"""


def _names_drawn(sheet: Sheet) -> set[str]:
    return {mark.id.split("-")[1] for mark in sheet.marks if mark.id.startswith("sample-")}


@pytest.mark.parametrize("low", [30, 32, 45])
def test_a_house_beyond_the_edge_of_a_sheet_is_not_in_its_key(low: int) -> None:
    """The key has the house only where a part of it is seen; no wall of it strikes through its name."""
    plan = plan_project(read_project_text(FAR.format(low=low)), effort=LIVE)
    stamp, named = stamp_of(plan), 0
    for sheet in (site_sheet(plan, stamp), terraces_plan(plan, stamp), water_sheet(plan, stamp)):
        (view,) = sheet.views
        house = next(item for item in view.items if item.id == "house-0")
        seen = Polygon(view.papers(house.rings[0])).intersection(box(*view.region))
        assert ("house" in _names_drawn(sheet)) == (seen.area > 0.0), sheet.id
        for text in (one for one in lower(sheet).texts if one.text == "HOUSE"):
            left = text.x - {"l": 0.0, "c": 6.0, "r": 12.0}[text.anchor]
            named += 1
            assert not seen.exterior.intersects(box(left, text.y - text.h, left + 12.0, text.y)), sheet.id
    assert named >= 1
