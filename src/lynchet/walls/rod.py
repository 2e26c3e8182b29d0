"""Which courses of which walls end at each mark of the gauge rod: every wall counts its own courses from its lowest."""

from __future__ import annotations

from lynchet.walls.model import Walls

Course = tuple[str, int]
"""A wall and the number of its course, counted from its lowest, 1 first."""


def rod_courses(walls: Walls) -> tuple[tuple[Course, ...], ...]:
    """For every mark of ``setting_out.gauge_m`` the courses whose top it is, in the order of the walls."""
    if not walls.setting_out.gauge_m:
        return ()
    low = min(run.course for run in walls.runs)
    found: list[dict[Course, None]] = [{} for _ in walls.setting_out.gauge_m]
    for run in walls.runs:
        found[run.course - low][run.leg, run.row] = None
    return tuple(tuple(mark) for mark in found)
