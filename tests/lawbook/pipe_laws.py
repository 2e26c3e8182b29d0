"""Laws of pipes as they are told: points to set out and the table of pipes are the pipe that is placed."""

from __future__ import annotations

from collections.abc import Iterator
from math import dist

import numpy as np
import shapely
from shapely.geometry import LineString, Point

from lynchet.drawings.pipe_list import pipes
from lynchet.plan.further_pegs import further_pegs, solid_lines
from lynchet.plan.model import Plan

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


def points_are_the_pipe(plan: Plan) -> list[str]:
    """Between the points told no placed pipe without holes lies 3 mm off in level, nor 25 mm in plan."""
    if not plan.walls.setting_out.points:
        return []
    out, told = [], dict[str, list[Place]]()
    for pipe, at in _placed(plan):
        if pipe not in told:
            told[pipe] = _told(plan, pipe)
        if len(told[pipe]) < 2:
            out.append(f"{pipe} is told by {len(told[pipe])} points")
            continue
        aside, above = _off(told[pipe], at)
        if aside >= 0.025 or abs(above) >= 0.003:
            out.append(f"{pipe} lies {aside * 1000:.0f} mm beside and {above * 1000:.1f} mm over what is told at {at}")
    return out[:5]


def table_is_the_pipe(plan: Plan) -> list[str]:
    """Lengths and falls of its stretches, added up from the upper end, give the invert at every point to 5 mm, but
    beside a drop to as much as a fitting is long."""
    out = []
    for pipe in pipes(plan):
        for arm in pipe.arms:
            parts = pipe.parts(arm)
            if (parts[0][0], parts[-1][-1]) != (arm[0], arm[-1]):
                out.append(f"{pipe.name}: its stretches are not the whole arm")
                continue
            stations = [0.0]
            for part in parts:
                stations.append(stations[-1] + pipe.length(part))
            levels = [pipe.inverts_m[i] for i in (parts[0][0], *(part[-1] for part in parts))]
            for k, i in enumerate(arm):
                at = pipe.length(arm[: k + 1])
                near = [float(np.interp(at + by, stations, levels)) for by in (-0.03, 0.0, 0.03)]
                if not min(near) - 0.005 < pipe.inverts_m[i] < max(near) + 0.005:
                    out.append(f"{pipe.name}: point {i} lies at {pipe.inverts_m[i]:.4f}, by the table {near[1]:.4f}")
    return out[:5]


PIPE_LAWS = (points_are_the_pipe, table_is_the_pipe)
