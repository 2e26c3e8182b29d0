"""From factors to verdicts: how much is enough, in which case, for which wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lynchet.core.findings import Verdict
from lynchet.stability.kinds import Numbers
from lynchet.stability.model import CASES, Case, Place

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
RESTS_LEAST = 0.5
"""Of so low a wall in the design rain: held by less than half of what pushes it, it is no matter of care. PRACTICE."""
SHUT_CASES: tuple[Case, ...] = ("one outlet shut", "all shut")
SOURCE = "International Building Code 2021, 1807.2.3 (1.5); bands below it PRACTICE"
_SLACK = 1e-9
_SHUT = np.array([case in SHUT_CASES for case in CASES])
_WET, _ALL_SHUT = CASES.index("wet"), CASES.index("all shut")
_ENOUGH = np.array([ENOUGH_SHUT if case in SHUT_CASES or case == "earthquake" else ENOUGH for case in CASES])


def shown_factor(factor: float, *limits: float) -> str:
    """Two decimals, never rounded up to 1 or to another limit that is not reached."""
    near = round(factor, 2)
    return f"{near - 0.01 if any(factor < limit <= near for limit in (STANDS, *limits)) else near:.2f}"


def required(case: Case) -> float:
    """The factor that is enough in a case."""
    return float(_ENOUGH[CASES.index(case)])


def enough_in(case: NDArray[np.intp]) -> NDArray[np.float64]:
    """The factor that is enough, by index into ``CASES``."""
    return np.asarray(_ENOUGH[case], dtype=np.float64)


@dataclass(frozen=True)
class Standing:
    """What the bands turn on beside the factor; plain values, or arrays that fit together."""

    retained_m: Numbers
    """Difference of level held."""
    bare: NDArray[np.bool_]
    """As low as a bare wall may be that rests on its drain being kept open."""
    loaded: NDArray[np.bool_]
    """A load stands within the wall's height behind it."""
    low_whole: NDArray[np.bool_]
    """The wall as a whole, not only what stands over a joint of it, is as low as that, and it stands dry."""
    two_ways: NDArray[np.bool_]
    """Two ways out are asked for and laid."""


def standing_of(place: Place) -> Standing:
    """Of one place."""
    bare = is_bare_low(place.held_courses, place.retained_m)
    loaded, two = np.array(place.surcharge_kpa > 0), np.array(place.two_ways)
    return Standing(place.retained_m, bare, loaded, bare, two)


def verdicts(case: NDArray[np.intp], factor: Numbers, standing: Standing) -> NDArray[np.intp]:
    """Verdicts (as numbers) on factors of sliding or overturning; arrays that fit together.

    A wall so low that it may rest on its drain when that is shut may do so in the rain too, whether a pipe or stone
    alone drains it: of two such walls the one with the lower factor never has the milder word. It must stand dry, and
    in the rain by half at least. A low wall without a load may rest on two ways out: both must be blocked to push it
    (PRACTICE).

    Args:
        case: index into ``CASES``.
        factor: what holds over what pushes.
        standing: what else the bands turn on.
    """
    shut, free = _SHUT[case], ~standing.loaded
    low = (np.asarray(standing.retained_m) <= LOW_WALL_M + _SLACK) & free
    between = np.where(shut | low, int(Verdict.WATCH), int(Verdict.ASK))
    half = np.asarray(factor) >= RESTS_LEAST - _SLACK
    rests = ((shut & standing.bare) | ((case == _WET) & standing.low_whole & half)) & free
    rests = rests | ((case == _ALL_SHUT) & standing.two_ways & low)
    under = np.where(rests, int(Verdict.WATCH), int(Verdict.STOP))
    found = np.where(np.asarray(factor) >= STANDS - _SLACK, between, under)
    return np.where(np.asarray(factor) >= _ENOUGH[case] - _SLACK, int(Verdict.OK), found).astype(np.intp)


def is_bare_low(courses: Numbers, retained_m: Numbers) -> NDArray[np.bool_]:
    """True for a stack so low that it may rest on its drain being kept open.

    Args:
        courses: courses that hold ground, the buried ones not counted.
        retained_m: difference of level they hold.
    """
    return np.asarray((np.asarray(courses) <= BARE_COURSES) & (np.asarray(retained_m) <= BARE_RETAINED_M + _SLACK))


def word_on_factor(case: Case, factor: float, place: Place) -> Verdict:
    """The verdict on one factor of a place."""
    return Verdict(int(verdicts(np.array(CASES.index(case)), factor, standing_of(place))))
