"""A plan whose walls come out as those of an earlier one: what follows is taken from that one, not worked out again.

All of it where the file asks for the same after the walls; where only the brief differs, the water, which knows of it
only how deep beds are dug.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.plan.effort import Effort
from lynchet.plan.model import Plan
from lynchet.project.model import Brief, Project
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Walls
from lynchet.water.model import Water

_BARE = Brief()


def taken_over(
    known: Sequence[Plan], project: Project, inputs: tuple[Ground, Standing, Effort], laid: Terraces, built: Walls
) -> Plan | None:
    """The plan of the same walls; None where no earlier plan has them.

    Args:
        known: earlier plans.
        project: the file now.
        inputs: ground, what stands and effort now.
        laid, built: what its first stages give; their own findings are kept.
    """
    if laid.refused:
        return None
    asked = _after_walls(project)
    for plan in known:
        same = (plan.ground, plan.standing, plan.effort) == inputs and _after_walls(plan.project) == asked
        if same and _same(plan, laid, built):
            return replace(plan, project=project, terraces=laid, walls=built)
    return None


def water_taken_over(
    known: Sequence[Plan], project: Project, inputs: tuple[Ground, Standing, Effort], laid: Terraces, built: Walls
) -> Water | None:
    """The water of an earlier plan with the same terraces and walls, whatever else its brief; None where there is none.

    Args:
        known, project, inputs, laid, built: as above.
    """
    surveyed, standing, effort = inputs
    asked = _without_brief(project)
    for plan in known:
        same = (plan.ground, plan.standing) == (surveyed, standing) and plan.effort.drain_beam == effort.drain_beam
        if same and _without_brief(plan.project) == asked and _same(plan, laid, built):
            return plan.water
    return None


def _without_brief(project: Project) -> Project:
    """The file as the water stage sees it: a pipe under a bed is told by how deep the bed is dug."""
    return replace(project, brief=replace(_BARE, dig_depth_m=project.brief.dig_depth_m), defaults=())


def _after_walls(project: Project) -> Project:
    """The file as the stages after the walls see it: without what only terraces and walls read, and without notes."""
    bare = replace(
        project.brief,
        terraces=_BARE.terraces,
        highest_wall_m=_BARE.highest_wall_m,
        levels=_BARE.levels,
        bench_spacing_m=_BARE.bench_spacing_m,
    )
    return replace(project, brief=bare, defaults=())


def _same(plan: Plan, laid: Terraces, built: Walls) -> bool:
    """Whether terraces and walls are those of a plan, whatever was wished and is said of them."""
    faces = replace(plan.terraces, wished=laid.wished, findings=laid.findings)
    return faces == laid and replace(plan.walls, findings=built.findings) == built
