"""Cures: edits of the project file that would help, each planned before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from lynchet.core.errors import Fault, InputError, UnknownNameError
from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.plan.cure_edits import SOIL_CODE, SOIL_CURES, WALL_CODES, WATER_CURES, cure_edits
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import Figures, figures
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Project
from lynchet.units.format import length, volume

Edit = tuple[str, object]
Reread = Callable[[Sequence[Edit]], Project]
"""Gives the project with these edits laid over its file."""
MOST_ALONE = 8
_TOGETHER = 3
"""The best so many are also tried together, two and then all of them."""


@dataclass(frozen=True)
class Tried:
    """A cure with the plan it leads to."""

    cure: Cure
    after: Figures | None
    """None for what must be drawn by hand: its effect is computed on the wall alone."""
    helps: bool
    """No stop is left."""
    lack: float = 0.0
    """How far the walls stopped then still fall short, all together."""


def tried_cures(plan: Plan, reread: Reread) -> list[Tried]:
    """Plan every cure and keep those that help: alone if any does, else two or three together.

    Args:
        plan: the plan with its stops.
        reread: reads the project with edits laid over.

    Returns:
        What leaves no stop, the cheapest first; where nothing does, what leaves fewer or smaller ones. Then what
        keeps soil in a yard without stops, whatever it leads to. What must be drawn by hand comes last.
    """
    before = figures(plan)
    known = list(cure_edits(plan))
    walls = [cure for cure in known if cure.name not in SOIL_CURES][:MOST_ALONE]
    alone = [one for cure in walls if (one := _tried(plan, before, reread, cure))]
    found = [one for one in alone if one.helps]
    if not found:
        best = sorted((one for one in alone if _is_better(plan, before, one)), key=lambda one: one.lack)[:_TOGETHER]
        found = [*_in_groups(plan, before, reread, [one.cure for one in best]), *best]
    soil = [cure for cure in known if cure.name in SOIL_CURES and not before.stops]
    told = [one for cure in soil if (one := _tried(plan, before, reread, cure))]
    return [*sorted(found, key=_rank), *told, *_by_hand(plan)]


def _in_groups(plan: Plan, before: Figures, reread: Reread, cures: Sequence[Cure]) -> list[Tried]:
    """Two of the cures together, else all of them, where that leaves no stop; cures that set one key stay apart."""
    for count in range(2, len(cures) + 1):
        found = []
        for group in combinations(cures, count):
            keys = [key for cure in group for key, _ in cure.edits]
            if len(keys) == len(set(keys)):
                tried = _tried(plan, before, reread, _together(group))
                found += [tried] if tried is not None and tried.helps else []
        if found:
            return found
    return []


def _together(cures: Sequence[Cure]) -> Cure:
    edits = tuple(edit for cure in cures for edit in cure.edits)
    return Cure("+".join(cure.name for cure in cures), "; and ".join(cure.text for cure in cures), edits)


def _tried(plan: Plan, before: Figures, reread: Reread, cure: Cure) -> Tried | None:
    try:
        project = reread(cure.edits)
        standing = None if project.so_far.stands else plan.standing
        planned = plan_project(project, standing=standing, effort=LIVE, before=plan)
    except InputError:
        return None  # the edit contradicts something the file pins; it is no cure here
    if planned.refused and not plan.refused:
        return None
    after = figures(planned)
    told = replace(cure, effect=effect(before, after, plan.project))
    return Tried(told, after, after.verdict < Verdict.STOP, lack(planned))


def lack(plan: Plan) -> float:
    """How far the stopped walls fall short of standing, all together, and one for each other stop."""
    walls = [wall for wall in plan.stability.walls if wall.verdict is Verdict.STOP]
    others = sum(f.verdict is Verdict.STOP and f.code not in WALL_CODES for f in plan.findings)
    return others + sum(0.2 + max(0.0, 1.0 - min(max(wall.factor or 0.0, 0.0), 1.0)) for wall in walls)


def _is_better(plan: Plan, before: Figures, tried: Tried) -> bool:
    after = tried.after
    return after is not None and (after.stops < before.stops or tried.lack < lack(plan) - 0.02)


def _rank(tried: Tried) -> tuple[bool, int, float, float]:
    """Cures before half cures, then by what they add to build: sticks, then soil."""
    after = tried.after
    if after is None:
        return True, 0, 0.0, 0.0
    cost = after.sticks + 3.0 * abs(after.away_loose_m3)
    return not tried.helps, 0 if tried.helps else after.stops, 0.0 if tried.helps else round(tried.lack, 2), cost


def _by_hand(plan: Plan) -> list[Tried]:
    """Cures without an edit, computed on the wall alone; one of each name."""
    found: dict[str, Tried] = {}
    for finding in plan.findings:
        for cure in finding.cures:
            if finding.verdict is Verdict.STOP and not cure.edits and cure.effect:
                found.setdefault(cure.name, Tried(cure, None, True))
    return list(found.values())


def effect(before: Figures, after: Figures, project: Project) -> str:
    """What a cure changes, in one line."""
    units = project.units
    same = after.verdict is before.verdict
    parts = [f"still {after.verdict.words}" if same else f"{before.verdict.words} becomes {after.verdict.words}"]
    if before.stops and after.stops:
        parts.append(f"{after.stops} of {before.stops} stops left")
    parts.append(_change("highest wall", length(before.highest_m, units), length(after.highest_m, units)))
    parts.append(_change("sticks", str(before.sticks), str(after.sticks)))
    away = (f"{volume(one.away_loose_m3, units)} loose" for one in (before, after))
    parts.append(_change("soil away", *away))
    return "; ".join(parts)


def _change(what: str, before: str, after: str) -> str:
    return f"{what} still {after}" if before == after else f"{what} {before} → {after}"


def with_cures(plan: Plan, tried: Sequence[Tried]) -> tuple[Finding, ...]:
    """The plan's findings, each stop of a wall or drain with the cures that were tried for it, before its own.

    Soil left over has its cures, those that were tried with what they lead to.
    """
    cures = tuple(one.cure for one in tried if one.after is not None)
    found = []
    for finding in plan.findings:
        water = finding.code.startswith("water.")
        wall = finding.code in WALL_CODES or finding.code == "stability.tiers"
        if finding.verdict is Verdict.STOP and (water or wall):
            mine = [cure for cure in cures if (set(cure.name.split("+")) <= WATER_CURES) == water]
            names = {cure.name for cure in mine}
            finding = replace(finding, cures=(*mine, *(cure for cure in finding.cures if cure.name not in names)))
        elif finding.code == SOIL_CODE and finding.cures:
            soil = {cure.name: cure for cure in cures}
            own = [soil.get(cure.name, cure) for cure in finding.cures]
            finding = replace(finding, cures=tuple(own))
        found.append(finding)
    return tuple(found)


def named_cure(plan: Plan, name: str) -> Cure:
    """The cure of this name; several joined by "+" are applied together.

    Raises:
        UnknownNameError: the plan has no such cure; those it has are named.
    """
    known = {cure.name: cure for found in plan.findings for cure in found.cures if cure.edits}
    known |= {cure.name: cure for cure in cure_edits(plan)}
    asked = [part.strip() for part in name.split("+")]
    for one in asked:
        if one not in known:
            hand = [found.cure for found in _by_hand(plan) if found.cure.name == one]
            offer = hand[0].text if hand else ", ".join(known) or "this plan has no stop that a cure is known for"
            what = f"{one!r} is drawn by hand" if hand else f"no cure is called {one!r} here"
            raise UnknownNameError(Fault(what, offer, "--with"))
    return _together([known[one] for one in asked]) if len(asked) > 1 else known[asked[0]]
