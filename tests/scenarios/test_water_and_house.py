"""Water and the house through the command line: no way out, the house edge, an outlet over the lot line.

Expected figures by hand: 60 m2 x 0.35 x 25 mm = 0.525 m3; 6 x 0.45 x 0.9 m x 0.30 = 0.729 m3; half of it through half
the sides (5.805 m2) at 1, 5, 20 mm/h in 62.8, 12.6, 3.1 h; 10 - 7 = 3 in; 24 + 8 = 32 in. Yards are invented.
"""

from __future__ import annotations

import pytest

from by_command import YARDS, changed, command, planned

INCH_M = 0.0254


@pytest.mark.parametrize(("rate", "hours", "verdict"), [("1", 62.8, "stop"), ("5", 12.6, "ok"), ("20", 3.1, "ok")])
def test_no_way_out_but_a_soakaway(tmp_path, rate, hours, verdict):
    """A hollow: the pit takes 0.525 m3 into 0.729 m3; at 1 mm/h it stays full (stop), at 5 and 20 mm/h it does."""
    plan = planned(changed(tmp_path, "no_way_out.toml", {'soak = "5 mm/h"': f'soak = "{rate} mm/h"'}))
    (pit,) = plan.data["water"]["soakaways"]
    assert pit["area_m2"] == pytest.approx(60.0, rel=1e-6) and pit["inflow_m3"] == pytest.approx(0.525, abs=5e-4)
    assert pit["store_m3"] == pytest.approx(0.729, abs=5e-4) and pit["half_empty_h"] == pytest.approx(hours, abs=0.05)
    assert plan.verdicts("water.soakaway") == {verdict}
    assert (plan.verdict == "stop") == (verdict == "stop")
    if verdict == "stop":
        assert "no way out" in plan.text("water.soakaway") and "all" in plan.data["withheld"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("outline = [[1, 12], [9, 12], [9, 14.5], [1, 14.5]]", "outline = [[1, -11.5], [9, -11.5], [9, -9], [1, -9]]"),
        ("line = [[-8.9, -11], [18.9, -11]]", "line = [[-8.9, -9], [18.9, -9]]"),
    ],
)
def test_a_soakaway_near_the_house_or_the_lot_line_stops(tmp_path, old, new):
    """The pit that does at 5 mm/h is a stop where a house or the lot line comes nearer than 10 ft."""
    plan = planned(changed(tmp_path, "no_way_out.toml", {old: new}))
    assert plan.verdicts("water.soakaway_place") == {"stop"}


def test_without_the_soakaway_there_is_no_way_out(tmp_path):
    """The same hollow without its pit: a stop that names the level an outlet would need."""
    text = (YARDS / "no_way_out.toml").read_text(encoding="utf-8")
    start, end = text.index("[[soakaway]]"), text.index("[[timber]]")
    file = tmp_path / "no_pit.toml"
    file.write_text(text[:start] + text[end:], encoding="utf-8")
    plan = planned(file)
    assert plan.verdicts("water.no_way_out") == {"stop"} and "level" in plan.text("water.no_way_out")


def test_bench_too_high_at_the_siding():
    """Siding 10 in over the ground, bench 7 in higher: 3 in are left of 6; one course lower leaves 8 1/2 in."""
    plan = planned(YARDS / "house_edge.toml")
    (finding,) = plan.findings("water.siding")
    assert finding["verdict"] == "stop" and finding["capacity"] == pytest.approx(3 * INCH_M, abs=1e-4)
    assert finding["demand"] == pytest.approx(6 * INCH_M, abs=1e-4) and "3 in" in finding["text"]
    cures = {cure["name"]: cure["text"] for cure in finding["cures"]}
    assert "8 1/2 in" in cures["bench-one-course-lower"] and "old level" in cures["strip-at-old-level"]
    assert "roof water never goes into a wall drain" in plan.text("water.roof_pipe")


def test_bench_one_course_lower_clears_the_siding(tmp_path):
    """The cure, done: 1 1/2 in over the ground leave 8 1/2 in, no stop at the siding."""
    plan = planned(changed(tmp_path, "house_edge.toml", {'levels = ["7 in"]': 'levels = ["1 1/2 in"]'}))
    assert not plan.findings("water.siding")


def test_trench_beside_a_footing():
    """A trench 36 in deep (150 mm of stone: 35 7/8) 8 in from a footing 24 in deep: 32 in are allowed, move it."""
    plan = planned(YARDS / "house_trench.toml")
    (finding,) = plan.findings("water.trench_at_house")
    assert finding["verdict"] == "stop" and "allows 32 in" in finding["text"]
    assert finding["demand"] == pytest.approx(36 * INCH_M, abs=0.003)
    assert finding["capacity"] == pytest.approx(32 * INCH_M, abs=0.001)
    cures = {cure["name"]: cure["text"] for cure in finding["cures"]}
    assert "move it" in cures["move-trench"] and "end short of it" in cures["short-of-house"]


def test_outlet_over_the_lot_line_stops(tmp_path):
    """An outlet that points over the lot line 3 ft off is a stop: turn it, or let it soak away."""
    line = '\n[[lot_line]]\nline = [[-8, -3], [48, -3]]\ntrust = "survey"\n'
    changes = {"{ at = [-8, -12], level = -2 }": "{ at = [-8, -12], level = -1.5 }"}
    plan = planned(changed(tmp_path, "ladder_three.toml", changes, line))
    finding = plan.findings("water.outlet_lot_line")[0]
    assert finding["verdict"] == "stop" and "lot line" in finding["text"]
    assert {cure["name"] for cure in finding["cures"]} >= {"turn-outlet", "soakaway"}
    assert command("plan", str(tmp_path / "ladder_three.toml"), "--strict").status == 3
