"""Cures through the command line: computed before they are chosen, applied, kept with --write, undone."""

from __future__ import annotations

import json

import pytest

from by_command import YARDS, changed, command, planned
from lynchet.project.edit import edit_file
from lynchet.units.format import length


def plan_text(file, *words):
    """The whole plan as printed."""
    ran = command("plan", str(file), "--json", *words)
    assert ran.status == 0, ran.err
    return ran.out


def test_cure_tried_changes_no_file_and_is_undone_by_leaving_it_out(tmp_path):
    """Planned with a cure and then without it: the file and the plan are as before."""
    file = changed(tmp_path, "ladder_three.toml", {})
    text, before = file.read_bytes(), plan_text(file)
    cured = plan_text(file, "--with", "one-course-fewer")
    assert json.loads(cured)["verdict"] != "stop" and json.loads(before)["verdict"] == "stop"
    assert file.read_bytes() == text and plan_text(file) == before


def test_write_keeps_the_cure_and_every_remark(tmp_path):
    """--write: the file plans as the cure did, keeps its comments, and taken back by hand it plans as before."""
    file = changed(tmp_path, "ladder_three.toml", {})
    before, cured = plan_text(file), plan_text(file, "--with", "one-course-fewer", "--write")
    text = file.read_text(encoding="utf-8")
    assert "# half a course in the ground" in text and "# INVENTED" in text
    assert json.loads(plan_text(file))["stability"] == json.loads(cured)["stability"]
    edit_file(file, [("brief.levels", ["13.75 in"])])
    assert json.loads(plan_text(file))["stability"] == json.loads(before)["stability"]


def test_effect_told_is_the_effect_had():
    """What a cure was said to change is what the plan with it shows: verdict and highest wall."""
    cure = planned(YARDS / "ladder_three.toml").cures()["one-course-fewer"]
    after = planned(YARDS / "ladder_three.toml", "--with", "one-course-fewer", "--effort", "live")
    held = max(place["high_m"] - place["low_m"] for place in after.data["stability"]["places"])
    assert f"→ {length(held, 'us')};" in cure["effect"]
    assert {"watch": "go with care", "ok": "go", "ask": "ask first"}[after.verdict] in cure["effect"]


def test_no_cure_is_offered_that_does_not_help():
    """Every cure offered alone leaves no stop; half cures are marked and leave fewer or smaller ones."""
    shown = command("plan", str(YARDS / "ladder_three.toml")).out
    offered = shown[shown.index("What would help") :].split("Have buried")[0]
    assert "one-course-fewer" in offered and "does not cure it alone" not in offered
    assert "path-strip" not in offered  # nothing is dug before this wall anyhow


def test_what_is_drawn_by_hand_is_told_so():
    """Returns are drawn, not switched on: asked by name, the command says what to draw."""
    ran = command("plan", str(YARDS / "ladder_three.toml"), "--with", "returns")
    assert ran.status == 2 and "drawn by hand" in ran.err and "one stick a course" in ran.err


def test_switches_left_out_are_kept_beside_those_of_the_file(tmp_path):
    """--without adds to what the file does not count; --write keeps both."""
    file = changed(tmp_path, "ladder_two.toml", {"lean = 0": 'lean = 0\nhelps_off = ["pins"]'})
    ran = command("plan", str(file), "--without", "buried course", "--without", "ties", "--write")
    assert ran.status == 0, ran.err
    text = file.read_text(encoding="utf-8")
    assert '"pins"' in text and '"buried course"' in text and 'ties = "never"' in text


def test_cures_of_a_terraced_slope_work_together_when_none_does_alone():
    """Where no single cure clears the stops, several are tried together; applied so, they do what was said of them."""
    plan = planned(YARDS / "tape_on_ground.toml")
    joined = [cure for name, cure in plan.cures().items() if "+" in name]
    for cure in joined:
        after = planned(YARDS / "tape_on_ground.toml", "--with", cure["name"], "--effort", "live")
        assert (after.verdict != "stop") == ("stop becomes" in cure["effect"])


@pytest.mark.parametrize("name", ["weeps", "ties"])
def test_a_cure_that_does_not_apply_is_refused(name):
    """A plan without a stop has no such cures to apply; what can be applied is named."""
    ran = command("plan", str(YARDS / "ladder_two.toml"), "--with", name)
    assert ran.status == 2 and f"no cure is called '{name}' here" in ran.err
