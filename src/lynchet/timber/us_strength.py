"""Allowable stresses of sawn lumber and timbers, United States practice: the adjustment factors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.tables import rows
from lynchet.timber.values import NEAR, PSI_MPA, Array, Values, bands, inches

Table = Literal["4A", "4B", "4D"]
LoadDuration = Literal["permanent", "ten_years", "two_months", "seven_days", "ten_minutes", "impact"]
Temperature = Annotated[float, Le(65.6)]

DURATION: dict[str, float] = {
    "permanent": 0.9, "ten_years": 1.0, "two_months": 1.15, "seven_days": 1.25, "ten_minutes": 1.6, "impact": 2.0,
}  # fmt: skip
"""Load duration factor CD on bending and shear. NDS 2018, Table 2.3.2."""
WARM_C = (37.8, 51.7)
"""Limits of the temperature bands, 100 and 125 °F. NDS 2018, Table 2.3.3."""
ONES = (1.0, 1.0, 1.0, 1.0)


@cache
def _by_width(factor: str) -> tuple[tuple[float, ...], Array]:
    """Width limits of a factor's table and its columns (thin, thick)."""
    held = [row for row in rows("us_size_factors") if row["factor"] == factor]
    limits = tuple(float(row["width_to_in"]) for row in held[:-1])
    return limits, np.array([[float(row["thin"]), float(row["thick"])] for row in held])


def size_factor(table: Table, width_m: Values, depth_m: Values) -> Array:
    """CF on bending; ``depth_m`` lies along the load. NDS Supplement 2018, Tables 4A, 4B, 4D."""
    if table == "4D":
        return np.maximum(inches(depth_m) / 12.0, 1.0) ** (-1.0 / 9.0)
    thickness, width = inches(np.minimum(width_m, depth_m)), inches(np.maximum(width_m, depth_m))
    thick = np.asarray(thickness) > 3.0 + NEAR
    if table == "4A":
        limits, columns = _by_width("size")
        sized: Array = columns[bands(width, limits), thick.astype(int)]
        return sized
    wide = np.asarray(width) > 11.6 + NEAR
    return np.where(wide, 0.9, np.where(thick & (np.asarray(width) >= 7.2 - NEAR), 1.1, 1.0))


def flat_use_factor(width_m: Values, depth_m: Values) -> Array:
    """Cfu on bending for load on the wide face, Tables 4A and 4B. NDS Supplement 2018."""
    limits, columns = _by_width("flat")
    thickness, width = inches(np.minimum(width_m, depth_m)), inches(np.maximum(width_m, depth_m))
    flat: Array = columns[bands(width, limits), (np.asarray(thickness) > 3.0 + NEAR).astype(int)]
    return flat


def wet_factors(table: Table, bending_mpa: Values, sized: Values, southern_pine: bool = False) -> Array:
    """CM in wet service for bending, shear, bearing, modulus; last axis of the result.

    Args:
        table: NDS Supplement table.
        bending_mpa: reference bending value.
        sized: its size factor; weak grades lose nothing in bending (Fb CF up to 1150 psi).
        southern_pine: its timbers (4D) are tabulated for wet service already.
    """
    if table == "4D":
        factors = ONES if southern_pine else (1.0, 1.0, 0.67, 1.0)
        return np.broadcast_to(np.array(factors), (*np.shape(bending_mpa), 4))
    sized_psi = np.asarray(bending_mpa) * sized / PSI_MPA
    bending = np.where(sized_psi <= 1150.0 + 1e-3, 1.0, 0.85)
    return np.stack([bending, *(np.full_like(bending, factor) for factor in (0.97, 0.67, 0.9))], axis=-1)


def temperature_factors(temperature_c: Values, wet: bool) -> Array:
    """Ct for bending, shear, bearing, modulus; last axis of the result. NDS 2018, Table 2.3.3."""
    strength = np.array([1.0, 0.7, 0.5] if wet else [1.0, 0.8, 0.7])[bands(temperature_c, WARM_C)]
    modulus = np.array([1.0, 0.9, 0.9])[bands(temperature_c, WARM_C)]
    return np.stack([strength, strength, strength, modulus], axis=-1)


def bearing_factor(bearing_length_m: Values) -> Values:
    """Cb for bearing shorter than 6 in and 3 in or more from the end. NDS 2018, Eq. 3.10-2."""
    length = np.asarray(inches(bearing_length_m))
    return np.where(length < 6.0 - NEAR, (length + 0.375) / length, 1.0)


@dataclass(frozen=True)
class AllowableStrength:
    """Allowable stresses and the factors that led to them; lists: bending, shear, bearing, modulus."""

    bending_mpa: float
    shear_mpa: float
    bearing_mpa: float
    modulus_mpa: float
    duration_factor: float
    size_factor: float
    flat_use_factor: float
    repetitive_factor: float
    wet_factors: list[float]
    incising_factors: list[float]
    bearing_factor: float
    temperature_factors: list[float]


