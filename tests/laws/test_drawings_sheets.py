"""Every sheet of a yard, in both systems, mirrored and stopped: no fault a machine can see, true scale, true key."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache
from math import hypot

import numpy as np
import pytest

from drawn_yard import DrawnYard, yard
from lynchet.drawings.contours import contours
from lynchet.drawings.display import Display, Letters, Stroke
from lynchet.drawings.faults import crossed, faults
from lynchet.drawings.key import seen, used
from lynchet.drawings.letters import LEAST_MM, width
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Dim, ScaleBar, Sheet, Text
from lynchet.drawings.roles import COLOURS
from lynchet.drawings.section import section_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.svg import to_svg
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_pages import legs_on, wall_pages, wall_sheet_ids
from lynchet.drawings.wall_sheet import wall_sheets

STAMP = Stamp(firm="Invented Terraces", drawn="A. N.", date="12 May 2026", issue="B", numbers=(("terraces", 1),
              ("section", 2), ("wall-A0", 3)))  # fmt: skip
KINDS = [("metric", False, False), ("us", False, True), ("metric", True, True), ("us", True, False)]


@cache
def _sheets(units: str, mirrored: bool, stopped: bool) -> tuple[tuple[Sheet, Display], ...]:
    plan = yard(units, mirrored=mirrored, stopped=stopped)
    section = section_sheet(plan, STAMP)
    assert section is not None
    sheets = [terraces_plan(plan, STAMP), section]
    sheets += wall_sheets(plan, STAMP)
    assert len(sheets) >= 4
    return tuple((sheet, lower(sheet)) for sheet in sheets)


@pytest.mark.parametrize("kind", KINDS)
def test_no_sheet_has_a_fault(kind: tuple[str, bool, bool]) -> None:
    """No text meets another, is too small, covered, without a glyph, or within 4 mm of the frame."""
    for sheet, display in _sheets(*kind):
        assert faults(display, sheet.paper) == [], sheet.id


@pytest.mark.parametrize("kind", KINDS)
def test_hardly_a_line_runs_through_a_text(kind: tuple[str, bool, bool]) -> None:
    """Lines of 0.18 mm or more cross at most one text in a hundred."""
    texts = sum(len(display.texts) for _, display in _sheets(*kind))
    through = [line for _, display in _sheets(*kind) for line in crossed(display)]
    assert len(through) <= texts / 100, through


def test_the_checks_bite() -> None:
    """Two texts in one place, a small one, one beyond the frame and one painted over are all reported."""
    sheet, display = _sheets("metric", False, False)[0]
    first = next(text for text in display.texts if text.layer == "labels")
    small = replace(first, h=1.8, y=first.y + 30.0)
    far = replace(first, x=2.0)
    cover = Stroke((((0, 0), (420, 0), (420, 297), (0, 297)),), "title", True, fill="paper")
    for spoiled, word in (((first,), "meet"), ((small,), "small"), ((far,), "frame"), ((cover,), "covered")):
        found = faults(replace(display, marks=(*display.marks, *spoiled)), sheet.paper)
        assert any(word in fault for fault in found), word


@pytest.mark.parametrize("kind", KINDS)
def test_scale_bars_are_true(kind: tuple[str, bool, bool]) -> None:
    """A bar on paper times its scale is the length its figures say, and a view with that scale is on the sheet."""
    for sheet, display in _sheets(*kind):
        bars = [mark for mark in sheet.marks if isinstance(mark, ScaleBar)]
        assert {bar.scale for bar in bars} == {view.scale for view in sheet.views}
        for bar in bars:
            xs = [x for m in display.marks if isinstance(m, Stroke) and m.of == bar.id for p in m.paths for x, _ in p]
            assert (max(xs) - min(xs)) * bar.scale / 1000.0 == pytest.approx(bar.step_m * bar.steps)


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_drawn_is_to_scale(kind: tuple[str, bool, bool]) -> None:
    """The area's edges on paper times the scale are its edges on the ground."""
    sheet, display = _sheets(*kind)[0]
    (view,) = sheet.views
    paths = [m.paths[0] for m in display.marks if isinstance(m, Stroke) and m.of == "area"]
    ring = paths[0]
    lengths = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)]
    assert sorted(round(length * view.scale / 1000.0, 6) for length in lengths) == [6.0, 6.0, 8.0, 8.0]


@pytest.mark.parametrize("mirrored", [False, True])
def test_nobody_builds_from_a_mirror_image(mirrored: bool) -> None:
    """On the plan the yard has the hand it has in the file, whatever the hand of its own frame."""
    plan = yard(mirrored=mirrored)
    sheet = terraces_plan(plan, STAMP)
    corners = [sheet.views[0].paper(point) for point in plan.project.area.outline_m]
    twice = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True))
    in_file = [plan.project.frame.outward(point) for point in plan.project.area.outline_m]
    filed = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(in_file, in_file[1:] + in_file[:1], strict=True))
    assert (twice < 0) == (filed > 0)  # paper runs down, the file runs up


