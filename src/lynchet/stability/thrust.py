"""Thrust of layered soil and water on a smooth vertical face (Rankine stresses)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Len

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.diagrams import Diagram, last_turn_m, push
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Friction, deny, filled
from lynchet.stability.pressure import at_rest, rankine_active

WATER_KN_M3 = 9.81
"""Unit weight of water where nothing else is said."""

State = Literal["active", "at_rest"]


@dataclass(frozen=True)
class ThrustLayer:
    """One soil layer behind the wall."""

    thickness_m: Positive
    unit_weight_kn_m3: Positive
    saturated_unit_weight_kn_m3: Positive | None = None
    """As the unit weight where not given."""
    friction_angle_deg: Friction | None = None
    cohesion_kpa: NotNegative = 0.0
    coefficient: Positive | None = None
    """Given, or by Rankine from the friction angle."""

    @property
    def soaked_kn_m3(self) -> float:
        """Unit weight below the water."""
        return self.unit_weight_kn_m3 if self.saturated_unit_weight_kn_m3 is None else self.saturated_unit_weight_kn_m3


@dataclass(frozen=True)
class Behind:
    """What stands behind the wall beside the layers themselves."""

    surcharge_kpa: float = 0.0
    water_depth_m: float | None = None
    """From the top; None where the fill is dry."""
    state: State = "active"
    water_kn_m3: float = WATER_KN_M3


@dataclass(frozen=True)
class LateralThrust:
    """Stresses, forces and where they act."""

    depth_m: list[float]
    """Top and bottom of every sub-layer."""
    stress_kpa: list[float]
    """Horizontal soil stress there; negative where cohesion holds."""
    water_pressure_kpa: float
    """At the base."""
    soil_kn_per_m: float
    water_kn_per_m: float
    total_kn_per_m: float
    height_m: float
    """Of the total above the base."""
    tension_depth_m: float


def layer_coefficient(layer: ThrustLayer, state: State) -> float:
    """Given coefficient, else Rankine's active or the at-rest one on level ground."""
    if layer.coefficient is not None:
        return layer.coefficient
    friction = layer.friction_angle_deg or 0.0
    return float(rankine_active(friction) if state == "active" else at_rest(friction))


def soil_diagram(layers: Sequence[ThrustLayer], behind: Behind) -> Diagram:
    """Horizontal soil stress K sv - 2 c sqrt K at the top and bottom of every sub-layer, effective below the water."""
    water = np.inf if behind.water_depth_m is None else behind.water_depth_m
    depths: list[float] = []
    stresses: list[float] = []
    top, vertical = 0.0, behind.surcharge_kpa
    for layer in layers:
        bottom = top + layer.thickness_m
        k = layer_coefficient(layer, behind.state)
        held = 2.0 * layer.cohesion_kpa * k**0.5
        cuts = [top, water, bottom] if top + SLACK < water < bottom - SLACK else [top, bottom]
        for z0, z1 in pairwise(cuts):
            wet = water < 0.5 * (z0 + z1)
            below = vertical + (z1 - z0) * (layer.soaked_kn_m3 - behind.water_kn_m3 if wet else layer.unit_weight_kn_m3)
            depths += [z0, z1]
            stresses += [k * vertical - held, k * below - held]
            vertical = below
        top = bottom
    return Diagram(np.array(depths), np.array(stresses))


def water_height_m(height_m: float, behind: Behind) -> float:
    """Height of the water above the base of the wall."""
    return 0.0 if behind.water_depth_m is None else max(height_m - behind.water_depth_m, 0.0)


def thrust_of(layers: Sequence[ThrustLayer], behind: Behind) -> LateralThrust:
    """Kernel of lateral_thrust: no checks; a wall with nothing to hold has height 0."""
    diagram = soil_diagram(layers, behind)
    force, moment = push(diagram)
    wet = water_height_m(diagram.height_m, behind)
    at_base = behind.water_kn_m3 * wet
    water = 0.5 * at_base * wet
    total = force + water
    return LateralThrust(
        depth_m=diagram.depth_m.tolist(),
        stress_kpa=diagram.pressure_kpa.tolist(),
        water_pressure_kpa=at_base,
        soil_kn_per_m=force,
        water_kn_per_m=water,
        total_kn_per_m=total,
        height_m=(moment + water * wet / 3.0) / total if total > 0 else 0.0,
        tension_depth_m=last_turn_m(diagram),
    )


