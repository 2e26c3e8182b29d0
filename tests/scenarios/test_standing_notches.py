"""Pipes through walls that stand, through the command line: written down with --built, told, asked, refused."""

from __future__ import annotations

import tomllib

import pytest

from by_command import changed, command, planned

SOUND = 'friction_angle = 30\nwall_friction = 20\nunit_weight = "120 pcf"'
OUTLET = "[drain]\noutlet = [[45, -11]]\n"
CLAY = {SOUND: 'feel = "sticky"', "lean = 0": "lean = 0\nweeps = true"}
SLOPE = "tape_on_ground.toml"


def test_a_cure_that_moves_water_through_standing_timber_says_so(tmp_path):
    """A low wall on stone alone was built and written down; then a pipe is laid behind it (the cure low-pipes): the
    timber is to be sawn, by place and size. Where the file does not say its notches it is asked instead."""
    file = changed(tmp_path, "ladder_two.toml", CLAY, OUTLET)
    ran = command("plan", str(file), "--built", "A0", "--write", "--effort", "live")
    assert ran.status == 0, ran.err
    text = file.read_text(encoding="utf-8")
    assert tomllib.loads(text)["stands"][0]["notches"] == []
    assert not planned(file, "--effort", "live").findings("standing.notch")
    after = planned(file, "--with", "low-pipes", "--effort", "live")
    (notch,) = after.data["water"]["notches"]
    assert notch["leg"] == "A0"
    (told,) = after.findings("standing.notch")
    assert told["code"] == "standing.notch_sawn" and told["verdict"] == "watch" and told["place"] == "A0"
    assert "Saw a notch 5 7/8 in wide" in told["text"] and "from its left end, seen from below" in told["text"]
    file.write_text(text.replace("notches = []\n", ""), encoding="utf-8")
    (asked,) = planned(file, "--with", "low-pipes", "--effort", "live").findings("standing.notch")
    assert asked["code"] == "standing.notch_asked" and asked["verdict"] == "watch"


def test_built_writes_down_the_notches(tmp_path):
    """--built writes each opening on one line; the plan that reads it says nothing of it, in feet as in metres."""
    file = changed(tmp_path, SLOPE, {})
    before = planned(file, "--effort", "live")
    assert command("plan", str(file), "--built", "W2", "--built", "A1", "--write", "--effort", "live").status == 0
    text = file.read_text(encoding="utf-8")
    first, second = tomllib.loads(text)["stands"]
    (notch,) = [one for one in before.data["water"]["notches"] if one["leg"] == "W2"]
    half = notch["width_m"] / 2
    ends = [(notch["station_m"] + off) / 0.0254 for off in (-half, half)]
    (row,) = first["notches"]
    assert row["course"] == 1 and second["notches"] == [] and 'notches = [{course = 1, from = "' in text
    assert [float(row[key].removesuffix(" in")) for key in ("from", "to")] == pytest.approx(ends, abs=1e-3)
    assert not planned(file, "--effort", "live").findings("standing.notch")


WALL = '\n[[stands]]\nwall = "W2"\ncourse = 2\nnotches = [{ course = %s, from = "%s", to = "%s" }]\n'
BAD = {
    "over what is laid": (WALL % (3, "1 ft", "18 in"), "stands.1.notches.1.course", "a notch in course 3", "1 to 2"),
    "backward": (WALL % (1, "18 in", "1 ft"), "stands.1.notches.1", "it ends before it begins", "less than `to`"),
    "a gap": (WALL % (1, "1 ft", "6 ft"), "stands.1.notches.1", "a notch 5 ft 0 in wide", "up to 23 5/8 in"),
    "no end": ('\n[[stands]]\nwall = "W2"\ncourse = 2\nnotches = [{ course = 1, from = 1 }]\n',
               "stands.1.notches.1.to", "missing", "distances along the wall"),
    "off the line": (WALL % (1, "30 ft", "31 ft") + 'line = [[0, 0], ["8 ft", 0]]\n', "stands.1.notches.1",
                     "31 ft 0 in along a line of 8 ft 0 in", "a distance on the line"),
    "words": ('\n[[stands]]\nwall = "W2"\ncourse = 2\nnotches = "none"\n', "stands.1.notches", '"none" found',
              "a list of tables"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_notches_that_cannot_be_are_refused(case, tmp_path):
    """Each slip is named with file, line, key, what was found and what is accepted; nothing is written."""
    text, key, found, accepted = BAD[case]
    file, out = changed(tmp_path, "plain.toml", {}, text), tmp_path / "out"
    line = 1 + file.read_text(encoding="utf-8").splitlines().index(
        next(row for row in file.read_text(encoding="utf-8").splitlines() if row.startswith("notches"))
    )
    ran = command("plan", str(file), "--out", str(out), "--effort", "live")
    said = " ".join(ran.err.split())
    assert ran.status == 2 and f"plain.toml:{line}" in said and f": {key}: " in said, ran.err
    assert found in said and accepted in said and "Traceback" not in said and not out.exists(), ran.err
