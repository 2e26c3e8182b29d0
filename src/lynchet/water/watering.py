"""Water a planted bed needs, and how fast drip lines give it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Gt, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive

Array = NDArray[np.float64]
Share = Annotated[float, Gt(0), Le(1)]
DEPLETION = 0.5
WEEK_DAYS = 7.0


@dataclass(frozen=True)
class BedIrrigation:
    """Water for a bed over a period."""

    landscape_coefficient: float
    use_mm: float
    net_need_mm: float
    applied_mm: float
    volume_l: float
    storage_mm: float | None = None
    interval_days: float | None = None


@dataclass(frozen=True)
class DripRate:
    """Rate of a drip grid."""

    rate_mm_h: float
    run_time_h: float | None = None


def net_need_mm(landscape_coefficient: ArrayLike, eto_mm: ArrayLike, rain_mm: ArrayLike) -> Array:
    """Water a bed lacks over a period: KL ETo less rain, not below zero (any shapes that go together)."""
    use = np.asarray(landscape_coefficient, dtype=float) * np.asarray(eto_mm, dtype=float)
    return np.asarray(np.maximum(use - np.asarray(rain_mm, dtype=float), 0.0))


def soil_storage_mm(available_water: ArrayLike, root_depth_m: ArrayLike, depletion: ArrayLike = DEPLETION) -> Array:
    """Water the root zone gives before the bed must be watered (any shapes that go together)."""
    held = np.asarray(available_water, dtype=float) * np.asarray(root_depth_m, dtype=float)
    return np.asarray(1000.0 * held * np.asarray(depletion, dtype=float))


def drip_rate_mm_h(emitter_flow_l_h: ArrayLike, emitter_spacing_m: ArrayLike, row_spacing_m: ArrayLike) -> Array:
    """Emitter flow over the ground it serves (any shapes that go together)."""
    ground = np.asarray(emitter_spacing_m, dtype=float) * np.asarray(row_spacing_m, dtype=float)
    return np.asarray(np.asarray(emitter_flow_l_h, dtype=float) / ground)


def _bed_steps(given: Mapping[str, Any], result: BedIrrigation) -> list[Step]:
    factors = [given["plant_factor"], given.get("density_factor", 1.0), given.get("microclimate_factor", 1.0)]
    kl, rain = result.landscape_coefficient, given.get("rain_mm", 0.0)
    steps = [
        Step("landscape coefficient KL", " x ".join(f"{factor:g}" for factor in factors), kl),
        Step("use", f"{kl:.4g} x {given['eto_mm']:g}", result.use_mm, "mm"),
        Step("net need", f"{result.use_mm:.4g} - {rain:g}, not below zero", result.net_need_mm, "mm"),
        Step("applied", f"{result.net_need_mm:.4g}/{given['efficiency']:g}", result.applied_mm, "mm"),
        Step("volume", f"{result.applied_mm:.4g} x {given['area_m2']:g}", result.volume_l, "l"),
    ]
    if result.storage_mm is not None:
        how = f"{given['available_water']:g} x {given['root_depth_m']:g} x 1000 x {given.get('depletion', DEPLETION):g}"
        steps.append(Step("storage in the soil", how, result.storage_mm, "mm"))
    if result.interval_days is not None:
        how = f"{result.storage_mm:.4g} x {given.get('days', WEEK_DAYS):g}/{result.use_mm:.4g}"
        steps.append(Step("days between waterings", how, result.interval_days, "days"))
    return steps


@calculator(
    source="Costello et al., A Guide to Estimating Irrigation Water Needs of Landscape Plantings in California; "
    "interval by soil storage PRACTICE",
    known="SEEN",
    example={
        "eto_mm": 40.0, "plant_factor": 0.5, "efficiency": 0.8, "area_m2": 5.0, "available_water": 0.1,
        "root_depth_m": 0.3,
    },
    working=_bed_steps,
)  # fmt: skip
def bed_irrigation(
    *,
    eto_mm: NotNegative,
    plant_factor: Positive,
    efficiency: Share,
    area_m2: Positive,
    density_factor: Positive = 1.0,
    microclimate_factor: Positive = 1.0,
    rain_mm: NotNegative = 0.0,
    days: Positive = WEEK_DAYS,
    available_water: Positive | None = None,
    root_depth_m: Positive | None = None,
    depletion: Share = DEPLETION,
) -> BedIrrigation:
    """Water that a planted bed needs, and days between waterings.

    Equation: KL = plant x density x microclimate; use = KL ETo; net need = use - rain, not below 0; applied = net
    need/efficiency; volume = applied x area; storage = available x root depth x 1000 x depletion; interval = storage x
    days/use.

    Symbols: eto_mm, reference evapotranspiration over the period; rain_mm, useful rain; efficiency, share of the water
    that reaches the roots; available_water, volume per volume.

    Limits: rain does not lengthen the interval; no interval where nothing is used. Available water and root depth
    together.
    """
    refuse_if(
        (available_water is None) != (root_depth_m is None), "available_water and root_depth_m",
        "one figure of the soil without the other", "both or neither",
    )  # fmt: skip
    factor = plant_factor * density_factor * microclimate_factor
    use = factor * eto_mm
    net = float(net_need_mm(factor, eto_mm, rain_mm))
    storage = interval = None
    if available_water is not None and root_depth_m is not None:
        storage = float(soil_storage_mm(available_water, root_depth_m, depletion))
        interval = storage * days / use if use > 0 else None
    return BedIrrigation(factor, use, net, net / efficiency, net / efficiency * area_m2, storage, interval)


@calculator(
    source="Emitter flow over the ground it serves; worked figures on public pages on drip irrigation design",
    known="SEEN",
    example={"emitter_flow_l_h": 2.0, "emitter_spacing_m": 0.3, "row_spacing_m": 0.3, "applied_mm": 10.0},
)
def drip_application_rate(
    *,
    emitter_flow_l_h: Positive,
    emitter_spacing_m: Positive,
    row_spacing_m: Positive,
    applied_mm: NotNegative | None = None,
) -> DripRate:
    """How fast a drip grid waters, and how long it must run.

    Equation: rate = flow/(emitter spacing x row spacing); run time = applied/rate.

    Symbols: emitter_flow_l_h, of one emitter (or of a length of tape, its length then the spacing); applied_mm, depth
    wanted.

    Limits: mean over the ground; at once the soil may not take it.
    """
    rate = float(drip_rate_mm_h(emitter_flow_l_h, emitter_spacing_m, row_spacing_m))
    return DripRate(rate, None if applied_mm is None else applied_mm / rate)
