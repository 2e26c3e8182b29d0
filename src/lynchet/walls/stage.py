"""The walls stage: what is built on the lines of the terraces, course by course."""

from __future__ import annotations

from collections.abc import Mapping

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.project.model import Project
from lynchet.terraces.model import Terraces
from lynchet.units.format import length as length_text
from lynchet.walls.bank_ends import Shaped, bank_ends
from lynchet.walls.bank_findings import bank_findings
from lynchet.walls.bank_reach import bank_reaches, banks_of
from lynchet.walls.corners import Crossed
from lynchet.walls.footing_steps import steps_of
from lynchet.walls.legs import Plumb, bare_legs, built_legs, nodes_of
from lynchet.walls.limits import limit_findings
from lynchet.walls.model import Leg, Walls
from lynchet.walls.over_found import over_findings, over_found
from lynchet.walls.pegs import SettingOut
from lynchet.walls.raked import raked_findings
from lynchet.walls.rod import rod_marks
from lynchet.walls.runs import StubRun, all_runs
from lynchet.walls.seen import all_seen
from lynchet.walls.setting_out import setting_out
from lynchet.walls.standing import standing_findings, with_followers


def walls(project: Project, ground: Ground, terraces: Terraces, standing: Standing) -> Walls:
    """The built geometry.

    Args:
        project: the file, in the own frame.
        ground: the measured ground.
        terraces: faces, lines, levels.
        standing: what already stands; empty by default.

    Returns:
        The walls; where the lines cannot be built a ``stop`` says why and what would help, and nothing is built.
    """
    if terraces.refused:
        return Walls((), (), (), (), SettingOut((), (), (), "", 0.0, (), ()), ())
    bare = bare_legs(project, terraces, ground.surface)
    nodes = nodes_of(terraces)
    reaches = bank_reaches(terraces, ground.surface, bare, project.houses)
    legs, plumb = built_legs(project, terraces, bare, nodes, standing, reaches)
    legs, over = over_found(project, ground.surface, (legs, nodes), terraces.lattice, standing)
    followed = with_followers(standing, legs, nodes, terraces.flights)
    try:
        runs = all_runs(legs, nodes, terraces.lattice, followed)
    except (Crossed, StubRun) as refusal:
        finding = _refusal(refusal, legs, project)
        return Walls((), (), (), (), SettingOut((), (), (), "", 0.0, (), ()), (finding,))
    steps = tuple(step for leg in legs.values() for step in steps_of(leg.id, leg.segments))
    seen = all_seen(legs.values(), runs, mirrored=project.frame.mirrored)
    findings = [*_plumb(plumb), *limit_findings(project, terraces, tuple(legs.values()), steps, seen)]
    banks = banks_of(reaches, legs, ground.surface, terraces.fall)
    shaped = Shaped(terraces, ground.surface, project.houses, reaches, banks)
    ends, without = bank_ends(shaped, legs) if reaches else ((), ())
    findings += bank_findings(project, reaches, banks, (ends, without))
    findings += raked_findings(terraces.lines, legs, runs, seen, project.units)
    findings += [*over_findings(project, over, seen), *standing_findings(project, legs, followed, runs)]
    if not runs:
        findings.append(Finding("walls.none", Verdict.WATCH, _no_wall_words(terraces, project), "area"))
    out = setting_out(project, terraces, (tuple(legs.values()), nodes, runs), rod_marks(runs, standing))
    return Walls(tuple(legs.values()), tuple(nodes), tuple(runs), steps, out, tuple(findings), standing, banks, ends)


def _plumb(plumb: list[Plumb]) -> list[Finding]:
    return [
        Finding(
            "walls.plumb",
            Verdict.WATCH,
            f"Wall {item.leg} stands plumb although a lean is asked for: {item.why}.",
            item.leg,
        )
        for item in plumb
    ]


def _no_wall_words(terraces: Terraces, project: Project) -> str:
    """Why no wall is built."""
    near = f"the ground lies within {length_text(0.05, project.units)} of the levels wished"
    if terraces.unwalled:
        return f"No wall is built: edges end as banks or lie open as the file says, and elsewhere {near}."
    return f"No wall is needed: {near}."


def _refusal(refusal: Crossed | StubRun, legs: Mapping[str, Leg], project: Project) -> Finding:
    if isinstance(refusal, Crossed):
        names = " and ".join(refusal.legs)
        text = f"The walls {names} meet at one point; timber cannot be lapped there."
        cure = Cure("part-walls", "move one of them so that they meet at least 0.75 m apart")
        return Finding(
            "walls.three_at_one_point", Verdict.STOP, text, refusal.node.id, cures=(cure,), withholds=("all",)
        )
    leg = legs[refusal.run.leg]
    size = length_text(leg.length_m, project.units)
    text = f"Wall {leg.id} ({size} long) is too short for the cuts at its two ends."
    cure = Cure("longer-edge", f"leave out the corner beside {leg.id}, or make that edge longer than "
                f"{length_text(6 * leg.thickness_m, project.units)}")  # fmt: skip
    return Finding("walls.stub", Verdict.STOP, text, leg.id, cures=(cure,), withholds=("all",))
