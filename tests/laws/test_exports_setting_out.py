"""Set-out points as a table and as LandXML: read back, they fix the pegs where the plan has them."""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from datetime import date
from io import StringIO
from math import dist
from typing import Any
from xml.etree import ElementTree as Tree

import numpy as np
import pytest

from demo_plans import demo
from lynchet.drawings.model import Text
from lynchet.drawings.setting_sheet import setting_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.exports.csv_text import csv_text
from lynchet.exports.landxml import NAMESPACE, setting_xml
from lynchet.exports.setting_csv import setting_csv
from lynchet.ground.elevation_landxml import parse_landxml
from lynchet.plan.effort import LIVE
from lynchet.plan.further_pegs import further_pegs
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.units.measures import FOOT
from lynchet.units.parse import parse
from random_yards import realistic

SEEDS = (3, 4, 7)
"""Turned and mirrored yards, with steps and houses among them."""


@pytest.fixture(scope="module", params=[(seed, units) for seed in SEEDS for units in ("metric", "us")][:5])
def plan(request: pytest.FixtureRequest) -> Plan:
    """A random yard in either system."""
    seed, units = request.param
    return plan_project(replace(realistic(seed)[0], units=units), effort=LIVE)


def _rows(plan: Plan) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(setting_csv(plan))))


def test_two_tapes_from_the_tables_own_corners_meet_at_the_peg(plan: Plan) -> None:
    """Distances between coordinates of the file are the tape lengths beside them, within rounding; all pegs are in."""
    rows, unit = _rows(plan), "ft" if plan.project.units == "us" else "m"
    at = {row["name"]: (float(row[f"x [{unit}]"]), float(row[f"y [{unit}]"])) for row in rows
          if row["kind"] == "known corner"}  # fmt: skip
    pegs = [row for row in rows if row["kind"] == "peg"]
    assert [row["name"] for row in pegs] == [peg.id for peg in plan.walls.setting_out.points] and pegs
    size = FOOT if unit == "ft" else 1.0
    for row, peg in zip(pegs, plan.walls.setting_out.points, strict=True):
        point = float(row[f"x [{unit}]"]), float(row[f"y [{unit}]"])
        for name, tape in ((row["first from"], "first tape"), (row["second from"], "second tape")):
            assert dist(point, at[name]) == pytest.approx(float(row[f"{tape} [{unit}]"]), abs=3e-4)
            if unit == "ft":
                read = parse(row[f"{tape} as read"], "length", "us")
                assert read == pytest.approx(float(row[f"{tape} [ft]"]) * FOOT, abs=FOOT / 12 / 15)
        assert dist([value * size for value in point], plan.project.frame.outward(peg.point_m)) < 1e-4


def test_a_pegs_level_is_the_underside_of_timber_there(plan: Plan) -> None:
    """The lowest piece whose outline comes near the peg starts at the level of its row; below the mark adds up."""
    unit = "ft" if plan.project.units == "us" else "m"
    size = FOOT if unit == "ft" else 1.0
    legs = {leg.id for leg in plan.walls.legs}
    for row in _rows(plan):
        if row["kind"] != "peg":
            continue
        level, leg = float(row[f"level [{unit}]"]) * size, row["name"].rpartition(".")[0]
        assert leg in legs
        below = float(row[f"below benchmark [{unit}]"]) * size
        assert level + below == pytest.approx(plan.walls.setting_out.benchmark_m, abs=2e-4)
        bottoms = {round(piece.bottom_m, 3) for piece in plan.pieces if piece.leg == leg}
        assert min(abs(level - bottom) for bottom in bottoms) < 2e-3


