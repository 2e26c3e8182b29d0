"""How many terraces where the file gives no number: the count nearest to the drop's that leaves wished steps room."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import ceil

from lynchet.core.findings import Finding, Verdict
from lynchet.project.model import Project
from lynchet.terraces.flight_refusals import UNFIT
from lynchet.terraces.model import Terraces
from lynchet.terraces.refusal import Refused
from lynchet.terraces.scheme import PLAIN_COURSES, Yard, own_terraces

STEPS_COURSES = 2 * PLAIN_COURSES
"""For the sake of steps benches may lie this many courses apart, where the file names no highest wall. PRACTICE."""
MORE = 2
"""So many terraces more than the drop asks for are looked at, and no more: their benches are shallower still."""
_ROUND = 0.1
"""Of a wall's height, by which a count is still taken to keep to it, as where the drop alone is asked."""


def unfit(made: Terraces) -> int:
    """Walls at which a wished flight finds no room."""
    return sum(finding.code == UNFIT for finding in made.findings)


def counts_considered(yard: Yard, got: int) -> list[int]:
    """Counts of terraces that might stand in for the one laid out, the nearest first; fewer before more.

    Args:
        yard: what the terraces are laid out in; its file gives no number and no levels.
        got: the count laid out.
    """
    brief, course = yard.project.brief, yard.project.timber.course_m
    most_m = brief.highest_wall_m or STEPS_COURSES * course
    least = max(own_terraces(yard.project), ceil(yard.drop_m / most_m - _ROUND))
    counts = [*range(least, got), *range(got + 1, got + MORE + 1)]
    return sorted(counts, key=lambda count: (abs(count - got), count))


def with_step_room(yard: Yard, wished: int, laid: Callable[[int, bool], Terraces], stood: int = 0) -> Terraces:
    """The terraces of the count the drop asks for; of another that leaves fewer wished flights out, where one does.

    Where timber stands, of the count it was built by, and of no other: its lattice may leave steps room at another
    count, and walls that are begun would end where none was planned.

    Args:
        yard: as above.
        wished: the count asked for, by the file or by the drop.
        laid: the terraces of a count, told or not where steps that find no room might be moved; may raise ``Refused``
            for another count.
        stood: the count that what stands was built by; 0 = nothing stands.
    """
    first = laid(wished, False)
    best, count, missing = first, wished, unfit(first)
    for other_count in _others(yard, len(first.levels_m), missing, stood):
        try:
            other = laid(other_count, False)
        except Refused:
            continue
        if len(other.levels_m) == other_count and (stood or unfit(other) < missing):
            best, count, missing = other, other_count, unfit(other)
        if not missing:
            break
    told = laid(count, True) if missing else best
    return told if best is first else replace(told, findings=(*told.findings, _told(yard.project, first, best)))


def _others(yard: Yard, got: int, missing: int, stood: int) -> list[int]:
    """Counts to try instead of the one got."""
    if not _free(yard.project):
        return []
    if stood:
        return [stood] if stood != got else []
    return counts_considered(yard, got) if missing else []


def _free(project: Project) -> bool:
    """Whether the number of terraces is left to the program."""
    return project.brief.terraces is None and not isinstance(project.brief.levels, tuple)


def _told(project: Project, first: Terraces, best: Terraces) -> Finding:
    """Why another count was laid out than the drop asks for."""
    was, now, left = len(first.levels_m), len(best.levels_m), unfit(best)
    if unfit(first) <= left:
        text = f"{now} terraces are laid out, as what stands was built by, not the {was} that the drop alone asks for."
        return Finding("terraces.for_steps", Verdict.OK, text, "area")
    names = _wishes(project, first)
    height = "higher" if now < was else "lower"
    text = (
        f"{now} terraces are laid out, not the {was} that the drop alone asks for: with {was} the steps wished "
        f"({names}) find no room at {_places(unfit(first))}{f', with {now} at {_places(left)}' if left else ''}. "
        f"The walls are the {height} for it; `terraces = {was}` under [brief] lays out {was}."
    )
    return Finding("terraces.for_steps", Verdict.OK, text, "area")


def _places(count: int) -> str:
    return f"{count} place{'' if count == 1 else 's'}"


def _wishes(project: Project, made: Terraces) -> str:
    found = (finding.place.partition("@")[0] for finding in made.findings if finding.code == UNFIT)
    numbers: Sequence[int] = sorted({int(name[1:].partition(".")[0]) for name in found})
    return ", ".join(project.steps[number].name or f"steps {number + 1}" for number in numbers)
