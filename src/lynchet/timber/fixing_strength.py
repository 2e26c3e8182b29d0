"""What one pin or screw of the wall carries in this timber, wet, under a lasting load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lynchet.core.findings import Working
from lynchet.stability.constants import PIN_DIAMETER_M, SCREW_DIAMETER_M, SCREW_SPACING_M, SHARE_IN_LOWER, THREAD_M
from lynchet.timber.connections import END_GRAIN, STEEL_MPA, corner_share, cross_dowel_kn, lag_pull_kn
from lynchet.timber.dowel_bearing import bearing_perpendicular_mpa
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
    pin_working: tuple[Working, ...] = ()
    """One corner pin in shear."""
    screw_working: tuple[Working, ...] = ()
    """One screw between courses in shear."""
    tie_working: tuple[Working, ...] = ()
    """One screw pulled out of the tie's end."""


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
        pin_working=(_shear_working(strength, PIN_DIAMETER_M, (course_m, course_m)),),
        screw_working=(_shear_working(strength, SCREW_DIAMETER_M, (course_m, SHARE_IN_LOWER * course_m)),),
        tie_working=(_pull_working(strength),),
    )


def _pull_working(strength: Strength) -> Working:
    return "withdrawal", (
        ("kind", "lag_screw"), ("specific_gravity", strength.specific_gravity), ("diameter_m", SCREW_DIAMETER_M),
        ("penetration_m", THREAD_M), ("duration_factor", DURATION["permanent"]), ("wet_at_driving", True),
        ("wet_in_service", True), ("end_grain", True),
    )  # fmt: skip


def _shear_working(strength: Strength, diameter_m: float, members_m: tuple[float, float]) -> Working:
    """The calculator of one dowel, before the factors of use."""
    if strength.practice == "us":
        bearing = float(bearing_perpendicular_mpa(strength.specific_gravity, diameter_m))
        return "dowel_yield", (
            ("diameter_m", diameter_m), ("main_length_m", members_m[1]), ("side_length_m", members_m[0]),
            ("main_bearing_mpa", bearing), ("side_bearing_mpa", bearing), ("yield_strength_mpa", STEEL_MPA),
            ("angle_deg", 90.0),
        )  # fmt: skip
    one = _johansen_fastener(strength, diameter_m, members_m)
    return "dowel_yield_eu", (
        ("diameter_m", diameter_m), ("side_m", members_m[0]), ("main_m", members_m[1]),
        ("side_embedment_mpa", one.side_embedment_mpa), ("main_embedment_mpa", one.main_embedment_mpa),
        ("yield_moment_kn_m", one.yield_moment_kn_m),
    )  # fmt: skip


def _shear_kn(strength: Strength, diameter_m: float, members_m: tuple[float, float]) -> float:
    """One dowel across the grain of the upper and the lower course, one plane."""
    if strength.practice == "us":
        return cross_dowel_kn(strength.specific_gravity, diameter_m, members_m, strength.connection_factor)
    return float(np.min(johansen_kn(_johansen_fastener(strength, diameter_m, members_m)))) * strength.connection_factor


def _johansen_fastener(strength: Strength, diameter_m: float, members_m: tuple[float, float]) -> Fastener:
    embedment = embedment_strength_mpa("bolt", strength.density_kg_m3, diameter_m, 90.0)
    return Fastener(diameter_m, *members_m, embedment, embedment, yield_moment_kn_m(diameter_m, TENSILE_MPA))
