"""Soil to fill a bed with, and mulch to cover it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Gt, Le, Len, Lt
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive

Array = NDArray[np.float64]
SLACK = 1e-9
TOO_DEEP_MM = 101.6


@dataclass(frozen=True)
class Part:
    """One material of a mix."""

    material: str
    parts: NotNegative


@dataclass(frozen=True)
class SoilFill:
    """Loose soil to order; lists in the order given."""

    bed_volume_m3: float
    order_m3: float
    share_pct: list[float]
    material_m3: list[float]


@dataclass(frozen=True)
class MulchCover:
    """Mulch over a bed."""

    added_mm: float
    surface_area_m2: float
    plan_area_m2: float
    volume_m3: float
    too_deep: bool


def loose_order(volume_m3: ArrayLike, settlement_pct: ArrayLike) -> Array:
    """Loose volume that fills a bed after it has settled: V/(1 - f)."""
    kept = 1.0 - np.asarray(settlement_pct, dtype=float) / 100.0
    return np.asarray(np.asarray(volume_m3, dtype=float) / kept, dtype=float)


def _fill_steps(given: Mapping[str, Any], result: SoilFill) -> list[Step]:
    steps = []
    if "length_m" in given:
        how = f"{given['length_m']:g} x {given['width_m']:g} x {given['depth_m']:g}"
        steps.append(Step("bed", how, result.bed_volume_m3, "m3"))
    settlement = given.get("settlement_pct", 10.0)
    how = f"{result.bed_volume_m3:.5g}/(1 - {settlement:g}/100)"
    steps.append(Step("loose volume to order", how, result.order_m3, "m3"))
    for part, share, volume in zip(given["parts"], result.share_pct, result.material_m3, strict=True):
        steps.append(Step(part.material, f"{share:.4g} % of the order", volume, "m3"))
    return steps


@calculator(
    source="University of Maryland Extension (shares of compost); settlement is a setting, 10 to 15 % usual, PRACTICE",
    known="SEEN",
    example={
        "length_m": 2.4,
        "width_m": 1.2,
        "depth_m": 0.3,
        "parts": [{"material": "topsoil", "parts": 2}, {"material": "compost", "parts": 1}],
    },
    working=_fill_steps,
)
def soil_fill(
    *,
    parts: Annotated[list[Part], Len(1)],
    volume_m3: Positive | None = None,
    length_m: Positive | None = None,
    width_m: Positive | None = None,
    depth_m: Positive | None = None,
    settlement_pct: Annotated[float, Ge(0), Lt(50)] = 10.0,
) -> SoilFill:
    """Loose soil to order for a bed, with its materials.

    Equation: order = V/(1 - f); each material takes its share of the order.

    Symbols: V, volume of the bed; f, settlement as a share; parts, numbers that stand to each other as the volumes do.

    Limits: a volume, or length, width and depth. Settlement differs by mix: 10 to 15 percent is usual, no firm source.
    """
    sides = [side for side in (length_m, width_m, depth_m) if side is not None]
    whole = (volume_m3 is not None and not sides) or (volume_m3 is None and len(sides) == 3)
    found = f"{'a' if volume_m3 is not None else 'no'} volume and {len(sides)} of three lengths"
    refuse_if(not whole, "volume", found, "volume_m3, or length_m, width_m and depth_m")
    total = sum(part.parts for part in parts)
    refuse_if(total <= 0, "parts", "every one is 0", "one above 0")
    volume = volume_m3 if volume_m3 is not None else float(np.prod(sides))
    order = float(loose_order(volume, settlement_pct))
    shares = [part.parts / total for part in parts]
    return SoilFill(volume, order, [100.0 * share for share in shares], [order * share for share in shares])


def _mulch_steps(given: Mapping[str, Any], result: MulchCover) -> list[Step]:
    depth, there, slope = given["depth_mm"], given.get("existing_mm", 0.0), given.get("slope_pct", 0.0)
    area = f"{result.plan_area_m2:.5g} x sqrt(1 + ({slope:g}/100)^2)"
    return [
        Step("added depth", f"{depth:g} - {there:g}, not under 0", result.added_mm, "mm"),
        Step("surface", area, result.surface_area_m2, "m2"),
        Step("mulch", f"{result.surface_area_m2:.5g} x {result.added_mm:g}/1000", result.volume_m3, "m3"),
    ]


@calculator(
    source="Coverage of a cubic yard as published by compost suppliers; 4 in limit of Bartlett and nola.com",
    known="SEEN",
    example={"area_m2": 14.0, "depth_mm": 75, "existing_mm": 20},
    working=_mulch_steps,
    caution="Mulch deeper than 100 mm (4 in), or against stems, rots plants.",
)
def mulch_cover(
    *,
    depth_mm: Annotated[float, Gt(0), Le(500)],
    existing_mm: Annotated[float, Ge(0), Le(500)] = 0.0,
    slope_pct: Annotated[float, Ge(0), Le(200)] = 0.0,
    area_m2: Positive | None = None,
    volume_m3: Positive | None = None,
) -> MulchCover:
    """Mulch for a bed, or the bed a volume of mulch covers.

    Equation: added = depth - existing, not under 0; surface = plan area x sqrt(1 + (slope/100)^2); volume = surface x
    added/1000.

    Symbols: depth_mm, total wanted; existing_mm, what lies there; area_m2, in plan.

    Limits: an area or a volume, one of them. Over 101.6 mm (4 in) in all is too deep.
    """
    given = (area_m2 is not None) + (volume_m3 is not None)
    refuse_if(given != 1, "area", "both found" if given else "neither found", "area_m2 or volume_m3, one of them")
    added = max(0.0, depth_mm - existing_mm)
    steeper = hypot(1.0, slope_pct / 100.0)
    too_deep = depth_mm > TOO_DEEP_MM + SLACK
    if area_m2 is not None:
        surface = area_m2 * steeper
        return MulchCover(added, surface, area_m2, surface * added / 1000.0, too_deep)
    refuse_if(added <= 0, "depth_mm", f"{depth_mm:g} with {existing_mm:g} there", "more than there is, to use a volume")
    volume = volume_m3 or 0.0
    surface = volume * 1000.0 / added
    return MulchCover(added, surface, surface / steeper, volume, too_deep)
