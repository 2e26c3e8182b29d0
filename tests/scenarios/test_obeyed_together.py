"""Options that are asked for together are obeyed together or refused; what cannot be told is not passed over."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from dataclasses import replace
from math import isfinite
from pathlib import Path
from typing import Any

import pytest

from by_command import YARDS, changed, command
from lynchet.commands import plan
from lynchet.core.findings import Finding, Verdict
from lynchet.plan.model import Plan

YARD = "plain.toml"


def test_working_goes_with_strict_and_write_and_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The workings are shown, the folder is written, the file keeps what was asked, and the stop has its status."""
    written: list[Path] = []
    stop = Finding("test.stop", Verdict.STOP, "Invented.", "W1")
    real = plan.plan_project

    def stopped(*words: Any, **more: Any) -> Plan:
        found = real(*words, **more)
        return replace(found, clashes=(*found.clashes, stop))

    monkeypatch.setattr(plan, "plan_project", stopped)
    monkeypatch.setattr(plan, "_write", lambda _plan, _told, into, _lang: written.append(into.folder))
    file = tmp_path / "yard.toml"
    file.write_bytes((YARDS / YARD).read_bytes())
    words = ("--working", "all", "--strict", "--without", "pins", "--write", "--out", str(tmp_path / "out"))
    ran = command("plan", str(file), "--effort", "live", *words)
    assert ran.status == 3 and "Given" in ran.out and written == [tmp_path / "out"]
    assert "pins" in file.read_text(encoding="utf-8") and "now says so too" in ran.err


def test_working_as_data_is_refused() -> None:
    """Words and data on one output would be neither."""
    ran = command("plan", str(YARDS / YARD), "--working", "all", "--json")
    assert ran.status == 2 and ran.out == "" and "one of the two" in ran.err


def test_a_wall_that_is_not_there_is_told(tmp_path: Path) -> None:
    """A fence on W9 of a yard without W9: file, line, key, and the walls there are."""
    file = changed(tmp_path, "plain.toml", {}, '\n[[on_wall]]\nkind = "fence"\nat = "W9"\n')
    line = file.read_text(encoding="utf-8").split("\n").index('at = "W9"') + 1
    ran = command("plan", str(file), "--effort", "live")
    assert ran.status == 2 and ran.out == ""
    assert f'yard.toml:{line}: on_wall.1.at: there is no wall "W9"; accepted: a wall of the plan: ' in ran.err.replace(
        file.name, "yard.toml"
    )


def test_a_yard_that_cannot_be_laid_out_says_what_to_change(tmp_path: Path) -> None:
    """Two lines of the user's own a hand apart: which tables of the file, what to change, on the screen and in
    findings.txt; and no table of noughts."""
    lines = "".join(f"\n[[wall_line]]\nterrace = {n}\npoints = [[0, {y}], [30, {y}]]\n" for n, y in ((2, 9), (3, 9.3)))
    file = tmp_path / "lines.toml"
    head = 'lynchet = 1\nunits = "us"\n[ground]\nslope = { fall = "5 ft in 30 ft" }\nheld = "level"\n'
    file.write_text(
        head + '[area]\nlength = "30 ft"\ndepth = "30 ft"\n[brief]\nterraces = 3\n' + lines, encoding="utf-8"
    )
    ran = command("plan", str(file), "--effort", "live", "--out", str(tmp_path / "out"))
    for told in (ran.out, (tmp_path / "out" / "findings.txt").read_text(encoding="utf-8")):
        said = " ".join(told.split())
        assert "`terrace = 2` and `terrace = 3`: the lines come within 3 5/8 in" in said  # 0.3 ft = 3.6 in
        assert "What would help, by hand: move the `points` of one of them" in said
        assert "0 walls" not in said and "nothing is planned" in said


