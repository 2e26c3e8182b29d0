"""Tapes lead to one place: from what is told alone, hooks that are on site and the side, every point is found again."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from functools import cache
from io import StringIO
from math import dist, sqrt
from xml.etree import ElementTree as Tree

import pytest
import shapely

from demo_plans import DEMOS, demo
from lynchet.book.blocks import Table
from lynchet.book.parts.setting_card import setting_card
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.exports.geojson import place_on_earth, plan_geojson
from lynchet.exports.landxml import NAMESPACE, setting_xml
from lynchet.exports.setting_csv import setting_csv
from lynchet.plan.effort import LIVE
from lynchet.plan.heap_places import heap_places
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text
from lynchet.units.format import DIGGING, length
from lynchet.units.measures import FOOT
from lynchet.units.parse import parse
from random_yards import realistic

Point = tuple[float, float]
SEEDS = (0, 4, 11, 12)
"""Turned and mirrored yards, with steps and houses among them."""
INSET = """
lynchet = 1
units = "{units}"
[site]
latitude = 48.0
longitude = 9.0
north = 15
[ground]
slope = {{ fall = "1 in 6", cross_fall = "1 in 40" }}
held = "level"
[area]
outline = {outline}
edges = [{{ from = 0, inset = "0.5 m" }}, {{ from = 1, inset = "2 m", finish = "open" }}]
[[house]]
outline = [[-0.5 , 9], [4, 9], [4, 15], [-0.5, 15]]
"""
_OUTLINE = "[[1, 1], [12, 0.5], [12, 8.5], [0, 9]]"
_TURNED = "[[0, 9], [12, 8.5], [12, 0.5], [1, 1]]"


def inset_yard(units: str = "metric", *, turned: bool = False) -> Plan:
    """A yard with two edges moved in; plain lengths are metres or feet as its units say."""
    text = INSET.format(units="metric", outline=_TURNED if turned else _OUTLINE)
    return plan_project(replace(read_project_text(text, "inset.toml"), units=units), effort=LIVE)


@pytest.fixture(scope="module", params=["metric", "us"])
def inset(request: pytest.FixtureRequest) -> Plan:
    """The yard with an inset in either system."""
    return inset_yard(request.param)


@cache
def _plans() -> tuple[Plan, ...]:
    drawn = [replace(realistic(seed)[0], units=("metric", "us")[n % 2]) for n, seed in enumerate(SEEDS)]
    yards = [inset_yard("metric"), inset_yard("us"), inset_yard(turned=True)]
    return (*(plan_project(project, effort=LIVE) for project in drawn), *yards)


def found_again(a: Point, first: float, b: Point, second: float, side: str) -> Point:
    """Where two tapes meet on the told side: left or right as one looks from a to b; in line: on the line itself."""
    d = dist(a, b)
    along = (first**2 - second**2 + d**2) / (2 * d)
    off = sqrt(max(0.0, first**2 - along**2)) * {"left": 1.0, "right": -1.0, "in line": 0.0}[side]
    x, y = (b[0] - a[0]) / d, (b[1] - a[1]) / d
    return a[0] + along * x - off * y, a[1] + along * y + off * x


def test_every_point_of_the_card_is_found_again_from_what_is_printed() -> None:
    """Hooks by their names in the file, two lengths and a side as the book prints them: the peg, to a few times the
    eighth of an inch or millimetre of the print, where the tapes cross at 20 degrees or better; the other side is
    wrong wherever a side is told."""
    badly = total = 0
    for plan in _plans():
        out, card, units = plan.project.frame.outward, plan.walls.setting_out, plan.project.units
        hooks = {name: out(point) for name, point in card.known_m}
        table = next(block for block in setting_card(plan, Words("en")) if isinstance(block, Table))
        at = {peg.id: out(peg.point_m) for peg in (*card.points, *card.moved)}
        assert len(table.rows) == len(at)
        for name, _, from_a, first, from_b, second, side in table.rows:
            far = [parse(text, "length", units) for text in (first, second)]
            found = found_again(hooks[from_a], far[0], hooks[from_b], far[1], side)
            miss, total = dist(found, at[name]), total + 1
            badly += miss > 0.012
            assert miss < 0.05, (plan.project.name, name, miss)
            if side != "in line":
                other = found_again(hooks[from_a], far[0], hooks[from_b], far[1], {"left": "right"}.get(side, "left"))
                assert dist(other, at[name]) > miss
    assert badly <= total / 20


def test_no_tape_goes_through_a_house() -> None:
    """The line of every tape keeps out of every house, a hand's breadth of drawing left aside."""
    seen = 0
    for plan in _plans():
        known = dict(plan.walls.setting_out.known_m)
        if not plan.project.houses:
            continue
        houses = shapely.union_all([shapely.Polygon(house.outline_m) for house in plan.project.houses])
        for peg in plan.walls.setting_out.points:
            for corner in (peg.from_a, peg.from_b):
                inside = shapely.intersection(shapely.LineString([known[corner], peg.point_m]), houses)
                assert shapely.difference(inside, shapely.buffer(houses.boundary, 0.08)).length < 1e-6
                seen += 1
    assert seen


