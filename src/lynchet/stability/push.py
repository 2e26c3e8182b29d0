"""What pushes on every joint of every place in every load case, summed into forces and moments (arrays throughout)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lynchet.stability.gravity import BaseForces
from lynchet.stability.kinds import Array, tangent
from lynchet.stability.loads import strip_thrust
from lynchet.stability.thrust import WATER_KN_M3


@dataclass(frozen=True)
class Rows:
    """One row for each place, joint and case; every field is an array of the same length.

    Heights are metres, levels are taken out: everything counts from the joint upward.
    """

    timber_m: Array
    """Timber above the joint."""
    soil_m: Array
    """Ground behind above the joint; 0 where it lies lower than the joint."""
    water_m: Array
    """Water behind above the joint; it may stand above the ground."""
    coefficient: Array
    """Active coefficient (with earthquake: times one less the vertical part)."""
    angle_deg: Array
    """Thrust down from the horizontal."""
    lean_deg: Array
    surcharge_kpa: Array
    tier_kpa: Array
    tier_near_m: Array
    tier_width_m: Array
    tier_factor: Array
    """2 where the wall cannot give way before the load's wedge, 1 else."""
    quake: Array
    """Horizontal coefficient acting on the timber."""


@dataclass(frozen=True)
class Ground:
    """Weights that all rows share."""

    thickness_m: float
    timber_kn_m3: float
    soil_kn_m3: float
    soaked_kn_m3: float


def soil_push(rows: Rows, ground: Ground) -> tuple[Array, Array]:
    """Thrust of the soil and the load over the bench, along its angle, and its turning arm's moment about the joint.

    Equation: K times the vertical stress, effective below the water, summed over the height. The same stresses as
    ``thrust.soil_diagram`` for one layer, in closed form (a law holds them together).

    Returns:
        Force in kN per metre and force times height in kN m per metre, both before the angle is put on.
    """
    drowned = np.minimum(rows.water_m, rows.soil_m)
    dry = rows.soil_m - drowned
    weight, under = ground.soil_kn_m3, ground.soaked_kn_m3 - WATER_KN_M3
    load = rows.surcharge_kpa
    force = 0.5 * weight * dry**2 + weight * dry * drowned + 0.5 * under * drowned**2 + load * rows.soil_m
    turn = (
        0.5 * weight * dry**2 * (drowned + dry / 3.0)
        + weight * dry * drowned**2 / 2.0
        + under * drowned**3 / 6.0
        + load * rows.soil_m**2 / 2.0
    )
    return rows.coefficient * force, rows.coefficient * turn


def forces(rows: Rows, ground: Ground) -> BaseForces:
    """Weight, soil, water, loads and uplift on each joint; moments about the front edge of the course above it.

    Uplift: water presses in the joint, full at the back and none at the front (timber joints are not tight), half of
    it times the width, at two thirds of the width from the front. PRACTICE, on the safe side.
    """
    width = ground.thickness_m
    lean = tangent(rows.lean_deg)
    weight = rows.timber_m * width * ground.timber_kn_m3
    soil, soil_turn = soil_push(rows, ground)
    angle = np.radians(rows.angle_deg)
    down, out = soil * np.sin(angle), soil * np.cos(angle)
    height = np.divide(soil_turn, soil, out=np.zeros_like(soil), where=soil > 0)
    water = 0.5 * WATER_KN_M3 * rows.water_m**2
    water_turn = water * rows.water_m / 3.0
    uplift = 0.5 * WATER_KN_M3 * rows.water_m * width
    tier, tier_turn = strip_thrust(rows.tier_kpa, rows.tier_near_m, rows.tier_width_m, np.maximum(rows.soil_m, 1e-9))
    shake = rows.quake * weight
    resisting = (
        weight * (width / 2.0 + lean * rows.timber_m / 2.0)
        + down * (width + lean * height)
        - uplift * width * 2.0 / 3.0
    )
    return BaseForces(
        vertical=weight + down - uplift,
        horizontal=out + water + rows.tier_factor * tier + shake,
        resisting=resisting,
        overturning=out * height + water_turn + rows.tier_factor * tier_turn + shake * rows.timber_m / 2.0,
    )
