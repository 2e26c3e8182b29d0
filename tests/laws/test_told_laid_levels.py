"""A level that timber is laid to is told to one mark everywhere: an eighth of an inch, a millimetre."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from demo_plans import demo
from lynchet.book.blocks import Table
from lynchet.book.parts.setting_card import setting_card
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.dump import dump
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.units.measures import FOOT, INCH
from lynchet.units.parse import parse

UNITS = ("metric", "us")
HALF_M = {"metric": 0.00051, "us": INCH / 16 + 1e-5}
"""No more than half a mark off, and rounding's own crumbs."""


@cache
def _plan(units: str) -> Plan:
    return plan_project(replace(demo("l_garden").project, units=units), effort=LIVE)  # type: ignore[arg-type]


def _far(told: str, units: str) -> float:
    signs = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
    for sign, plain in signs.items():
        told = told.replace(sign, plain)
    return parse(told.strip(), "length", units)  # type: ignore[arg-type]


@pytest.mark.parametrize("units", UNITS)
def test_the_card_gives_levels_to_the_mark_they_are_laid_to(units: str) -> None:
    """Every underside and top of the card, and every mark of its rod, is within half a mark of the plan's own."""
    plan, words = _plan(units), Words("en")
    card = plan.walls.setting_out
    tables = [block for block in setting_card(plan, words) if isinstance(block, Table)]
    levels, rod = tables[-2], tables[-1]
    wanted = {mark.place: [] for mark in card.levels}
    for mark in card.levels:
        wanted[mark.place].append(abs(mark.below_mark_m))
    for place, _, _, told in levels.rows:
        size = 0.0 if told == words("setting.same") else _far(re.sub(" (below|above)$", "", told), units)
        assert min(abs(size - level) for level in wanted[place]) < HALF_M[units], (place, told)
    for (_, told), at in zip(rod.rows, card.gauge_m, strict=True):
        assert abs(_far(told, units) - at) < HALF_M[units]


@pytest.mark.parametrize("units", UNITS)
def test_the_wall_sheets_give_the_same_levels(units: str) -> None:
    """Every level of the laying order and beside the elevation is the underside or top of a piece, to half a mark."""
    plan = _plan(units)
    ends = sorted({level for piece in plan.pieces for level in (piece.bottom_m, piece.top_m)})
    figures = Figures(plan.project.units)
    wanted = {figures.laid(level) for level in ends}
    told = set()
    for sheet in wall_sheets(plan, Stamp()):
        told |= {text.text for text in lower(sheet).texts if re.fullmatch(r"[+−±][\d.′″½¼¾⅛⅜⅝⅞-]+", text.text)}
        assert dump(sheet, lower(sheet))
    assert told and told & wanted
    for text in told & wanted:
        assert min(abs(_read(text, units) - level) for level in ends) < HALF_M[units]
    rough = {figures.level(level) for level in ends} - wanted
    assert not told & rough


def _read(text: str, units: str) -> float:
    sign = -1.0 if text[0] == "−" else 1.0
    if units == "metric":
        return sign * float(text[1:])
    feet, _, inches = text[1:].rpartition("′-") if "′-" in text else ("0", "", text[1:])
    return sign * (float(feet) * FOOT + _far(inches.replace("″", " in"), "us"))


@pytest.mark.parametrize("units", UNITS)
def test_a_first_course_is_read_to_the_mark_the_card_tells(units: str) -> None:
    """Readings of timber on the day sheets are whole millimetres or eighths, as the card's levels are."""
    seen = 0
    for content in day_contents(_plan(units), Words("en")):
        for read in content.expected.reads:
            seen += 1
            assert re.fullmatch(r"\d+ mm" if units == "metric" else r"(\d+ ft)? ?(\d*[½¼¾⅛⅜⅝⅞]?) in", read.value)
    assert seen
