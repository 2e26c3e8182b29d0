"""The gauge rod: its marks, and which courses of which walls end at each; every wall counts from its own lowest."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.standing import Standing
from lynchet.walls.model import Run, Walls
from lynchet.walls.off_level import FINE_M

Course = tuple[str, int]
"""A wall and the number of its course, counted from its lowest, 1 first."""


def rod_marks(runs: Sequence[Run], standing: Standing) -> tuple[float, ...]:
    """Tops of the courses to come over the underside of the lowest timber of all; of all where none is to come.

    A mark that several walls share is theirs; one a hair beside it is none of its own.
    """
    low = min((run.bottom_m for run in runs), default=0.0)
    coming = [run for run in runs if not standing.stands(run.leg, run.course, 0.5 * sum(run.inner_m))]
    count: dict[float, int] = {}
    for run in coming or runs:
        count[run.top_m] = count.get(run.top_m, 0) + 1
    kept: list[float] = []
    for top in sorted(count, key=lambda top: (-count[top], top)):
        if all(abs(top - other) > FINE_M for other in kept):
            kept.append(top)
    return tuple(top - low for top in sorted(kept))


def rod_courses(walls: Walls) -> tuple[tuple[Course, ...], ...]:
    """For every mark of ``setting_out.gauge_m`` the courses whose top it is, in the order of the walls."""
    if not walls.setting_out.gauge_m:
        return ()
    low = min(run.bottom_m for run in walls.runs)
    found: list[dict[Course, None]] = [{} for _ in walls.setting_out.gauge_m]
    for run in walls.runs:
        off, nearest = min((abs(run.top_m - low - at), n) for n, at in enumerate(walls.setting_out.gauge_m))
        if off <= FINE_M:
            found[nearest][run.leg, run.row] = None
    return tuple(tuple(mark) for mark in found)
