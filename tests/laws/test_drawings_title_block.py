"""The title block: the user's own words on every sheet, what is too long told in full, nothing claimed unsaid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, islice

import pytest

from lynchet.book.texts import Words
from lynchet.drawings.cut_sheets import cut_sheets
from lynchet.drawings.day_sheet import day_sheets
from lynchet.drawings.detail_sheets import detail_sheets
from lynchet.drawings.display import Raster
from lynchet.drawings.faults import faults
from lynchet.drawings.first_look_sheet import first_look_sheet
from lynchet.drawings.letters import LEAST_MM
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Sheet, Text
from lynchet.drawings.paper import BLOCK_MM, STRIP_MM
from lynchet.drawings.permit_sheets import permit_sheets
from lynchet.drawings.planting_sheet import planting_sheet
from lynchet.drawings.rod_sheets import rod_sheets
from lynchet.drawings.section import section_sheet
from lynchet.drawings.section_sheets import section_sheets
from lynchet.drawings.setting_sheet import setting_sheet
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.soil_sheet import soil_sheet
from lynchet.drawings.stamp import MOST_BYTES, STOPPED, stamp_of
from lynchet.drawings.svg import to_svg
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.model import Plan
from lynchet.project.firm import Firm
from lynchet.project.sheet_block import SheetBlock
from office_plan import FIRM, LOGO, office, stopped


def _sheets(plan: Plan) -> list[Sheet]:
    """One wide sheet, one tall one, one with the whole block on a tall page."""
    stamp = stamp_of(plan)
    soil = soil_sheet(plan, stamp)
    assert soil is not None
    return [site_sheet(plan, stamp), soil, next(permit_sheets(plan, stamp))]


def _said(sheet: Sheet) -> list[str]:
    """Texts of the block."""
    return [text.text for text in lower(sheet).texts if text.layer == "title"]


@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_field_of_the_file_is_in_the_block(units: str) -> None:
    """Firm, job, number, place, issue, date, who drew, who checked, status and sheet of sheets are there."""
    wide, tall, permit = _sheets(office("l_garden", units))
    for sheet in (wide, permit):
        said = _said(sheet)
        wanted = (FIRM, "Quarry Lane garden", "12 Quarry Lane, Oldtown", "2027-14", "2027-02-20, B", "R. Moss",
                  "not yet", "for build")  # fmt: skip
        assert [word for word in wanted if word not in said] == []
        assert any("01234 567 890" in text for text in said)
    assert {"01234 567 890", "2027-02-20, B", "checked: not yet", "for build"} <= set(_said(tall))
    assert f"{wide.fields.number} of {wide.fields.of}" in _said(wide)
    assert "1 of 3" in _said(permit)


def test_a_file_that_says_nothing_claims_nothing() -> None:
    """Without a title block no status, name or date is printed, and every sheet says that nobody has checked it."""
    plan = office("l_garden")
    bare = replace(plan, project=replace(plan.project, sheet=SheetBlock(), offer=type(plan.project.offer)()))
    for sheet in _sheets(bare):
        said = _said(sheet)
        assert any("not yet" in text for text in said) and "your firm here" in said
        assert sheet.kind == "permit" or "Status" not in said
        assert not any("for build" in text or "2027" in text for text in said)


def test_a_stop_of_the_site_is_the_status_of_every_sheet() -> None:
    """Whatever the file claims, a stopped site prints that it must not be built."""
    plan = stopped(office("l_garden"))
    assert stamp_of(plan).status == STOPPED
    assert all(STOPPED in _said(sheet) for sheet in _sheets(plan))


LONG = SheetBlock("2027-114/B Larkfield", "Flat 2, 112 Upper Larkfield Crescent, Oldtown under Edge, West County",
                  "Rosalind Mossworthy", "Bartholomew Quarry, P.E.", "2027-02-20", "B2", "for pricing")  # fmt: skip
LONG_FIRM = Firm("Mossworthy, Daughter and Partners, Garden Walls and Terraces Ltd",
                 ("Unit 4, The Old Maltings, Mill Yard", "Oldtown under Edge", "West County"), "+44 1234 567 890",
                 logo=LOGO)  # fmt: skip
LONG_JOB = "Terraced kitchen garden behind the coach house, lower and upper lawn"


def _long(plan: Plan, paper: str = "") -> Plan:
    """The same with words as long as people's are, on every field of the block."""
    setting = replace(plan.walls.setting_out, benchmark="top of the sill of the garden door")
    project = replace(plan.project, name=LONG_JOB, sheet=replace(LONG, paper=paper),
                      offer=replace(plan.project.offer, firm=LONG_FIRM))  # fmt: skip
    return replace(plan, project=project, walls=replace(plan.walls, setting_out=setting))


