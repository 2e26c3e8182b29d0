"""The working of findings: opened from the command line, the same text as calc, the same numbers as the finding."""

from __future__ import annotations

import shlex

import pytest

from by_command import YARDS, changed, command, planned
from lynchet.calculators.text import run as calculated
from lynchet.calculators.text import working_text

ANSWERS = {
    "stability.load": lambda finding, result: (finding["demand"], result["total_kn_per_m"]),
    "stability.tiers": lambda finding, result: (1.2192 / finding["ratio"], result["minimum_setback_m"]),
    "stability.slope": lambda finding, result: (finding["ratio"], result["factor"]),
    "water.fall_from_house": lambda finding, result: (finding["demand"], result["needed_fall_m"]),
}
"""For findings that a calculator gives whole: their number and the calculator's."""


@pytest.mark.parametrize(
    ("yard", "codes"),
    [
        ("parking_above.toml", {"stability.load"}),
        ("two_low_walls.toml", {"stability.tiers", "stability.slope"}),
        ("house_edge.toml", {"water.fall_from_house"}),
    ],
)
def test_a_finding_and_its_working_say_the_same(yard, codes):
    """The calculator with the finding's own arguments gives the finding's number again."""
    found = [finding for finding in planned(YARDS / yard, "--effort", "live").data["findings"] if finding["working"]]
    assert codes <= {finding["code"] for finding in found}
    for finding in found:
        name, given = finding["working"]
        result = calculated(name, dict(given)).result
        if finding["code"] in ANSWERS:
            said, worked = ANSWERS[finding["code"]](finding, result)
            assert said == pytest.approx(worked, rel=1e-6)
        if finding["code"] == "stability.wall":
            sliding = ": sliding" in finding["text"]
            worked = result["sliding_factor" if sliding else "overturning_factor"]
            assert finding["ratio"] == pytest.approx(worked, rel=1e-6)


def test_roof_water_led_away_opens_its_working(tmp_path):
    """A downspout with a way of its own has the flow of its pipe as working, and the plan with it is written whole."""
    roof = 'roof = { area = "900 sq ft", downspouts = [[5.5, 16.9]] }'
    house = f'[[house]]\nname = "shed"\noutline = [[3, 17], [16, 17], [16, 24], [3, 24]]\n{roof}\n[brief]'
    file = changed(tmp_path, "plain.toml", {"[brief]": house, 'fall = "8 %"': 'fall = "20 %"'})
    plan = planned(file, "--effort", "live")
    (finding,) = [finding for finding in plan.findings("water.roof_pipe") if finding["working"]]
    name, given = finding["working"]
    (pipe,) = plan.data["water"]["roof_pipes"]
    assert calculated(name, dict(given)).result["design_flow_l_s"] == pytest.approx(pipe["flow_l_s"], rel=1e-9)
    assert "design flow" in command("plan", str(file), "--effort", "live", "--working", "water.roof_pipe").out


def test_working_opens_as_calc_prints_it():
    """plan --working PLACE prints the finding, then line for line what calc prints for the same keys."""
    file = str(YARDS / "two_low_walls.toml")
    finding = planned(YARDS / "two_low_walls.toml", "--effort", "live").findings("stability.tiers")[0]
    name, given = finding["working"]
    ran = command("plan", file, "--effort", "live", "--working", "tiers")
    assert ran.status == 0
    assert working_text(name, dict(given), "us") in ran.out
    words = [f"{key}={value!r}" for key, value in given]
    calc = command("calc", name, *words, "--units", "us")
    assert calc.out.strip() in ran.out, shlex.join(words)
    assert "stand 4 ft 0 in apart" in ran.out


def test_a_plan_says_that_findings_can_be_worked_out():
    """Where findings have a working the plan names the option with a place to try, and that place opens."""
    file = str(YARDS / "two_low_walls.toml")
    ran = command("plan", file, "--effort", "live")
    assert "--working A0" in ran.out
    assert "Given" in command("plan", file, "--effort", "live", "--working", "A0").out


