"""Steps, pipes, drop zone and heaps can be set out: from what is told alone each place is found again."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from functools import cache
from io import StringIO
from math import dist
from xml.etree import ElementTree as Tree

import numpy as np
import pytest
import shapely
from test_walls_tapes import found_again

from demo_plans import DEMOS, demo
from lynchet.book.blocks import Table
from lynchet.book.parts.setting_card import setting_card
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Text
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.exports.geojson import place_on_earth, plan_geojson
from lynchet.exports.landxml import NAMESPACE, setting_xml
from lynchet.exports.setting_csv import setting_csv
from lynchet.plan.effort import LIVE
from lynchet.plan.flight_places import flight_places
from lynchet.plan.further_pegs import further_pegs
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text
from lynchet.units.measures import FOOT, System
from lynchet.units.parse import parse

Point = tuple[float, float]
YARD = """
lynchet = 1
units = "{units}"
[site]
latitude = 48.0
longitude = 9.0
north = 15
[ground]
held = "level"
slope = {{ fall = "1 in 4.5", cross_fall = "1 in 40" }}
[area]
outline = {outline}
[[house]]
outline = [[0, 10.5], [10, 10.5], [10, 16], [0, 16]]
[[steps]]
name = "left way"
line = [[3, -1], [3.4, 9.4]]
width = "1.1 m"
[[steps]]
name = "right way"
line = [[9.3, -1], [9.3, 9.4]]
width = "0.9 m"
[drain]
outlet = [[1, -5]]
[brief]
terraces = 3
path_strip = "0.6 m"
"""
_OUTLINE = "[[0, 0.5], [12, 0], [12.4, 8], [0.3, 9]]"
_TURNED = "[[0.3, 9], [12.4, 8], [12, 0], [0, 0.5]]"


@cache
def yard(units: str, outline: str) -> Plan:
    """A yard with two ways up between its walls, drained to the street; all lengths are said in metres."""
    project = read_project_text(YARD.format(units="metric", outline=outline), "ways.toml")
    return plan_project(replace(project, units=units), effort=LIVE)  # type: ignore[arg-type]


@pytest.fixture(scope="module", params=[("metric", _OUTLINE), ("us", _TURNED)])
def plan(request: pytest.FixtureRequest) -> Plan:
    """The yard in either system, and drawn the other way round."""
    return yard(*request.param)


def _placed(plan: Plan) -> list[tuple[str, Point]]:
    """What must be among the points, from the plan's own bodies: kind and place."""
    timber = shapely.union_all([run.polygon for run in plan.walls.runs])
    wanted: list[tuple[str, Point]] = []
    for flight in plan.terraces.flights:
        wanted += [("steps", at) for tread in flight.treads[:1] for at in tread.outline_m
                   if shapely.distance(timber, shapely.Point(at)) > 0.1]  # fmt: skip
    wanted += [("outlet", one.point_m) for one in plan.water.outlets]
    wanted += [("cleanout", one.point_m) for one in plan.water.fittings if one.kind == "cleanout"]
    solids = {solid.id for solid in plan.water.solids}
    wanted += [("pipe", one.point_m) for one in plan.water.fittings if one.drain in solids and "bend" in one.kind]
    zone = plan.earth.drop_zone
    return wanted + [("drop zone", at) for at in (zone.outline_m if zone else ())]


def test_every_place_of_steps_and_pipes_is_among_the_points(plan: Plan) -> None:
    """Corners of lowest treads clear of timber, outlets, bends of solid pipes, cleanouts, the drop zone's corners."""
    points = further_pegs(plan)
    wanted = _placed(plan)
    assert {"steps", "outlet", "pipe", "cleanout", "drop zone"} <= {one.kind for one in points}
    for kind, at in wanted:
        near = [one for one in points if dist(one.peg.point_m, at) < 0.03]
        assert any(one.kind in (kind, "outlet") for one in near), (kind, at)
    assert len({one.peg.id for one in points}) == len(points)


