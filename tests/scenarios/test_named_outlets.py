"""Outlets that the file names and drains that come out elsewhere: said why, and led there alone where that is asked."""

from __future__ import annotations

import re
from itertools import pairwise
from math import dist
from pathlib import Path

import pytest

from by_command import Planned, command, planned

YARD = """lynchet = 1
units = "metric"
ground = {{ slope = {{ fall = "{fall}", cross_fall = "3 %" }}, held = "level" }}
area = {{ outline = [[0, 0], [9, 0], [9, 6], [0, 6]] }}
soil = {{ friction_angle = 38, wall_friction = 25, unit_weight = "18 kN/m3" }}
timber = {{ section = "150 mm x 150 mm", stock = ["2.4 m", "4.8 m"] }}
brief = {{ terraces = 2, weeps = true }}
[drain]
pipe_from = "0.1 m"
{more}
"""


def _file(folder: Path, fall: str, more: str) -> Path:
    file = folder / "yard.toml"
    file.write_text(YARD.format(fall=fall, more=more), encoding="utf-8")
    return file


def _piped_m(plan: Planned) -> float:
    return sum(row["end_m"] - row["start_m"] for row in plan.data["water"]["levels"] if row["drained"] == "pipe")


def _kinds(plan: Planned) -> list[str]:
    return sorted(outlet["kind"] for outlet in plan.data["water"]["outlets"])


def test_drains_are_led_to_the_outlets_named_where_that_is_asked(tmp_path: Path) -> None:
    """One drain comes out where nobody named a place: told with the key that leads it to the place named. The cure is
    planned: as much of the walls has a pipe, all water leaves by the place named, and the pipe told is that laid."""
    file = _file(tmp_path, "9 %", "outlet = [[4, -8]]")
    before = planned(file)
    assert _kinds(before) == ["daylight", "given"]
    (told,) = before.findings("water.outlet_not_named")
    assert "`named_only = true`" in told["text"]
    cure = before.cures()["named-outlets"]
    after = planned(file, "--with", "named-outlets", "--effort", "live")
    assert _kinds(after) == ["given"] and not after.findings("water.outlet_not_named")
    assert _piped_m(after) >= _piped_m(before) - 1e-6
    runs = [*after.data["water"]["drains"], *after.data["water"]["solids"]]
    metres = sum(dist(a, b) for run in runs for a, b in pairwise(run["points_m"]))
    pipe = re.search(r"pipe [\d.]+ m → ([\d.]+) m; places where water comes out 2 → 1", cure["effect"])
    assert pipe and float(pipe[1]) == pytest.approx(metres, abs=0.31)


def test_what_would_leave_walls_on_stone_alone_is_no_cure(tmp_path: Path) -> None:
    """Where the place named is reached from fewer walls, the key is told in words and no cure is offered; asked for all
    the same, no water comes out anywhere else."""
    before = planned(_file(tmp_path, "6 %", "outlet = [[4, -8]]"))
    assert "daylight" in _kinds(before) and "named-outlets" not in before.cures()
    after = planned(_file(tmp_path, "6 %", "outlet = [[4, -8]]\nnamed_only = true"))
    assert set(_kinds(after)) == {"given"} and _piped_m(after) < _piped_m(before)


def test_a_place_that_is_reached_and_not_used_says_how_and_why(tmp_path: Path) -> None:
    """The pipe it would take, from which wall, beside that of the way taken; and the key that asks for it."""
    text = planned(_file(tmp_path, "9 %", "outlet = [[-7, -4]]")).text("water.outlet_unused")
    assert re.search(
        r"a pipe of [\d.]+ m from wall \w+ could reach it, but the way out that was taken \([\d.]+ m", text
    )
    assert "write `named_only = true` under [drain]" in text


def test_named_alone_and_none_named_is_refused(tmp_path: Path) -> None:
    """The key asks for places: without any the file is refused with what would do."""
    ran = command("plan", str(_file(tmp_path, "9 %", "named_only = true")), "--out", str(tmp_path / "out"))
    assert ran.status == 2 and "drain.named_only" in ran.err and "[[soakaway]]" in ran.err


@pytest.mark.parametrize(("level", "word"), [(None, None), (-0.9, None), (-1.5, "watch"), (-5.0, "ask")])
def test_an_outlet_named_far_under_the_ground_is_looked_at(
    tmp_path: Path, level: float | None, word: str | None
) -> None:
    """The ground lies some 0.7 m under the mark there. A spade deep is as named; deeper it is told how far, and a
    trench that nobody may enter is asked about."""
    said = "outlet = [[4, -8]]" if level is None else f"outlet = [{{ at = [4, -8], level = {level} }}]"
    plan = planned(_file(tmp_path, "9 %", said + "\nnamed_only = true"), "--effort", "live")
    found = plan.findings("water.outlet_under")
    assert [one["verdict"] for one in found] == ([word] if word else [])
    if level is not None and word:
        assert -0.9 < level + found[0]["demand"] < -0.1
