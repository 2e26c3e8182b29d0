"""The first look as a person meets it: one screen, plain words, the file it used."""

from __future__ import annotations

from pathlib import Path

import pytest

from by_command import command

ROUGH = ["look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop", "3 ft", "--top", "house"]


@pytest.mark.parametrize("more", [[], ["--held", "level", "--soil", "sticky"], ["--held", "ground"]])
def test_answer_fits_one_screen(more: list[str]) -> None:
    """At most 24 lines of 80 characters, with a verdict, walls, sticks, barrows and what to do next."""
    done = command(*ROUGH, *more)
    lines = done.out.splitlines()
    assert done.status == 0 and len(lines) <= 24 and max(map(len, lines)) <= 80
    assert lines[0].split(":")[0] in ("GO", "GO WITH CARE", "ASK FIRST", "STOP")
    text = done.out
    assert "Walls:" in text and "sticks" in text and "barrows" in text and "Next:" in text


def test_saved_file_plans(tmp_path: Path) -> None:
    """The file saved by a look is a project that `plan` takes, and an unknown tape keeps back the cut sheet."""
    target = tmp_path / "first.toml"
    assert command(*ROUGH, "--save", str(target)).status == 0
    done = command("plan", str(target), "--effort", "live")
    assert done.status == 0 and "cut sheet" in done.out


def test_bad_answers_are_all_told_at_once() -> None:
    """Every number that cannot be read is named, nothing is planned, exit 2."""
    done = command("look", "--side-to-side", "wide", "--up-the-slope", "-4 ft", "--drop", "7 kg")
    assert done.status == 2 and done.out == ""
    for key in ("side to side", "up the slope", "drop"):
        assert key in done.err
