"""Law: banks drawn, pegged in setting-out.csv and LandXML, and said in ``plan.json`` are the same banks.

Each is read back from what is written; each reading is shown a doctored copy, which it must refuse.
"""

from __future__ import annotations

import csv
import io
import json
import re
import unicodedata
from itertools import pairwise
from math import dist, hypot
from typing import Any
from xml.etree import ElementTree as Tree

import pytest
import shapely

from by_command import changed
from lynchet.book.texts import Words
from lynchet.core.plane import distance_to_segment
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.sheets import drawn_sheets
from lynchet.drawings.step_pictures import step_view
from lynchet.exports.landxml import setting_xml
from lynchet.exports.plan_json import plan_json
from lynchet.exports.setting_csv import setting_csv
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load
from lynchet.project.read import checked

OFF_M = 0.025
"""Soil is raked no straighter than 2 cm; figures are written to a millimetre."""
FOOT_M = 0.3048
_LINE = re.compile(r"M([-\d.]+) ([-\d.]+)((?:L[-\d.]+ [-\d.]+)+)")
Toe = list[tuple[float, float, float]]


@pytest.fixture(scope="module", params=["us", "metric", "turned"])
def plan(request: Any, tmp_path_factory: Any) -> Plan:
    """Benches with walls in feet, one bench without a wall in metres, and benches askew in the file."""
    us = request.param != "metric"
    wide, edges = ("5 ft", (0, 1, 3)) if us else ("1.5 m", (0, 1, 2, 3))
    rows = ", ".join(f'{{ from = {edge}, finish = "bank", width = "{wide}" }}' for edge in edges)
    area = 'length = "20 ft"\ndepth = "14 ft"' if us else 'length = "6 m"\ndepth = "4 m"'
    if request.param == "turned":
        area = "outline = [[3, 2], [22, 8], [17, 22], [-2, 16]]"
    change = {'length = "20 ft"\ndepth = "14 ft"': f"{area}\nedges = [{rows}]", '"8 %"': '"12 %"'}
    if not us:
        change |= {'units = "us"': 'units = "metric"', "terraces = 2": "terraces = 1",
                   '5 1/2 in x 5 1/2 in': "140 mm x 140 mm", '["8 ft", "12 ft"]': '["2.4 m", "3.6 m"]'}  # fmt: skip
    made = plan_project(checked(load(changed(tmp_path_factory.mktemp("banks"), "plain.toml", change)), []), effort=LIVE)
    assert len(made.walls.banks) > 3 and bool(made.walls.runs) == us
    return made


def _known(plan: Plan) -> dict[str, list[Toe]]:
    """Lines where banks and their ends round fronts come down, by edge, from the plan's own data."""
    found: dict[str, list[Toe]] = {}
    walls = json.loads(plan_json(plan))["walls"]
    for bank in [*walls["banks"], *walls["bank_ends"]]:
        toe = [(x, y, z) for (x, y), z in zip(bank["toe_m"], bank["toe_levels_m"], strict=True)]
        found.setdefault(bank["line"], []).append(toe)
    return found


def _seen_m(plan: Plan) -> float:
    """How long these lines are, as far as no later end lies over them."""
    walls = json.loads(plan_json(plan))["walls"]
    ends = [shapely.Polygon([*one["toe_m"], *reversed(one["edge_m"])]).buffer(0) for one in walls["bank_ends"]]
    rows = [(bank["toe_m"], ends) for bank in walls["banks"]]
    rows += [(one["toe_m"], ends[n + 1 :]) for n, one in enumerate(walls["bank_ends"])]
    return sum(shapely.LineString(toe).difference(shapely.union_all(over).buffer(-0.002)).length for toe, over in rows)


def _rows(text: str, kinds: tuple[str, ...]) -> dict[str, list[str]]:
    return {row[1]: row for row in csv.reader(io.StringIO(text)) if row[0] in kinds}


def _pegs(plan: Plan, text: str) -> dict[str, tuple[float, float, float]]:
    unit = FOOT_M if plan.project.units == "us" else 1.0
    return {name: tuple(float(cell) * unit for cell in row[3:6])  # type: ignore[misc]
            for name, row in _rows(text, ("bank",)).items()}  # fmt: skip