def _deny_layers(layers: Sequence[ThrustLayer], behind: Behind) -> None:
    bottom = 0.0
    for index, layer in enumerate(layers):
        bottom += layer.thickness_m
        where = f"layers[{index}]"
        deny(
            behind.state == "at_rest" and layer.cohesion_kpa > 0,
            f"{where}.cohesion_kpa",
            f"{layer.cohesion_kpa:g} found: cohesion does not belong in the at_rest state",
            "0, or the active state",
        )
        deny(
            layer.friction_angle_deg is None and layer.coefficient is None,
            f"{where}.friction_angle_deg",
            "neither friction angle nor coefficient",
            "one of them",
        )
        deny(
            behind.water_depth_m is not None
            and bottom > behind.water_depth_m + SLACK
            and layer.soaked_kn_m3 <= behind.water_kn_m3,
            f"{where}.saturated_unit_weight_kn_m3",
            f"saturated unit weight {layer.soaked_kn_m3:g} found, below the water",
            f"above the unit weight of water, {behind.water_kn_m3:g}",
        )


def _thrust_steps(given: Mapping[str, Any], result: LateralThrust) -> list[Step]:
    a = filled(lateral_thrust, given)
    steps = []
    for index, row in enumerate(a["layers"]):
        layer = row if isinstance(row, ThrustLayer) else ThrustLayer(**row)
        k = layer_coefficient(layer, a["state"])
        how = "given" if layer.coefficient is not None else f"level ground, friction {layer.friction_angle_deg:g}°"
        steps.append(Step(f"layer {index + 1}, coefficient K", how, k))
    for z, stress in zip(result.depth_m, result.stress_kpa, strict=True):
        steps.append(Step(f"stress at {z:.3f} m", "K x vertical stress - 2 c sqrt K", stress, "kpa"))
    wet = result.water_pressure_kpa
    return [
        *steps,
        Step("soil force", "area of the pushing part of the stresses", result.soil_kn_per_m, "kn_per_m"),
        Step("water force", f"half of {wet:.3f} kPa at the base x water height", result.water_kn_per_m, "kn_per_m"),
        Step("total", "soil + water", result.total_kn_per_m, "kn_per_m"),
        Step("height above the base", "moment about the base/total", result.height_m, "m"),
    ]


@calculator(
    source="UFC 3-220-20, Foundations and Earth Structures, 2025, Eqs 4-3 to 4-7, 4-13, 4-14, section 4-4.1",
    known="SEEN",
    example={"layers": [{"thickness_m": 0.9, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 30.0}]},
    working=_thrust_steps,
    caution=WALL_CAUTION + " Behind low walls take no cohesion; with the drain blocked the water stands at the top.",
)
def lateral_thrust(
    *,
    layers: Annotated[list[ThrustLayer], Len(1)],
    surcharge_kpa: NotNegative = 0.0,
    water_depth_m: NotNegative | None = None,
    state: State = "active",
    water_unit_weight_kn_m3: Positive = WATER_KN_M3,
) -> LateralThrust:
    """Thrust of layered soil, a load over the whole bench and water on a wall.

    Equation: horizontal stress = K sv - 2 c sqrt K, K = (1 - sin p)/(1 + sin p) active, 1 - sin p at rest; water
    gw hw at the base, half gw hw² at hw/3.

    Symbols: sv vertical stress, from the surcharge down by unit weight, below the water by saturated weight less
    water; c cohesion, p friction angle, hw height of water above the base.

    Limits: smooth vertical face, level ground. Stretches of negative stress carry no force; the crack they leave is
    dry. `tension_depth_m` is where the stress last turns from negative to positive.
    """
    behind = Behind(surcharge_kpa, water_depth_m, state, water_unit_weight_kn_m3)
    _deny_layers(layers, behind)
    result = thrust_of(layers, behind)
    deny(result.total_kn_per_m <= 1e-12, "layers", "nothing left to hold: the thrust is zero", "soil that pushes")
    return result
