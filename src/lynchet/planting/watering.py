"""Water for a bed, and for new trees and shrubs until they are established."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator
from lynchet.core.errors import Fault, InputError
from lynchet.core.kinds import Count, NotNegative, Positive

Array = NDArray[np.float64]
US_GALLON_M3 = 0.003785411784
INCH_MM = 25.4
YEAR_DAYS = 365.25
FIRST_WEEKS = (14 + 70 // 3, 14 + 70 // 2)
"""Waterings of the first twelve weeks: daily for two, then every third or every second day for ten."""


@dataclass(frozen=True)
class WateringVolume:
    """One watering of a bed."""

    net_depth_mm: float
    volume_m3: float
    run_time_min: float | None = None


@dataclass(frozen=True)
class EstablishmentWatering:
    """Water of new plants; low and high of each figure."""

    per_watering_low_m3: float
    per_watering_high_m3: float
    waterings_low: int
    waterings_high: int
    total_low_m3: float
    total_high_m3: float
    establish_low_day: float
    establish_high_day: float


def net_depth(depth_mm: ArrayLike, rain_mm: ArrayLike) -> Array:
    """Depth still to be given after rain, never negative."""
    return np.asarray(np.maximum(np.asarray(depth_mm, dtype=float) - np.asarray(rain_mm, dtype=float), 0.0))


def water_volume(area_m2: ArrayLike, net_depth_mm: ArrayLike, efficiency: ArrayLike) -> Array:
    """Water to send: area x net depth/efficiency."""
    sent = np.asarray(net_depth_mm, dtype=float) / 1000.0 / np.asarray(efficiency, dtype=float)
    return np.asarray(np.asarray(area_m2, dtype=float) * sent, dtype=float)


def _water_steps(given: Mapping[str, Any], result: WateringVolume) -> list[Step]:
    rain, efficiency = given.get("rain_mm", 0.0), given.get("efficiency", 1.0)
    how = f"{given['area_m2']:g} x {result.net_depth_mm:g}/1000/{efficiency:g}"
    steps = [
        Step("depth to give", f"{given['depth_mm']:g} - {rain:g}, not under 0", result.net_depth_mm, "mm"),
        Step("water", how, result.volume_m3, "m3"),
    ]
    if result.run_time_min is not None:
        how = f"{result.volume_m3:.4g} x 1000/{given['flow_l_s']:g}/60"
        steps.append(Step("time to run", how, result.run_time_min, "min"))
    return steps


@calculator(
    source="Purdue Landscape Report, how much water; efficiencies 0.85 drip, 0.70 sprinkler",
    known="SEEN",
    example={"area_m2": 18.6, "depth_mm": 25.4, "efficiency": 0.85, "rain_mm": 6, "flow_l_s": 0.15},
    working=_water_steps,
)
def watering_volume(
    *,
    area_m2: Positive,
    depth_mm: Annotated[float, Ge(0), Le(500)],
    efficiency: Annotated[float, Gt(0), Le(1)] = 1.0,
    rain_mm: NotNegative = 0.0,
    flow_l_s: Positive | None = None,
) -> WateringVolume:
    """Water for one watering of a bed and how long it runs.

    Equation: net depth = depth - rain, not under 0; volume = area x net depth/efficiency; run time = volume/flow.

    Symbols: depth_mm, water the bed should get; efficiency, share that reaches the roots (0.85 drip, 0.70 sprinkler).

    Limits: rain is taken as all of use.
    """
    net = float(net_depth(depth_mm, rain_mm))
    volume = float(water_volume(area_m2, net, efficiency))
    return WateringVolume(net, volume, volume * 1000.0 / flow_l_s / 60.0 if flow_l_s is not None else None)


def _establish_steps(given: Mapping[str, Any], result: EstablishmentWatering) -> list[Step]:
    if given["kind"] == "tree":
        inches = given["caliper_mm"] / INCH_MM
        low, high = f"{inches:.3g} in x 1 US gal", f"{inches:.3g} in x 1.5 US gal"
    else:
        low, high = f"{given['container_m3']:g}/4", f"{given['container_m3']:g}/3"
    plants = given.get("plant_count", 1)
    return [
        Step("one watering of one plant, least", low, result.per_watering_low_m3, "m3"),
        Step("one watering of one plant, most", high, result.per_watering_high_m3, "m3"),
        Step("first twelve weeks, least", f"x {result.waterings_low} x {plants}", result.total_low_m3, "m3"),
        Step("first twelve weeks, most", f"x {result.waterings_high} x {plants}", result.total_high_m3, "m3"),
    ]


@calculator(
    source="University of Minnesota Extension, Watering newly planted trees and shrubs",
    known="SEEN",
    example={"kind": "shrub", "container_m3": 0.02, "plant_count": 5},
    working=_establish_steps,
)
def establishment_watering(
    *,
    kind: Literal["tree", "shrub"],
    caliper_mm: Annotated[float, Ge(10), Le(200)] | None = None,
    container_m3: Annotated[float, Gt(0), Le(0.5)] | None = None,
    plant_count: Count = 1,
) -> EstablishmentWatering:
    """Water of newly planted trees and shrubs in their first twelve weeks, and how long until established.

    Equation: tree, 1.0 to 1.5 US gal per inch of caliper, established after 1.5 years per inch; shrub, 1/4 to 1/3 of
    the container, 1 to 2 years; waterings 14 + 23 to 14 + 35.

    Symbols: caliper_mm, stem diameter of a tree; container_m3, volume of a shrub's pot.

    Limits: daily for two weeks, then every third or second day for ten; by weather and soil more or less.
    """
    _refuse_measures(kind, caliper_mm, container_m3)
    if caliper_mm is not None:
        inches = caliper_mm / INCH_MM
        low, high = inches * US_GALLON_M3, inches * 1.5 * US_GALLON_M3
        years = (1.5 * inches, 1.5 * inches)
    else:
        pot = container_m3 or 0.0
        low, high, years = pot / 4.0, pot / 3.0, (1.0, 2.0)
    few, many = FIRST_WEEKS
    return EstablishmentWatering(
        per_watering_low_m3=low,
        per_watering_high_m3=high,
        waterings_low=few,
        waterings_high=many,
        total_low_m3=low * few * plant_count,
        total_high_m3=high * many * plant_count,
        establish_low_day=years[0] * YEAR_DAYS,
        establish_high_day=years[1] * YEAR_DAYS,
    )


def _refuse_measures(kind: str, caliper_mm: float | None, container_m3: float | None) -> None:
    """Refuse a missing measure and the other kind's, both at once where both are wrong."""
    measures = {"tree": ("caliper_mm", caliper_mm), "shrub": ("container_m3", container_m3)}
    faults = []
    for of, (key, value) in measures.items():
        if of == kind and value is None:
            faults.append(Fault("missing", f"needed for a {kind}", key))
        if of != kind and value is not None:
            faults.append(Fault(f"{value:g} found", f"none for a {kind}", key))
    if faults:
        raise InputError(*faults)