def test_the_card_leads_to_every_point(plan: Plan) -> None:
    """Two lengths and a side as the book prints them find each point again, to a few times the print's fineness."""
    out, units = plan.project.frame.outward, plan.project.units
    hooks = {name: out(at) for name, at in plan.walls.setting_out.known_m}
    heads = Words("en").many("setting.further_heads")
    table = next(
        block for block in setting_card(plan, Words("en")) if isinstance(block, Table) and block.heads == heads
    )
    points = {one.peg.id: one for one in further_pegs(plan)}
    assert [row[0] for row in table.rows] == list(points)
    for name, _, from_a, first, from_b, second, side, level in table.rows:
        far = [parse(text, "length", units) for text in (first, second)]
        found = found_again(hooks[from_a], far[0], hooks[from_b], far[1], side)
        assert dist(found, out(points[name].peg.point_m)) < 0.05, name
        mark, own = plan.walls.setting_out.benchmark_m, points[name].level_m
        assert (level == "") == (own is None)
        if own is not None:
            size, _, way = level.rpartition(" ")
            told = 0.0 if way == "it" else parse(size, "length", units) * (1.0 if way == "below" else -1.0)
            assert told == pytest.approx(mark - own, abs=0.004)


def test_files_hold_the_same_points(plan: Plan) -> None:
    """setting-out.csv, LandXML and the map give every point where the plan has it, with its level."""
    out = plan.project.frame.outward
    unit, size = ("ft", FOOT) if plan.project.units == "us" else ("m", 1.0)
    rows = {row["name"]: row for row in csv.DictReader(StringIO(setting_csv(plan)))}
    xml = {one.get("name"): str(one.text).split() for one in
           Tree.fromstring(setting_xml(plan)).iter(f"{{{NAMESPACE}}}CgPoint")}  # fmt: skip
    place = place_on_earth(plan)
    assert place is not None
    features = {one["id"]: one for one in json.loads(plan_geojson(plan, place))["features"]}
    for one in further_pegs(plan):
        name, at = one.peg.id, out(one.peg.point_m)
        row = rows[name]
        assert row["kind"] == one.kind and row["side"] == one.peg.side
        assert [float(row[f"{axis} [{unit}]"]) * size for axis in "xy"] == pytest.approx(at, abs=1e-4)
        north, east, *level = (float(word) * size for word in xml[name])
        assert (east, north) == pytest.approx(at, abs=1e-4)
        assert level == pytest.approx([] if one.level_m is None else [one.level_m], abs=1e-4)
        feature = features[f"{one.kind} {name}"]
        assert feature["geometry"]["coordinates"] == pytest.approx(place.lon_lat(at), abs=1e-9)


def test_a_flight_is_told_along_its_wall_where_its_treads_are(plan: Plan) -> None:
    """From the left end of the wall's finished timber as one stands below it, by rulers laid on the plan as drawn."""
    out, places = plan.project.frame.outward, flight_places(plan)
    assert {place.flight for place in places} == {flight.id for flight in plan.terraces.flights}
    legs = {leg.id: leg for leg in plan.walls.legs}
    seen = 0
    for place in places:
        flight = next(one for one in plan.terraces.flights if one.id == place.flight)
        if not flight.treads:
            continue
        a, b = (np.array(out(at)) for at in (legs[place.leg].start_m, legs[place.leg].end_m))
        zero = np.array(out((0.0, 0.0)))
        up = np.array(out(flight.direction)) - zero
        way = (b - a) / np.hypot(*(b - a))
        right = way if way[0] * up[1] - way[1] * up[0] > 0 else -way  # looking up, right is clockwise of up
        timber = [np.array(out(at)) @ right for run in plan.walls.runs if run.leg == place.leg
                  for at in shapely.get_coordinates(run.polygon)]  # fmt: skip
        treads = [np.array(out(at)) @ right - min(timber) for tread in flight.treads for at in tread.outline_m]
        assert (place.left_m, place.right_m) == pytest.approx((min(treads), max(treads)), abs=0.03)
        seen += 1
    assert seen


