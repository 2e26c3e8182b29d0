"""The points told of a pipe are the pipe: straight lines between them lie where it is placed, drops and all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from demo_plans import DEMOS, demo
from lawbook.pipe_laws import points_are_the_pipe, table_is_the_pipe
from lynchet.plan.further_pegs import further_pegs
from lynchet.water.told_points import told_points


@pytest.mark.parametrize("name", DEMOS)
def test_the_points_to_set_out_are_the_pipe(name: str) -> None:
    """Between them no placed pipe without holes lies 3 mm off in level, nor 25 mm in plan."""
    assert points_are_the_pipe(demo(name)) == []


def test_a_demo_has_drops_at_all() -> None:
    """The law above has drops to look at, each told at its top and its foot."""
    whats = [one.peg.what for one in further_pegs(demo("spot_levels")) if one.kind == "pipe"]
    assert sum("top of a drop" in what for what in whats) == sum("foot of a drop" in what for what in whats) > 2


def test_an_upright_drop_is_two_points_at_one_place() -> None:
    """A pipe that falls straight down is told above and below."""
    points, levels = [(0.0, 0.0), (2.0, 0.0), (2.0, 0.0), (4.0, 0.0)], [1.0, 0.98, 0.5, 0.48]
    assert told_points(points, levels) == (0, 1, 2, 3)
    assert told_points(points, [1.0, 0.98, 0.98, 0.96]) == (0, 3)


@pytest.mark.parametrize("name", DEMOS)
def test_the_table_of_pipes_is_the_pipe(name: str) -> None:
    """Lengths and falls of its stretches, added up from the upper end, give the invert at every point."""
    assert table_is_the_pipe(demo(name)) == []


def test_a_pipe_moved_after_it_was_told_is_found() -> None:
    """The laws above fail where a body lies an inch lower than the points, or a point an inch lower than the table."""
    plan = demo("spot_levels")
    body = next(one for one in plan.water.bodies if one.kind == "solid pipe")
    low = replace(body, bottom_start_m=body.bottom_start_m - 0.025, bottom_end_m=body.bottom_end_m - 0.025)
    bodies = tuple(low if one is body else one for one in plan.water.bodies)
    assert points_are_the_pipe(replace(plan, water=replace(plan.water, bodies=bodies)))