@pytest.mark.parametrize("text", ["", 'title = "no case"\n'])
def test_a_file_without_cases_verifies_nothing(tmp_path: Path, text: str) -> None:
    """It is said so, and the status is not that of success, for the file and for its folder."""
    file = tmp_path / "mine.toml"
    file.write_text(text, encoding="utf-8")
    for place in (file, tmp_path):
        ran = command("verify", str(place))
        assert ran.status == 2 and "no case" in ran.err and "[[case]]" in ran.err


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full here")
def test_a_full_disk_is_told_plainly() -> None:
    """An output that has no room ends with a sentence and status 2, not with a trace of the program."""
    code = "from lynchet.commands.app import main; main()"
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-c", code, "calc", "--json"], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2 and "Traceback" not in done.stderr
    assert done.stderr.strip() == "the output cannot be written: No space left on device"


def test_a_stage_without_timber_has_a_day_sheet(tmp_path: Path) -> None:
    """Three low beds on a slope that needs timber for fewer: no level without an end, and the days can be told."""
    from lynchet.book.texts import Words
    from lynchet.drawings.day_content import day_contents
    from lynchet.plan.effort import LIVE
    from lynchet.plan.pipeline import plan_project
    from lynchet.project.read import read_project

    found = plan_project(read_project(changed(tmp_path, "plain.toml", {"terraces = 2": "terraces = 3"})), effort=LIVE)
    tops = [step.top_m for day in found.works.days for step in day.steps if step.top_m is not None]
    assert tops and all(isfinite(top) for top in tops)
    assert day_contents(found, Words("en"))


def _locked(tmp_path: Path) -> Path:
    """A folder that takes no file; who may write anywhere is shown one of the system's own."""
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o555)
    return Path("/proc") if os.access(locked, os.W_OK) else locked


@pytest.mark.parametrize("place", ["file", "under a file", "locked", "under locked", "long name"])
@pytest.mark.parametrize("name", ["plan", "book", "quote", "compare", "compare --before"])
def test_a_folder_that_takes_no_file_is_refused_before_planning(tmp_path: Path, name: str, place: str) -> None:
    """Every command that writes a folder says so at once: nothing is planned, nothing is written."""
    taken = tmp_path / "out"
    taken.write_text("mine", encoding="utf-8")
    locked = _locked(tmp_path) if "locked" in place else tmp_path
    before = sorted(path.name for path in tmp_path.iterdir())
    out = {"file": taken, "under a file": taken / "a" / "b", "long name": tmp_path / ("n" * 300)}.get(place, locked)
    words = [*name.split(), str(YARDS / YARD)] if "--before" in name else [name]
    out = out / "a" / "b" if place == "under locked" else out
    ran = command(*words, str(YARDS / YARD), "--out", str(out))
    assert ran.status == 2 and ran.out == "" and str(out) in ran.err and "Traceback" not in ran.err
    assert "name a folder" in ran.err or "name another folder" in ran.err
    assert "[1/" not in ran.err and "planning" not in ran.err and "trying" not in ran.err
    assert taken.read_text(encoding="utf-8") == "mine" and sorted(path.name for path in tmp_path.iterdir()) == before


@pytest.mark.parametrize("option", ["--save", "--sheet"])
def test_a_look_that_cannot_be_kept_is_refused_before_planning(tmp_path: Path, option: str) -> None:
    """As for folders; where a file stands for the folder, or the folder takes none."""
    taken = tmp_path / "out"
    taken.write_text("mine", encoding="utf-8")
    name = "yard.toml" if option == "--save" else "look.pdf"
    for folder in (taken, _locked(tmp_path)):
        ran = command("look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop", "3 ft",
                      option, str(folder / name))  # fmt: skip
        assert ran.status == 2 and ran.out == "" and str(folder) in ran.err, ran.err
    assert taken.read_text(encoding="utf-8") == "mine"


def test_a_file_that_cannot_keep_what_is_asked_is_refused_before_planning(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """--write into a folder on a disk for reading only."""

    def read_only(**_: object) -> None:
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(tempfile, "TemporaryFile", read_only)
    ran = command("plan", str(changed(tmp_path, YARD, {})), "--without", "ties", "--write")
    assert ran.status == 2 and ran.out == "" and "Read-only file system" in ran.err and "[1/" not in ran.err
