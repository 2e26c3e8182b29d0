"""Hold points: what must be seen and found good before the next work covers it."""

from __future__ import annotations

from lynchet.units.format import small
from lynchet.works.job import Job
from lynchet.works.model import TaskKind

LEVEL_M = 0.003
"""How far the first course may be off level in one stick. PRACTICE (1/8 in)."""


def permit_asks(job: Job) -> bool:
    """Whether a rule of the place, or of the strictest samples, wants a paper for these walls."""
    return any(check.triggered for check in job.stability.heights)


def hold_of(job: Job, kind: TaskKind, stage: int) -> str:
    """The hold point at the end of one task; empty for none."""
    inspect = " If the permit asks for an inspection: call the inspector now." if permit_asks(job) else ""
    if kind == "set up":
        return "Buried lines are located and marked, the lot line is known, the permit (if any) is in hand."
    if kind == "set out":
        return "Distances from two fixed corners and both diagonals agree with the setting-out card."
    if kind == "trench":
        return "The bottom is firm, undug ground without water or roots; if not: stop and ask." + inspect
    if kind == "base":
        return "The base stone is tamped hard and level, its top at the level of the wall sheet."
    if kind == "first course":
        off = small(LEVEL_M, job.project.units)
        return f"The first course is level to {off} over its length, its lean right, its line straight."
    if kind == "drain":
        return (
            "The pipe falls to the outlet, holes down; water from a hose comes out there. Sleeves for lines and hoses "
            "are in. Then only fill." + inspect
        )
    if kind == "fill" and stage:
        return "Level, lean and line of the wall are read and written down before the next wall is begun."
    if kind == "clear up":
        return "End readings: lean and level of every wall at four points, photographs, outlets run." + inspect
    return ""
