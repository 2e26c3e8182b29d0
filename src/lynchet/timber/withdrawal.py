"""Nails, spikes and screws pulled along their length (United States practice)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive
from lynchet.timber.values import POUND_PER_INCH_KN_PER_M, Values, inches

Kind = Literal["nail", "spike", "wood_screw", "lag_screw"]
Duration = Annotated[float, Ge(0.9), Le(1.6)]

_FORMULA: dict[Kind, tuple[float, float, float]] = {
    "nail": (1380.0, 2.5, 1.0),
    "spike": (1380.0, 2.5, 1.0),
    "wood_screw": (2850.0, 2.0, 1.0),
    "lag_screw": (1800.0, 1.5, 0.75),
}
"""Constant, power of the specific gravity, power of the diameter in inches; lb per inch. NDS 2018, 12.2."""


def withdrawal_kn_per_m(kind: Kind, specific_gravity: Values, diameter_m: Values) -> Values:
    """Reference withdrawal value per metre of penetration. NDS 2018, Eqs 12.2-1 to 12.2-3."""
    constant, gravity_power, diameter_power = _FORMULA[kind]
    inch = np.asarray(inches(diameter_m), float)
    return POUND_PER_INCH_KN_PER_M * constant * specific_gravity**gravity_power * inch**diameter_power


def withdrawal_wet_factor(kind: Kind, wet_at_driving: bool, wet_in_service: bool) -> float:
    """CM. NDS 2018, Table 11.3.3."""
    if kind in ("nail", "spike"):
        return 0.25 if wet_at_driving != wet_in_service else 1.0
    return 0.7 if wet_in_service else 1.0


@dataclass(frozen=True)
class Withdrawal:
    """Load that pulls one fastener out."""

    reference_kn_per_m: float
    wet_factor: float
    end_grain_factor: float
    design_kn: float


def _withdrawal_steps(given: Mapping[str, Any], result: Withdrawal) -> list[Step]:
    constant, g, d = _FORMULA[given["kind"]]
    how = f"{constant:g} x {given['specific_gravity']:g}^{g:g} x {inches(given['diameter_m']):.4g}^{d:g} lb per inch"
    factors = f"{given.get('duration_factor', 1.0):g} x {result.wet_factor:g} x {result.end_grain_factor:g}"
    return [
        Step("per metre of penetration", how, result.reference_kn_per_m, "kn_per_m"),
        Step("moisture factor", "wet at driving or in service", result.wet_factor),
        Step(
            "design load",
            f"{result.reference_kn_per_m:.5g} x {given['penetration_m']:g} m x {factors}",
            result.design_kn,
            "kn",
        ),
    ]


@calculator(
    source="NDS 2018, 12.2, 11.3.2, Table 11.3.3",
    known="SEEN",
    example={"kind": "lag_screw", "specific_gravity": 0.55, "diameter_m": 0.0127, "penetration_m": 0.1},
    working=_withdrawal_steps,
)
def withdrawal(
    *,
    kind: Kind,
    specific_gravity: Positive,
    diameter_m: Positive,
    penetration_m: Positive,
    duration_factor: Duration = 1.0,
    wet_at_driving: bool = False,
    wet_in_service: bool = False,
    end_grain: bool = False,
) -> Withdrawal:
    """Withdrawal load of a nail, spike, wood screw or lag screw.

    Equation: lb per inch: nail, spike 1380 G^2.5 D; wood screw 2850 G² D; lag screw 1800 G^1.5 D^0.75; times the
    penetration, duration, moisture and end grain factor (0.75).

    Symbols: G specific gravity, D shank diameter in inches. Moisture: nails and spikes 0.25 where the wood crosses
    19 % after driving, else 1; screws 0.7 wet in service.

    Limits: penetration of the thread for screws, the tip left out. End grain only for lag screws. Duration factor 0.9
    to 1.6 (impact does not apply to connections).
    """
    refuse_if(
        end_grain and kind != "lag_screw",
        "end_grain",
        f"a {kind} pulled from end grain found",
        "lag screws only in end grain",
    )
    reference = float(withdrawal_kn_per_m(kind, specific_gravity, diameter_m))
    wet = withdrawal_wet_factor(kind, wet_at_driving, wet_in_service)
    end = 0.75 if end_grain else 1.0
    return Withdrawal(reference, wet, end, reference * penetration_m * duration_factor * wet * end)
