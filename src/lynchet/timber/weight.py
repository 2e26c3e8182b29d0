"""What timber weighs: wood, water and treating liquid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.values import Array, Values

Basis = Literal["ovendry", "green", "as_is"]
GRAVITY_M_S2 = 9.80665
CELL_WALL = 1.54
"""Specific gravity of the cell wall itself."""


def specific_gravity_now(specific_gravity: Values, moisture_pct: Values, basis: Basis) -> Array:
    """Ovendry mass over the volume at this moisture. NDS Supplement 2018, 3.1.3; Wood Handbook 2021, Eq. 4-9."""
    gravity = np.asarray(specific_gravity, float)
    swollen = np.minimum(moisture_pct, 30.0)  # wood swells no more above 30 %
    if basis == "ovendry":
        return gravity / (1.0 + 0.009 * gravity * swollen)
    if basis == "green":
        return gravity / (1.0 - 0.265 * gravity * (30.0 - swollen) / 30.0)
    return gravity


def density_kg_m3(gravity_now: Values, moisture_pct: Values, liquid_kg_m3: Values = 0.0) -> Values:
    """1000 g (1 + M/100) + liquid."""
    return 1000.0 * gravity_now * (1.0 + moisture_pct / 100.0) + liquid_kg_m3


def full_density_kg_m3(gravity_now: Values) -> Values:
    """Density with all pores full of water."""
    return 1000.0 * gravity_now * (1.0 + 1.0 / gravity_now - 1.0 / CELL_WALL)


@dataclass(frozen=True)
class TimberWeight:
    """Weight of the wood and of a piece."""

    density_kg_m3: float
    unit_weight_kn_m3: float
    specific_gravity_now: float
    per_metre_kg: float | None = None
    piece_kg: float | None = None


def _weight_steps(given: Mapping[str, Any], result: TimberWeight) -> list[Step]:
    how = f"1000 x {result.specific_gravity_now:.4g} x (1 + {given['moisture_pct']:g}/100)"
    if given.get("liquid_kg_m3"):
        how += f" + {given['liquid_kg_m3']:g}"
    steps = [
        Step("specific gravity at this moisture", f"{given['basis']} value swollen", result.specific_gravity_now),
        Step("density", how, result.density_kg_m3, "kg_m3"),
    ]
    if result.per_metre_kg is not None:
        steps.append(Step("a metre", f"x {given['width_m']:g} x {given['height_m']:g}", result.per_metre_kg, "kg"))
    if result.piece_kg is not None:
        steps.append(Step("the piece", f"x {given['length_m']:g} m", result.piece_kg, "kg"))
    return steps


@calculator(
    source="NDS Supplement 2018, 3.1.3; USDA FPL, Wood Handbook, 2021, ch. 4",
    known="SEEN",
    example={
        "specific_gravity": 0.55, "moisture_pct": 60.0, "basis": "ovendry",
        "width_m": 0.1397, "height_m": 0.1397, "length_m": 2.4384,
    },
    working=_weight_steps,
    caution="A fresh timber of 6 x 6 in, 8 ft weighs about 56 kg: a pair and bars. Freshly treated wood weighs more.",
)  # fmt: skip
def timber_weight(
    *,
    specific_gravity: Annotated[float, Ge(0.1), Le(1.2)],
    moisture_pct: Annotated[float, Ge(0), Le(250)],
    basis: Basis,
    liquid_kg_m3: NotNegative = 0.0,
    width_m: Positive | None = None,
    height_m: Positive | None = None,
    length_m: Positive | None = None,
) -> TimberWeight:
    """Density and weight of timber by its specific gravity and moisture.

    Equation: with M' = min(M, 30): ovendry g = G/(1 + 0.009 G M'); green g = G/(1 - 0.265 G (30 - M')/30); as_is
    g = G. Density = 1000 g (1 + M/100) + liquid.

    Symbols: G specific gravity (ovendry mass over the volume that the basis names), M moisture in percent of the dry
    mass, g specific gravity now, liquid: treating liquid still held.

    Limits: no wetter, liquid included, than with all pores full: 1000 g (1 + 1/g - 1/1.54).
    """
    gravity = float(specific_gravity_now(specific_gravity, moisture_pct, basis))
    density = float(density_kg_m3(gravity, moisture_pct, liquid_kg_m3))
    full = float(full_density_kg_m3(gravity))
    refuse_if(
        density > full * (1.0 + 1e-12),
        "moisture_pct",
        f"moisture (with liquid) that makes {density:.0f} kg/m³ found",
        f"up to {full:.0f} kg/m³, when all pores are full",
    )
    per_metre = None if width_m is None or height_m is None else density * width_m * height_m
    return TimberWeight(
        density_kg_m3=density,
        unit_weight_kn_m3=density * GRAVITY_M_S2 / 1000.0,
        specific_gravity_now=gravity,
        per_metre_kg=per_metre,
        piece_kg=None if per_metre is None or length_m is None else per_metre * length_m,
    )