def _strength_steps(given: Mapping[str, Any], result: AllowableStrength) -> list[Step]:
    duration, wet = given.get("load_duration", "permanent"), "wet" if given.get("wet", True) else "dry"
    cm, ci, ct = result.wet_factors, result.incising_factors, result.temperature_factors
    bending = (
        f"{given['bending_mpa']:.5g} x {result.duration_factor:g} x {cm[0]:g} x {ct[0]:g} x {result.size_factor:.4g} x "
        f"{result.flat_use_factor:g} x {ci[0]:g} x {result.repetitive_factor:g}"
    )
    return [
        Step("load duration CD", duration.replace("_", " "), result.duration_factor),
        Step("size CF", f"table {given['table']}", result.size_factor),
        Step("moisture CM", f"{wet} service; bending, shear, bearing, modulus", ", ".join(f"{f:g}" for f in cm)),
        Step("allowable bending Fb'", bending + "  (Fb CD CM Ct CF Cfu Ci Cr)", result.bending_mpa, "mpa"),
        Step(
            "allowable shear Fv'",
            f"{given['shear_mpa']:.5g} x {result.duration_factor:g} x {cm[1]:g} x {ct[1]:g} x {ci[1]:g}",
            result.shear_mpa,
            "mpa",
        ),
        Step(
            "allowable bearing Fc⊥'",
            f"{given['bearing_mpa']:.5g} x {cm[2]:g} x {ct[2]:g} x {ci[2]:g} x {result.bearing_factor:.4g}",
            result.bearing_mpa,
            "mpa",
        ),
        Step(
            "modulus E'", f"{given['modulus_mpa']:.5g} x {cm[3]:g} x {ct[3]:g} x {ci[3]:g}", result.modulus_mpa, "mpa"
        ),
    ]


@calculator(
    source="NDS 2018, ch. 2, 3.10.4, 4.3; NDS Supplement 2018, factors of Tables 4A, 4B, 4D",
    known="SEEN",
    example={
        "table": "4D", "bending_mpa": 5.8605, "shear_mpa": 1.1376, "bearing_mpa": 2.5855, "modulus_mpa": 8273.7,
        "width_m": 0.1397, "depth_m": 0.1397, "southern_pine": True,
    },
    working=_strength_steps,
    caution="Timber that is checked, decayed, notched or of unknown grade is weaker than its table.",
)  # fmt: skip
def adjusted_strength_us(
    *,
    table: Table,
    bending_mpa: Positive,
    shear_mpa: Positive,
    bearing_mpa: Positive,
    modulus_mpa: Positive,
    width_m: Positive,
    depth_m: Positive,
    load_duration: LoadDuration = "permanent",
    wet: bool = True,
    incised: bool = False,
    treated: bool = True,
    repetitive: bool = False,
    flat_use: bool = False,
    southern_pine: bool = False,
    temperature_c: Temperature = 20.0,
    bearing_length_m: Positive | None = None,
    bearing_from_end_m: NotNegative | None = None,
) -> AllowableStrength:
    """Allowable stresses of US lumber and timbers from reference values.

    Equation: Fb' = Fb CD CM Ct CF Cfu Ci Cr; Fv' = Fv CD CM Ct Ci; Fc⊥' = Fc⊥ CM Ct Ci Cb; E' = E CM Ct Ci.

    Symbols: CD load duration, CM moisture, Ct temperature, CF size, Cfu flat use, Ci incising, Cr 1.15 where three or
    more members share the load, Cb short bearing away from the end.

    Limits: sizes are dressed; depth lies along the load. 4A, 4B: up to 4.1 in thick; 4D: 4.4 in and thicker, no flat
    use or repetitive factor. No impact loads on treated timber. Up to 65.6 °C. Southern Pine timbers (4D) are
    tabulated for wet service; the flag has no effect with 4A, 4B. A beams_stringers row loaded on the wide face is
    reduced beforehand, see `reference_strength_us`.
    """
    thickness = float(inches(min(width_m, depth_m)))
    _refuse_sizes(table, thickness)
    refuse_if(load_duration == "impact" and treated, "load_duration", "impact on treated timber found", "a longer load")
    refuse_if(table == "4D" and flat_use, "flat_use", "flat use with table 4D found", "false for timbers")
    refuse_if(table == "4D" and repetitive, "repetitive", "repetitive use with table 4D found", "false for timbers")
    duration = DURATION[load_duration]
    sized = float(size_factor(table, width_m, depth_m))
    flat = float(flat_use_factor(width_m, depth_m)) if flat_use else 1.0
    shared = 1.15 if repetitive else 1.0
    moist = wet_factors(table, bending_mpa, sized, southern_pine).tolist() if wet else list(ONES)
    incising = [0.8, 0.8, 1.0, 0.95] if incised and table != "4D" else list(ONES)
    warm = temperature_factors(temperature_c, wet).tolist()
    away = bearing_length_m is not None and bearing_from_end_m is not None and inches(bearing_from_end_m) >= 3.0 - NEAR
    bearing = float(bearing_factor(bearing_length_m)) if away and bearing_length_m is not None else 1.0
    common = [m * i * t for m, i, t in zip(moist, incising, warm, strict=True)]
    return AllowableStrength(
        bending_mpa=bending_mpa * duration * sized * flat * shared * common[0],
        shear_mpa=shear_mpa * duration * common[1],
        bearing_mpa=bearing_mpa * bearing * common[2],
        modulus_mpa=modulus_mpa * common[3],
        duration_factor=duration,
        size_factor=sized,
        flat_use_factor=flat,
        repetitive_factor=shared,
        wet_factors=moist,
        incising_factors=incising,
        bearing_factor=bearing,
        temperature_factors=warm,
    )


def _refuse_sizes(table: Table, thickness_in: float) -> None:
    thin, thick = thickness_in < 4.4 - NEAR, thickness_in > 4.1 + NEAR
    found = f"{thickness_in:.4g} in thick found"
    refuse_if(table == "4D" and thin, "table", f"timber {found}", "4D holds timbers of 4.4 in and thicker")
    refuse_if(table != "4D" and thick, "table", f"dimension lumber {found}", f"{table} holds up to 4.1 in thick")
