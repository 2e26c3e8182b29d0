"""Allowable lateral load of a joint made of several fasteners (United States practice)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import Count, NotNegative, Positive
from lynchet.timber.dowel_bearing import bearing_perpendicular_mpa
from lynchet.timber.dowel_yield import Dowel, design_modes_kn, reduction_terms
from lynchet.timber.us_strength import Temperature, temperature_factors
from lynchet.timber.values import NEAR, Array, Values, inches
from lynchet.timber.withdrawal import Duration, withdrawal_kn_per_m, withdrawal_wet_factor


def connection_wet_factor(diameter_m: Values, wet_when_made: bool, wet_in_service: bool, one_row: bool = True) -> Array:
    """CM of lateral loads. NDS 2018, Table 11.3.3."""
    small = np.asarray(inches(diameter_m)) < 0.25 - NEAR
    if wet_in_service:
        return np.where(small, 0.7, 0.7)
    if not wet_when_made:
        return np.where(small, 1.0, 1.0)
    return np.where(small, 0.7, 1.0 if one_row else 0.4)


def connection_temperature_factor(temperature_c: Values, wet_in_service: bool) -> Array:
    """Ct of connections: that of wood's own strength. NDS 2018, Table 11.3.4."""
    return temperature_factors(temperature_c, wet_in_service)[..., 0]


def geometry_factor(diameter_m: Values, end_share: Values = 1.0, in_row_share: Values = 1.0) -> Array:
    """CΔ: 1 under 1/4 in, else the least of 1 and the shares of the full distances. NDS 2018, 12.5.1."""
    small = np.asarray(inches(diameter_m)) < 0.25 - NEAR
    return np.where(small, 1.0, np.minimum(1.0, np.minimum(end_share, in_row_share)))


STEEL_MPA = 310.0
"""Bending yield strength of 3/8 in spikes and bar, 45 ksi. NDS 2018, Appendix I."""
END_GRAIN = 0.75
"""Lag screws pulled from end grain. NDS 2018, 12.2.1."""
FULL_END = 7.0
"""Diameters to the end of a timber for full strength, softwood. NDS 2018, Table 12.5.1A."""


def cross_dowel_kn(
    specific_gravity: float, diameter_m: float, members_m: tuple[float, float], duration: float
) -> float:
    """One pin or screw across the grain of two courses, one plane, wet in service: the least mode of yield.

    Args:
        specific_gravity: of both courses.
        diameter_m: of the steel.
        members_m: what of it lies in the upper and in the lower course.
        duration: load duration factor.
    """
    upper, lower = members_m
    bearing = float(bearing_perpendicular_mpa(specific_gravity, diameter_m))
    dowel = Dowel(diameter_m, lower, upper, bearing, bearing, STEEL_MPA)
    modes = design_modes_kn(dowel, reduction_terms(diameter_m, diameter_m, 90.0))
    return float(np.min(modes)) * float(connection_wet_factor(diameter_m, True, True)) * duration


def corner_share(diameter_m: float, thickness_m: float) -> float:
    """Share of its strength left to a pin in the middle of a lap: half the thickness from the end of its course."""
    return float(geometry_factor(diameter_m, (thickness_m / 2.0) / (FULL_END * diameter_m)))


def lag_pull_kn(specific_gravity: float, diameter_m: float, thread_m: float, duration: float, grain: float) -> float:
    """One lag screw pulled out along its length, wet in service.

    Args:
        specific_gravity: of the timber the thread is in.
        diameter_m: of the screw.
        thread_m: length of thread that holds.
        duration: load duration factor.
        grain: ``END_GRAIN`` along the grain, 1 across it.
    """
    pull = float(withdrawal_kn_per_m("lag_screw", specific_gravity, diameter_m)) * thread_m
    return pull * withdrawal_wet_factor("lag_screw", True, True) * duration * grain


@dataclass(frozen=True)
class Connection:
    """What a joint carries."""

    duration_factor: float
    wet_factor: float
    temperature_factor: float
    end_grain_factor: float
    geometry_factor: float
    each_design_kn: float
    """One fastener, one plane."""
    capacity_kn: float
    ratio: float | None = None
    """Load over capacity."""


