"""Notes for which the strip of a wall sheet has no room stand on its free paper; a note is cut between sentences."""

from __future__ import annotations

import re
from functools import cache

import pytest

from demo_plans import DEMOS, demo
from filed_yards import filed
from lynchet.core.enumerated import enumerated
from lynchet.drawings.display import Letters
from lynchet.drawings.faults import faults
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Fields, Sheet, Text
from lynchet.drawings.paper import PAPERS
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Content, Note, Rows, strip
from lynchet.drawings.wall_face import face_of
from lynchet.drawings.wall_notes import beside_pictures
from lynchet.drawings.wall_order import pin_words, weep_words
from lynchet.drawings.wall_pages import wall_pages, wall_sheet_ids
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.units.measures import System

LONG = (10, 131)
"""Filed yards whose walls go on over several sheets, with many pins and weep holes."""
FIELDS = Fields("firm", "job", "sheet", "1 : 20", "A3", "m")


@cache
def _plan(seed: int) -> Plan:
    return plan_project(filed(seed), effort=LIVE)


def _said(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in lower(sheet).marks if isinstance(mark, Letters))


@pytest.mark.parametrize("plan", [*DEMOS, *LONG])
def test_what_is_a_walls_own_stands_on_its_sheets(plan: str | int) -> None:
    """Pins, weep holes, lengths and steps are on the sheets themselves, and no text meets another there."""
    found = demo(plan) if isinstance(plan, str) else _plan(plan)
    for sheet in wall_sheets(found, Stamp()):
        own = [note for note in sheet.notes if note.startswith(("Pins", "Weep", "No room", "Steps", "Laying"))]
        assert not own, (sheet.id, own)
        assert not faults(lower(sheet), sheet.paper), sheet.id


@pytest.mark.parametrize("seed", LONG)
@pytest.mark.parametrize("words", [pin_words, weep_words])
def test_parts_of_a_wall_list_what_the_whole_lists(seed: int, words: object) -> None:
    """Every pin and hole of a wall is listed with exactly one of the parts it is drawn in."""
    plan, lists = _plan(seed), words
    assert callable(lists)
    for leg in wall_sheet_ids(plan):
        face = face_of(plan, plan.walls.leg(leg))
        parts = next(
            block.parts for page in wall_pages(plan) for block in page if block.face.leg.id == leg and block.parts
        )
        figures = Figures("metric")
        each = sorted(at for part in parts for at in _places(lists(face, [part], figures)))
        assert each == sorted(_places(lists(face, [(0.0, face.length_m)], figures))), leg


def _places(said: str) -> list[str]:
    """Distances of a list: what follows "at" in each of its clauses, or all of it."""
    return [at for clause in said.split("; ") for at in re.sub(r"^.* at ", "", clause).split(", ") if at]


def test_notes_go_where_nothing_is_drawn() -> None:
    """They keep 5 mm from what is there, inside the field, and none is lost: each is in the strip or on the sheet."""
    paper, taken = PAPERS["A3"], ((30.0, 20.0, 200.0, 150.0), (210.0, 20.0, 300.0, 90.0), (30.0, 160.0, 120.0, 280.0))
    notes = tuple(Note(f"Note {n}", " ".join(["word"] * 60) + ".") for n in range(12))
    content, items = beside_pictures(paper, FIELDS, Content("Title", (), notes, (20,)), taken)
    left, top, right, bottom = paper.field
    boxes = [(x, y - text.h, x + 80.0, y) for text in items for x, y in [text.at]]  # type: ignore[attr-defined]
    assert boxes
    for x0, y0, x1, y1 in boxes:
        assert left < x0 and x1 <= right and top < y0 and y1 < bottom
        assert not any(x0 < c + 4.9 and a < x1 + 4.9 and y0 < d + 4.5 and b < y1 + 4.5 for a, b, c, d in taken)
    moved = {text.text for text in items}  # type: ignore[attr-defined]
    for note in notes:
        assert (note in content.parts) != (note.title.upper() in moved)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_note_that_is_cut_ends_with_a_whole_sentence(units: System) -> None:
    """Of a note too long for the strip the sentences before the cut are whole; all of it is in the notes."""
    sentences = [f"This is sentence {enumerated([str(n)])} of a long note that goes on and on." for n in range(60)]
    text = " ".join(sentences)
    marks, notes = strip(PAPERS["A3"], FIELDS, Content("Title", (), (Note("Long", text),), (20,)), Figures(units))
    lines = [item.text for item in marks if getattr(item, "layer", "") == "key" and hasattr(item, "text")]
    at = lines.index("LONG") + 1
    end = next(n for n, line in enumerate(lines) if line.startswith("…"))
    said = " ".join(lines[at:end])
    assert said.endswith(".") and text.startswith(said) and len(said) > 300
    assert notes[-1:] == (f"Long: {text}",)


@pytest.mark.parametrize("filler", [0, 48])
def test_a_table_without_room_leaves_a_word_where_it_stands(filler: int) -> None:
    """Where not two rows fit beside the notes before it, the sheet still has its head and says where all rows are."""
    rows = Rows("Pipes as laid", (Column("pipe", 0.5, "l"), Column("length", 0.5)),
                tuple((f"P{n}", f"{n}.00") for n in range(16)), "at the end of the book", in_full=True)  # fmt: skip
    note = Note("Before", " ".join(["many words that fill a line of the strip beside it"] * filler))
    items, dropped = strip(PAPERS["A3"], FIELDS, Content("Water plan", parts=(note, rows)), Figures("metric"))
    said = [item.text for item in items if isinstance(item, Text)]
    assert "PIPES AS LAID" in said
    if filler:
        assert "… all 16: at the end of the book" in said and "P3" not in said
        assert any("P15" in one for one in dropped), "all of it is told in the book"
    else:
        assert {f"P{n}" for n in range(16)} <= set(said) and not dropped