@pytest.mark.parametrize(
    "yard", ["balanced.toml", "balanced_that_loses.toml", "house_edge.toml", "ladder_three.toml", "old_oak.toml"]
)
def test_a_wall_is_worked_out_in_its_own_case(yard):
    """The working of every finding on a wall has the water of its case in it and gives the finding's factor again."""
    walls = planned(YARDS / yard, "--effort", "live").findings("stability.wall")
    assert walls
    for finding in walls:
        name, given = finding["working"]
        result = calculated(name, dict(given)).result
        kind = "sliding_factor" if ": sliding" in finding["text"] else "overturning_factor"
        assert finding["ratio"] == pytest.approx(result[kind], rel=1e-6)
        assert result["water_kn_per_m"] > 0 or finding["case"] in ("dry", "earthquake")
        if finding["demand"] is not None:
            assert finding["demand"] == pytest.approx(result["horizontal_kn_per_m"], rel=1e-6)


def test_a_wall_that_stands_by_its_corners_is_worked_out():
    """The box of a corner finding gives its factors, its pull and, from the joint at its base, its forces."""
    found = planned(YARDS / "box_bed.toml", "--effort", "live").findings("stability.corners")
    assert len(found) == 4
    for finding in found:
        box = calculated(finding["working"][0], dict(finding["working"][1])).result
        assert finding["demand"] == pytest.approx(max(box["corner_pull_kn"]), rel=1e-9)
        assert finding["ratio"] == pytest.approx(min(box["sliding_factor"], box["overturning_factor"]), rel=1e-9)
        ((name, given),) = finding["working_also"]
        base = calculated(name, dict(given)).result
        asked = dict(finding["working"][1])
        for key in ("vertical_kn_per_m", "horizontal_kn_per_m", "resisting_kn_m_per_m", "held_beside_kn_per_m"):
            assert base[key] == pytest.approx(asked[key], rel=1e-6)


def test_heights_pipes_and_timber_are_worked_out(tmp_path):
    """The rule of a height, a pipe too small and a course too weak open with the numbers of their findings."""
    (height, *_) = planned(YARDS / "parking_above.toml", "--effort", "live").findings("stability.height")
    rule = calculated(height["working"][0], dict(height["working"][1])).result
    assert rule["triggered"] == [True] and rule["height_m"] == pytest.approx([height["demand"]])
    narrow = changed(tmp_path, "plain.toml", {"[drain]": '[drain]\npipe = "0.5 in"'}) if "[drain]" in (
        YARDS / "plain.toml").read_text() else None  # fmt: skip
    for finding in planned(narrow, "--effort", "live").findings("water.capacity") if narrow else []:
        pipe = calculated(finding["working"][0], dict(finding["working"][1])).result
        assert finding["capacity"] == pytest.approx(pipe["flow_l_s"], rel=1e-9)


def test_soil_that_goes_opens_its_loads():
    """The loads said with soil that must go are those of load_count."""
    (finding,) = planned(YARDS / "two_low_walls.toml", "--effort", "live").findings("earth.pushed_out")
    loads = calculated(finding["working"][0], dict(finding["working"][1])).result["loads"]
    assert f"{loads} load" in finding["text"]


@pytest.mark.parametrize(
    ("wanted", "told"), [("W9", "one of: all, "), ("A1O", "no finding is about 'A1O'"),
     ("stability.wal", "did you mean stability.wall?")],
)  # fmt: skip
def test_an_unknown_finding_is_answered_with_those_there_are(wanted, told):
    """A place or code that has no working ends with status 2 and names those that have."""
    ran = command("plan", str(YARDS / "two_low_walls.toml"), "--effort", "live", "--working", wanted)
    assert ran.status == 2 and told in " ".join(ran.err.split()) and "A0" in ran.err
