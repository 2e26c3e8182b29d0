"""Small switches through the command line: the version, a time in two units, paper of one run, cures that ease."""

from __future__ import annotations

import re
from importlib.metadata import version
from importlib.resources import files

import pytest

from by_command import YARDS, changed, command
from lynchet.core.errors import InputError
from lynchet.units.parse import parse


def test_the_version_is_told():
    """--version says the installed version and does nothing else."""
    ran = command("--version")
    assert ran.status == 0 and ran.out.strip() == f"lynchet {version('lynchet')}"


@pytest.mark.parametrize(("text", "seconds"), [("5 h 30 min", 19800.0), ("1 day 2 h", 93600.0), ("2 min 30 s", 150.0)])
def test_a_time_may_have_two_units(text, seconds):
    """Hours and minutes are read together, as feet and inches are."""
    assert parse(text, "time") == pytest.approx(seconds)


@pytest.mark.parametrize("text", ["5 h 70 min", "30 min 5 h", "5.5 h 30 min", "5 h 30 m"])
def test_an_odd_time_is_refused(text):
    """A part larger than the one before, the wrong way round, a fraction before a part, a length: each is refused."""
    with pytest.raises(InputError, match="time"):
        parse(text, "time")


def test_paper_of_one_run_is_not_kept(tmp_path):
    """--paper with --write leaves the file's paper alone and says how to keep it; what else was asked for is kept."""
    file = changed(tmp_path, "ladder_two.toml", {})
    before = file.read_text(encoding="utf-8")
    ran = command("plan", str(file), "--effort", "live", "--paper", "A4", "--write")
    assert ran.status == 0 and file.read_text(encoding="utf-8") == before
    assert 'paper = "A4"' in ran.err and "[sheet]" in ran.err
    ran = command("plan", str(file), "--effort", "live", "--paper", "A4", "--without", "pins", "--write")
    text = file.read_text(encoding="utf-8")
    assert ran.status == 0 and "pins" in text and "A4" not in text


def test_a_cure_that_eases_the_work_is_on_the_screen():
    """Pieces too heavy for two: the screen offers the shorter pieces by the name --with takes."""
    ran = command("plan", str(YARDS / "plain.toml"), "--effort", "live")
    said = " ".join(ran.out.split())
    assert "What would ease the work" in said and re.search(r"pieces-to-carry: no piece longer than \d", said)


@pytest.mark.parametrize("demo", ["side_yard", "l_garden"])
def test_no_line_of_the_screen_is_wider_than_a_terminal(demo):
    """The plan's word, findings, figures, work and money, and what was tried, in at most 80 characters a line."""
    done = command("plan", str(files("lynchet.demos") / f"{demo}.toml"))
    lines = done.out.splitlines()
    assert done.status == 0 and "of level ground in the beds" in " ".join(done.out.split())
    assert max(map(len, lines)) <= 80
