"""Depth and intensity of rain of a given length."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.core.tables import read_table

Array = NDArray[np.float64]
MIN_PER_H = 60.0


@dataclass(frozen=True)
class RainAt:
    """Rain of one length."""

    depth_mm: float
    intensity_mm_h: float


@dataclass(frozen=True)
class ShortRains:
    """Rains of several lengths, in the order asked for."""

    depths_mm: list[float] = field(default_factory=list)
    intensities_mm_h: list[float] = field(default_factory=list)


@dataclass(frozen=True)
class Intensity:
    """A mean intensity."""

    intensity_mm_h: float


def depth_at_mm(durations_min: ArrayLike, depths_mm: ArrayLike, duration_min: ArrayLike) -> Array:
    """Depth of rain between the rows of a table, a straight line on logarithmic axes (kernel, nothing checked).

    Below the shortest row the intensity of that row is held.

    Args:
        durations_min: (n,) rising.
        depths_mm: (n,) above zero.
        duration_min: any shape, none above the longest row.

    Returns:
        Depths in mm, shape of ``duration_min``.
    """
    rows = np.asarray(durations_min, dtype=float)
    depths = np.asarray(depths_mm, dtype=float)
    asked = np.asarray(duration_min, dtype=float)
    between = np.exp(np.interp(np.log(asked), np.log(rows), np.log(depths)))
    return np.asarray(np.where(asked <= rows[0], depths[0] * asked / rows[0], between), dtype=float)


def mean_intensity_mm_h(depth_mm: ArrayLike, duration_min: ArrayLike) -> Array:
    """Mean intensity of a depth that falls in a time: mm and minutes to mm/h."""
    return np.asarray(MIN_PER_H * np.asarray(depth_mm, dtype=float) / np.asarray(duration_min, dtype=float))


def formula_intensity_mm_h(
    coefficient_a: ArrayLike, offset_min: ArrayLike, exponent: ArrayLike, duration_min: ArrayLike
) -> Array:
    """Intensity i = a/(t + b)^c in mm/h, with t and b in minutes."""
    time = np.asarray(duration_min, dtype=float) + np.asarray(offset_min, dtype=float)
    return np.asarray(np.asarray(coefficient_a, dtype=float) / time ** np.asarray(exponent, dtype=float))


def _intensity_steps(given: Mapping[str, Any], result: RainAt) -> list[Step]:
    rows, depths, asked = given["durations_min"], given["depths_mm"], given["duration_min"]
    if asked <= rows[0]:
        how = f"{depths[0]:g} x {asked:g}/{rows[0]:g}: the intensity of the shortest row is held"
    else:
        after = next(place for place, row in enumerate(rows) if row >= asked)
        how = (
            f"between {rows[after - 1]:g} min ({depths[after - 1]:g} mm) and {rows[after]:g} min "
            f"({depths[after]:g} mm), a straight line of ln depth on ln time"
        )
    return [
        Step("depth", how, result.depth_mm, "mm"),
        Step("intensity", f"60 x {result.depth_mm:.4g}/{asked:g}", result.intensity_mm_h, "mm_h"),
    ]


@calculator(
    source="Straight line on logarithmic axes between the rows of a depth table (common practice)",
    known="PRACTICE",
    example={"durations_min": [5, 10, 15, 30], "depths_mm": [16.4, 25.4, 31.2, 43.4], "duration_min": 20},
    working=_intensity_steps,
)
def rain_intensity(*, durations_min: list[Positive], depths_mm: list[Positive], duration_min: Positive) -> RainAt:
    """Depth and mean intensity of rain of any length, from a table of depths.

    Equation: ln d = ln d1 + ln(d2/d1) ln(t/t1)/ln(t2/t1); i = 60 d/t. At or below the shortest row i = 60 d1/t1.

    Symbols: durations_min and depths_mm, the rows of one return period; duration_min, t.

    Limits: never beyond the longest row; durations rise, depths never fall.
    """
    _check_table(durations_min, depths_mm)
    refuse_if(
        duration_min > durations_min[-1], "duration_min", f"a duration of {duration_min:g} min",
        f"up to the longest row, {durations_min[-1]:g} min",
    )  # fmt: skip
    depth = depth_at_mm(durations_min, depths_mm, duration_min)
    return RainAt(float(depth), float(mean_intensity_mm_h(depth, duration_min)))


def _check_table(durations_min: list[float], depths_mm: list[float]) -> None:
    check_rising(durations_min, depths_mm)
    for shorter, longer in pairwise(depths_mm):
        refuse_if(longer < shorter, "depths_mm", f"the depth falls from {shorter:g} to {longer:g} mm", "never falling")


def check_rising(durations_min: list[float], depths_mm: list[float]) -> None:
    """Refuse durations and depths of different length, none at all, or durations out of order."""
    count, others = len(durations_min), len(depths_mm)
    refuse_if(
        count != others or count == 0, "durations_min and depths_mm",
        f"lists of length {count} and {others}", "lists of the same length, one entry or more",
    )  # fmt: skip
    for before, after in pairwise(durations_min):
        refuse_if(after <= before, "durations_min", f"{after:g} after {before:g}", "strictly increasing durations")


RATIO_DURATIONS_MIN = (5, 10, 15, 30, 60, 120, 180, 360, 720, 1440)


@calculator(
    source="USDA NRCS, National Engineering Handbook, part 630, chapter 4 (210-630-H, Amend. 88, 2019), figure 4-46",
    known="SEEN",
    example={"depth_24h_mm": 110.0, "durations_min": [5, 60]},
)
def rain_ratio_depths(
    *,
    depth_24h_mm: Positive,
    durations_min: list[Positive] = list(RATIO_DURATIONS_MIN),  # noqa: B006 (never changed)
    distribution: Literal["type_ii"] = "type_ii",
) -> ShortRains:
    """Short depths of rain as fixed fractions of the 24-hour depth.

    Equation: d = fraction x 24-hour depth; i = 60 d/t.

    Symbols: depth_24h_mm, depth of 24 hours at the return period wanted; durations_min, any of 5, 10, 15, 30, 60, 120,
    180, 360, 720, 1440.

    Limits: only where no depth table is to be had; the handbook says that the old storm types give way to NOAA
    Atlas 14. Seen quoted.
    """
    held = read_table("water", "rain_ratios")
    fractions = dict(zip(held.column("duration_min"), held.column("fraction_of_24h"), strict=True))
    for duration in durations_min:
        if duration not in fractions:
            accepted = "one of " + ", ".join(f"{minutes:g}" for minutes in fractions)
            raise refuse("durations_min", f"a duration of {duration:g} min", accepted)
    depths = depth_24h_mm * np.array([fractions[duration] for duration in durations_min])
    intensities = mean_intensity_mm_h(depths, durations_min) if durations_min else depths
    return ShortRains(depths.tolist(), intensities.tolist())


def _formula_steps(given: Mapping[str, Any], result: Intensity) -> list[Step]:
    how = f"{given['coefficient_a']:g}/({given['duration_min']:g} + {given['offset_min']:g})^{given['exponent']:g}"
    return [Step("intensity", how, result.intensity_mm_h, "mm_h")]


@calculator(
    source="Bedient, Huber & Vieux, Hydrology and Floodplain Analysis, 5th ed., Eq. 9-2",
    known="SEEN",
    example={"coefficient_a": 3185.16, "offset_min": 21.8, "exponent": 0.75, "duration_min": 10},
    working=_formula_steps,
)
def rain_formula_intensity(
    *, coefficient_a: Positive, offset_min: NotNegative, exponent: Positive, duration_min: Positive
) -> Intensity:
    """Rain intensity from a town's published formula.

    Equation: i = a/(t + b)^c.

    Symbols: coefficient_a, a in mm/h for minutes; offset_min, b; exponent, c; duration_min, t.

    Limits: constants in inches are multiplied by 25.4 first; good only between the durations they were fitted to.
    """
    return Intensity(float(formula_intensity_mm_h(coefficient_a, offset_min, exponent, duration_min)))
