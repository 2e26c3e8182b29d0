"""More terraces, so that each wall is lower: for several ills; steps that lose their room with them are moved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from lynchet.core.findings import Cure
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import terraces_of
from lynchet.stability.thresholds import BARE_COURSES, BARE_RETAINED_M
from lynchet.terraces.flight_refusals import UNFIT
from lynchet.terraces.model import Terraces

MORE_TERRACES = ("one-terrace-more", "two-terraces-more")
LOW_WALLS = "low-walls"
_FURTHEST = 6
"""So many terraces more are looked at, and no further: their walls are lower than any that needs it. PRACTICE."""
_SAME_M = 1e-3


def more_terraces(plan: Plan) -> Iterator[Cure]:
    """One terrace more, and two, as edits whose effect is not known before they are planned."""
    for count, name in enumerate(MORE_TERRACES, start=len(plan.terraces.levels_m) + 1):
        steps = _steps_moved(plan, _laid(plan, count)) if plan.project.steps and not _bound(plan) else ()
        yield _of_count(name, count, steps or ())


def low_walls(plan: Plan) -> Iterator[Cure]:
    """The fewest terraces beyond these whose fronts are so low that a bare wall may rest on its drain there, and that
    leave the steps their room or let them have it a little aside; none where the file's own lines bind the count."""
    if _bound(plan):
        return
    low = min(BARE_COURSES * plan.project.timber.course_m, BARE_RETAINED_M) + _SAME_M
    first = len(plan.terraces.levels_m) + len(MORE_TERRACES) + 1
    for count in range(first, first + _FURTHEST - len(MORE_TERRACES)):
        made = _laid(plan, count)
        steps = _steps_moved(plan, made)
        if made is not None and steps is not None and _highest_front_m(made) <= low:
            yield _of_count(LOW_WALLS, count, steps)
            return


def _of_count(name: str, count: int, steps: tuple[Cure, ...]) -> Cure:
    text = "; and ".join((f"{count} terraces, so that each wall is lower", *(cure.text for cure in steps)))
    return Cure(name, text, (("brief.terraces", count), *(edit for cure in steps for edit in cure.edits)))


def _bound(plan: Plan) -> bool:
    """Lines of the file, and timber that stands, belong to their count."""
    return bool(plan.project.own_lines or plan.project.so_far.stands)


def _laid(plan: Plan, count: int) -> Terraces | None:
    """The terraces of a count; None where so many are not laid out."""
    brief = replace(plan.project.brief, terraces=count)
    made = terraces_of(replace(plan.project, brief=brief), plan.ground, plan.standing)
    return None if made.refused or len(made.levels_m) != count else made


def _steps_moved(plan: Plan, made: Terraces | None) -> tuple[Cure, ...] | None:
    """Edits, one for each wish, after which steps that lose their room have it again; None where there are none."""
    if made is None:
        return None
    had = {one.place.partition("@")[0] for one in plan.terraces.findings if one.code == UNFIT}
    found: dict[str, Cure] = {}
    for one in made.findings:
        wish = one.place.partition("@")[0]
        if one.code == UNFIT and wish not in had and wish not in found:
            cure = next((cure for cure in one.cures if cure.edits), None)
            if cure is None:
                return None
            found[wish] = cure
    return tuple(found.values())


def _highest_front_m(made: Terraces) -> float:
    """Between neighbouring terraces."""
    return max((b - a for a, b in zip(made.levels_m, made.levels_m[1:], strict=False)), default=0.0)
