"""A wall that only a shut outlet drowns, and a second way out for its water, through the command line."""

from __future__ import annotations

from by_command import YARDS, changed, command, planned

YARD = YARDS / "one_outlet.toml"


def test_a_second_outlet_cures_a_wall_that_only_a_shut_outlet_drowns():
    """Planned with the cure: the stop is care, the effect told is the one had, each half has its own outlet."""
    before = planned(YARD)
    (stop,) = [finding for finding in before.data["findings"] if finding["verdict"] == "stop"]
    assert stop["code"] == "stability.wall" and "one outlet shut" in stop["text"]
    cure = before.cures()["second-outlet"]
    after = planned(YARD, "--with", "second-outlet", "--effort", "live")
    assert after.verdict == "watch" and "stop becomes go with care" in cure["effect"]
    assert len(before.data["water"]["outlets"]) == 1 and len(after.data["water"]["outlets"]) == 2
    assert "Keep both its outlets open" in after.text("stability.wall") and not after.findings("water.one_way")


def test_with_one_outlet_shut_water_stands_at_the_high_point_between_the_two():
    """By hand: no lower than the bore over the highest invert the two share, and far under the top of the wall."""
    water = planned(YARD, "--with", "second-outlet", "--effort", "live").data["water"]
    (first, second) = water["drains"]
    shared = max(first["inverts_m"][-1], second["inverts_m"][0])
    assert first["nodes"][-1] == second["nodes"][0] and first["into"] != second["into"]
    for row in water["levels"]:
        assert abs(row["one_shut_m"] - (shared + first["bore_m"])) < 1e-6
        assert row["one_shut_m"] < row["all_shut_m"] - 0.3


def test_two_ways_asked_where_only_one_is_found_is_told(tmp_path):
    """A wall too short for two mouths a metre apart keeps its one way out, and the plan says what that means."""
    short = {"[[0, 0], [24, 0], [24, 10], [0, 10]]": "[[0, 0], [3, 0], [3, 10], [0, 10]]"}
    plan = planned(changed(tmp_path, "one_outlet.toml", short, "[drain]\nways_out = 2\n"))
    assert plan.verdicts("water.one_way") == {"watch"} and "one way out only" in plan.text("water.one_way")


def test_ways_out_are_one_or_two(tmp_path):
    """Anything else is refused by name with what is accepted; left out it is one."""
    for value in ("0", "3", "1.5", '"two"'):
        ran = command("plan", str(changed(tmp_path, "one_outlet.toml", {}, f"[drain]\nways_out = {value}\n")))
        assert ran.status == 2 and "ways_out" in ran.err, value
    one = planned(changed(tmp_path, "one_outlet.toml", {}, "[drain]\nways_out = 1\n"))
    assert one.data["water"]["levels"] == planned(YARD).data["water"]["levels"]
