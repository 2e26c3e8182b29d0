"""Even slopes that ask for so many walls of so many courses, to see how sheets grow and whether they stay readable."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_on
from lynchet.project import model as pm
from lynchet.project.places import strictest
from yards import project_of

COURSE_M, DEPTH_M, WIDE_M = 0.14, 2.4, 8.0


def stack_of(walls: int, courses: int, units: str = "metric", zero_m: float = 10.0) -> tuple[pm.Project, Ground]:
    """So many terraces one above the other, each front holding about so many courses less the buried one; the ground
    at the lowest front lies at a level."""
    rise, deep = max(1, courses - 1) * COURSE_M, walls * DEPTH_M
    slope = rise / DEPTH_M
    ys = (-3.0, 0.0, deep / 2, deep, deep + 3.0)
    readings = [(x, y, zero_m + slope * y) for x in (-3.0, 0.0, WIDE_M, WIDE_M + 3.0) for y in ys]
    outline = [(0.0, 0.0), (WIDE_M, 0.0), (WIDE_M, deep), (0.0, deep)]
    brief = pm.Brief(terraces=walls, embedment_m=COURSE_M)
    project, ground = project_of(outline, readings, brief=brief, place=strictest())
    return replace(project, name=f"{walls} walls of {courses}", units=units), ground  # type: ignore[arg-type]


@cache
def stacked(walls: int, courses: int, units: str = "metric", zero_m: float = 10.0) -> Plan:
    """The plan of such a yard, live."""
    return plan_on(*stack_of(walls, courses, units, zero_m), Standing(), LIVE, lambda stage: None)
