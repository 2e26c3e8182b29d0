"""Values of the stability stage that nobody measures on the plot, each with its origin."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from lynchet.timber.dowel_bearing import bearing_perpendicular_mpa
from lynchet.timber.dowel_yield import Dowel, design_modes_kn, reduction_terms
from lynchet.timber.withdrawal import withdrawal_kn_per_m, withdrawal_wet_factor

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
_SPECIFIC_GRAVITY = 0.42
"""Lightest of the usual treated species, as used where the species is unknown. NDS 2018, Table 12.3.3A."""
_STEEL_MPA = 310.0
"""Bending yield strength of 3/8 in spikes, 45 ksi. NDS 2018, Appendix I."""
_WET = 0.7
"""Connections wet in service. NDS 2018, Table 11.3.3."""
TIE_SAFETY = 2.0
FACE_SCREWS_KN = 5.0
"""Two 3/8 in x 12 in lag screws through the face into the end of the tie: 1800 G^1.5 D^0.75 lb per in (G 0.42, D 3/8),
5 in of thread each, end grain 0.75, wet 0.7. NDS 2018, 12.2.1, 12.5.2, Table 11.3.3; rounded down."""
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
    """Pull of one course on its lapped corner: one pin through the lap."""


@cache
def fixings(course_m: float) -> Fixings:
    """Screws between courses and the pin of a corner lap: yield limit equations (NDS 2018, 12.3), withdrawal of half a
    course of thread (12.2), wet in service. Design values, whose own safety is left unused. Spikes hold down less."""
    thread = withdrawal_kn_per_m("lag_screw", _SPECIFIC_GRAVITY, SCREW_DIAMETER_M) * 0.5 * course_m
    return Fixings(
        _shear_kn(SCREW_DIAMETER_M, course_m) / SCREW_SPACING_M,
        float(thread) * withdrawal_wet_factor("lag_screw", True, True) / SCREW_SPACING_M,
        _shear_kn(PIN_DIAMETER_M, course_m),
    )


def _shear_kn(diameter_m: float, course_m: float) -> float:
    """One dowel across the grain of both courses, wet in service."""
    bearing = float(bearing_perpendicular_mpa(_SPECIFIC_GRAVITY, diameter_m))
    dowel = Dowel(diameter_m, 0.75 * course_m, course_m, bearing, bearing, _STEEL_MPA)
    modes = design_modes_kn(dowel, reduction_terms(diameter_m, diameter_m, 90.0))
    return float(np.min(modes)) * _WET
