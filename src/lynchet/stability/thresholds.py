"""From factors to verdicts: how much is enough, in which case, for which wall."""

from __future__ import annotations

from lynchet.core.findings import Verdict
from lynchet.stability.model import Case

ENOUGH = 1.5
"""Sliding and overturning. International Building Code 2021, 1807.2.3."""
ENOUGH_SHUT = 1.1
"""With an outlet shut, or in an earthquake (the code's value for earthquakes). PRACTICE."""
STANDS = 1.0
LOW_WALL_M = 0.6
"""Retained height up to which 1.0 to 1.5 is a matter of care, not of an engineer. PRACTICE."""
BARE_COURSES = 2
BARE_RETAINED_M = 0.35
"""A bare wall this low may rest on its drain being kept open. PRACTICE."""
SHUT_CASES: tuple[Case, ...] = ("one outlet shut", "all shut")
SOURCE = "International Building Code 2021, 1807.2.3 (1.5); bands below it PRACTICE"
_SLACK = 1e-9


def required(case: Case) -> float:
    """The factor that is enough in a case."""
    return ENOUGH_SHUT if case in SHUT_CASES or case == "earthquake" else ENOUGH


def word_on_factor(case: Case, factor: float, retained_m: float, courses: int, loaded: bool) -> Verdict:
    """The verdict on a factor of sliding or overturning.

    Args:
        case: the load case.
        factor: what holds over what pushes.
        retained_m: difference of level held.
        courses: courses that hold ground (the buried ones not counted).
        loaded: a load stands within the wall's height behind it.
    """
    if factor >= required(case) - _SLACK:
        return Verdict.OK
    if factor >= STANDS - _SLACK:
        if case in SHUT_CASES:
            return Verdict.WATCH
        return Verdict.WATCH if retained_m <= LOW_WALL_M + _SLACK and not loaded else Verdict.ASK
    if case in SHUT_CASES and courses <= BARE_COURSES and retained_m <= BARE_RETAINED_M + _SLACK and not loaded:
        return Verdict.WATCH
    return Verdict.STOP
