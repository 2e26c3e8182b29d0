"""What pushes on every joint of every place in every load case, summed into forces and moments (arrays throughout)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lynchet.stability.gravity import BaseForces
from lynchet.stability.kinds import Array, tangent
from lynchet.stability.loads import strip_thrust
from lynchet.stability.thrust import WATER_KN_M3


@dataclass(frozen=True)
class StripRows:
    """One strip load of each row; 0 kPa where there is none."""

    kpa: Array
    near_m: Array
    width_m: Array
    factor: Array
    """2 where the wall cannot give way before the load's wedge, 1 else."""


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
    front_m: Array
    """Ground in front above the joint that water behind is balanced up to; 0 where it is not."""
    coefficient: Array
    """Active coefficient (with earthquake: that of Mononobe and Okabe)."""
    angle_deg: Array
    """Thrust down from the horizontal."""
    lean_deg: Array
    course_m: Array
    """Height of one course."""
    surcharge_kpa: Array
    strips: tuple[StripRows, ...]
    quake: Array
    """Horizontal coefficient acting on the timber."""


@dataclass(frozen=True)
class Ground:
    """Weights that all rows share."""

    thickness_m: float
    timber_kn_m3: float
    soil_kn_m3: float
    soaked_kn_m3: float


@dataclass(frozen=True)
class Pushes:
    """Forces in kN per metre and moments in kN m per metre about the front edge of the course above each joint."""

    weight: Array
    weight_turn: Array
    down: Array
    """Vertical part of the thrust: the friction of the fill on the back."""
    down_turn: Array
    uplift: Array
    uplift_turn: Array
    horizontal: Array
    overturning: Array

    @cached_property
    def forces(self) -> BaseForces:
        """Summed as the factors take them."""
        return BaseForces(
            vertical=self.weight + self.down - self.uplift,
            horizontal=self.horizontal,
            resisting=self.weight_turn + self.down_turn - self.uplift_turn,
            overturning=self.overturning,
        )


def soil_push(rows: Rows, ground: Ground) -> tuple[Array, Array]:
    """Thrust of the soil and the load over the bench, along its angle, and its turning arm's moment about the joint.

    Equation: K times the vertical stress, effective below the water, summed over the height. The same stresses as
    ``thrust.soil_diagram`` for one layer, in closed form (a law holds them together). Where water is balanced by that
    in front the soil counts with its moist weight: on the safe side.

    Returns:
        Force in kN per metre and force times height in kN m per metre, both before the angle is put on.
    """
    low = np.minimum(rows.front_m, rows.soil_m)
    wet = np.clip(rows.water_m, low, rows.soil_m) - low
    dry = rows.soil_m - low - wet
    weight, under, load = ground.soil_kn_m3, ground.soaked_kn_m3 - WATER_KN_M3, rows.surcharge_kpa
    # stress at the top of each layer, its growth, its thickness, its height above the joint
    layers = ((load, weight, dry, low + wet), (load + weight * dry, under, wet, low),
              (load + weight * dry + under * wet, weight, low, 0.0))  # fmt: skip
    force, turn = np.zeros_like(rows.soil_m), np.zeros_like(rows.soil_m)
    for stress, growth, thick, foot in layers:
        even, rising = stress * thick, 0.5 * growth * thick**2
        force = force + even + rising
        turn = turn + even * (foot + thick / 2.0) + rising * (foot + thick / 3.0)
    return rows.coefficient * force, rows.coefficient * turn


def water_push(rows: Rows) -> tuple[Array, Array]:
    """Level push of the water behind, and its moment about the joint.

    Down to the ground in front it grows with depth; below, where water presses from both sides, it stays the same.
    """
    low = np.minimum(rows.front_m, rows.water_m)
    head = rows.water_m - low
    force = 0.5 * WATER_KN_M3 * head**2 + WATER_KN_M3 * head * low
    turn = 0.5 * WATER_KN_M3 * head**2 * (low + head / 3.0) + 0.5 * WATER_KN_M3 * head * low**2
    return force, turn


def forces(rows: Rows, ground: Ground) -> Pushes:
    """Weight, soil, water, loads and uplift on each joint; moments about the front edge of the course above it.

    Uplift: water presses in the joint, full at the back and none at the front (timber joints are not tight), half of
    it times the width, at two thirds of the width from the front. PRACTICE, on the safe side. A leaning stack steps
    back by whole courses, so its weight and the friction on its back sit half a step nearer than on a straight lean.
    """
    width = ground.thickness_m
    lean, half = tangent(rows.lean_deg), rows.course_m / 2.0
    weight = rows.timber_m * width * ground.timber_kn_m3
    soil, soil_turn = soil_push(rows, ground)
    angle = np.radians(rows.angle_deg)
    down, out = soil * np.sin(angle), soil * np.cos(angle)
    height = np.divide(soil_turn, soil, out=np.zeros_like(soil), where=soil > 0)
    water, water_turn = water_push(rows)
    lift = 0.5 * WATER_KN_M3 * np.maximum(rows.water_m - rows.front_m, 0.0) * width
    strip, strip_turn = strip_push(rows)
    shake = rows.quake * weight
    return Pushes(
        weight=weight,
        weight_turn=weight * (width / 2.0 + lean * np.maximum(rows.timber_m / 2.0 - half, 0.0)),
        down=down,
        down_turn=down * (width + lean * np.maximum(height - half, 0.0)),
        uplift=lift,
        uplift_turn=lift * width * 2.0 / 3.0,
        horizontal=out + water + strip + shake,
        overturning=out * height + water_turn + strip_turn + shake * rows.timber_m / 2.0,
    )


def strip_push(rows: Rows) -> tuple[Array, Array]:
    """Level thrust of all strip loads and its moment about the joint."""
    height = np.maximum(rows.soil_m, 1e-9)
    force, turn = np.zeros_like(rows.soil_m), np.zeros_like(rows.soil_m)
    for strip in rows.strips:
        one, one_turn = strip_thrust(strip.kpa, strip.near_m, np.maximum(strip.width_m, 1e-9), height)
        force, turn = force + strip.factor * one, turn + strip.factor * one_turn
    return force, turn