# LandXML 1.2 as recalled (MEMORY): element, its parents, attributes it must have, children in order.
_ELEMENTS: dict[str, tuple[set[str], set[str], tuple[str, ...]]] = {
    "LandXML": (set(), {"version", "date", "time"},
                ("Units", "Project", "Application", "CgPoints", "Surfaces")),
    "Units": ({"LandXML"}, set(), ("Metric", "Imperial")),
    "Metric": ({"Units"}, {"areaUnit", "linearUnit", "volumeUnit", "temperatureUnit", "pressureUnit"}, ()),
    "Imperial": ({"Units"}, {"areaUnit", "linearUnit", "volumeUnit", "temperatureUnit", "pressureUnit"}, ()),
    "Project": ({"LandXML"}, {"name"}, ()),
    "Application": ({"LandXML"}, {"name"}, ()),
    "CgPoints": ({"LandXML"}, set(), ("CgPoint",)),
    "CgPoint": ({"CgPoints"}, set(), ()),
    "Surfaces": ({"LandXML"}, set(), ("Surface",)),
    "Surface": ({"Surfaces"}, {"name"}, ("Definition",)),
    "Definition": ({"Surface"}, {"surfType"}, ("Pnts", "Faces")),
    "Pnts": ({"Definition"}, set(), ("P",)),
    "P": ({"Pnts"}, {"id"}, ()),
    "Faces": ({"Definition"}, set(), ("F",)),
    "F": ({"Faces"}, set(), ()),
}  # fmt: skip
_WORDS = {
    "linearUnit": {"meter", "foot"}, "areaUnit": {"squareMeter", "squareFoot"},
    "volumeUnit": {"cubicMeter", "cubicFeet"}, "temperatureUnit": {"celsius", "fahrenheit"},
    "pressureUnit": {"HPA", "inHG"}, "angularUnit": {"decimal degrees"}, "directionUnit": {"decimal degrees"},
    "surfType": {"TIN"}, "readOnly": {"true", "false"}, "version": {"1.2"},
}  # fmt: skip


def _name(element: Tree.Element) -> str:
    assert element.tag.startswith(f"{{{NAMESPACE}}}")
    return element.tag.rpartition("}")[2]


def _conforms(element: Tree.Element) -> None:
    name = _name(element)
    _, wanted, children = _ELEMENTS[name]
    assert wanted <= set(element.keys()), name
    for key, words in _WORDS.items():
        if element.get(key) is not None and name != "Application":
            assert element.get(key) in words, (name, key)
    order = [children.index(_name(child)) for child in element]
    assert order == sorted(order), name
    for child in element:
        assert name in _ELEMENTS[_name(child)][0]
        _conforms(child)


def test_landxml_has_the_elements_of_its_schema_in_order(plan: Plan) -> None:
    """Names, parents, needed attributes, order, words of enumerations; names of points and surfaces once each."""
    root = Tree.fromstring(setting_xml(plan))
    assert _name(root) == "LandXML"
    _conforms(root)
    for kind in ("CgPoint", "Surface"):
        names = [one.get("name") for one in root.iter(f"{{{NAMESPACE}}}{kind}")]
        assert len(names) == len(set(names)) > 0


def test_landxml_points_and_surfaces_read_back_to_the_plan(plan: Plan) -> None:
    """Our own reader gives the measured ground and flat beds of the plan's area; pegs are northing, easting, level."""
    text, frame = setting_xml(plan), plan.project.frame
    read = parse_landxml(text, None, "ground before")
    surface = plan.ground.surface
    expected = np.array([(*frame.outward((x, y)), z) for x, y, z in surface.points.tolist()])
    assert np.abs(read.points - expected).max() < 1e-5
    assert read.triangles is not None and len(read.triangles) == len(surface.triangles)
    for bed in plan.terraces.beds:
        read = parse_landxml(text, None, f"{bed.id} finished")
        assert np.abs(read.points[:, 2] - bed.level_m).max() < 1e-5
        a, b, c = (read.points[read.triangles][:, i, :2] for i in range(3))
        area = np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum() / 2
        assert area == pytest.approx(bed.polygon.area, abs=1e-3)
    size = FOOT if plan.project.units == "us" else 1.0
    points = {one.get("name"): one.text for one in Tree.fromstring(text).iter(f"{{{NAMESPACE}}}CgPoint")}
    for peg in plan.walls.setting_out.points:
        north, east, _ = (float(word) * size for word in str(points[peg.id]).split())
        assert (east, north) == pytest.approx(frame.outward(peg.point_m), abs=1e-5)


