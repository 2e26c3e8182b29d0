"""Taping on a slope: percent, degrees and 1 in n, the level part of a taped length, and level-board stepping."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SlopeConvert:
    """One slope in every way it is said; lengths where one was given."""

    slope_pct: float
    slope_deg: float
    slope_factor: float
    run_per_rise: float | None = None
    horizontal_m: float | None = None
    rise_m: float | None = None
    slope_length_m: float | None = None


@dataclass(frozen=True)
class StepRow:
    """One step of board and rule."""

    rise_m: float
    """Down is negative."""
    run_m: Positive


@dataclass(frozen=True)
class Stepping:
    """Sums of a line of steps and what the errors make of them."""

    total_rise_m: float
    total_run_m: float
    slope_pct: float
    rise_chance_m: float
    rise_one_way_m: float
    run_chance_m: float
    run_one_way_m: float


def slope_factor(slope: ArrayLike) -> Array:
    """Length along the slope per level length, for slopes as rise over run."""
    return np.asarray(np.hypot(1.0, np.asarray(slope, dtype=float)), dtype=float)


def level_length(slope_length_m: ArrayLike, slope: ArrayLike) -> Array:
    """Level length of a tape laid on the ground, for slopes as rise over run."""
    return np.asarray(np.asarray(slope_length_m, dtype=float) / slope_factor(slope), dtype=float)


def chance_sum(error_m: ArrayLike, count: ArrayLike) -> Array:
    """What errors that fall either way by chance add up to: error x sqrt(count)."""
    return np.asarray(np.asarray(error_m, dtype=float) * np.sqrt(np.asarray(count, dtype=float)), dtype=float)


def _slope_steps(given: Mapping[str, Any], result: SlopeConvert) -> list[Step]:
    ratio = result.slope_pct / 100.0
    steps = [
        Step("slope as a ratio", "rise over level length", ratio),
        Step("angle", f"atan({ratio:.6g})", result.slope_deg, "deg"),
        Step("slope length per level length", f"sqrt(1 + {ratio:.6g}^2)", result.slope_factor),
    ]
    if result.slope_length_m is not None and result.horizontal_m is not None and result.rise_m is not None:
        how = f"{result.slope_length_m:.6g}/{result.slope_factor:.6g}"
        steps.append(Step("level length", how, result.horizontal_m, "m"))
        steps.append(Step("rise", f"{result.horizontal_m:.6g} x {ratio:.6g}", result.rise_m, "m"))
    return steps


@calculator(
    source="Plane geometry of a right triangle",
    known="DERIVED",
    example={"slope_pct": 30.0, "slope_length_m": 7.3152},
    working=_slope_steps,
)
def slope_convert(
    *,
    slope_pct: float | None = None,
    slope_deg: float | None = None,
    run_per_rise: float | None = None,
    slope_length_m: float | None = None,
    horizontal_m: float | None = None,
    rise_m: float | None = None,
) -> SlopeConvert:
    """Turn a slope into percent, degrees and 1 in n, and tape along it into level length.

    Equation: percent = 100 tan(angle) = 100 rise/horizontal; horizontal = sqrt(slope length^2 - rise^2).

    Symbols: slope_length_m, tape laid on the ground; horizontal_m, its level part; rise_m, the height gained;
    run_per_rise, the n of "1 in n"; slope_factor, slope length over level length.

    Limits: give one slope with at most one length, or no slope and exactly two lengths. 45 degrees is 100 percent; the
    slope is under 90 degrees.
    """
    slopes = {"slope_pct": slope_pct, "slope_deg": slope_deg, "run_per_rise": run_per_rise}
    lengths = {"slope_length_m": slope_length_m, "horizontal_m": horizontal_m, "rise_m": rise_m}
    known = {key: value for key, value in slopes.items() if value is not None}
    taped = {key: value for key, value in lengths.items() if value is not None}
    wrong = not ((len(known) == 1 and len(taped) <= 1) or (not known and len(taped) == 2))
    found = ", ".join([*known, *taped]) or "nothing"
    refuse_if(wrong, "inputs", f"{found} found", "give one slope and at most one length, or exactly two lengths")
    for key, value in taped.items():
        refuse_if(value < 0, key, f"{value:g} found", "0 or more")
    refuse_if(horizontal_m == 0, "horizontal_m", "0 found", "above 0")
    ratio = _ratio(known) if known else _ratio_of_lengths(taped)
    factor = float(slope_factor(ratio))
    horizontal = _horizontal(taped, ratio, factor)
    return SlopeConvert(
        slope_pct=known.get("slope_pct", 100.0 * ratio),
        slope_deg=known.get("slope_deg", float(np.degrees(np.arctan(ratio)))),
        slope_factor=factor,
        run_per_rise=known.get("run_per_rise", 1.0 / ratio if ratio > 0 else None),
        horizontal_m=horizontal,
        rise_m=taped.get("rise_m", horizontal * ratio) if horizontal is not None else None,
        slope_length_m=taped.get("slope_length_m", horizontal * factor) if horizontal is not None else None,
    )


def _ratio(known: dict[str, float]) -> float:
    """Rise over run of the one slope given."""
    ((key, value),) = known.items()
    refuse_if(value < 0, key, f"slope {value:g} found", "a slope of 0 or more")
    if key == "slope_deg":
        refuse_if(value >= 90, key, f"{value:g} found", "a slope under 90 degrees")
        return float(np.tan(np.radians(value)))
    if key == "run_per_rise":
        refuse_if(value == 0, key, "0 found", "a slope of 1 in n with n above 0")
        return 1.0 / value
    return value / 100.0


def _ratio_of_lengths(taped: dict[str, float]) -> float:
    """Rise over run of the two lengths given."""
    along, level, rise = (taped.get(key) for key in ("slope_length_m", "horizontal_m", "rise_m"))
    if along is None:
        return (rise or 0.0) / (level or 1.0)
    if level is None:
        high = rise or 0.0
        refuse_if(high >= along, "rise_m", f"{high:g} found", f"under the slope length {along:g}")
        return high / float(np.sqrt((along - high) * (along + high)))
    refuse_if(level > along + 1e-9, "horizontal_m", f"{level:g} found", f"no longer than the slope length {along:g}")
    return float(np.sqrt(max(along - level, 0.0) * (along + level))) / level


def _horizontal(taped: dict[str, float], ratio: float, factor: float) -> float | None:
    """Level length from whichever length was given; None without one."""
    if "horizontal_m" in taped:
        return taped["horizontal_m"]
    if "slope_length_m" in taped:
        return taped["slope_length_m"] / factor
    if "rise_m" in taped:
        level = ratio == 0
        refuse_if(level, "rise_m", f"{taped['rise_m']:g} with a slope of 0", "a slope above 0 where a rise is given")
        return taped["rise_m"] / ratio
    return None


def _stepping_steps(given: Mapping[str, Any], result: Stepping) -> list[Step]:
    count, error = len(given["steps"]), given["error_m"]
    return [
        Step("total rise", f"{count} rises added", result.total_rise_m, "m"),
        Step("total run", f"{count} runs added", result.total_run_m, "m"),
        Step("slope", f"100 x {result.total_rise_m:.6g}/{result.total_run_m:.6g}", result.slope_pct, "pct"),
        Step("error of the rise by chance", f"{error:g} x sqrt({count})", result.rise_chance_m, "m"),
        Step("error of the rise all one way", f"{error:g} x {count}", result.rise_one_way_m, "m"),
    ]


@calculator(
    source="Sums of board and rule; spread of a sum of independent errors",
    known="DERIVED",
    example={"steps": [{"rise_m": -0.365, "run_m": 1.22}, {"rise_m": -0.34, "run_m": 1.22}], "error_m": 0.003},
    working=_stepping_steps,
)
def stepping(
    *,
    steps: Annotated[list[StepRow], Len(1)],
    error_m: NotNegative,
    run_error_m: NotNegative = 0.0,
) -> Stepping:
    """Add up level-board steps down a slope and say what the errors make of the sum.

    Equation: error by chance = error x sqrt(steps); error all one way = error x steps; slope = 100 rise/run.

    Symbols: rise_m, height of one step, down negative; run_m, level length of one step; error_m and run_error_m, what
    each reading is good to, plus or minus.

    Limits: one step or more, runs above 0. Errors fall all one way where the board is out of level or the rule is read
    from the wrong end; look at both figures.
    """
    rise, run, count = sum(step.rise_m for step in steps), sum(step.run_m for step in steps), len(steps)
    return Stepping(
        total_rise_m=rise,
        total_run_m=run,
        slope_pct=100.0 * rise / run,
        rise_chance_m=float(chance_sum(error_m, count)),
        rise_one_way_m=error_m * count,
        run_chance_m=float(chance_sum(run_error_m, count)),
        run_one_way_m=run_error_m * count,
    )
