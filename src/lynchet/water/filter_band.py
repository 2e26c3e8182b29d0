"""Limits of a sand or gravel filter band by base soil category."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive
from lynchet.core.tables import read_table
from lynchet.water.gradation import Percent

FINES_MM = 0.075
MANY_FINES_PCT, SOME_FINES_PCT, FEW_FINES_PCT = 85.0, 40.0, 15.0
LEAST_D15_MAX_MM, LEAST_D15_MIN_MM, MIDDLE_D15_MM, MIDDLE_DISPERSIVE_MM = 0.2, 0.1, 0.7, 0.5
BAND_WIDTH = 5.0
LARGEST_MM = 75.0


@dataclass(frozen=True)
class FilterBand:
    """Limits of a filter's sizes."""

    category: int
    d15_max_mm: float
    d15_min_permeability_mm: float
    d15_min_mm: float
    d10_max_mm: float
    d60_max_mm: float
    d60_min_mm: float
    d5_min_mm: float
    d90_max_mm: float
    d100_max_mm: float


def soil_category(fines_pct: float) -> int:
    """Category of the base soil by its fines: 1 above 85 %, 2 from 40, 3 from 15, 4 below."""
    if fines_pct > MANY_FINES_PCT:
        return 1
    return 2 if fines_pct >= SOME_FINES_PCT else 3 if fines_pct >= FEW_FINES_PCT else 4


def d15_max_mm(fines_pct: float, base_d85_mm: float, dispersive: bool) -> float:
    """Largest D15 of the filter that still holds the base."""
    category = soil_category(fines_pct)
    if category == 1:
        return max((6.5 if dispersive else 9.0) * base_d85_mm, LEAST_D15_MAX_MM)
    if category == 2:
        return MIDDLE_DISPERSIVE_MM if dispersive else MIDDLE_D15_MM
    if category == 3:
        coarse = max(4.0 * base_d85_mm, MIDDLE_D15_MM)
        return (SOME_FINES_PCT - fines_pct) / 25.0 * (coarse - MIDDLE_D15_MM) + MIDDLE_D15_MM
    return 4.0 * base_d85_mm


def d90_max_mm(d10_min_mm: float) -> float:
    """Largest D90 against segregation, by the smallest D10."""
    table = read_table("water", "filter_d90")
    rows = zip(table.column("d10_up_to_mm"), table.column("limit_included"), table.column("d90_max_mm"), strict=True)
    return next(d90 for up_to, included, d90 in rows if d10_min_mm < up_to or (included and d10_min_mm == up_to))


def _band_steps(given: Mapping[str, Any], result: FilterBand) -> list[Step]:
    formulas = {
        1: "9 d85 (dispersive 6.5), not below 0.2 mm",
        2: "0.7 mm (dispersive 0.5)",
        3: "(40 - A)/25 x (4 d85 - 0.7) + 0.7",
        4: "4 d85",
    }
    return [
        Step("category", f"{given['fines_pct']:g} percent fines", float(result.category)),
        Step("D15, most", formulas[result.category], result.d15_max_mm, "mm"),
        Step("D15 for drainage", "4 d15, not below 0.1 mm", result.d15_min_permeability_mm, "mm"),
        Step("D15, least", f"the larger of that and {result.d15_max_mm:.4g}/5", result.d15_min_mm, "mm"),
        Step("D10, most", f"{result.d15_max_mm:.4g}/1.2", result.d10_max_mm, "mm"),
        Step("D60, most", f"6 x {result.d10_max_mm:.4g}", result.d60_max_mm, "mm"),
        Step("D90, most", f"row for {result.d15_min_mm / 1.2:.4g} mm", result.d90_max_mm, "mm"),
    ]


@calculator(
    source="USDA NRCS, NEH 633 ch. 26, 1994; dispersive line 2017 (recalled; categories 1, 4, dispersive seen quoted)",
    known="MEMORY",
    example={"fines_pct": 25.0, "base_d85_mm": 2.0, "base_d15_mm": 0.03},
    working=_band_steps,
)
def nrcs_filter_limits(
    *, fines_pct: Percent, base_d85_mm: Positive, base_d15_mm: Positive, dispersive: bool = False
) -> FilterBand:
    """Sizes between which a sand or gravel filter for a given soil must lie.

    Equation: D15 max by category: 9 d85; 0.7 mm; (40 - A)/25 (4 d85 - 0.7) + 0.7; 4 d85. D15 min = the larger of 4 d15
    and D15 max/5; D10 max = D15 max/1.2; D60 max = 6 D10 max; D60 min = D60 max/5.

    Symbols: fines_pct, A passing 0.075 mm, and base_d85_mm, both after regrading on the 4.75 mm sieve if the base has
    gravel and more than 15 % fines; base_d15_mm, of the base as it is; dispersive, clay that clouds still water.

    Limits: band no wider than 5; the coarse side is kept because the filter is also a drain.
    """
    refuse_if(base_d15_mm > base_d85_mm, "base_d15_mm", f"d15 of {base_d15_mm:g} mm", f"up to d85, {base_d85_mm:g} mm")
    mixed = (fines_pct > MANY_FINES_PCT and base_d85_mm > FINES_MM) or (
        fines_pct < MANY_FINES_PCT and base_d85_mm < FINES_MM
    )
    refuse_if(
        mixed, "base_d85_mm", f"d85 of {base_d85_mm:g} mm with {fines_pct:g} percent below {FINES_MM} mm",
        "fines and d85 of one grading",
    )  # fmt: skip
    most = d15_max_mm(fines_pct, base_d85_mm, dispersive)
    drains = max(4.0 * base_d15_mm, LEAST_D15_MIN_MM)
    least = max(drains, most / BAND_WIDTH)
    d10_max = most / 1.2
    return FilterBand(
        category=soil_category(fines_pct),
        d15_max_mm=most,
        d15_min_permeability_mm=drains,
        d15_min_mm=least,
        d10_max_mm=d10_max,
        d60_max_mm=6.0 * d10_max,
        d60_min_mm=6.0 * d10_max / BAND_WIDTH,
        d5_min_mm=FINES_MM,
        d90_max_mm=d90_max_mm(least / 1.2),
        d100_max_mm=LARGEST_MM,
    )
