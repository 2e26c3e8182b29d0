"""What one pin or screw of the wall carries in this timber, wet, under a lasting load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lynchet.stability.constants import PIN_DIAMETER_M, SCREW_DIAMETER_M, SCREW_SPACING_M
from lynchet.timber.connections import connection_wet_factor, geometry_factor
from lynchet.timber.dowel_bearing import bearing_perpendicular_mpa
from lynchet.timber.dowel_yield import Dowel, design_modes_kn, reduction_terms
from lynchet.timber.johansen import Fastener, embedment_strength_mpa, johansen_kn, yield_moment_kn_m
from lynchet.timber.model import Strength
from lynchet.timber.sizes import THREAD_M
from lynchet.timber.us_strength import DURATION
from lynchet.timber.withdrawal import withdrawal_kn_per_m, withdrawal_wet_factor

STEEL_MPA = 310.0
"""Bending yield strength, 45 ksi. NDS 2018, Appendix I."""
TENSILE_MPA = 400.0
"""Tensile strength of plain bar and screws, European practice. PRACTICE: the lowest usual class."""
END_GRAIN = 0.75
"""Lag screws pulled from end grain. NDS 2018, 12.2.1."""
SHARE_IN_LOWER = 0.5
"""Of a course, where a screw ends; a corner pin runs through it."""


@dataclass(frozen=True)
class Fixings:
    """Design values."""

    corner_pin_kn: float
    """One pin, one bed, at half the width from the end."""
    screws_kn_per_m: float
    """One bed."""
    tie_screw_kn: float
    """One, pulled out of the tie's end."""
    source: str


def fixings_of(strength: Strength, course_m: float, thickness_m: float) -> Fixings:
    """Yield limit equations or Johansen's for shear, withdrawal for the ties.

    Args:
        strength: the timber.
        course_m: height of a course.
        thickness_m: width across the wall; a corner pin stands half of it from the end, less than full distance.
    """
    near = float(geometry_factor(PIN_DIAMETER_M, (thickness_m / 2.0) / (7.0 * PIN_DIAMETER_M)))
    pull = float(withdrawal_kn_per_m("lag_screw", strength.specific_gravity, SCREW_DIAMETER_M)) * THREAD_M
    # an allowable load whatever the practice: raised by the load factor that the demand will carry
    pull *= withdrawal_wet_factor("lag_screw", True, True) * END_GRAIN * DURATION["permanent"] * strength.load_factor
    shear = "NDS 2018, 12.3, Tables 11.3.3, 12.5.1" if strength.practice == "us" else "EN 1995-1-1, Eq. 8.6"
    return Fixings(
        corner_pin_kn=near * _shear_kn(strength, PIN_DIAMETER_M, (course_m, course_m)),
        screws_kn_per_m=_shear_kn(strength, SCREW_DIAMETER_M, (course_m, SHARE_IN_LOWER * course_m)) / SCREW_SPACING_M,
        tie_screw_kn=pull,
        source=f"{shear}; NDS 2018, 12.2",
    )


def _shear_kn(strength: Strength, diameter_m: float, members_m: tuple[float, float]) -> float:
    """One dowel across the grain of the upper and the lower course, one plane."""
    upper, lower = members_m
    if strength.practice == "us":
        bearing = float(bearing_perpendicular_mpa(strength.specific_gravity, diameter_m))
        dowel = Dowel(diameter_m, lower, upper, bearing, bearing, STEEL_MPA)
        modes = design_modes_kn(dowel, reduction_terms(diameter_m, diameter_m, 90.0))
        wet = float(connection_wet_factor(diameter_m, True, True))
        return float(np.min(modes)) * wet * strength.connection_factor
    embedment = embedment_strength_mpa("bolt", strength.density_kg_m3, diameter_m, 90.0)
    fastener = Fastener(diameter_m, upper, lower, embedment, embedment, yield_moment_kn_m(diameter_m, TENSILE_MPA))
    return float(np.min(johansen_kn(fastener))) * strength.connection_factor
