"""One plan under the laws: everything planned so far, with the overlays the laws share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import shapely

from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.project.model import Project
from lynchet.terraces.model import Terraces
from lynchet.terraces.stage import terraces
from lynchet.walls.joints import Avoid, JointRules, Laid, joint_rules, lay_pieces
from lynchet.walls.model import Leg, Run, Walls
from lynchet.walls.stage import walls

GRID_M = 1e-6
Law = Callable[["Case"], list[str]]
"""Broken places, in words; empty where the law holds."""


@dataclass(frozen=True, eq=False)
class Case:
    """A yard and its plan."""

    project: Project
    ground: Ground
    terraces: Terraces
    walls: Walls
    laid: Laid
    rules: JointRules
    avoid: Avoid = field(default_factory=Avoid)

    @cached_property
    def by_course(self) -> dict[int, list[Run]]:
        """Runs of each course."""
        table: dict[int, list[Run]] = {}
        for run in self.walls.runs:
            table.setdefault(run.course, []).append(run)
        return dict(sorted(table.items()))

    @cached_property
    def timber(self) -> dict[int, Any]:
        """Union of the timber of each course."""
        out = {}
        for course, runs in self.by_course.items():
            polygons = shapely.polygons([run.outline_m for run in runs])
            union = shapely.union_all(polygons, grid_size=GRID_M)
            shapely.prepare(union)
            out[course] = union
        return out

    @cached_property
    def area(self) -> Any:
        """The cleaned area."""
        parts = [shapely.Polygon(part[0], part[1:]) for part in self.terraces.area_outlines_m]
        return shapely.union_all(parts, grid_size=GRID_M)

    def stretches(self, leg: Leg, course: int) -> list[tuple[float, float]]:
        """Stretches of a leg that have this course, touching ones joined."""
        out: list[tuple[float, float]] = []
        for seg in leg.segments:
            if seg.base <= course <= seg.top:
                if out and out[-1][1] == seg.start_m:
                    out[-1] = (out[-1][0], seg.end_m)
                else:
                    out.append((seg.start_m, seg.end_m))
        return out

    @property
    def refused(self) -> str:
        """Code and text of the stop that leaves the yard without a plan; empty where there is one."""
        if self.terraces.refused or not self.walls.legs:
            stops = [f for f in (*self.terraces.findings, *self.walls.findings) if f.withholds == ("all",)]
            return f"{stops[0].code}: {stops[0].text}"
        return ""


def plan(project: Project, ground: Ground, standing: Standing | None = None) -> Case:
    """Plan a yard as far as pieces, without water and ties."""
    given = standing or Standing()
    made = terraces(project, ground, given)
    built = walls(project, ground, made, given)
    rules = joint_rules(project)
    return Case(project, ground, made, built, lay_pieces(built, rules, Avoid(), project.units), rules)
