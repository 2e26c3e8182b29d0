"""Steps that find no room: other counts of terraces, the steps moved or narrower, as edits of the file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from lynchet.core.findings import Cure, Finding
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import terraces_of
from lynchet.terraces.flight_refusals import UNFIT

COUNT_CURES = ("fewer-for-steps", "more-for-steps")
_FEWER, _MORE = 4, 2
"""So many counts below and above the one laid out are looked at. PRACTICE: further off it is another yard."""


def flight_cures(plan: Plan, stops: Sequence[Finding]) -> Iterator[Cure]:
    """Edits after which more of the steps wished find room; what else they change is not known before they are planned.

    Args:
        plan: the plan that is stopped.
        stops: its stops.
    """
    unfit = [stop for stop in stops if stop.code == UNFIT]
    if not unfit:
        return
    yield from (cure for stop in unfit for cure in stop.cures if cure.edits)
    if plan.project.own_lines or plan.project.so_far.stands:
        return  # lines of the file and timber that stands belong to their count
    got = len(plan.terraces.levels_m)
    yield from _of_count(plan, range(got - 1, max(0, got - 1 - _FEWER), -1), len(unfit))
    yield from _of_count(plan, range(got + 1, got + 1 + _MORE), len(unfit))


def of_steps(cure: Cure, finding: Finding) -> bool:
    """Whether a cure, or one joined in it, is for the steps of a finding."""
    own = {one.name for one in finding.cures if one.edits}
    return bool(set(cure.name.split("+")) & (own | set(COUNT_CURES)))


def room_told(before: Plan, after: Plan) -> str:
    """What a cure does to the steps without room; empty where as many are left."""
    was, now = _without_room(before.findings), _without_room(after.findings)
    return f"places without room for the steps wished {was} → {now}" if now < was else ""


def _without_room(findings: Iterable[Finding]) -> int:
    return sum(finding.code == UNFIT for finding in findings)


def _of_count(plan: Plan, counts: Iterable[int], most: int) -> Iterator[Cure]:
    """The nearest count that leaves the fewest steps without room, fewer than there are."""
    project, got = plan.project, len(plan.terraces.levels_m)
    free = "balance" if isinstance(project.brief.levels, tuple) else project.brief.levels
    best, least = 0, most
    for count in counts:
        brief = replace(project.brief, terraces=count, levels=free)
        made = terraces_of(replace(project, brief=brief), plan.ground, plan.standing)
        if not made.refused and len(made.levels_m) == count and _without_room(made.findings) < least:
            best, least = count, _without_room(made.findings)
        if not least:
            break
    if best:
        deep = "deeper benches with more room" if best < got else "lower walls with fewer steps over each"
        text = f"{best} terrace{'' if best == 1 else 's'}, not {got}: {deep}"
        freed = (("brief.levels", "balance"),) if isinstance(project.brief.levels, tuple) else ()
        yield Cure(COUNT_CURES[best > got], text, (("brief.terraces", best), *freed))
