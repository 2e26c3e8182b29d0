"""Heights of a survey are counted from a point a staff reaches, and that point is found by two tapes."""

from __future__ import annotations

from dataclasses import replace
from math import dist
from pathlib import Path

import pytest
from shapely import Point, Polygon

from demo_plans import demo
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.figures import Figures
from lynchet.drawings.plan_stays import benchmark_words
from lynchet.ground.surface import level_at
from lynchet.plan.day_parts import day_parts
from lynchet.plan.day_readings import readings
from lynchet.plan.effort import LIVE
from lynchet.plan.mark_place import mark_place
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project
from lynchet.walls.setting_out import STAFF_M, benchmark


def test_of_numbered_points_the_nearest_to_the_work_is_the_mark() -> None:
    """Of the published levels no point clear of the digging is nearer; every reading of every day is within a staff."""
    plan = demo("spot_levels")
    setting, area = plan.walls.setting_out, Polygon(plan.project.area.outline_m)
    found = {one.name: area.distance(Point(one.point_m)) for one in plan.project.ground.readings}
    clear = {name: far for name, far in found.items() if far > 0.5 + plan.project.digging.work_room_m}
    assert found[setting.benchmark] == min(clear.values())
    levels = [one for today in day_parts(plan) for one in readings(plan, today) if one.level]
    assert levels and all(abs(one.value_m) < STAFF_M for one in levels)


def test_a_mark_with_a_name_stays() -> None:
    """The first point stays the mark where it has a name to be found by, however far off; and where it is near."""
    project = demo("spot_levels").project
    first, *rest = project.ground.readings
    named = replace(project, ground=replace(project.ground, readings=(replace(first, name="manhole"), *rest)))
    assert benchmark(named)[0] == "manhole"
    near = next(one for one in rest if one.name == "23")
    there = (near, first, *(one for one in rest if one is not near))
    assert benchmark(replace(project, ground=replace(project.ground, readings=there)))[0] == "23"


def test_the_mark_is_called_alike_and_is_pegged_on_the_first_day() -> None:
    """Title blocks and day sheets call it "point 14"; the first day gives two tapes that lead to it."""
    plan = demo("spot_levels")
    at = mark_place(plan)
    assert at is not None
    called = f"point {plan.walls.setting_out.benchmark}"
    assert benchmark_words(plan, Figures("us")).startswith(f"{called} = ")
    days = day_contents(plan, Words("en"))
    assert any(called in step.text and "first to the second" in step.text for step in days[0].steps)
    assert all(called in day.expected.intro for day in days[1:] if "From the mark" in day.expected.intro)
    known = dict(plan.walls.setting_out.known_m)
    assert dist(known[at.from_a], at.point_m) == pytest.approx(at.distance_a_m)
    assert at.point_m == plan.walls.setting_out.benchmark_at_m
    assert mark_place(demo("side_yard")) is None  # its mark has a name


BOARD = """lynchet = 1
units = "us"
[ground]
held = "HELD"
steps = { cross_fall = "3 %", each = [
    { rise = "12 in", run = "6 ft" }, { rise = "14 in", run = "6 ft" }, { rise = "13 in", run = "6 ft" } ] }
[area]
outline = [[0, 0], [22, 0], [22, 18], [0, 18]]
[[house]]
outline = [[0, 20], [22, 20], [22, 44], [0, 44]]
[soil]
feel = "gritty"
[brief]
path_strip = "2 ft"
"""


@pytest.mark.parametrize("held", ["level", "ground"])
def test_where_a_board_was_first_set_is_the_mark(tmp_path: Path, held: str) -> None:
    """One line of steps stands for the whole width: levels count from its first place, the middle of the low edge, at
    level 0 in the file, and not from a corner of the ground made of it, which nobody read and nobody can find."""
    file = tmp_path / "board.toml"
    file.write_text(BOARD.replace("HELD", held), encoding="utf-8")
    plan = plan_project(read_project(file), effort=LIVE)
    setting = plan.walls.setting_out
    assert setting.benchmark == "start of levels" and setting.benchmark_m == pytest.approx(0.0, abs=1e-9)
    assert setting.benchmark_at_m == pytest.approx((11 * 0.3048, 0.0), abs=1e-4)
    assert float(level_at(plan.ground.surface, [setting.benchmark_at_m])[0]) == pytest.approx(0.0, abs=1e-6)
    at = mark_place(plan)
    assert at is not None and at.distance_a_m == pytest.approx(dist(dict(setting.known_m)[at.from_a], at.point_m))
    days = day_contents(plan, Words("en"))
    assert any("Peg start of levels" in step.text for step in days[0].steps)
    assert not any("step 0" in step.text for day in days for step in day.steps)
    assert "inicio de los niveles" in " ".join(step.text for step in day_contents(plan, Words("es"))[0].steps)


def test_lines_of_steps_begin_where_the_first_does(tmp_path: Path) -> None:
    """Two lines, the first with a level and a place of its own: that is the mark."""
    lines = """[[ground.steps]]
name = "left"
from = [2, 0]
level = "4 in"
each = [{ rise = 1, run = 6 }, { rise = 1, run = 6 }, { rise = 1, run = 6 }]
[[ground.steps]]
name = "right"
from = [20, 0]
each = [{ rise = 1, run = 6 }, { rise = 1, run = 6 }, { rise = 1, run = 6 }]
[area]
outline = [[2, 0], [20, 0], [20, 18], [2, 18]]
"""
    file = tmp_path / "lines.toml"
    head = 'lynchet = 1\nunits = "us"\n[soil]\nfeel = "gritty"\n[ground]\nheld = "level"\n'
    file.write_text(head + lines, encoding="utf-8")
    name, level, at = benchmark(read_project(file))
    assert name == "start of levels" and level == pytest.approx(4 * 0.0254)
    assert at == pytest.approx((0.0, 0.0), abs=1e-4), "the corner of the outline it was started from"