def test_a_name_xml_cannot_hold_is_cleaned(plan: Plan) -> None:
    """Control letters and angle brackets in a yard's name leave a file that can be read."""
    odd = replace(plan, project=replace(plan.project, name='a <b> & "c" \x00\x0b é'))
    root = Tree.fromstring(setting_xml(odd))
    assert root.find(f"{{{NAMESPACE}}}Project").get("name") == 'a <b> & "c"  é'  # type: ignore[union-attr]


@pytest.mark.parametrize(("cell", "text"), [
    (None, ""), (1.23456, "1.2346"), (-0.00001, "0"), (2.0, "2"), (7, "7"), ("a,b", '"a,b"'), ('5"', '"5"""'),
    ("=1+1", "'=1+1"), ("@x", "'@x"), ("two\nlines", '"two\nlines"'), ("", ""),
])  # fmt: skip
def test_cells(cell: Any, text: str) -> None:
    """Cells as RFC 4180 quotes them; text that a spreadsheet would compute is led by an apostrophe."""
    assert csv_text(("head", "x"), [(cell, "x")]) == f"head,x\r\n{text},x\r\n"


def test_marks_of_the_rod_are_told_with_their_unit_and_courses(plan: Plan) -> None:
    """Each mark in words, with its unit, is the number beside it in the unit of its head, and is the top of the courses
    it names: their runs end so far over the underside of the lowest timber."""
    unit = "ft" if plan.project.units == "us" else "m"
    low = min(run.bottom_m for run in plan.walls.runs)
    tops = {f"{run.leg} {run.row}": run.top_m - low for run in plan.walls.runs}
    marks = [row for row in _rows(plan) if row["kind"] == "rod mark"]
    assert len(marks) == len(plan.walls.setting_out.gauge_m) > 0
    for row in marks:
        said, _, courses = row["what"].partition(" above the underside of the lowest timber; top of ")
        assert said.endswith(" in" if unit == "ft" else " m")
        size = FOOT if unit == "ft" else 1.0
        high = float(row[f"first tape [{unit}]"]) * size
        assert parse(said, "length", plan.project.units) == pytest.approx(high, abs=0.0017)
        assert row["first from"] == "foot of the rod" and courses
        for name in courses.split(", "):
            assert tops[name] == pytest.approx(high, abs=0.004), name


def test_the_setting_out_plan_explains_the_points_that_are_on_it_and_no_others(plan: Plan) -> None:
    """Its legend names a kind of point, by what its names begin with, where there is one."""
    sheet = setting_sheet(plan, Stamp())
    assert sheet is not None
    said = " ".join(item.text for item in sheet.marks if isinstance(item, Text) and item.id.startswith("note-"))
    names = [one.peg.id for one in further_pegs(plan) if one.kind != "heap"]
    assert names
    for sign, words in (("S", "corners of steps"), ("OUT", "outlets"), ("P", "pipes"), ("R", "pipes from roofs"),
                        ("C", "cut-off drains"), ("Z", "where timber and stone are set down")):  # fmt: skip
        there = any(re.fullmatch(rf"{sign}[\d.].*|{sign}", name) and ".c" not in name for name in names)
        assert (f" {sign}: {words}" in said) == there, (sign, names)
    assert ("D with c: cleanouts" in said) == any(".c" in name for name in names)


def test_the_date_is_that_of_the_issue() -> None:
    """A file that says its day of issue is written alike on any day."""
    plan = demo("l_garden")
    dated = replace(plan, project=replace(plan.project, sheet=replace(plan.project.sheet, date="2027-02-11")))
    assert Tree.fromstring(setting_xml(dated)).get("date") == "2027-02-11"
    assert Tree.fromstring(setting_xml(dated, date(2027, 3, 1))).get("date") == "2027-03-01"
