"""What one pin or screw of the wall carries in this timber, wet, under a lasting load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lynchet.stability.constants import PIN_DIAMETER_M, SCREW_DIAMETER_M, SCREW_SPACING_M, SHARE_IN_LOWER, THREAD_M
from lynchet.timber.connections import END_GRAIN, corner_share, cross_dowel_kn, lag_pull_kn
from lynchet.timber.johansen import Fastener, embedment_strength_mpa, johansen_kn, yield_moment_kn_m
from lynchet.timber.model import Strength
from lynchet.timber.us_strength import DURATION

TENSILE_MPA = 400.0
"""Tensile strength of plain bar and screws, European practice. PRACTICE: the lowest usual class."""


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
    # an allowable load whatever the practice: raised by the load factor that the demand will carry
    pull = lag_pull_kn(strength.specific_gravity, SCREW_DIAMETER_M, THREAD_M, DURATION["permanent"], END_GRAIN)
    pull *= strength.load_factor
    shear = "NDS 2018, 12.3, Tables 11.3.3, 12.5.1" if strength.practice == "us" else "EN 1995-1-1, Eq. 8.6"
    return Fixings(
        corner_pin_kn=corner_share(PIN_DIAMETER_M, thickness_m)
        * _shear_kn(strength, PIN_DIAMETER_M, (course_m, course_m)),
        screws_kn_per_m=_shear_kn(strength, SCREW_DIAMETER_M, (course_m, SHARE_IN_LOWER * course_m)) / SCREW_SPACING_M,
        tie_screw_kn=pull,
        source=f"{shear}; NDS 2018, 12.2",
    )


def _shear_kn(strength: Strength, diameter_m: float, members_m: tuple[float, float]) -> float:
    """One dowel across the grain of the upper and the lower course, one plane."""
    if strength.practice == "us":
        return cross_dowel_kn(strength.specific_gravity, diameter_m, members_m, strength.connection_factor)
    embedment = embedment_strength_mpa("bolt", strength.density_kg_m3, diameter_m, 90.0)
    fastener = Fastener(diameter_m, *members_m, embedment, embedment, yield_moment_kn_m(diameter_m, TENSILE_MPA))
    return float(np.min(johansen_kn(fastener))) * strength.connection_factor