def _wrong(pegs: dict[str, tuple[float, float, float]], known: dict[str, list[Toe]]) -> list[str]:
    """Pegs off their line in plan or height, and corners of lines without a peg."""
    found = []
    for name, (x, y, level) in pegs.items():
        toes = known.get(name.partition(".")[0], [])
        near = [(a, b) for toe in toes for a, b in pairwise(toe) if distance_to_segment((x, y), a[:2], b[:2]) < OFF_M]
        if not any(min(a[2], b[2]) - OFF_M < level < max(a[2], b[2]) + OFF_M for a, b in near):
            found.append(f"{name} is no point of its bank")
    spots = [(x, y) for x, y, _ in pegs.values()]
    for line, toes in known.items():
        for end in (end for toe in toes for end in (toe[0], toe[-1])):
            if not any(dist(end[:2], spot) < OFF_M for spot in spots):
                found.append(f"an end of a bank at {line} has no peg")
    return found


def test_pegs_of_banks_are_those_of_the_plan(plan: Plan) -> None:
    """setting-out.csv: every peg on its line, every end pegged, the tapes as long as the way between coordinates."""
    text, known = setting_csv(plan), _known(plan)
    pegs = _pegs(plan, text)
    assert _wrong(pegs, known) == []
    name, (x, y, level) = next(iter(pegs.items()))
    assert _wrong({**pegs, name: (x, y, level + 0.2)}, known) and _wrong(
        {**pegs, name: (x + 0.2, y - 0.2, level)}, known
    )
    assert _wrong(dict(list(pegs.items())[1:]), known)
    unit = FOOT_M if plan.project.units == "us" else 1.0
    corners = {key: (float(row[3]) * unit, float(row[4]) * unit) for key, row in _rows(text, ("known corner",)).items()}
    for name, row in _rows(text, ("bank",)).items():
        for corner, tape in ((row[7], row[8]), (row[9], row[10])):
            assert float(tape) * unit == pytest.approx(dist(corners[corner], pegs[name][:2]), abs=0.003), name


def test_instruments_get_the_same_points(plan: Plan) -> None:
    """LandXML: northing, easting, level of the table."""
    pegs, unit = _pegs(plan, setting_csv(plan)), FOOT_M if plan.project.units == "us" else 1.0
    points = {point.get("name"): [float(value) * unit for value in (point.text or "").split()]
              for point in Tree.fromstring(setting_xml(plan)).iter() if point.get("code") == "bank"}  # fmt: skip
    assert set(points) == set(pegs)
    for name, (x, y, level) in pegs.items():
        assert points[name] == pytest.approx([y, x, level], abs=2e-3)


def test_banks_are_drawn_as_long_as_they_are(plan: Plan) -> None:
    """Terraces plan and setting-out plan: lines of the bank's pen, measured with a ruler at the sheet's own scale."""
    long = _seen_m(plan)
    sheets = {one.name: one for one in drawn_sheets(plan)}
    for name in ("terraces", "setting-out"):
        layer = re.search(r'<g data-layer="bank">(.*?)</g>', sheets[name].svg(), re.S)
        assert layer is not None, name
        drawn = [path for path in re.findall(r"<path[^>]*>", layer[1]) if 'stroke-width="0.18"' in path]
        size = sum(_length(path) for path in drawn) / 1000.0 * _scale(sheets[name].sheet.fields.scale)
        assert size == pytest.approx(long, rel=0.005), name


def _scale(words: str) -> float:
    """1 : n of a scale as the sheet says it: "1 : 50", "¼ in = 1 ft", "1 in = 10 ft"."""
    if " : " in words:
        return float(words.split(" : ")[1])
    inch, foot = words.split(" = ")
    return 12.0 * float(foot.split()[0]) / _inches(inch.split()[0])


def _inches(words: str) -> float:
    """A fraction as one sign or two with a slash between: NFKC spells it out."""
    top, _, bottom = unicodedata.normalize("NFKC", words).replace("\u2044", "/").partition("/")
    return float(top) / float(bottom or 1)


def _length(path: str) -> float:
    total = 0.0
    for x, y, rest in _LINE.findall(path):
        points = [(float(x), float(y)), *((float(a), float(b)) for a, b in re.findall(r"L([-\d.]+) ([-\d.]+)", rest))]
        total += sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))
    return total


def test_days_peg_and_show_the_banks(plan: Plan) -> None:
    """One day tells their pegs; a day on which soil is shaped there and no timber is laid names them in its picture."""
    days = day_contents(plan, Words("en"))
    told = [step.text for day in days for step in day.steps if "banks outside" in step.text]
    assert len(told) == 1 and all(f"{line}.t1" in told[0] for line in _known(plan))
    seen = [step_view(plan, day.number, (0.0, 0.0, 180.0, 110.0)) for day in plan.works.days
            if {"bench", "fill", "bed soil"} & {plan.works.task(step.task).kind for step in day.steps}]  # fmt: skip
    words = [" ".join(item.lines if hasattr(item, "lines") else (getattr(item, "text", ""),))
             for view in seen for item in view.items]  # fmt: skip
    assert any("bank" in text for text in words)
