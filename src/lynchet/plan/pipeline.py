"""The stages, in the order of the job. Each is a pure function of earlier results; nothing runs that did not change."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from lynchet.core.findings import Finding
from lynchet.core.standing import Standing
from lynchet.earth.stage import earth
from lynchet.ground.model import Ground
from lynchet.ground.stage import ground
from lynchet.plan.clash import clash_findings, clashes, stay_findings
from lynchet.plan.clash_plants import plant_clashes, plant_stays
from lynchet.plan.effort import FULL, Effort
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed, placed_of
from lynchet.planting.keep_clear import Buried
from lynchet.planting.stage import planting
from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.stability.stage import stability
from lynchet.terraces.model import Terraces
from lynchet.terraces.stage import terraces
from lynchet.timber.stage import timber
from lynchet.walls.joints import Avoid, Laid, Opening, joint_rules, lay_pieces
from lynchet.walls.model import Walls
from lynchet.walls.stage import walls
from lynchet.water.model import Water
from lynchet.water.stage import water
from lynchet.works.job import Job
from lynchet.works.stage import works

T = TypeVar("T")
Progress = Callable[[str], None]
STAGES = ("ground", "terraces", "walls", "water", "stability", "pieces", "clash", "earth", "timber", "planting", "works")


def plan_project(
    project: Project,
    *,
    standing: Standing | None = None,
    effort: Effort = FULL,
    before: Plan | None = None,
    progress: Progress | None = None,
) -> Plan:
    """Plan one project.

    Args:
        project: the file, checked, in its own frame.
        standing: what already stands; empty by default.
        effort: how much work the slow parts may cost.
        before: an earlier plan; a stage whose inputs are the same objects or equal is taken from it.
        progress: called with the name of each stage before it runs.

    Returns:
        The plan with all its findings.
    """
    standing = standing or Standing()
    if before is not None and (before.project, before.standing, before.effort) == (project, standing, effort):
        return before
    say = progress or (lambda stage: None)
    say("ground")
    surveyed = before.ground if before is not None and _same_ground(before.project, project) else ground(project)
    return plan_on(project, surveyed, standing, effort, say)


def plan_on(project: Project, surveyed: Ground, standing: Standing, effort: Effort, say: Progress) -> Plan:
    """Everything after the ground stage."""
    say("terraces")
    laid = terraces(project, surveyed, standing)
    say("walls")
    built = walls(project, surveyed, laid, standing)
    say("water")
    drained = water(project, surveyed, laid, built, effort.drain_beam)
    say("stability")
    held = stability(project, surveyed, laid, built, drained, effort.slip_ends)
    say("pieces")
    cut = pieces_of(project, built, drained, held)
    say("clash")
    found = clash_check(project, laid, built, drained, held, cut)
    say("earth")
    moved = earth(project, surveyed, laid, built, drained, held)
    say("timber")
    bought = timber(project, built, cut.pieces, held, effort.cutting_s)
    say("planting")
    planted = planting(project, surveyed, laid, built, Buried(drained, held), effort.name)
    things = list(placed_of(laid, built, drained, held, cut.pieces))
    found = (*found, *clash_findings(plant_clashes(planted, things), project.units), *plant_stays(project, planted))
    say("works")
    job = Job(project, laid, built, drained, held, cut.pieces, moved, bought, planted)
    worked = works(job, effort.name == "full")
    return Plan(
        project, standing, effort, surveyed, laid, built, drained, held, cut.pieces, moved, bought, planted, worked, found,
        cut.findings,
    )  # fmt: skip


def _same_ground(before: Project, now: Project) -> bool:
    """True where the ground stage would see the same input."""
    names = ("ground", "area", "units", "frame")
    return all(getattr(before, name) == getattr(now, name) for name in names)


def pieces_of(project: Project, built: Walls, drained: Water, held: Stability) -> Laid:
    """Cut the runs into pieces, clear of notches, ties and pins."""
    return lay_pieces(built, joint_rules(project), kept_clear(drained, held), project.units)


def kept_clear(drained: Water, held: Stability) -> Avoid:
    """What joints keep clear of: notches (themselves joints), ties and pins."""
    openings = tuple(Opening(n.leg, course, *n.stations_m) for n in drained.notches for course in n.courses)
    fixings = tuple((tie.leg, tie.course, tie.station_m) for tie in held.ties)
    fixings += tuple((pin.leg, pin.course, pin.station_m) for pin in held.pins)
    return Avoid(openings, fixings)


def clash_check(
    project: Project, laid: Terraces, built: Walls, drained: Water, held: Stability, cut: Laid
) -> tuple[Finding, ...]:
    """Everything placed against everything placed and all that stays."""
    things: list[Placed] = list(placed_of(laid, built, drained, held, cut.pieces))
    return (*clash_findings(clashes(things, drained), project.units), *stay_findings(project, things))