@pytest.mark.parametrize("name", DEMOS)
def test_the_heap_of_the_day_sheets_is_found_again(name: str) -> None:
    """The first day says both tapes to the half inch and the side; they lead to the heap's middle on the plan."""
    plan, words = demo(name), Words("en")
    known = {corner: plan.project.frame.outward(point) for corner, point in plan.walls.setting_out.known_m}
    told = " ".join(step.text for step in day_contents(plan, words)[0].steps)
    for place in heap_places(plan):
        if place.middle is None:
            continue
        peg, units = place.middle, plan.project.units
        first, second = (length(far, units, DIGGING) for far in (peg.distance_a_m, peg.distance_b_m))
        far = [parse(text, "length", units) for text in (first, second)]
        found = found_again(known[peg.from_a], far[0], known[peg.from_b], far[1], peg.side)
        assert dist(found, plan.project.frame.outward(peg.point_m)) < 0.06
        if place.id == "heap":
            assert words("day.heap." + peg.side.replace(" ", "_")) in told


def test_with_an_inset_tapes_hang_on_the_corners_the_file_draws(inset: Plan) -> None:
    """A hook named corner 1 of the area lies where the file has it; every moved corner is a point to be set out."""
    out, card = inset.project.frame.outward, inset.walls.setting_out
    drawn = {"area, corner 0": (1.0, 1.0), "area, corner 1": (12.0, 0.5), "area, corner 2": (12.0, 8.5),
             "area, corner 3": (0.0, 9.0)}  # fmt: skip
    known = {name: out(point) for name, point in card.known_m}
    assert {name: known[name] for name in drawn} == {name: pytest.approx(at, abs=1e-4) for name, at in drawn.items()}
    outline = [out(point) for point in inset.project.area.outline_m]
    moved = {f"moved corner {i}": outline[i] for i in range(4) if dist(outline[i], drawn[f"area, corner {i}"]) > 0.002}
    assert set(moved) == {"moved corner 0", "moved corner 1", "moved corner 2"}
    assert {peg.id: out(peg.point_m) for peg in card.moved} == {k: pytest.approx(v, abs=1e-4) for k, v in moved.items()}
    assert card.benchmark_at_m is not None and out(card.benchmark_at_m) == pytest.approx((1.0, 1.0), abs=1e-4)


def test_files_of_the_card_agree_about_an_inset(inset: Plan) -> None:
    """setting-out.csv, LandXML and the map have the same hooks and moved corners; the map hangs on corner 0."""
    card, out = inset.walls.setting_out, inset.project.frame.outward
    wanted = dict(card.known_m) | {peg.id: peg.point_m for peg in card.moved}
    unit, size = ("ft", FOOT) if inset.project.units == "us" else ("m", 1.0)
    rows = {row["name"]: row for row in csv.DictReader(StringIO(setting_csv(inset)))
            if row["kind"] in ("known corner", "moved corner")}  # fmt: skip
    points = {one.get("name"): str(one.text) for one in
              Tree.fromstring(setting_xml(inset)).iter(f"{{{NAMESPACE}}}CgPoint")}  # fmt: skip
    assert set(rows) == set(wanted) <= set(points)
    place = place_on_earth(inset)
    assert place is not None
    features = {one["id"]: one for one in json.loads(plan_geojson(inset, place))["features"]}
    assert features["area, corner 0"]["geometry"]["coordinates"] == pytest.approx([9.0, 48.0], abs=1e-9)
    for name, at in wanted.items():
        x, y = out(at)
        assert (float(rows[name][f"x [{unit}]"]) * size, float(rows[name][f"y [{unit}]"]) * size) == pytest.approx(
            (x, y), abs=1e-4
        )
        north, east = (float(word) * size for word in points[name].split()[:2])
        assert (east, north) == pytest.approx((x, y), abs=1e-4)
        assert features[name]["geometry"]["coordinates"] == pytest.approx(place.lon_lat((x, y)), abs=1e-9)
    for peg in card.moved:
        assert rows[peg.id]["first from"] == peg.from_a and rows[peg.id]["side"] == peg.side


def test_check_tapes_say_what_they_are(inset: Plan) -> None:
    """A diagonal joins opposite corners of a bed with four; every end is a mark somebody can find."""
    seen = set()
    for plan in (inset, *(demo(name) for name in DEMOS)):
        card = plan.walls.setting_out
        marks = {peg.id: peg.point_m for peg in (*card.points, *card.moved)} | dict(card.known_m)
        for tape in card.check_tapes:
            assert dist(marks[tape.from_point], marks[tape.to_point]) == pytest.approx(tape.distance_m, abs=5e-3)
            seen.add(tape.what)
            if tape.what != "diagonal":
                continue
            bed = next(bed for bed in plan.terraces.beds if bed.id == tape.bed)
            ring = shapely.simplify(shapely.Polygon(bed.outline_m), 0.002)
            assert len(shapely.normalize(ring).exterior.coords) - 1 in (4, 5)  # it may begin on a side
        told = " ".join(str(block) for block in setting_card(plan, Words("en")))
        assert "iagonals" not in told
    assert "diagonal" in seen
