"""A soakaway (in US words a dry well): how fast a trial pit empties and how large the stone pit must be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Gt, Le, Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import Fraction, NotNegative, Positive
from lynchet.water.rain import check_rising

Array = NDArray[np.float64]
Voids = Annotated[float, Gt(0), Le(1)]
EMPTYING_LIMIT_H = 24.0
"""Half of the required storage must be gone within a day."""
CAUTION = (
    "A soakaway wets the ground around it: keep it below the house and well away from walls, wells and steep slopes, "
    "and ask the local office. A test pit is a trench: shore or slope it, and nobody climbs into a deep one alone."
)


@dataclass(frozen=True)
class SoakTest:
    """Result of a trial pit."""

    volume_m3: float
    area_half_m2: float
    rates_m_s: list[float]
    infiltration_rate_m_s: float


@dataclass(frozen=True)
class SoakawaySize:
    """Storage of a soakaway against what its storms need."""

    side_area_half_m2: float
    outflow_m3_s: float
    inflows_m3: list[float]
    storages_m3: list[float]
    worst_duration_min: float
    required_storage_m3: float
    available_storage_m3: float
    half_empty_h: float
    volume_ok: bool
    emptying_ok: bool
    passes: bool


def side_area_half_m2(length_m: ArrayLike, width_m: ArrayLike, depth_m: ArrayLike) -> Array:
    """Area of the four sides up to half depth, through which a half full pit soaks away (m2)."""
    around = 2.0 * (np.asarray(length_m, dtype=float) + np.asarray(width_m, dtype=float))
    return np.asarray(around * np.asarray(depth_m, dtype=float) / 2.0)


def soak_rate_m_s(length_m: ArrayLike, width_m: ArrayLike, water_depth_m: ArrayLike, time_s: ArrayLike) -> Array:
    """Infiltration rate from the time a pit takes from 75 % to 25 % full (any shapes that go together)."""
    base = np.asarray(length_m, dtype=float) * np.asarray(width_m, dtype=float)
    wetted = base + side_area_half_m2(length_m, width_m, water_depth_m)
    return np.asarray(0.5 * base * np.asarray(water_depth_m, dtype=float) / (wetted * np.asarray(time_s, dtype=float)))


def storages_m3(inflows_m3: ArrayLike, outflow_m3_s: ArrayLike, durations_min: ArrayLike) -> Array:
    """Water left in the pit at the end of each rain: inflow less outflow (m3; below zero where it soaks away)."""
    gone = np.asarray(outflow_m3_s, dtype=float) * 60.0 * np.asarray(durations_min, dtype=float)
    return np.asarray(np.asarray(inflows_m3, dtype=float) - gone)


def inflows_m3(runoff_coefficient: ArrayLike, area_m2: ArrayLike, depths_mm: ArrayLike) -> Array:
    """Water that runs in: coefficient x area x rain (m3)."""
    run = np.asarray(runoff_coefficient, dtype=float) * np.asarray(area_m2, dtype=float)
    return np.asarray(run * np.asarray(depths_mm, dtype=float) / 1000.0)


def half_empty_h(required_m3: ArrayLike, outflow_m3_s: ArrayLike) -> Array:
    """Hours until half of the required storage has soaked away."""
    return np.asarray(0.5 * np.asarray(required_m3, dtype=float) / np.asarray(outflow_m3_s, dtype=float) / 3600.0)


def _test_steps(given: Mapping[str, Any], result: SoakTest) -> list[Step]:
    length, width, depth = given["length_m"], given["width_m"], given["water_depth_m"]
    slowest = max(given["times_s"])
    return [
        Step("volume from 75 to 25 % full", f"half of {length:g} x {width:g} x {depth:g}", result.volume_m3, "m3"),
        Step(
            "wetted area at half depth",
            f"{length:g} x {width:g} + 2 x ({length:g} + {width:g}) x {depth:g}/2",
            result.area_half_m2,
            "m2",
        ),
        Step(
            "lowest rate",
            f"{result.volume_m3:.4g}/({result.area_half_m2:.4g} x {slowest:g})",
            result.infiltration_rate_m_s,
            "m_s",
        ),
    ]


@calculator(
    source="BRE Digest 365 (method seen in public calculation sheets)",
    known="SEEN",
    example={"length_m": 1.0, "width_m": 0.75, "water_depth_m": 1.0, "times_s": [3360.0]},
    working=_test_steps,
    caution=CAUTION,
)
def soakaway_test_rate(
    *, length_m: Positive, width_m: Positive, water_depth_m: Positive, times_s: Annotated[list[Positive], Len(1)]
) -> SoakTest:
    """Infiltration rate of the soil from a trial pit.

    Equation: V = l w d/2; a50 = l w + 2 (l + w) d/2; f = V/(a50 t); the lowest rate counts.

    Symbols: length_m, width_m, the pit; water_depth_m, d when full; times_s, t from 75 % to 25 % full, one per filling.

    Limits: fill it three times on the same or following days; the pit as deep as the soakaway will be.
    """
    rates = soak_rate_m_s(length_m, width_m, water_depth_m, times_s)
    base = length_m * width_m
    return SoakTest(
        volume_m3=0.5 * base * water_depth_m,
        area_half_m2=base + float(side_area_half_m2(length_m, width_m, water_depth_m)),
        rates_m_s=rates.tolist(),
        infiltration_rate_m_s=float(rates.min()),
    )


def _size_steps(given: Mapping[str, Any], result: SoakawaySize) -> list[Step]:
    length, width, depth = given["length_m"], given["width_m"], given["depth_m"]
    worst = given["durations_min"].index(result.worst_duration_min)
    rain, inflow, out = given["depths_mm"][worst], result.inflows_m3[worst], result.outflow_m3_s
    return [
        Step("sides to half depth", f"2 x ({length:g} + {width:g}) x {depth:g}/2", result.side_area_half_m2, "m2"),
        Step("outflow", f"{result.side_area_half_m2:.4g} x {given['infiltration_rate_m_s']:.4g}", out, "m3_s"),
        Step("worst rain", "largest inflow less outflow", result.worst_duration_min, "min"),
        Step("its inflow", f"coefficient x {given['area_m2']:g} m2 x {rain:g} mm", inflow, "m3"),
        Step(
            "required storage, not below zero",
            f"{inflow:.4g} - {out:.4g} x 60 x {result.worst_duration_min:g}",
            result.required_storage_m3,
            "m3",
        ),
        Step(
            "available storage",
            f"{length:g} x {width:g} x {depth:g} x {given['void_fraction']:g}",
            result.available_storage_m3,
            "m3",
        ),
        Step("half empty after", f"0.5 x {result.required_storage_m3:.4g}/outflow", result.half_empty_h, "h"),
    ]


@calculator(
    source="BRE Digest 365 (method seen in public calculation sheets); half empty within 24 h",
    known="SEEN",
    example={
        "length_m": 2.0, "width_m": 1.5, "depth_m": 1.5, "void_fraction": 0.3, "infiltration_rate_m_s": 4.461e-5,
        "area_m2": 40.0, "durations_min": [10, 60, 360], "depths_mm": [12.69, 24.8, 38.72],
    },
    working=_size_steps,
    caution=CAUTION,
)  # fmt: skip
def soakaway_size(
    *,
    length_m: Positive,
    width_m: Positive,
    depth_m: Positive,
    void_fraction: Voids,
    infiltration_rate_m_s: Positive,
    area_m2: Positive,
    durations_min: list[Positive],
    depths_mm: list[NotNegative],
    runoff_coefficient: Fraction = 1.0,
) -> SoakawaySize:
    """Whether a stone-filled soakaway is large enough for its roof or yard.

    Equation: as50 = 2 (l + w) d/2, sides only; outflow = as50 f; inflow = C A rain; storage = inflow - outflow x
    duration, the largest counts; available = l w d x voids; half_empty = 0.5 required/outflow.

    Symbols: l, w, d, the pit; void_fraction, free share of the stone; infiltration_rate_m_s, f of the test pit;
    area_m2, A drained; durations_min and depths_mm, one rain each of the design return period.

    Limits: the base is not counted, it silts up. Half of the required storage (not of the pit) gone within 24 h.
    """
    check_rising(durations_min, depths_mm)
    sides = float(side_area_half_m2(length_m, width_m, depth_m))
    outflow = sides * infiltration_rate_m_s
    inflow = inflows_m3(runoff_coefficient, area_m2, depths_mm)
    stored = storages_m3(inflow, outflow, durations_min)
    required = max(float(stored.max()), 0.0)
    available = length_m * width_m * depth_m * void_fraction
    empty = float(half_empty_h(required, outflow))
    volume_ok, emptying_ok = available >= required * (1 - 1e-12), empty <= EMPTYING_LIMIT_H * (1 + 1e-12)
    return SoakawaySize(
        side_area_half_m2=sides,
        outflow_m3_s=outflow,
        inflows_m3=inflow.tolist(),
        storages_m3=stored.tolist(),
        worst_duration_min=durations_min[int(stored.argmax())],
        required_storage_m3=required,
        available_storage_m3=available,
        half_empty_h=empty,
        volume_ok=volume_ok,
        emptying_ok=emptying_ok,
        passes=volume_ok and emptying_ok,
    )
