"""Design strengths of solid softwood by strength class, European practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le

from lynchet.core.calculator import Step, calculator, refuse
from lynchet.core.kinds import ByValue, Positive
from lynchet.timber.tables import find
from lynchet.timber.values import Values

StrengthClass = Literal["C14", "C16", "C18", "C20", "C22", "C24", "C27", "C30"]
LoadDuration = Literal["permanent", "long", "medium", "short", "instantaneous"]

MODIFICATION: dict[int, dict[str, float]] = {
    service: dict(zip(("permanent", "long", "medium", "short", "instantaneous"), factors, strict=True))
    for service, factors in (
        (1, (0.6, 0.7, 0.8, 0.9, 1.1)),
        (2, (0.6, 0.7, 0.8, 0.9, 1.1)),
        (3, (0.5, 0.55, 0.65, 0.7, 0.9)),
    )
}
"""kmod by service class and load duration. EN 1995-1-1, Table 3.1 (SEEN in a public code)."""
CREEP: dict[int, float] = {1: 0.6, 2: 0.8, 3: 2.0}
"""kdef by service class. EN 1995-1-1, Table 3.2 (MEMORY)."""


def depth_factor(depth_m: Values) -> Values:
    """kh on bending of shallow timber: min((150/h)^0.2, 1.3) under 150 mm, else 1. EN 1995-1-1, Eq. 3.1."""
    return np.clip((0.15 / np.asarray(depth_m, dtype=float)) ** 0.2, 1.0, 1.3)


@dataclass(frozen=True)
class DesignStrength:
    """Design strengths and the factors that led to them."""

    bending_mpa: float
    shear_mpa: float
    bearing_mpa: float
    modulus_mpa: float
    final_modulus_mpa: float
    modification_factor: float
    depth_factor: float
    crack_factor: float
    creep_factor: float
    density_kg_m3: float
    """Characteristic (5 %)."""
    mean_density_kg_m3: float


def _design_steps(given: Mapping[str, Any], result: DesignStrength) -> list[Step]:
    gamma, system = given.get("gamma_m", 1.3), given.get("system_factor", 1.0)
    how = f"characteristic x {result.modification_factor:g} / {gamma:g} x {system:g}"
    duration, service = given.get("load_duration", "permanent"), given.get("service_class", 3)
    return [
        Step("kmod", f"{duration} load, service class {service}", result.modification_factor),
        Step("kh", f"depth {given['depth_m']:g} m", result.depth_factor),
        Step("design bending", f"{how} x {result.depth_factor:.4g}", result.bending_mpa, "mpa"),
        Step("design shear", how, result.shear_mpa, "mpa"),
        Step("design bearing across the grain", how, result.bearing_mpa, "mpa"),
        Step(
            "final modulus", f"{result.modulus_mpa:g} / (1 + {result.creep_factor:g})", result.final_modulus_mpa, "mpa"
        ),
    ]


@calculator(
    source="EN 1995-1-1, 2.4.1, 3.1.3, 3.2, 6.1.7; EN 338:2016 and 2003",
    known="SEEN",
    example={"strength_class": "C24", "depth_m": 0.1},
    working=_design_steps,
    caution="National annexes set their own factors; the loads must carry their partial factors.",
)
def adjusted_strength_eu(
    *,
    strength_class: StrengthClass,
    depth_m: Positive,
    load_duration: LoadDuration = "permanent",
    service_class: Annotated[Literal[1, 2, 3], ByValue()] = 3,
    edition: Annotated[Literal[2016, 2003], ByValue()] = 2016,
    crack_factor: Annotated[float, Gt(0), Le(1)] | None = None,
    system_factor: Annotated[float, Ge(1), Le(1.2)] = 1.0,
    gamma_m: Annotated[float, Ge(1)] = 1.3,
) -> DesignStrength:
    """Design strength of solid softwood by its European strength class.

    Equation: design = characteristic x kmod/γM x ksys, bending also x kh = min((150/h)^0.2, 1.3) for h under 150 mm;
    final modulus = E/(1 + kdef).

    Symbols: kmod load duration and moisture, γM partial factor, ksys members that share the load, kh depth, kdef
    creep. `crack_factor` kcr (0.67 in 2016, 1 in 2003) is handed on for `member_check`, it does not lower the shear
    strength here.

    Limits: softwood classes C14 to C30; no C20 in the 2003 edition. Service class 3 is timber in the weather and soil.
    """
    row = find("eu_strength_classes", edition=str(edition), strength_class=strength_class)
    if row is None:
        raise refuse("strength_class", f"class {strength_class} in EN 338:{edition} found", "a class of that edition")
    modification = MODIFICATION[service_class][load_duration]
    factor = modification / gamma_m * system_factor
    deep, modulus = float(depth_factor(depth_m)), float(row["modulus_mpa"])
    crack = crack_factor if crack_factor is not None else 0.67 if edition == 2016 else 1.0
    return DesignStrength(
        bending_mpa=float(row["bending_mpa"]) * factor * deep,
        shear_mpa=float(row["shear_mpa"]) * factor,
        bearing_mpa=float(row["bearing_mpa"]) * factor,
        modulus_mpa=modulus,
        final_modulus_mpa=modulus / (1.0 + CREEP[service_class]),
        modification_factor=modification,
        depth_factor=deep,
        crack_factor=crack,
        creep_factor=CREEP[service_class],
        density_kg_m3=float(row["density_kg_m3"]),
        mean_density_kg_m3=float(row["mean_density_kg_m3"]),
    )
