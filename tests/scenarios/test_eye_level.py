"""Through the command line: the eye-level sheet appears in the folder; slips in [[view]] are told plainly."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

import lynchet.demos
from by_command import command
from lynchet.drawings.eye_sheet import eye_sheet, eye_sheet_names
from lynchet.drawings.lower import lower
from lynchet.drawings.stamp import Stamp
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project

DEMO = Path(lynchet.demos.__file__).with_name("side_yard.toml")


def _with_view(folder: Path, lines: str) -> Path:
    """The demo with lines added at its end."""
    for beside in DEMO.parent.glob("side_yard*"):
        shutil.copy(beside, folder / beside.name)
    file = folder / "side_yard.toml"
    file.write_text(DEMO.read_text(encoding="utf-8") + f"\n[[view]]\n{lines}\n", encoding="utf-8")
    return file


def test_the_sheet_is_written_from_the_place_named(tmp_path: Path) -> None:
    """With a standpoint in the file the sheet is drawn from it and says so, with the height of the eyes."""
    file = _with_view(tmp_path, 'name = "garden gate"\nat = [5, -10]\neye = "5 ft"')
    ran = command("plan", str(file), "--out", str(tmp_path / "out"))
    assert ran.status == 0, ran.err
    svg = (tmp_path / "out" / "eye-level.svg").read_text(encoding="utf-8")
    assert "garden gate" in svg and "not a photograph" in svg and "5′" in svg
    assert "First year, about" in svg and "Fifth year, about" in svg
    assert (tmp_path / "out" / "plan.glb").stat().st_size > 10_000


@pytest.mark.parametrize(
    ("lines", "key", "words"),
    [
        ('name = "gate"', "view[0].at", ("at",)),
        ('at = [5, -10]\ntowards = [5, -10]', "view[0].towards", ("place one stands at", "away")),
        ('at = [5, -10]\neye = "1 in"', "view[0].eye", ("1",)),
        ('at = [5, -10]\nlens = 50', "view[0].lens", ("at", "towards")),
        ('at = "by the gate"', "view[0].at", ("by the gate",)),
    ],
)  # fmt: skip
def test_slips_are_told(tmp_path: Path, lines: str, key: str, words: tuple[str, ...]) -> None:
    """File, line, key, what was found and what is accepted."""
    file = _with_view(tmp_path, lines)
    ran = command("plan", str(file))
    assert ran.status != 0 and "side_yard.toml" in ran.err
    assert key in ran.err or key.replace("[0]", ".1") in ran.err, ran.err
    assert all(word in ran.err for word in words) and "accepted" in ran.err


def test_two_views_of_one_name_are_refused(tmp_path: Path) -> None:
    """Names tell standpoints apart."""
    file = _with_view(tmp_path, 'name = "gate"\nat = [5, -10]\n[[view]]\nname = "gate"\nat = [6, -10]')
    ran = command("plan", str(file))
    assert ran.status != 0 and "stands twice" in ran.err


def test_one_stands_in_a_house_and_still_sees_the_garden(tmp_path: Path) -> None:
    """The house stood in is left out, which is said; a name that begins with "from" is not led by another."""
    file = _with_view(tmp_path, 'name = "from the kitchen"\nat = [11.5, 13]\ntowards = [5.5, 13]\neye = "5 ft"')
    text = file.read_text(encoding="utf-8")
    house = '\n[[house]]\nname = "kitchen wing"\noutline = [[11, 8], [20, 8], [20, 20], [11, 20]]\neaves = "10 ft"\n'
    file.write_text(text + ("" if "[[house]]" in text else house), encoding="utf-8")
    ran = command("plan", str(file), "--out", str(tmp_path / "out"))
    svg = (tmp_path / "out" / "eye-level.svg").read_text(encoding="utf-8")
    said = " ".join(re.findall(r">([^<>]+)</text>", svg))
    assert "From the kitchen, eyes" in said and "you stand in it" in said, ran.err
    assert "rom from" not in svg and svg.count("<path") > 20


def test_every_standpoint_is_drawn(tmp_path: Path) -> None:
    """Two places, two sheets of their own, each saying from where it is seen."""
    file = _with_view(tmp_path, 'name = "gate"\nat = [5, -10]\n[[view]]\nname = "kitchen"\nat = [5, 34]')
    plan = plan_project(read_project(file), effort=LIVE)
    assert eye_sheet_names(plan) == ("eye-level", "eye-level-2")
    for number, place in enumerate(("gate", "kitchen")):
        sheet = eye_sheet(plan, Stamp(), number)
        assert sheet is not None and sheet.fields.title == f"Eye-level view, {number + 1} of 2"
        assert f"From {place}" in " ".join(text.text for text in lower(sheet).texts)