def test_a_wall_seen_from_its_low_side_has_left_and_right_as_on_site() -> None:
    """In a mirrored frame the wall's pieces run the other way."""
    plain, mirrored = (wall_sheets(yard(mirrored=flag), STAMP, ("W2",))[0] for flag in (False, True))

    def marks(sheet: Sheet) -> list[str]:
        row = [i for i in sheet.views[0].items if isinstance(i, Text) and i.id.startswith("mark-W2/7/")]
        return [item.text for item in sorted(row, key=lambda item: item.at[0])]

    assert marks(plain)[0] == "5a" and marks(mirrored)[0] == "5c"


@pytest.mark.parametrize("kind", KINDS)
def test_the_key_holds_what_is_used_and_nothing_else(kind: tuple[str, bool, bool]) -> None:
    """Every entry asked for by an item stands in the key, and no other."""
    for sheet, _ in _sheets(*kind):
        asked = used([item for view in sheet.views for item in seen(view)])
        shown = {mark.id.split("-")[1] for mark in sheet.marks if mark.id.startswith("sample-")}
        assert shown == set(asked), sheet.id


@pytest.mark.parametrize("kind", KINDS)
def test_chains_add_up(kind: tuple[str, bool, bool]) -> None:
    """A chain's parts are as long as its ends lie apart, and every dimension keeps its number beside its text."""
    for sheet, _ in _sheets(*kind):
        for view in sheet.views:
            for item in view.items:
                if isinstance(item, Dim):
                    assert len(item.values_m) == len(item.texts) == len(item.pts) - 1
                    axis = {"h": (1.0, 0.0), "v": (0.0, 1.0)}.get(item.along) if item.axis is None else item.axis
                    assert axis is not None
                    ends = [x * axis[0] + y * axis[1] for x, y in item.pts]
                    assert sum(item.values_m) == pytest.approx(max(ends) - min(ends), abs=1e-6), item.id


def test_every_piece_is_on_its_wall_sheet_with_its_length() -> None:
    """All pieces are drawn, each once per part it shows in, as long as they are; marks are unique on a wall."""
    plan = yard()
    for leg in wall_sheet_ids(plan):
        sheets = wall_sheets(plan, STAMP, (leg,))
        drawn: dict[str, float] = {}
        names = []
        for sheet in sheets:
            for view in (view for view in sheet.views if view.kind == "elevation"):
                for item in view.items:
                    if isinstance(item, Area) and item.id.startswith("piece-"):
                        xs = [x for x, _ in item.rings[0]]
                        drawn[item.of] = drawn.get(item.of, 0.0) + max(xs) - min(xs)
                    if isinstance(item, Text) and item.id.startswith("mark-"):
                        names.append((item.text, item.id))
        pieces = {piece.id: piece for piece in plan.pieces if piece.leg == leg}
        assert set(drawn) == set(pieces)
        for name, length in drawn.items():
            assert pieces[name].length_m <= length + 1e-6 <= pieces[name].length_m + 0.11
        assert len({text for text, _ in names}) == len(pieces) == len({piece for _, piece in names})


@pytest.mark.parametrize("kind", KINDS)
def test_walls_share_sheets_and_every_part_has_its_own_room(kind: tuple[str, bool, bool]) -> None:
    """Every wall is on some sheet, no two pictures of a sheet share room, and sheets are fewer than walls."""
    plan = yard(kind[0], mirrored=kind[1], stopped=kind[2])
    pages = wall_pages(plan)
    assert {leg for page in pages for leg in legs_on(page)} == set(wall_sheet_ids(plan))
    assert len(pages) < len(wall_sheet_ids(plan))
    for page in pages:
        boxes = [block.view.region for block in page]
        for n, one in enumerate(boxes):
            for two in boxes[n + 1 :]:
                beside = one[2] <= two[0] or two[2] <= one[0]
                assert beside or one[3] <= two[1] or two[3] <= one[1], (one, two)


def test_heights_both_ways_are_the_walls_own() -> None:
    """The wall sheet of the lowest wall shows top less ground and top less underside at its right end."""
    sheet = wall_sheets(yard(), STAMP, ("A0",))[0]
    last = [view for view in sheet.views if view.kind == "elevation"][-1].items
    found = {item.id: item.values_m[0] for item in last if isinstance(item, Dim) and item.id.startswith("height-")}
    assert found["height-seen"] == pytest.approx(0.45 - 0.18)
    assert found["height-with buried"] == pytest.approx(0.45 + 0.15)


def test_a_stop_is_drawn_with_its_reason() -> None:
    """A wall with a stop carries an octagon with the word and the reason; without a stop none is drawn."""
    stopped = _sheets("metric", True, True)[0][1]
    assert any(text.text == "STOP" and text.role == "warn" for text in stopped.texts)
    assert "Wall W2 slides when wet" in " ".join(text.text for text in stopped.texts)
    assert not any(text.text == "STOP" for text in _sheets("metric", False, False)[0][1].texts)


