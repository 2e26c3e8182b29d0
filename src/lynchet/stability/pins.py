"""Short stiff bars driven into the ground and pushed sideways (Broms)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Friction, Numbers, SafetyFactor, deny, filled
from lynchet.stability.pressure import rankine_passive


@dataclass(frozen=True)
class Bar:
    """A bar in the soil; plain numbers or arrays."""

    diameter_m: Numbers
    length_m: Numbers
    """In the soil."""
    load_height_m: Numbers = 0.0
    """Of the push above the soil."""


@dataclass(frozen=True)
class BarLimit:
    """Greatest push, and where and how much the bar then bends."""

    ultimate_kn: Array
    moment_depth_m: Array
    max_moment_kn_m: Array


def bar_in_sand(bar: Bar, unit_weight_kn_m3: Numbers, friction_deg: Numbers) -> BarLimit:
    """Free head, cohesionless soil: three times Rankine's passive pressure over the width (kernel). Broms 1964."""
    reaction = np.multiply(unit_weight_kn_m3, bar.diameter_m) * rankine_passive(friction_deg)
    ultimate = 0.5 * reaction * np.power(bar.length_m, 3) / np.add(bar.load_height_m, bar.length_m)
    depth = np.sqrt(ultimate / (1.5 * reaction))
    return BarLimit(ultimate, depth, ultimate * (bar.load_height_m + 2.0 * depth / 3.0))


def bar_in_clay(bar: Bar, cohesion_kpa: Numbers) -> BarLimit:
    """Free head, cohesive soil: nothing in the top 1.5 diameters, 9 c d below (kernel). Broms 1964."""
    idle = np.multiply(1.5, bar.diameter_m)
    a, e = bar.length_m - idle, bar.load_height_m + idle
    f = -(2.0 * e + a) + np.sqrt((2.0 * e + a) ** 2 + a**2)
    ultimate = 9.0 * np.multiply(cohesion_kpa, bar.diameter_m) * f
    return BarLimit(ultimate, idle + f, ultimate * (e + f / 2.0))


@dataclass(frozen=True)
class PinCapacity:
    """What one bar holds."""

    ultimate_kn: float
    allowable_kn: float
    moment_depth_m: float
    max_moment_kn_m: float
    """In the bar at the ultimate push."""
    allowable_kn_per_m: float | None
    bar_yields: bool | None
    """True: the bar bends before the soil gives, so this short-pin value is too high."""


def _steps(given: Mapping[str, Any], result: PinCapacity) -> list[Step]:
    a = filled(lateral_pin_capacity, given)
    d, length, e = a["diameter_m"], a["length_m"], a["load_height_m"]
    if a["soil"] == "cohesionless":
        kp = float(rankine_passive(a["friction_angle_deg"]))
        first = [
            Step("passive coefficient Kp", f"Rankine, {a['friction_angle_deg']:g}°", kp),
            Step(
                "ultimate push Hu",
                f"0.5 x {a['unit_weight_kn_m3']:g} x {d:g} x {length:g}³ x {kp:.4g}/({e:g} + {length:g})",
                result.ultimate_kn,
                "kn",
            ),
            Step("depth of the greatest moment", "sqrt(Hu/(1.5 g d Kp))", result.moment_depth_m, "m"),
        ]
    else:
        first = [
            Step("ultimate push Hu", f"9 x {a['cohesion_kpa']:g} x {d:g} x f", result.ultimate_kn, "kn"),
            Step("depth of the greatest moment", "1.5 d + f", result.moment_depth_m, "m"),
        ]
    return [
        *first,
        Step("greatest moment in the bar", "Hu x its lever", result.max_moment_kn_m, "kn_m"),
        Step("allowable push", f"Hu/{a['safety_factor']:g}", result.allowable_kn, "kn"),
    ]


@calculator(
    source="B. B. Broms, lateral resistance of piles in sand and in clay, 1964 (short pile, free head)",
    known="SEEN",
    example={
        "soil": "cohesionless",
        "diameter_m": 0.0127,
        "length_m": 0.47,
        "unit_weight_kn_m3": 18.9,
        "friction_angle_deg": 30.0,
    },
    working=_steps,
    caution=WALL_CAUTION
    + " Pins locate more than they hold. They count nothing where the ground in front falls away, is dug or washed.",
)
def lateral_pin_capacity(
    *,
    soil: Literal["cohesionless", "cohesive"],
    diameter_m: Positive,
    length_m: Positive,
    unit_weight_kn_m3: Positive | None = None,
    friction_angle_deg: Friction | None = None,
    cohesion_kpa: NotNegative | None = None,
    load_height_m: NotNegative = 0.0,
    spacing_m: Positive | None = None,
    yield_moment_kn_m: Positive | None = None,
    safety_factor: SafetyFactor = 2.0,
) -> PinCapacity:
    """Sideways push that a bar driven through the bottom course into the ground can take.

    Equation: cohesionless Hu = half g d L³ Kp/(e + L), f = sqrt(Hu/(1.5 g d Kp)), M = Hu (e + 2 f/3). Cohesive: A =
    L - 1.5 d, E = e + 1.5 d, f = -(2 E + A) + sqrt((2 E + A)² + A²), Hu = 9 c d f, M = Hu (E + f/2).

    Symbols: g unit weight, d diameter, L length in the soil, e height of the push above it, Kp Rankine, c undrained
    cohesion, f depth of the greatest moment (cohesive: below the top 1.5 d, which holds nothing).

    Limits: short stiff bar, free head, level ground. `bar_yields` warns that the bar bends first. Closer than three
    diameters bars share the same soil.
    """
    if spacing_m is not None:
        close = spacing_m < 3 * diameter_m - SLACK
        deny(close, "spacing_m", f"{spacing_m:g} found", f"three diameters or more, {3 * diameter_m:g}")
    bar = Bar(diameter_m, length_m, load_height_m)
    if soil == "cohesionless":
        deny(unit_weight_kn_m3 is None, "unit_weight_kn_m3", "missing", "the unit weight, for cohesionless soil")
        deny(
            not friction_angle_deg, "friction_angle_deg", f"{friction_angle_deg} found", "above 0 in cohesionless soil"
        )
        limit = bar_in_sand(bar, unit_weight_kn_m3 or 0.0, friction_angle_deg or 0.0)
    else:
        deny(not cohesion_kpa, "cohesion_kpa", f"{cohesion_kpa} found", "above 0 in cohesive soil")
        short = length_m <= 1.5 * diameter_m + SLACK
        deny(short, "length_m", f"{length_m:g} found", f"above 1.5 diameters, {1.5 * diameter_m:g}, in cohesive soil")
        limit = bar_in_clay(bar, cohesion_kpa or 0.0)
    ultimate, moment = float(limit.ultimate_kn), float(limit.max_moment_kn_m)
    allowable = ultimate / safety_factor
    return PinCapacity(
        ultimate_kn=ultimate,
        allowable_kn=allowable,
        moment_depth_m=float(limit.moment_depth_m),
        max_moment_kn_m=moment,
        allowable_kn_per_m=None if spacing_m is None else allowable / spacing_m,
        bar_yields=None if yield_moment_kn_m is None else moment > yield_moment_kn_m,
    )
