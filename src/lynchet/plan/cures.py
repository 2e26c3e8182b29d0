"""Cures: edits of the project file that would help, each planned before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from lynchet.core.errors import Fault, InputError, UnknownNameError
from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import Figures, figures
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Project
from lynchet.units.format import length, volume

Edit = tuple[str, object]
Reread = Callable[[Sequence[Edit]], Project]
"""Gives the project with these edits laid over its file."""


@dataclass(frozen=True)
class Tried:
    """A cure with the plan it leads to."""

    cure: Cure
    after: Figures
    helps: bool
    """Fewer stops, or a better word on the whole."""


def cure_edits(plan: Plan) -> Iterator[Cure]:
    """Every edit known that could help against the stops of a plan, the cheapest first; nothing computed yet."""
    codes = {finding.code for finding in plan.findings if finding.verdict is Verdict.STOP}
    brief = plan.project.brief
    tall = max((place.retained_m for place in plan.stability.places), default=0.0)
    weak_walls = codes & {"stability.wall", "stability.ties", "stability.corners", "stability.tiers"}
    if weak_walls and "stability.load" not in codes:
        yield from _wall_cures(plan, tall)
    if codes & {"stability.tiers"} and len(plan.terraces.levels_m) > 1:
        fewer = len(plan.terraces.levels_m) - 1
        yield Cure("one-wall-fewer", "one terrace fewer, so that the walls stand further apart",
                   (("brief.terraces", fewer), ("brief.levels", "balance")))  # fmt: skip
    if any(code.startswith("water.") for code in codes):
        if not plan.project.drain.dig_outside:
            yield Cure("drain-outside", "let the drains run on outside the walls", (("drain.dig_outside", True),))
        yield Cure("one-terrace-fewer", "one terrace fewer, so that the lowest drain comes out higher",
                   (("brief.terraces", max(1, len(plan.terraces.levels_m) - 1)),))  # fmt: skip
    if brief.helps_off:
        yield Cure("count-all-helps", "count every help again", (("brief.helps_off", []),))
    for finding in plan.findings:
        for cure in finding.cures:
            if cure.edits:
                yield cure


def _wall_cures(plan: Plan, tall_m: float) -> Iterator[Cure]:
    brief, timber = plan.project.brief, plan.project.timber
    if brief.ties == "never":
        yield Cure("ties", "tie the walls back into the bank with timbers and cross-pieces", (("brief.ties", "auto"),))
    if not brief.pins:
        yield Cure("pins", "drive steel pins through the lowest course", (("brief.pins", True),))
    lower = tall_m - timber.course_m
    if lower > timber.course_m:
        yield Cure("one-course-fewer", f"no wall higher than {length(lower, plan.project.units)}: one course fewer",
                   (("brief.highest_wall", f"{lower:.4f} m"), ("brief.terraces", None)))  # fmt: skip
    count = len(plan.terraces.levels_m)
    yield Cure(
        "one-terrace-more", f"{count + 1} terraces, so that each wall is lower", (("brief.terraces", count + 1),)
    )
    if brief.path_strip_m is None:
        yield Cure("path-strip", "a path 0.6 m wide left undug along the foot of every wall",
                   (("brief.path_strip", "0.6 m"),))  # fmt: skip
    if brief.dig_depth_m > 0.1:
        yield Cure(
            "shallow-beds", "never dig the beds deeper than 0.1 m (a trowel, no spade)", (("brief.dig_depth", "0.1 m"),)
        )
    if not brief.one_stick:
        yield Cure("returns", "beds no longer than one stick, each with returns run back and pinned",
                   (("brief.one_stick", True),))  # fmt: skip


def tried_cures(plan: Plan, reread: Reread, most: int = 8) -> list[Tried]:
    """Plan every cure and say what it changes; those that help come first, the cheapest of them first.

    Args:
        plan: the plan with its stops.
        reread: reads the project with edits laid over.
        most: cures tried at most.
    """
    before = figures(plan)
    found: list[Tried] = []
    seen: set[str] = set()
    for cure in cure_edits(plan):
        if cure.name in seen or len(seen) >= most:
            continue
        seen.add(cure.name)
        try:
            after = figures(plan_project(reread(cure.edits), standing=plan.standing, effort=LIVE))
        except InputError:
            continue  # the edit contradicts something the file pins; it is no cure here
        helps = (after.verdict, after.stops) < (before.verdict, before.stops)
        found.append(Tried(replace(cure, effect=effect(before, after, plan.project)), after, helps))
    return sorted(found, key=lambda tried: not tried.helps)


def effect(before: Figures, after: Figures, project: Project) -> str:
    """What a cure changes, in one line."""
    units = project.units
    parts = [f"{before.verdict.words} becomes {after.verdict.words}"]
    if before.stops and after.stops:
        parts.append(f"{after.stops} of {before.stops} stops left")
    parts.append(f"highest wall {length(before.highest_m, units)} → {length(after.highest_m, units)}")
    parts.append(f"sticks {before.sticks} → {after.sticks}")
    parts.append(f"soil away {volume(before.away_loose_m3, units)} → {volume(after.away_loose_m3, units)} loose")
    return "; ".join(parts)


def with_cures(plan: Plan, tried: Sequence[Tried]) -> tuple[Finding, ...]:
    """The plan's findings, each stop of a wall or drain with the cures that were tried for it."""
    cures = tuple(one.cure for one in tried)
    if not cures:
        return plan.findings
    return tuple(
        replace(finding, cures=cures)
        if finding.verdict is Verdict.STOP and finding.code.startswith(("stability.wall", "stability.t", "water."))
        else finding
        for finding in plan.findings
    )


def named_cure(plan: Plan, name: str) -> Cure:
    """The cure of this name.

    Raises:
        UnknownNameError: the plan has no such cure; those it has are named.
    """
    known = list(cure_edits(plan))
    for cure in known:
        if cure.name == name:
            return cure
    offer = ", ".join(dict.fromkeys(cure.name for cure in known)) or "this plan has no stop that a cure is known for"
    raise UnknownNameError(Fault(f"no cure is called {name!r} here", offer, "--with"))
