"""What has a use in a plan in which nothing is built: of its findings, of what was assumed, of the cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lynchet.core.findings import Finding, Verdict
from lynchet.planting.model import Planted
from lynchet.project.model import DefaultUsed, Project
from lynchet.walls.model import Walls

NO_WALL, FLAT = "walls.none", "ground.flat"
_OF_WALLS = frozenset({"terraces.reach", "water.outlet_unused", "water.roof_pipe"})
"""Reach over a bed between timbers, ways out for drains, roof water kept off them."""
_OF_PLANTS = "planting."
_WALL_KEYS = (
    "timber.", "drain.", "brief.", "place.", "rain.", "soil.base", "soil.friction_angle", "soil.wall_friction",
    "soil.cohesion", "soil.saturated",
)  # fmt: skip
NO_TIMBER = ("engineer", "trenches", "lifting", "sawing", "food")
"""Cautions that speak of walls, their trenches and their timber."""


def of_use(project: Project, planted: Planted, findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings; where no wall is needed, without those of walls and drains, and of plants that nobody asked for.

    Args:
        project: the file.
        planted: plants chosen.
        findings: of every stage.
    """
    found = tuple(findings)
    codes = {finding.code for finding in found}
    if NO_WALL not in codes or any(finding.verdict is Verdict.STOP for finding in found):
        yield from found
        return
    plants = bool(planted.plantings or project.planting.wishes)
    for finding in found:
        idle = finding.code in _OF_WALLS and finding.verdict is Verdict.WATCH  # a pipe that is laid is told
        idle = idle or (finding.code == NO_WALL and FLAT in codes)
        if not idle and (plants or not finding.code.startswith(_OF_PLANTS)):
            yield finding


def nothing_built(walls: Walls) -> bool:
    """Whether the ground needs no wall: nothing is refused, nothing stands."""
    return any(finding.code == NO_WALL for finding in walls.findings)


def assumed_of_use(project: Project, walls: Walls) -> tuple[DefaultUsed, ...]:
    """What the file does not say and was assumed; where no wall is needed, without what walls and drains alone use."""
    if not nothing_built(walls):
        return project.defaults
    return tuple(used for used in project.defaults if not used.key.startswith(_WALL_KEYS))