def _connection_steps(given: Mapping[str, Any], result: Connection) -> list[Step]:
    factors = (
        f"{result.duration_factor:g} x {result.wet_factor:g} x {result.temperature_factor:g} x "
        f"{result.end_grain_factor:g} x {result.geometry_factor:.4g}"
    )
    steps = [
        Step("moisture factor", "at making and in service", result.wet_factor),
        Step("distance factor", "least of 1, end over full end, spacing over full spacing", result.geometry_factor),
        Step("one fastener, one plane", f"{given['each_kn']:.5g} x {factors}", result.each_design_kn, "kn"),
        Step("the joint", f"{given['count']} x {result.each_design_kn:.5g}", result.capacity_kn, "kn"),
    ]
    if result.ratio is not None:
        steps.append(Step("load over capacity", f"{given['load_kn']:g} / {result.capacity_kn:.5g}", result.ratio))
    return steps


@calculator(
    source="NDS 2018, Tables 11.3.1, 11.3.3, 11.3.4, 12.5.1A, 12.5.1B",
    known="SEEN",
    example={"each_kn": 2.0, "count": 2, "diameter_m": 0.0127, "end_m": 0.06985, "end_full_m": 0.0889, "load_kn": 1.5},
    working=_connection_steps,
    caution="A joint that holds a wall's corner or tie fails suddenly: above 1, more pins, another joint, an engineer.",
)
def connection_us(
    *,
    each_kn: Positive,
    count: Count,
    diameter_m: Positive,
    duration_factor: Duration = 0.9,
    wet_when_made: bool = True,
    wet_in_service: bool = True,
    one_row: bool = True,
    end_grain: bool = False,
    temperature_c: Temperature = 20.0,
    end_m: Positive | None = None,
    end_full_m: Positive | None = None,
    in_row_m: Positive | None = None,
    in_row_full_m: Positive | None = None,
    load_kn: NotNegative | None = None,
) -> Connection:
    """Allowable lateral load of a pinned, bolted or screwed joint.

    Equation: capacity = count x each x CD x moisture x temperature x end grain x distance factor.

    Symbols: each: load of one fastener in one plane (`dowel_yield`); count: fasteners x planes; moisture 0.7 wet in
    service, 1 made dry, made wet and dried 0.7 under 1/4 in, else 1 in one row, 0.4 in more; end grain 0.67; distance
    factor 1 under 1/4 in, else the least of 1, end over full end, spacing over full spacing.

    Limits: end distance not under half, spacing not under three quarters of the full value (1/4 in and more). Group
    action is taken as 1: fasteners far apart. Duration factor to 1.6; to 65.6 °C. In a lapped corner each pin works in
    the bed above and the bed below, and its end distance is half the width: the distance factor is seldom 1.
    """
    small = bool(inches(diameter_m) < 0.25 - NEAR)
    end = _share("end_m", "end distance", (end_m, end_full_m), least=0.0 if small else 0.5)
    spacing = _share("in_row_m", "spacing", (in_row_m, in_row_full_m), least=0.0 if small else 0.75)
    wet = float(connection_wet_factor(diameter_m, wet_when_made, wet_in_service, one_row))
    warm = float(connection_temperature_factor(temperature_c, wet_in_service))
    ends = 0.67 if end_grain else 1.0
    geometry = float(geometry_factor(diameter_m, end, spacing))
    each = each_kn * duration_factor * wet * warm * ends * geometry
    return Connection(
        duration_factor=duration_factor,
        wet_factor=wet,
        temperature_factor=warm,
        end_grain_factor=ends,
        geometry_factor=geometry,
        each_design_kn=each,
        capacity_kn=count * each,
        ratio=None if load_kn is None else load_kn / (count * each),
    )


def _share(key: str, words: str, pair: tuple[float | None, float | None], least: float) -> float:
    """Actual over full distance; 1 when neither is given."""
    actual, full = pair
    if actual is None and full is None:
        return 1.0
    if actual is None or full is None:
        raise refuse(key, f"one of the pair for the {words} is missing", "the actual and the full value")
    share = actual / full
    refuse_if(share < least - NEAR, key, f"{words} of {share:.3g} of the full value found", f"{least:g} of it or more")
    return share
