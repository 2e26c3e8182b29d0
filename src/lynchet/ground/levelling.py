"""Checking a level by two pegs, and the staff readings that set out wanted levels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive

Array = NDArray[np.float64]
SLACK = 1e-9


@dataclass(frozen=True)
class TwoPegTest:
    """How far the sight line of a level departs from level."""

    rise_m: float
    apparent_rise_m: float
    line_slope: float
    correct_a_m: float
    correct_b_m: float
    verdict: Literal["ok", "adjust", "blunder"]


@dataclass(frozen=True)
class WantedLevel:
    """A point to be set out, with the reading on the ground or peg there now."""

    point: str
    level_m: float
    reading_m: float | None = None


@dataclass(frozen=True)
class SettingOut:
    """Readings to set out by."""

    collimation_m: float
    readings_m: list[float]
    reachable: list[bool]
    ground_levels_m: list[float] | None = None
    cut_m: list[float] | None = None


def sight_line_slope(
    rise_m: ArrayLike, far_a_m: ArrayLike, far_b_m: ArrayLike, distance_a_m: ArrayLike, distance_b_m: ArrayLike
) -> Array:
    """Slope of the sight line from the true rise A to B and the readings of an unequal set-up, + where it climbs."""
    apparent = np.asarray(far_a_m, dtype=float) - np.asarray(far_b_m, dtype=float)
    arms = np.asarray(distance_a_m, dtype=float) - np.asarray(distance_b_m, dtype=float)
    return np.asarray((apparent - np.asarray(rise_m, dtype=float)) / arms, dtype=float)


def _peg_steps(given: Mapping[str, Any], result: TwoPegTest) -> list[Step]:
    far_a, far_b = given["far_a_m"], given["far_b_m"]
    arm_a, arm_b = given["distance_a_m"], given["distance_b_m"]
    slope = result.line_slope
    true = f"{given['mid_a_m']:g} - {given['mid_b_m']:g}" if "mid_a_m" in given else "as known"
    return [
        Step("true rise from A to B", true, result.rise_m, "m"),
        Step("apparent rise", f"{far_a:g} - {far_b:g}", result.apparent_rise_m, "m"),
        Step("slope of the sight line", f"({result.apparent_rise_m:.5g} - {result.rise_m:.5g})/({arm_a:g} - {arm_b:g})",
             slope),
        Step("correct reading on A", f"{far_a:g} - {slope:.4g} x {arm_a:g}", result.correct_a_m, "m"),
        Step("correct reading on B", f"{far_b:g} - {slope:.4g} x {arm_b:g}", result.correct_b_m, "m"),
    ]  # fmt: skip


@calculator(
    source="Two-peg test as in surveying texts; limits of the verdict by common practice",
    known="SEEN",
    example={
        "mid_a_m": 1.283,
        "mid_b_m": 0.86,
        "far_a_m": 1.612,
        "far_b_m": 1.219,
        "distance_a_m": 55.0,
        "distance_b_m": 5.0,
    },
    working=_peg_steps,
)
def two_peg_test(
    *,
    far_a_m: float,
    far_b_m: float,
    distance_a_m: NotNegative,
    distance_b_m: NotNegative,
    mid_a_m: float | None = None,
    mid_b_m: float | None = None,
    known_rise_m: float | None = None,
    adjust_limit: NotNegative = 0.0001,
    blunder_limit: NotNegative = 0.01,
) -> TwoPegTest:
    """Test a level on two pegs: slope of its sight line and the readings it should give.

    Equation: rise = mid_a - mid_b; line slope = (far_a - far_b - rise)/(distance_a - distance_b); correct reading =
    far reading - line slope x distance.

    Symbols: mid readings, taken with the instrument equally far from both pegs; far readings, from the second position,
    at distance_a_m and distance_b_m; rise, level of B less level of A; line slope, + where the sight line climbs.

    Limits: the rise from a mid pair or known, one of them. Distances differ by 1 m or more. Up to adjust_limit the
    level is in order (1 mm in 10 m); above blunder_limit (1 in 100) it is no instrument error but a misreading.
    """
    pair = (mid_a_m is not None) + (mid_b_m is not None)
    sources = (pair == 2) + (known_rise_m is not None)
    refuse_if(pair == 1 or sources != 1, "rise", "both, neither or half found", "mid_a_m and mid_b_m, or known_rise_m")
    apart = abs(distance_a_m - distance_b_m)
    refuse_if(apart < 1.0 - SLACK, "distance_a_m", f"{apart:g} m from the other distance", "1 m or more apart")
    rise = known_rise_m if known_rise_m is not None else (mid_a_m or 0.0) - (mid_b_m or 0.0)
    slope = float(sight_line_slope(rise, far_a_m, far_b_m, distance_a_m, distance_b_m))
    verdict: Literal["ok", "adjust", "blunder"] = "adjust"
    if abs(slope) <= adjust_limit + SLACK:
        verdict = "ok"
    elif abs(slope) > blunder_limit + SLACK:
        verdict = "blunder"
    return TwoPegTest(
        rise_m=rise,
        apparent_rise_m=far_a_m - far_b_m,
        line_slope=slope,
        correct_a_m=far_a_m - slope * distance_a_m,
        correct_b_m=far_b_m - slope * distance_b_m,
        verdict=verdict,
    )


def wanted_readings(collimation_m: float, levels_m: ArrayLike) -> Array:
    """Staff readings with the foot of the staff at the wanted levels; negative above the sight line."""
    return np.asarray(collimation_m - np.asarray(levels_m, dtype=float), dtype=float)


def _setting_out_steps(given: Mapping[str, Any], result: SettingOut) -> list[Step]:
    steps = []
    if "known_level_m" in given:
        how = f"{given['known_level_m']:g} + {given['backsight_m']:g}"
        steps.append(Step("height of collimation", how, result.collimation_m, "m"))
    for index, row in enumerate(given["points"]):
        how = f"{result.collimation_m:.5g} - {row.level_m:g}"
        steps.append(Step(f"reading at {row.point}", how, result.readings_m[index], "m"))
        if result.cut_m is not None:
            how = f"{result.readings_m[index]:.5g} - {row.reading_m:g}"
            steps.append(Step(f"dig (+) or fill (-) at {row.point}", how, result.cut_m[index], "m"))
    return steps


@calculator(
    source="US Navy, Equipment Operator training manual NAVEDTRA 14081, p. 15-30, figures 15-51 and 15-52",
    known="SEEN",
    example={
        "points": [{"point": "course 1", "level_m": 29.74, "reading_m": 1.75}],
        "known_level_m": 30.0,
        "backsight_m": 1.325,
    },
    working=_setting_out_steps,
)
def setting_out_readings(
    *,
    points: Annotated[list[WantedLevel], Len(1)],
    collimation_m: float | None = None,
    known_level_m: float | None = None,
    backsight_m: float | None = None,
    staff_m: Positive = 5.0,
) -> SettingOut:
    """Staff readings that set out wanted levels, and how much to dig or fill.

    Equation: collimation = known level + backsight; reading wanted = collimation - level; cut = reading wanted -
    reading taken = ground level - wanted level.

    Symbols: collimation_m, level of the line of sight; staff_m, length of the staff; cut_m, positive dig (or the peg
    stands too high), negative fill.

    Limits: the collimation itself, or a known level and a backsight. Readings taken at every point or at none. A
    negative reading wanted lies above the sight line and cannot be read.
    """
    pair = (known_level_m is not None) + (backsight_m is not None)
    sources = (collimation_m is not None) + (pair == 2)
    accepted = "collimation_m, or known_level_m and backsight_m"
    refuse_if(pair == 1 or sources != 1, "collimation", "none, both or half of a source", accepted)
    line = collimation_m if collimation_m is not None else (known_level_m or 0.0) + (backsight_m or 0.0)
    taken = [row.reading_m for row in points if row.reading_m is not None]
    some = 0 < len(taken) < len(points)
    refuse_if(some, "points", f"a reading at {len(taken)} of {len(points)}", "a reading at every point or at none")
    wanted = wanted_readings(line, [row.level_m for row in points])
    return SettingOut(
        collimation_m=line,
        readings_m=wanted.tolist(),
        reachable=[bool(-SLACK <= reading <= staff_m + SLACK) for reading in wanted],
        ground_levels_m=[line - reading for reading in taken] if taken else None,
        cut_m=[float(want) - have for want, have in zip(wanted, taken, strict=True)] if taken else None,
    )