def test_section_levels_are_the_benches_and_the_ground() -> None:
    """The section shows both benches at their levels; the ground before is the measured ground."""
    sheet, display = _sheets("metric", False, False)[1]
    words = {text.text for text in display.texts}
    assert {"+0.40", "+0.85"} <= words
    before = [item for item in sheet.views[0].items if item.id.startswith("before-")]
    assert before
    contour = contours(yard().ground.surface, 0.25)
    assert all(
        0.10 + 0.18 * y + 0.01 * x == pytest.approx(line.level_m, abs=1e-9) for line in contour for x, y in line.points
    )


@pytest.mark.parametrize("kind", KINDS[:2])
@pytest.mark.parametrize("theme", ["print", "dark"])
def test_svg_is_true_size_real_text(kind: tuple[str, bool, bool], theme: str) -> None:
    """The file has its paper's size, a title and description, real text of its measured width, roles resolved."""
    for sheet, display in _sheets(*kind)[:3]:
        written = to_svg(replace(sheet, theme=theme), display)
        assert written == to_svg(replace(sheet, theme=theme), display)
        root = ET.fromstring(written)
        space = "{http://www.w3.org/2000/svg}"
        assert (
            root.get("width") == f"{sheet.paper.width_mm:g}mm" and root.get("height") == f"{sheet.paper.height_mm:g}mm"
        )
        assert root.get("viewBox") == f"0 0 {sheet.paper.width_mm:g} {sheet.paper.height_mm:g}"
        assert root.findtext(f"{space}title") and root.findtext(f"{space}desc")
        texts = root.findall(f".//{space}text")
        assert [text.text for text in texts] == [mark.text for mark in display.marks if isinstance(mark, Letters)]
        for text, mark in zip(texts, display.texts, strict=True):
            assert float(text.get("textLength", "0")) == pytest.approx(width(mark.text, mark.h, mark.weight), abs=0.001)
        colours = set(re.findall(r"#[0-9a-f]{6}", re.sub(r"<style>.*?</style>", "", written)))
        assert colours <= set(COLOURS[theme].values())
        assert "var(" not in written and "http" not in written.replace("http://www.w3.org/2000/svg", "")


def test_the_embedded_font_has_every_letter_used() -> None:
    """The font carried in the file has the letters of the sheet at the widths that were measured."""
    from base64 import b64decode
    from io import BytesIO

    from fontTools.ttLib import TTFont

    sheet, display = _sheets("us", False, True)[0]
    faces = re.findall(r"font-weight:(\d+);src:url\(data:font/woff;base64,([^)]*)\)", to_svg(sheet, display))
    assert {weight for weight, _ in faces} == {"400", "600", "700"}
    for weight, data in faces:
        opened = TTFont(BytesIO(b64decode(data)))
        name = {"400": "regular", "600": "semibold", "700": "bold"}[weight]
        table = opened.getBestCmap()
        for mark in display.texts:
            if mark.weight == name:
                assert all(ord(letter) in table for letter in mark.text)
                wide = sum(opened["hmtx"][table[ord(letter)]][0] for letter in mark.text) / 1000.0 * mark.h / 0.66
                assert wide == pytest.approx(mark.width_mm, abs=1e-6)


def test_a_letter_the_font_lacks_is_refused_not_left_blank() -> None:
    """Writing a text without a glyph raises instead of printing nothing."""
    sheet, display = _sheets("metric", False, False)[0]
    odd = Letters(100.0, 100.0, "庭", 2.5, "labels")
    assert faults(display, sheet.paper) == []
    with pytest.raises((KeyError, ValueError)):
        to_svg(sheet, replace(display, marks=(*display.marks, odd)))


def test_long_and_strange_names_are_handled() -> None:
    """A job name of 300 characters and one with signs no font has fit their fields; the full text goes to the notes."""
    plan = yard()
    for name in ("Upper Lane " * 28, "Garden \U0001f33f 庭"):
        odd = replace(plan, project=replace(plan.project, name=name))
        sheet = terraces_plan(odd, replace(STAMP, firm="Firm " * 60))
        display = lower(sheet)
        assert faults(display, sheet.paper) == []
        assert any(note.startswith("Firm:") for note in sheet.notes)


def test_a_yard_with_hardly_anything_still_draws() -> None:
    """No water, no ties, no steps, no house, no lot lines: plan and wall sheets stand without them."""
    plan: DrawnYard = yard()
    bare = replace(
        plan, project=replace(plan.project, houses=(), fixed=(), lot_lines=(), steps=()),
        terraces=replace(plan.terraces, flights=()),
        water=replace(plan.water, **dict.fromkeys(
            ("drains", "solids", "notches", "outlets", "fittings", "stone", "bodies", "chains"), ())),
        stability=replace(plan.stability, ties=(), pins=()),
    )  # fmt: skip
    sheets = [terraces_plan(bare, STAMP), section_sheet(bare, STAMP), *wall_sheets(bare, STAMP, ("W2",))]
    for sheet in sheets:
        assert sheet is not None and faults(lower(sheet), sheet.paper) == []


def test_texts_are_never_under_the_least_height() -> None:
    """2.2 mm capitals on every sheet, counted independently of the fault list."""
    for kind in KINDS:
        for _, display in _sheets(*kind):
            assert np.min([text.h for text in display.texts]) >= LEAST_MM
