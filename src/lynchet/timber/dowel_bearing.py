"""How hard wood bears under a pin, bolt, screw or nail (United States practice)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Gt, Le

from lynchet.core.calculator import Step, calculator
from lynchet.timber.values import NEAR, PSI_MPA, Angle, Array, Values, inches


def _thin_psi(gravity: Array) -> Array:
    """Nails and pins under 1/4 in, in every direction. NDS 2018, 12.3.3."""
    return np.asarray(16600.0 * gravity**1.84)


def bearing_parallel_mpa(specific_gravity: Values, diameter_m: Values) -> Array:
    """Along the grain: 11200 G psi, for nails and pins under 1/4 in 16600 G^1.84. NDS 2018, 12.3.3."""
    gravity = np.asarray(specific_gravity, dtype=float)
    small = np.asarray(inches(diameter_m)) < 0.25 - NEAR
    return PSI_MPA * np.where(small, _thin_psi(gravity), 11200.0 * gravity)


def bearing_perpendicular_mpa(specific_gravity: Values, diameter_m: Values) -> Array:
    """Across the grain: 6100 G^1.45/√D psi, D in inches; under 1/4 in as along the grain. NDS 2018, 12.3.3."""
    gravity, inch = np.asarray(specific_gravity, dtype=float), np.asarray(inches(diameter_m))
    return PSI_MPA * np.where(inch < 0.25 - NEAR, _thin_psi(gravity), 6100.0 * gravity**1.45 / np.sqrt(inch))


def at_angle(parallel: Values, perpendicular: Values, angle_deg: Values) -> Values:
    """Hankinson: p q/(p sin² + q cos²). NDS 2018, 12.3.4."""
    angle = np.radians(angle_deg)
    return parallel * perpendicular / (parallel * np.sin(angle) ** 2 + perpendicular * np.cos(angle) ** 2)


@dataclass(frozen=True)
class DowelBearing:
    """Bearing strength of the wood."""

    bearing_strength_mpa: float
    """For the direction asked."""
    parallel_mpa: float
    perpendicular_mpa: float


def _bearing_steps(given: Mapping[str, Any], result: DowelBearing) -> list[Step]:
    gravity, inch = given["specific_gravity"], float(inches(given["diameter_m"]))
    if inch < 0.25 - NEAR:
        how = f"under 1/4 in, every direction: 16600 x {gravity:g}^1.84 psi"
        return [Step("bearing strength", how, result.bearing_strength_mpa, "mpa")]
    across = f"6100 x {gravity:g}^1.45 / √{inch:.4g} psi"
    end = "end grain: as across" if given.get("end_grain") else f"at {given.get('angle_deg', 0.0):g} degrees, Hankinson"
    return [
        Step("along the grain p", f"11200 x {gravity:g} psi", result.parallel_mpa, "mpa"),
        Step("across the grain q", across, result.perpendicular_mpa, "mpa"),
        Step("bearing strength", end, result.bearing_strength_mpa, "mpa"),
    ]


@calculator(
    source="NDS 2018, 12.3.3 and 12.3.4 (Hankinson)",
    known="SEEN",
    example={"specific_gravity": 0.55, "diameter_m": 0.0127, "angle_deg": 90.0},
    working=_bearing_steps,
)
def dowel_bearing(
    *,
    specific_gravity: Annotated[float, Ge(0.2), Le(0.9)],
    diameter_m: Annotated[float, Gt(0), Le(0.0254)],
    angle_deg: Angle = 0.0,
    end_grain: bool = False,
) -> DowelBearing:
    """Bearing strength of wood under a pin, bolt, lag screw or nail.

    Equation: D under 1/4 in: 16600 G^1.84 psi for every direction; else along the grain p = 11200 G, across it
    q = 6100 G^1.45/√D, at an angle p q/(p sin² + q cos²); in end grain q.

    Symbols: G specific gravity, D diameter in inches (nominal for lag screws), angle of the load to the grain.

    Limits: D up to 1 in. The published table rounds to 50 psi; this does not.
    """
    parallel = float(bearing_parallel_mpa(specific_gravity, diameter_m))
    perpendicular = float(bearing_perpendicular_mpa(specific_gravity, diameter_m))
    strength = perpendicular if end_grain else float(at_angle(parallel, perpendicular, angle_deg))
    return DowelBearing(strength, parallel, perpendicular)
