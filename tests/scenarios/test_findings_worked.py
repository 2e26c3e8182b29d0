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
        if finding["code"] == "stability.wall" and finding["case"] == "dry":
            assert finding["ratio"] == pytest.approx(result["least_helped"], rel=1e-6)


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


def test_water_behind_a_wall_is_not_hidden_by_a_dry_working():
    """A working for drained ground under a finding with water says so."""
    ran = command("plan", str(YARDS / "parking_above.toml"), "--effort", "live", "--working", "wall")
    assert "with one outlet shut" in ran.out and "Worked out below for drained ground" in ran.out


@pytest.mark.parametrize(
    ("wanted", "told"), [("W9", "one of: all, "), ("A1O", "no finding is about 'A1O'"),
     ("stability.wal", "did you mean stability.wall?")],
)  # fmt: skip
def test_an_unknown_finding_is_answered_with_those_there_are(wanted, told):
    """A place or code that has no working ends with status 2 and names those that have."""
    ran = command("plan", str(YARDS / "two_low_walls.toml"), "--effort", "live", "--working", wanted)
    assert ran.status == 2 and told in " ".join(ran.err.split()) and "A0" in ran.err
