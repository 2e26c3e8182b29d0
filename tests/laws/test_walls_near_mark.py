"""Heights of a survey are counted from a point a staff reaches, and that point is found by two tapes."""

from __future__ import annotations

from dataclasses import replace
from math import dist

import pytest
from shapely import Point, Polygon

from demo_plans import demo
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.figures import Figures
from lynchet.drawings.plan_stays import benchmark_words
from lynchet.plan.day_parts import day_parts
from lynchet.plan.day_readings import readings
from lynchet.plan.mark_place import mark_place
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
