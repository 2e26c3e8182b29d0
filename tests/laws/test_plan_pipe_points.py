"""The points told of a pipe are the pipe: straight lines between them lie where it is placed, drops and all."""

from __future__ import annotations

from collections.abc import Iterator
from math import dist

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point

from demo_plans import DEMOS, demo
from lynchet.drawings.pipe_list import pipes
from lynchet.plan.further_pegs import further_pegs, solid_lines
from lynchet.plan.model import Plan
from lynchet.water.told_points import told_points

Place = tuple[float, float, float]


def _told(plan: Plan, name: str) -> list[Place]:
    """Places and levels of a pipe among the points to set out, its mouth where it has one."""
    pegs = [one for one in further_pegs(plan) if one.kind == "pipe" and one.peg.id.startswith(f"{name}.")]
    found = [(*one.peg.point_m, float(one.level_m or 0.0)) for one in pegs]
    ends = next(points for label, points, _ in solid_lines(plan) if label == name)
    mouths = [(*one.peg.point_m, float(one.level_m or 0.0)) for one in further_pegs(plan) if one.kind == "outlet"]
    return found + [mouth for mouth in mouths if dist(mouth[:2], ends[-1]) < 0.02]


def _placed(plan: Plan) -> Iterator[tuple[str, Place]]:
    """Name of the pipe without holes and places along its lowest inside, from the bodies laid."""
    names = {pipe.id: pipe.name for pipe in pipes(plan) if not pipe.holes}
    wall = {one.id: (one.outside_m - one.bore_m) / 2 for one in plan.water.solids}
    for body in plan.water.bodies:
        if body.part_of in wall and body.kind == "solid pipe":
            for share in np.linspace(0.0, 1.0, 15).tolist():
                x, y = ((1 - share) * a + share * b for a, b in zip(body.start_m, body.end_m, strict=True))
                level = (1 - share) * body.bottom_start_m + share * body.bottom_end_m
                yield names[body.part_of], (x, y, level + wall[body.part_of])


def _off(told: list[Place], at: Place) -> tuple[float, float]:
    """How far a place lies beside and above the line through the places told."""
    line = LineString([place[:2] for place in told])
    here = Point(at[:2])
    along, stations = line.project(here), [line.project(Point(place[:2])) for place in told]
    return float(shapely.distance(line, here)), at[2] - float(np.interp(along, stations, [place[2] for place in told]))


@pytest.mark.parametrize("name", DEMOS)
def test_the_points_to_set_out_are_the_pipe(name: str) -> None:
    """Between them no placed pipe without holes lies 3 mm off in level, nor 25 mm in plan."""
    plan = demo(name)
    for pipe, at in _placed(plan):
        aside, above = _off(_told(plan, pipe), at)
        assert aside < 0.025 and abs(above) < 0.003, (pipe, at, aside, above)


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
    """Lengths and falls of its stretches, added up from the upper end, give the invert at every point to 5 mm, but
    beside a drop to as much as a fitting is long."""
    for pipe in pipes(demo(name)):
        for arm in pipe.arms:
            parts = pipe.parts(arm)
            assert (parts[0][0], parts[-1][-1]) == (arm[0], arm[-1])
            stations = [0.0]
            for part in parts:
                stations.append(stations[-1] + pipe.length(part))
            levels = [pipe.inverts_m[i] for i in (parts[0][0], *(part[-1] for part in parts))]
            for k, i in enumerate(arm):
                at = pipe.length(arm[: k + 1])
                near = [float(np.interp(at + by, stations, levels)) for by in (-0.03, 0.0, 0.03)]
                assert min(near) - 0.005 < pipe.inverts_m[i] < max(near) + 0.005, (pipe.name, i)
