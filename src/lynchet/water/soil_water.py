"""Water a soil holds and lets through, from its sand, clay and organic matter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import log
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.water.gradation import Percent
from lynchet.water.soil_texture import check_sum

Array = NDArray[np.float64]
ORGANIC_PCT = 2.5
GRAIN_DENSITY_KG_M3 = 2650.0


@dataclass(frozen=True)
class SoilWater:
    """Water contents by volume, conductivity and density."""

    wilting_point: float
    field_capacity: float
    saturation: float
    available_water: float
    conductivity_mm_h: float
    bulk_density_kg_m3: float


def water_contents(sand: ArrayLike, clay: ArrayLike, organic_pct: ArrayLike) -> tuple[Array, Array, Array]:
    """Wilting point, field capacity and saturation by volume (shapes that go together).

    Args:
        sand: fraction by weight, 0 to 1.
        clay: fraction by weight, 0 to 0.6.
        organic_pct: organic matter in percent by weight.
    """
    s, c, o = (np.asarray(value, dtype=float) for value in (sand, clay, organic_pct))
    dry = -0.024 * s + 0.487 * c + 0.006 * o + 0.005 * s * o - 0.013 * c * o + 0.068 * s * c + 0.031
    wet = -0.251 * s + 0.195 * c + 0.011 * o + 0.006 * s * o - 0.027 * c * o + 0.452 * s * c + 0.299
    gap = 0.278 * s + 0.034 * c + 0.022 * o - 0.018 * s * o - 0.027 * c * o - 0.584 * s * c + 0.078
    wilting = 1.14 * dry - 0.02
    field = wet + 1.283 * wet**2 - 0.374 * wet - 0.015
    full = field + 1.636 * gap - 0.107 - 0.097 * s + 0.043
    return np.asarray(wilting), np.asarray(field), np.asarray(full)


def saturated_conductivity_mm_h(wilting_point: ArrayLike, field_capacity: ArrayLike, saturation: ArrayLike) -> Array:
    """Ks = 1930 (sat - fc)^(3 - 1/B), B = ln(1500/33)/ln(fc/wp) (shapes that go together; rising contents)."""
    wilting, field = np.asarray(wilting_point, dtype=float), np.asarray(field_capacity, dtype=float)
    slope = np.log(field / wilting) / log(1500.0 / 33.0)
    return np.asarray(1930.0 * (np.asarray(saturation, dtype=float) - field) ** (3.0 - slope))


def _soil_steps(given: Mapping[str, Any], result: SoilWater) -> list[Step]:
    fc, sat = result.field_capacity, result.saturation
    return [
        Step("wilting point wp (1500 kPa)", "regression on sand, clay, organic matter", result.wilting_point),
        Step("field capacity fc (33 kPa)", "regression", fc),
        Step("saturation sat", "regression", sat),
        Step("available water", f"{fc:.4g} - {result.wilting_point:.4g}", result.available_water),
        Step("conductivity", f"1930 x ({sat:.4g} - {fc:.4g})^(3 - 1/B)", result.conductivity_mm_h, "mm_h"),
        Step("bulk density", f"2650 x (1 - {sat:.4g})", result.bulk_density_kg_m3, "kg_m3"),
    ]


@calculator(
    source="Saxton & Rawls (2006), Soil Sci. Soc. Am. J. 70:1569-1578, equations (table 3 seen in part)",
    known="SEEN",
    example={"sand_pct": 65.0, "clay_pct": 10.0},
    working=_soil_steps,
)
def soil_water_properties(
    *,
    sand_pct: Percent,
    clay_pct: Annotated[float, Ge(0), Le(60)],
    organic_matter_pct: Annotated[float, Ge(0), Le(8)] = ORGANIC_PCT,
) -> SoilWater:
    """Water that a soil holds and lets through, from its texture.

    Equation: wp, fc and sat by regressions on sand, clay and organic matter; Ks = 1930 (sat - fc)^(3 - 1/B) mm/h,
    B = ln(1500/33)/ln(fc/wp); density 2650 (1 - sat); available = fc - wp.

    Symbols: wp wilting point, fc field capacity, sat saturation, volume of water per volume of soil.

    Limits: clay up to 60 %, organic matter up to 8 %; not where the regression gives no rising contents (pure sand
    without organic matter, much clay with much organic matter). Natural, uncompacted soil without stones.
    """
    check_sum(sand_pct, clay_pct, "sand_pct and clay_pct")
    contents = water_contents(sand_pct / 100.0, clay_pct / 100.0, organic_matter_pct)
    wilting, field, full = (float(value) for value in contents)
    refuse_if(
        not 0 < wilting < field < full, "sand_pct, clay_pct and organic_matter_pct",
        f"the regression gives wilting point {wilting:.3f}, field capacity {field:.3f}, saturation {full:.3f}",
        "a soil for which they rise from above zero",
    )  # fmt: skip
    conductivity = float(saturated_conductivity_mm_h(wilting, field, full))
    density = GRAIN_DENSITY_KG_M3 * (1.0 - full)
    return SoilWater(wilting, field, full, field - wilting, conductivity, density)
