"""The paper a file asks for: every sheet lies on it, in one piece, or is refused with what would hold it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

import lynchet.demos
from by_command import changed, command
from demo_plans import demo
from lynchet.drawings.faults import faults
from lynchet.drawings.lower import lower
from lynchet.drawings.paper import PAPERS, PageTooSmallError, paper_of
from lynchet.drawings.plan_layout import lay_out
from lynchet.drawings.sheets import drawn_sheets, sheets_of
from lynchet.plan.model import Plan
from lynchet.project.sheet_block import SheetBlock

DEMOS = Path(lynchet.demos.__file__).parent


def _on(plan: Plan, paper: str) -> Plan:
    return replace(plan, project=replace(plan.project, sheet=SheetBlock(paper=paper)))


def test_every_sheet_lies_on_the_paper_asked_for() -> None:
    """Plans, sections and walls lie on A4, what is carried stands on it; nothing meets or leaves the frame."""
    sheets = tuple(sheets_of(_on(demo("side_yard"), "A4")).values())
    assert {(one.paper.width_mm, one.paper.height_mm) for one in sheets} == {(297, 210), (210, 297)}
    lying = [one.kind for one in sheets if one.paper.wide]
    assert {"site", "terraces", "section", "wall", "details", "planting"} <= set(lying)
    assert [fault for one in sheets for fault in faults(lower(one), one.paper)] == []
    assert all(one.fields.number == n for n, one in enumerate(sheets, start=1) if one.kind != "permit")


@pytest.mark.parametrize("units", ["metric", "us"])
def test_left_out_the_units_choose(units: str) -> None:
    """A3 and A4 for metres, Tabloid and Letter for feet; a paper asked for holds whatever the units."""
    project = replace(demo("side_yard").project, units=units)  # type: ignore[arg-type]
    names = [paper_of(project, carried=carried).name for carried in (False, True)]
    assert names == (["Tabloid", "Letter"] if units == "us" else ["A3", "A4"])
    asked = replace(project, sheet=SheetBlock(paper="A3" if units == "us" else "Tabloid"))
    assert paper_of(asked).name == asked.sheet.paper
    assert paper_of(asked, carried=True).name == ("A4" if units == "us" else "Letter")


def test_a_yard_larger_than_the_paper_is_refused() -> None:
    """A yard of 600 m finds no scale on A3: the error says so, and keeps the key of the file."""
    plan = demo("side_yard")
    far = [(0.0, 0.0), (600.0, 0.0), (600.0, 600.0)]
    with pytest.raises(PageTooSmallError, match=r"larger than the paper at 1 in = 100 ft") as caught:
        lay_out(plan, PAPERS["A3"], (10.0, 10.0, 10.0, 10.0), far)
    assert caught.value.faults[0].key == "sheet.paper"


def test_a_page_too_small_is_refused_whole(tmp_path: Path) -> None:
    """A sheet without room on A4: sheet, paper and what would hold it are named, status 2, no folder is made."""
    out = tmp_path / "out"
    done = command("plan", str(DEMOS / "spot_levels.toml"), "--effort", "live", "--paper", "A4", "--out", str(out))
    assert done.status == 2 and "Traceback" not in done.err
    assert 'the sheet "' in done.err and "does not fit on A4" in done.err
    assert "A3: it holds every sheet of this plan" in done.err
    assert not out.exists()


def test_an_unknown_paper_in_the_file_is_named_with_its_line(tmp_path: Path) -> None:
    """A5 is none of the four: file, line, key, found and accepted."""
    file = changed(tmp_path, "plain.toml", {}, '\n[sheet]\npaper = "A5"\n')
    done = command("plan", str(file), "--effort", "live")
    line = file.read_text(encoding="utf-8").splitlines().index('paper = "A5"') + 1
    assert done.status == 2
    for word in (f"plain.toml:{line}", "sheet.paper", "A5", "A3", "A4", "Tabloid", "Letter"):
        assert word in done.err, word


def test_a_paper_of_the_command_wins_over_the_file(tmp_path: Path) -> None:
    """--paper Letter on a file that asks for A3: the permit sheets are of Letter size."""
    file = changed(tmp_path, "plain.toml", {}, '\n[sheet]\npaper = "A3"\n')
    done = command("book", str(file), "--effort", "live", "--permit", "--paper", "Letter", "--out", str(tmp_path / "o"))
    assert done.status == 0, done.err
    assert 'width="215.9mm" height="279.4mm"' in (tmp_path / "o" / "permit-1.svg").read_text(encoding="utf-8")


def test_sheets_are_numbered_as_they_are_delivered() -> None:
    """With its cut sheet and day sheets kept back a plan counts only what is there, without a gap."""
    sheets = [one.sheet for one in drawn_sheets(demo("spot_levels")) if one.sheet.kind != "permit"]
    numbers = [sheet.fields.number for sheet in sheets]
    assert all(b - a == 1 for a, b in pairwise(numbers)) and numbers[0] == 1
    assert {sheet.fields.of for sheet in sheets} == {len(sheets)}
