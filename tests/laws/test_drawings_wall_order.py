"""Beside every wall stands how it is laid: courses from the bottom up with their levels, and where its pins go."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest

from demo_plans import demo
from drawn_yard import yard
from lynchet.drawings.display import Letters
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Sheet, Text
from lynchet.drawings.paper import PAPERS
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Content, Rows, strip
from lynchet.drawings.wall_facts import piece_marks
from lynchet.drawings.wall_pages import legs_on, wall_pages, wall_sheet_ids
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.units.measures import System
from lynchet.walls.seen import seen_of

SYSTEMS: tuple[System, ...] = ("metric", "us")


@cache
def _sheets(units: System) -> tuple[Sheet, ...]:
    return wall_sheets(yard(units), Stamp())


def _said(sheet: Sheet) -> list[str]:
    return [mark.text for mark in lower(sheet).marks if isinstance(mark, Letters)]


@pytest.mark.parametrize("units", SYSTEMS)
def test_every_course_has_its_level_and_every_pin_its_place(units: System) -> None:
    """The sheets of a wall print the underside of each of its courses, its top, and each pin from the left end."""
    plan, figures = yard(units), Figures(units)
    pages, sheets = wall_pages(plan), _sheets(units)
    for leg in wall_sheet_ids(plan):
        line = plan.walls.leg(leg)
        seen = seen_of(line, plan.walls.runs, mirrored=plan.project.frame.mirrored)
        said = [
            word for page, sheet in zip(pages, sheets, strict=True) if leg in legs_on(page) for word in _said(sheet)
        ]
        pieces = [piece for piece in plan.pieces if piece.leg == leg]
        for level in {piece.bottom_m for piece in pieces} | {max(piece.top_m for piece in pieces)}:
            assert figures.laid(level) in said, (leg, level)
        together = " ".join(said)
        for pin in plan.stability.pins_of(leg):
            assert re.search(rf"(?<!\d){re.escape(figures.length(seen.x(pin.station_m)))}(?!\d)", together), pin


@pytest.mark.parametrize("units", SYSTEMS)
def test_every_piece_has_its_length_in_it_or_in_the_list(units: System) -> None:
    """Of a side yard with short pieces every one has its length on the sheet of its wall: in it, else in the list."""
    plan, figures = demo("side_yard"), Figures(units)
    plan = replace(plan, project=replace(plan.project, units=units))
    listed = 0
    for page, sheet in zip(wall_pages(plan), wall_sheets(plan, Stamp()), strict=True):
        inside = {item.id: item.text for view in sheet.views for item in view.items if isinstance(item, Text)}
        _, _, list_words = " ".join([*_said(sheet), *sheet.notes]).partition("Lengths with no room")
        for leg in legs_on(page):
            marks = piece_marks(plan, plan.walls.leg(leg))
            for piece in (one for one in plan.pieces if one.leg == leg):
                long = figures.piece(piece.length_m)
                if inside.get(f"length-{piece.id}") != long:
                    assert f"{marks[piece.id]} {long}" in list_words, (piece.id, long)
                    listed += 1
    assert listed or units == "metric"  # there every length has room


@pytest.mark.parametrize("units", SYSTEMS)
def test_no_word_of_a_wall_sheet_is_cut(units: System) -> None:
    """What has no room is left out in whole lines that say where it stands, never in the middle of a word."""
    plan = demo("side_yard")
    for sheet in wall_sheets(replace(plan, project=replace(plan.project, units=units)), Stamp()):
        assert not [said for said in _said(sheet) if said.endswith("…")]


def test_a_column_takes_from_the_others_what_its_longest_word_needs() -> None:
    """In a table of the strip no cell is cut while another column has room to spare."""
    columns = (Column("wall", 0.05, "l"), Column("length", 0.1), Column("sheet", 0.85))
    rows = (("CA0.2", "139′-11½″", "6"), ("W1", "9′", "17"))
    content = Content("Walls", (), (Rows("Walls", columns, rows),), ())
    items, _ = strip(PAPERS["A3"], Stamp().fields("x", "x", "", yard("us")), content, Figures("us"))
    said = {item.text for item in items if isinstance(item, Text)}
    assert {cell for row in rows for cell in row} <= said


@pytest.mark.parametrize("units", SYSTEMS)
def test_parts_of_a_wall_go_on_where_the_one_before_ended(units: System) -> None:
    """The length over a part is what lies between the places its line names, and each begins where the last ended."""
    plan = yard(units)
    for leg in wall_sheet_ids(plan):
        shown = [block.shown for page in wall_pages(plan, (leg,)) for block in page]
        parts = [part for part in shown if not isinstance(part[1], tuple)]
        assert all(a[1] <= b[0] + 1e-9 for a, b in pairwise(parts))  # type: ignore[operator]


def test_pieces_are_sawn_to_the_millimetre_or_the_eighth() -> None:
    """A length to saw is printed finer than a saw cuts: a centimetre would leave joints open by a finger."""
    assert [Figures("metric").piece(long_m) for long_m in (3.3528, 0.0731, 4.798)] == ["3353", "73", "4798"]
    assert Figures("us").piece(3.21310) == "10′-6½″"
