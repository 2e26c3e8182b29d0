"""What nobody measured is drawn as such: a house of assumed depth, ground drawn from one slope."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from by_command import YARDS, changed, command
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Sheet
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project, read_project_text
from lynchet.project.rough import RoughYard, rough_project_text


@cache
def _rough() -> Plan:
    """A first look whose house stands at the top."""
    text = rough_project_text(RoughYard("24 ft", "20 ft", "3 ft", "level", "house", "gritty"), "us")
    return plan_project(read_project_text(text), effort=LIVE)


def _said(sheet: Sheet) -> str:
    return " ".join(text.text for text in lower(sheet).texts)


@pytest.mark.parametrize("draw", [site_sheet, terraces_plan])
def test_a_first_look_marks_what_it_assumes(draw: object) -> None:
    """The house says that its depth is assumed; no level is marked as measured, and a note says whence they come."""
    assert callable(draw)
    said = _said(draw(_rough(), Stamp()))
    assert "depth assumed" in said
    assert "no level was read on site" in " ".join(said.split())
    assert "ground level as measured" not in said


@pytest.mark.parametrize("draw", [site_sheet, terraces_plan])
def test_a_measured_yard_marks_nothing_so(draw: object) -> None:
    """A house that was measured and ground that was read carry no such words."""
    assert callable(draw)
    plan = plan_project(read_project(YARDS / "house_edge.toml"), effort=LIVE)
    said = _said(draw(plan, Stamp()))
    assert "HOUSE" in said and "assumed" not in said
    assert plan.project.ground.kind == "slope" or "no level was read" not in said


def test_another_word_for_the_far_side_is_refused(tmp_path: Path) -> None:
    """Only measured and assumed are known: file, line, key, found, accepted."""
    text = (YARDS / "house_edge.toml").read_text(encoding="utf-8")
    file = changed(tmp_path, "house_edge.toml", {"[[house]]": '[[house]]\nfar_side = "perhaps"'})
    done = command("plan", str(file), "--effort", "live")
    line = text[: text.index("[[house]]")].count("\n") + 2
    assert done.status == 2
    for word in (f"house_edge.toml:{line}", "far_side", "perhaps", "measured", "assumed"):
        assert word in done.err, word
