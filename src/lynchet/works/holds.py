"""Hold points: what must be seen and found good before the next work covers it."""

from __future__ import annotations

from lynchet.works.job import Job
from lynchet.works.model import TaskKind

LEVEL_M = 0.003
"""How far the first course may be off level in one stick. PRACTICE (1/8 in)."""
_HOLDS: frozenset[TaskKind] = frozenset({"set up", "set out", "trench", "base", "first course", "drain", "clear up"})
_INSPECTED: frozenset[TaskKind] = frozenset({"trench", "drain", "clear up"})


def permit_asks(job: Job) -> bool:
    """Whether a rule of the place, or of the strictest samples, wants a paper for these walls."""
    return any(check.triggered for check in job.stability.heights)


def holds(kind: TaskKind, stage: int) -> bool:
    """Whether a task ends in a hold point; fill does where it stands behind a wall."""
    return kind in _HOLDS or (kind == "fill" and stage > 0)


def inspected(job: Job, kind: TaskKind) -> bool:
    """Whether an inspector may want to see the end of a task: trench, drain before it is covered, the end."""
    return kind in _INSPECTED and permit_asks(job)
