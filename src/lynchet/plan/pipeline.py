"""The stages, in the order of the job. Each is a pure function of earlier results; nothing runs that did not change."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from lynchet.core.findings import Finding
from lynchet.core.standing import Standing
from lynchet.earth.stage import earth
from lynchet.ground.model import Ground
from lynchet.ground.stage import ground
from lynchet.plan.clash import clash_findings, clashes, stay_findings
from lynchet.plan.clash_fasteners import fastener_clashes
from lynchet.plan.clash_plants import plant_clashes, plant_stays
from lynchet.plan.counted_on import counted_on
from lynchet.plan.edge_walls import edge_walls_met
from lynchet.plan.effort import FULL, Effort
from lynchet.plan.found import found_findings
from lynchet.plan.gathered import Gathered, gathered
from lynchet.plan.long_pieces import long_pieces
from lynchet.plan.lots_and_houses import lot_findings
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed, placed_of
from lynchet.plan.priced_stock import with_prices
from lynchet.plan.sharing import FASTENERS
from lynchet.plan.soil_cost import with_soil_cost
from lynchet.plan.soil_left import soil_left_findings
from lynchet.plan.standing import KeptWall, first_standing, kept_walls, standing_on, without_laps
from lynchet.plan.taken_over import taken_over, water_taken_over
from lynchet.plan.told_places import told_part
from lynchet.plan.unpaused import unpaused
from lynchet.planting.keep_clear import Buried
from lynchet.planting.stage import planting
from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.stability.stage import stability
from lynchet.terraces.model import Terraces
from lynchet.terraces.stage import terraces
from lynchet.timber.stage import timber
from lynchet.walls.followed_steps import with_steps
from lynchet.walls.joints import Avoid, Laid, Opening, joint_rules, lay_pieces
from lynchet.walls.laid_under import with_laid_under
from lynchet.walls.model import Piece, Walls
from lynchet.walls.stage import walls
from lynchet.water.model import Water
from lynchet.water.stage import water
from lynchet.water.timber_gaps import timber_gaps
from lynchet.works.job import Job
from lynchet.works.stage import works

T = TypeVar("T")
Progress = Callable[[str], None]
STAGES = (
    "ground", "terraces", "walls", "water", "stability", "pieces", "timber", "clash", "earth", "planting", "works",
)  # fmt: skip


def plan_project(
    project: Project,
    *,
    standing: Standing | None = None,
    effort: Effort = FULL,
    before: Plan | None = None,
    progress: Progress | None = None,
    known: Sequence[Plan] = (),
) -> Plan:
    """Plan one project.

    Args:
        project: the file, checked, in its own frame.
        standing: what already stands; None = as the file says.
        effort: how much work the slow parts may cost.
        before: an earlier plan; a stage whose inputs are the same objects or equal is taken from it.
        progress: called with the name of each stage before it runs.
        known: plans of the same yard by other briefs; where the walls come out as in one of them, so does the rest.

    Returns:
        The plan with all its findings.
    """
    stands = standing or Standing()
    by_file = standing is None and bool(project.so_far.stands)
    same = before is not None and (before.project, before.standing, before.effort) == (project, stands, effort)
    if before is not None and same and not by_file:
        return before
    say = progress or (lambda stage: None)
    with unpaused():
        say("ground")
        surveyed = _surveyed(project, before)
        kept = kept_walls(project, lambda: _bare(project, surveyed, effort)) if by_file else ()
        return plan_on(
            project, surveyed, first_standing(kept) if by_file else stands, effort, say, Earlier(kept, known)
        )


def _bare(project: Project, surveyed: Ground, effort: Effort) -> tuple[Walls, tuple[Piece, ...]]:
    """Walls and pieces of the same file with nothing standing: what the walls that stand were built by."""
    laid = terraces(project, surveyed, Standing())
    built = walls(project, surveyed, laid, Standing())
    laid, built = _off_edge_walls(project, surveyed, (Standing(), Standing()), laid, built)
    drained = water(project, surveyed, laid, built, effort.drain_beam)
    held = stability(project, surveyed, laid, built, drained, effort.slip_ends)
    return built, pieces_of(project, built, drained, held).pieces


def _off_edge_walls(
    project: Project, surveyed: Ground, standing: tuple[Standing, Standing], laid: Terraces, built: Walls
) -> tuple[Terraces, Walls]:
    """Where steps stand in walls on edges that end as banks, the same benches with other steps, or without; what
    stands as the terraces and as the walls were given it."""
    known = edge_walls_met(laid, built)
    again = terraces(project, surveyed, standing[0], known) if known else laid
    if again.refused or again.levels_m != laid.levels_m:  # walls of other benches are others
        return laid, built
    return again, built if again.lines == laid.lines else walls(project, surveyed, again, standing[1])


@dataclass(frozen=True)
class Earlier:
    """What is so already, and what was planned already."""

    kept: Sequence[KeptWall] = ()
    """Walls that stand by the file."""
    plans: Sequence[Plan] = ()
    """Of the same yard by other briefs."""


def plan_on(
    project: Project,
    surveyed: Ground,
    standing: Standing,
    effort: Effort,
    say: Progress,
    earlier: Earlier = Earlier(),
) -> Plan:
    """Everything after the ground stage; walls kept by the file are put on the lattice once there is one."""
    say("terraces")
    given, laid = standing, terraces(project, surveyed, standing)
    standing, stood = standing_on(earlier.kept, laid, project) if earlier.kept else (standing, ())
    say("walls")
    built = walls(project, surveyed, laid, standing)
    laid, built = with_steps(project, *_off_edge_walls(project, surveyed, (given, standing), laid, built))
    inputs = surveyed, standing, effort
    if (taken := taken_over(earlier.plans, project, inputs, laid, built)) is not None:
        return taken
    say("water")
    known = water_taken_over(earlier.plans, project, inputs, laid, built)
    drained = known or water(project, surveyed, laid, built, effort.drain_beam)
    say("stability")
    held = stability(project, surveyed, laid, built, drained, effort.slip_ends)
    say("pieces")
    cut = pieces_of(project, built, drained, held, standing)
    built, under = with_laid_under(project, built, cut.pieces)
    say("timber")
    bought = timber(with_prices(project), laid, built, cut.pieces, held, effort.cutting_work)
    say("clash")
    things = Gathered(placed_of(laid, built, drained, held, cut.pieces, bought.fasteners))
    found = (
        *clash_check(project, things, drained, built),
        *found_findings(project, surveyed, things, [one for one in cut.pieces if built.stands(one)]),
        *lot_findings(project),
    )
    say("earth")
    moved = earth(project, surveyed, laid, built, drained, held)
    say("planting")
    planted = planting(project, surveyed, laid, built, Buried(drained, held), effort.name)
    met = clash_findings(plant_clashes(planted, things), project.units, told_part(drained, built))
    found = (*found, *met, *plant_stays(project, planted))
    told = (*stood, *under, *long_pieces(project, built, cut.pieces), *counted_on(built, cut.pieces, held),
            *soil_left_findings(project, moved.account))  # fmt: skip
    say("works")
    worked = works(Job(project, laid, built, drained, held, cut.pieces, moved, bought, planted), effort.name == "full")
    return Plan(
        project, standing, effort, surveyed, laid, built, drained, held, cut.pieces, with_soil_cost(moved, worked),
        bought, planted, worked, found, cut.findings, told,
    )  # fmt: skip


def _surveyed(project: Project, before: Plan | None) -> Ground:
    """The ground stage, or what an earlier plan has of it: all of it, or the surface over the same readings."""
    if before is None:
        return ground(project)
    return before.ground if _same_ground(before.project, project) else ground(project, before.ground.surface)


def _same_ground(before: Project, now: Project) -> bool:
    """True where the ground stage would see the same input."""
    names = ("ground", "area", "units", "frame")
    return all(getattr(before, name) == getattr(now, name) for name in names)


def terraces_of(project: Project, surveyed: Ground, standing: Standing) -> Terraces:
    """The terraces alone: what another brief would lay out."""
    return terraces(project, surveyed, standing)


def pieces_of(
    project: Project, built: Walls, drained: Water, held: Stability, standing: Standing | None = None
) -> Laid:
    """Cut the runs into pieces, clear of notches, ties and pins; courses that stand keep their joints."""
    avoid = kept_clear(built, drained, held)
    if standing is not None:
        kept = tuple((leg.leg, course, joints) for leg in standing.legs for course, joints in leg.cuts)
        stood = tuple((leg.leg, course, part) for leg in standing.legs for course, _ in leg.cuts
                      for part in leg.stretches_of(course))  # fmt: skip
        avoid = replace(avoid, kept=kept, stood=stood)
    return lay_pieces(built, joint_rules(project), avoid, project.units)


def kept_clear(built: Walls, drained: Water, held: Stability) -> Avoid:
    """What joints keep clear of: notches and other openings (themselves joints), ties, pins and weep holes."""
    openings = tuple(Opening(leg.id, *gap) for leg in built.legs for gap in timber_gaps(built, drained, leg.id))
    fixings = tuple((tie.leg, tie.course, tie.station_m) for tie in held.ties)
    fixings += tuple((pin.leg, pin.course, pin.station_m) for pin in held.pins)
    fixings += tuple((hole.leg, hole.course, hole.station_m) for hole in held.weeps)
    return Avoid(openings, fixings)


def clash_check(project: Project, things: Sequence[Placed], drained: Water, built: Walls) -> tuple[Finding, ...]:
    """Everything placed against everything placed and all that stays; fasteners stay within their timber."""
    things = gathered(things)
    solid = things.where(lambda kind: kind not in FASTENERS)
    found = [*without_laps(clashes(solid, drained), built), *fastener_clashes(things)]
    told = told_part(drained, built) if found else str
    return (*clash_findings(found, project.units, told), *stay_findings(project, solid))