def test_wall_and_day_sheets_say_where_steps_stand(plan: Plan) -> None:
    """Each sheet of a wall names every flight over it with both sides' places; so does the day that builds it."""
    figures = Figures(plan.project.units)
    planned: Planned = plan
    notes = [" ".join([*sheet.notes, *(one.text for one in sheet.marks if isinstance(one, Text))])
             for sheet in wall_sheets(planned, Stamp())]  # fmt: skip
    told = " ".join(" ".join((step.text, *step.more)) for day in day_contents(plan, Words("en")) for step in day.steps)
    for place in flight_places(plan):
        left, right = figures.height(place.left_m), figures.height(place.right_m)
        row = re.compile(".{1,14}?".join(re.escape(text) for text in (place.flight, place.leg, left, right)))
        assert any(row.search(note) for note in notes), place
        flight = next(one for one in plan.terraces.flights if one.id == place.flight)
        if flight.treads:
            assert f"{place.flight} (wall {place.leg}, " in told


@pytest.mark.parametrize("name", DEMOS)
def test_the_first_day_leads_to_the_drop_zone(name: str) -> None:
    """Two corners by tapes, the side it lies on and its size, as told, give the rectangle of the site sheet."""
    plan, words = demo(name), Words("en")
    zone = plan.earth.drop_zone
    text = " ".join(step.text for step in day_contents(plan, words)[0].steps if "drop zone" in step.text)
    if zone is None or not zone.outline_m:
        assert words("day.drop.nowhere") in text
        return
    out, units = plan.project.frame.outward, plan.project.units
    hooks = {_told(name): out(at) for name, at in plan.walls.setting_out.known_m}
    told = _DROP.search(text)
    assert told is not None, text
    size = [parse(_plain(told[key]), "length", units) for key in ("long", "wide")]
    first, second = (_found(told[key], hooks, units) for key in ("first", "second"))
    way = np.array(second) - np.array(first)
    assert np.hypot(*way) == pytest.approx(size[0], abs=0.08)
    off = np.array((-way[1], way[0])) / np.hypot(*way) * size[1] * (1.0 if told["side"] == "left" else -1.0)
    corners = [first, second, tuple(second + off), tuple(first + off)]
    assert max(dist(at, out(wanted)) for at, wanted in zip(corners, zone.outline_m, strict=True)) < 0.15
    named = {one.peg.id: one.peg.point_m for one in further_pegs(plan) if one.kind == "drop zone"}
    assert named == {f"Z{n}": at for n, at in enumerate(zone.outline_m, start=1)}


_DROP = re.compile(
    r"Peg corner Z1 of the drop zone: (?P<first>.*?)\. Peg corner Z2 of the drop zone: (?P<second>.*?)\. "
    r"Mark the drop zone Z1 to Z4, (?P<long>.*?) by (?P<wide>.*?): it lies on the (?P<side>left|right)"
)
_TAPES = re.compile(
    r"(.*?) from (corner \d+ of .*?) and (.*?) from (corner \d+ of .*?)(?:, (left|right) of.*|, in line.*)"
)


def _told(corner: str) -> str:
    """A hook as the day sheets call it."""
    thing, _, number = corner.rpartition(", corner ")
    return f"corner {number} of {'the area' if thing == 'area' else thing}"


def _plain(text: str) -> str:
    return text.replace("\u00bd", " 1/2").replace("\u00a0", " ").replace("\u202f", " ")


def _found(told: str, hooks: dict[str, Point], units: System) -> Point:
    parts = _TAPES.fullmatch(told)
    assert parts is not None, told
    first, second = (parse(_plain(parts[n]), "length", units) for n in (1, 3))
    return found_again(hooks[parts[2]], first, hooks[parts[4]], second, parts[5] or "in line")
