"""Whether the ground or paving falls away from the house."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive

SLACK = 1e-9
COUNTED_M = 3.048
"""The distance the code looks at (10 ft)."""
GROUND_FALL_M = 0.1524
"""Fall of ground over that distance (6 in)."""
HARD_SLOPE, BARRIER_SLOPE, SWALE_SLOPE = 0.02, 0.05, 0.02


@dataclass(frozen=True)
class HouseFall:
    """Fall away from the house against what is asked."""

    needed_fall_m: float
    slope: float
    needs_drain: bool
    fall_ok: bool
    drain_ok: bool
    passes: bool


def needed_fall_m(distance_m: float, hard: bool) -> float:
    """Fall asked over a clear run from the house: 2 % on hard ground; 6 in in 10 ft, or 5 % to a nearer barrier."""
    counted = min(distance_m, COUNTED_M)
    if hard:
        return HARD_SLOPE * counted
    return BARRIER_SLOPE * counted if barrier_near(distance_m) else GROUND_FALL_M


def barrier_near(distance_m: float) -> bool:
    """Whether the run ends before the distance that the code counts."""
    return distance_m < COUNTED_M - SLACK


def _fall_steps(given: Mapping[str, Any], result: HouseFall) -> list[Step]:
    counted = min(given["distance_m"], COUNTED_M)
    return [
        Step("distance counted", f"the smaller of {given['distance_m']:g} and {COUNTED_M:g}", counted, "m"),
        Step("needed fall", "2 % hard; 6 in in 10 ft; 5 % to a nearer barrier", result.needed_fall_m, "m"),
        Step("slope", f"{given['fall_m']:g}/{counted:g}", result.slope),
        Step("drain or swale needed", "a barrier nearer than 10 ft", "yes" if result.needs_drain else "no"),
    ]


@calculator(
    source="International Residential Code, R401.3 (seen quoted); the local code governs",
    known="SEEN",
    example={"fall_m": 0.1524, "distance_m": 3.048},
    working=_fall_steps,
    caution="Water held against a house does great harm. The local code governs; ask its office before you change "
    "levels at a foundation.",
)
def grade_from_house(
    *,
    fall_m: float,
    distance_m: Positive,
    surface: Literal["ground", "hard"] = "ground",
    drain: Literal["none", "swale", "drain"] = "none",
    swale_slope: NotNegative | None = None,
) -> HouseFall:
    """Whether the ground falls enough away from the house.

    Equation: needed fall = 0.02 d on hard surfaces; 0.1524 m on ground with d = 3.048 m; 0.05 d with a barrier nearer.

    Symbols: fall_m, drop from the house over the distance counted; distance_m, clear run to the nearest wall, lot line
    or other barrier (d, at most 3.048 m counts); drain, what takes the water at the barrier.

    Limits: a barrier nearer than 3.048 m needs a drain, or a swale of 2 % or more, on hard surfaces too.
    """
    refuse_if(drain == "swale" and swale_slope is None, "swale_slope", "a swale without its slope", "rise over run")
    needed = needed_fall_m(distance_m, surface == "hard")
    near = barrier_near(distance_m)
    led_off = drain == "drain" or (drain == "swale" and (swale_slope or 0.0) >= SWALE_SLOPE - SLACK)
    fall_ok, drain_ok = fall_m >= needed - SLACK, led_off or not near
    return HouseFall(needed, fall_m / min(distance_m, COUNTED_M), near, fall_ok, drain_ok, fall_ok and drain_ok)