def _of_every_kind(plan: Plan) -> Iterator[Sheet]:
    """A sheet of each kind but the eye-level view, whose block is that of the plans."""
    stamp = stamp_of(plan)
    yield from (first_look_sheet(plan, stamp), site_sheet(plan, stamp), terraces_plan(plan, stamp))
    yield from _sheets(plan)[1:]
    found = (section_sheet(plan, stamp), setting_sheet(plan, stamp), planting_sheet(plan, stamp))
    yield from (sheet for sheet in found if sheet is not None)
    days = day_sheets(plan, stamp, Words("en"))
    many = (section_sheets(plan, stamp), wall_sheets(plan, stamp), detail_sheets(plan, stamp), rod_sheets(plan, stamp),
            cut_sheets(plan, plan.timber, stamp), days, permit_sheets(plan, stamp))  # fmt: skip
    yield from chain.from_iterable(islice(sheets, 2) for sheets in many)


@pytest.mark.parametrize(("name", "units"), [("l_garden", "us"), ("side_yard", "metric")])
def test_no_sheet_loses_a_word_of_its_block(name: str, units: str) -> None:
    """On every sheet each field stands whole, in lines of 2.2 mm or more that meet nothing and stay in the block."""
    for sheet in _of_every_kind(_long(office(name, units))):
        own = tuple(item for item in sheet.marks if isinstance(item, Text) and item.layer == "title")
        display = lower(replace(sheet, views=(), marks=own))
        said, fields = " ".join(text.text for text in own).replace(",", "").split(), sheet.fields
        tall = not sheet.paper.wide and sheet.kind != "permit"
        asked = (fields.firm, fields.phone, fields.job, fields.place, fields.job_number, fields.title, fields.scale,
                 fields.drawn, fields.checked, fields.date, fields.issue, fields.status,
                 *(() if tall else (fields.units, fields.address)))  # fmt: skip
        assert [one for one in asked if any(word not in said for word in one.replace(",", "").split())] == [], sheet.id
        assert not any("…" in text.text for text in own) and faults(display, sheet.paper) == [], sheet.id
        assert sheet.kind != "permit" or faults(lower(sheet), sheet.paper) == [], sheet.id
        right, bottom = sheet.paper.frame[2:]
        assert all(text.box()[2] < right and text.box()[3] < bottom + 0.01 for text in display.texts), sheet.id


def test_a_title_of_300_characters_is_cut_and_told_in_full() -> None:
    """What no block could hold ends in an ellipsis inside its cell; the notes hold all of it."""
    plan, title = office("l_garden"), "A garden with a very long name " * 10
    block = SheetBlock("N" * 60, "place " * 20, "D" * 60, "C" * 60, "2027-02-20", "ISSUE1", "for pricing")
    plan = replace(plan, project=replace(plan.project, name=title[:300], sheet=block))
    for sheet in _sheets(plan):
        assert faults(lower(sheet), sheet.paper) == []
        assert any(" ".join(title[:300].split()) in note for note in sheet.notes), sheet.id
        assert any("N" * 60 in note for note in (*sheet.notes, "".join(_said(sheet)))), sheet.id


def test_the_logo_keeps_its_shape_and_its_place() -> None:
    """The logo stands inside the block with its own width over height, carried in the SVG itself."""
    sheet = _sheets(office("l_garden"))[0]
    display = lower(sheet)
    (logo,) = (mark for mark in display.marks if isinstance(mark, Raster))
    (left, top), _, (right, bottom), _ = logo.paths[0]
    assert (right - left) / (bottom - top) == pytest.approx(LOGO.width / LOGO.height)
    _, _, frame_right, frame_bottom = sheet.paper.frame
    assert frame_right - STRIP_MM < left < right < frame_right
    assert frame_bottom - BLOCK_MM < top < bottom < frame_bottom
    assert to_svg(sheet, display).count('href="data:image/png;base64,') == 1


def test_a_logo_too_big_to_be_on_every_sheet_is_left_off() -> None:
    """A picture over the limit is no fault: the sheets go without it."""
    plan = office("l_garden")
    big = replace(LOGO, data=b"x" * (MOST_BYTES + 1))
    offer = replace(plan.project.offer, firm=replace(plan.project.offer.firm, logo=big))
    plan = replace(plan, project=replace(plan.project, offer=offer))
    assert not any(isinstance(mark, Raster) for mark in lower(_sheets(plan)[0]).marks)


def test_no_letter_of_a_block_is_too_small() -> None:
    """The smallest text of the block is 2.2 mm, in both unit systems."""
    for units in ("metric", "us"):
        for sheet in _sheets(office("l_garden", units)):
            assert min(text.h for text in lower(sheet).texts if text.layer == "title") >= LEAST_MM - 1e-9
