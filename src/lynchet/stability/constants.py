"""Values of the stability stage that nobody measures on the plot, each with its origin."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lynchet.timber.connections import END_GRAIN, corner_share, cross_dowel_kn, lag_pull_kn
from lynchet.timber.us_strength import DURATION

TIMBER_FRICTION = 0.4
"""Timber on timber; handbook range 0.25 to 0.5, MEMORY."""
TIMBER_ON_SOIL_RATIO = 0.75
"""Friction of timber on bare soil over the soil's own. NAVFAC DM-7.02 (1986), ratio for timber piles."""
PIN_DIAMETER_M = 0.0127
PIN_LENGTH_M = 0.61
PIN_SPACING_M = 1.2
"""Steel bar 1/2 in x 24 in every 4 ft through the lowest course. PRACTICE."""
PIN_FRONT_FALL_DEG = 5.0
"""Where the ground in front falls away more than this, pins count for nothing. PRACTICE."""
SCREW_DIAMETER_M = 0.0095
SCREW_SPACING_M = 0.6
"""One 3/8 in structural screw every 2 ft through each course into the one below. PRACTICE."""
SHARE_IN_LOWER = 0.5
"""Of a course, where a screw from the one above ends; a pin runs through it. PRACTICE."""
THREAD_M = 0.127
"""Thread of a screw in the end of a tie, 5 in. PRACTICE."""
SPECIFIC_GRAVITY = 0.43
"""Hem-fir, the weakest species of the tables, as the timber stage takes it too where the file names none. NDS 2018,
Table 12.3.3A."""
_LASTING = DURATION["permanent"]
TIE_SAFETY = 2.0
FACE_SCREWS_KN = 2.0 * lag_pull_kn(SPECIFIC_GRAVITY, SCREW_DIAMETER_M, THREAD_M, _LASTING, END_GRAIN)
"""Two 3/8 in lag screws through the face into the end of the tie, wet, under a lasting load, 5.1 kN. NDS 2018, 12.2.1,
12.5.2, Table 11.3.3."""
BEARING_SAFETY = 3.0
ALLOWABLE_BENDING_MPA = 3.4
"""Posts and timbers No. 2 of a weak species, 500 psi, as used where species and grade are unknown. NDS Supplement
2018, Table 4D, MEMORY."""
MODULUS_MPA = 6900.0
"""1,000,000 psi, as above, MEMORY."""
LOOSE_BASE_KPA = 72.0
"""Presumptive bearing of clay and silt, 1,500 psf. International Building Code 2021, Table 1806.2, class 5."""


@dataclass(frozen=True)
class Fixings:
    """What one metre or one corner of the usual fixings carries."""

    screws_kn_per_m: float
    """Shear between two courses."""
    hold_down_kn_per_m: float
    """What the screws hold a course down with on the one below."""
    corner_kn: float
    """Pull of one course on its lapped corner: one pin through the lap, held by one bed."""


@cache
def fixings(course_m: float, thickness_m: float) -> Fixings:
    """Screws between courses and the pin of a corner lap, wet, under a lasting load: yield limit equations (NDS 2018,
    12.3), withdrawal of half a course of thread (12.2). Design values, whose own safety is left unused.

    The formulas are those of the timber stage (``timber/connections.py``), and so are the numbers where the file names
    no species in a United States file. The timber stage then takes the species named, European practice where the file
    is metric, and counts both beds of a pinned course and a second pin or more screws where one is not enough.
    """
    half = SHARE_IN_LOWER * course_m
    shear = cross_dowel_kn(SPECIFIC_GRAVITY, SCREW_DIAMETER_M, (course_m, half), _LASTING)
    pin = cross_dowel_kn(SPECIFIC_GRAVITY, PIN_DIAMETER_M, (course_m, course_m), _LASTING)
    return Fixings(
        shear / SCREW_SPACING_M,
        lag_pull_kn(SPECIFIC_GRAVITY, SCREW_DIAMETER_M, half, _LASTING, 1.0) / SCREW_SPACING_M,
        pin * corner_share(PIN_DIAMETER_M, thickness_m),
    )
