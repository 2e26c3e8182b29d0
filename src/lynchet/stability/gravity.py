"""A wall as one block on its base, or the part above a joint on that joint: resultant, pressures, sliding, turning."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le, Len
from numpy.typing import NDArray

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Friction, Numbers, deny, filled, tangent

_NOTHING = 1e-9


@dataclass(frozen=True)
class Block:
    """A part of the wall, or soil or water carried by it."""

    weight_kn_per_m: NotNegative
    arm_m: float
    """From the toe."""


@dataclass(frozen=True)
class Thrust:
    """A force on the wall."""

    force_kn_per_m: NotNegative
    height_m: NotNegative
    """Above the base."""
    angle_deg: Annotated[float, Ge(-90), Le(90)] = 0.0
    """Down from the horizontal; negative lifts."""
    arm_m: float | None = None
    """Of the vertical part, from the toe; the base width where not given."""


@dataclass(frozen=True)
class TiePull:
    """A tie pulling into the fill."""

    force_kn_per_m: NotNegative
    height_m: NotNegative


@dataclass(frozen=True)
class BaseForces:
    """What reaches the base; plain numbers or arrays over walls, joints and load cases."""

    vertical: Numbers
    horizontal: Numbers
    resisting: Numbers
    """Moment about the toe that holds."""
    overturning: Numbers
    ties: Numbers = 0.0
    """Horizontal tie forces (their moment is in ``resisting``)."""


@dataclass(frozen=True)
class BasePressures:
    """Where the resultant lies and what the ground feels (arrays as given)."""

    resultant_x_m: Array
    eccentricity_m: Array
    in_middle_third: NDArray[np.bool_]
    toe_kpa: Array
    heel_kpa: Array
    contact_width_m: Array
    effective_width_m: Array
    effective_kpa: Array


def base_forces(
    blocks: Sequence[Block], thrusts: Sequence[Thrust], ties: Sequence[TiePull], width_m: float
) -> BaseForces:
    """Sum the forces on one wall."""
    vertical = resisting = horizontal = overturning = pulled = 0.0
    for block in blocks:
        vertical += block.weight_kn_per_m
        resisting += block.weight_kn_per_m * block.arm_m
    for thrust in thrusts:
        angle = np.radians(thrust.angle_deg)
        down, out = thrust.force_kn_per_m * float(np.sin(angle)), thrust.force_kn_per_m * float(np.cos(angle))
        vertical += down
        resisting += down * (width_m if thrust.arm_m is None else thrust.arm_m)
        horizontal += out
        overturning += out * thrust.height_m
    for tie in ties:
        pulled += tie.force_kn_per_m
        resisting += tie.force_kn_per_m * tie.height_m
    return BaseForces(vertical, horizontal, resisting, overturning, pulled)


def base_pressures(forces: BaseForces, width_m: Numbers) -> BasePressures:
    """Resultant and bearing pressures (kernel; a resultant outside the base gives numbers without meaning)."""
    x = np.divide(np.subtract(forces.resisting, forces.overturning), forces.vertical)
    width = np.asarray(width_m, dtype=np.float64)
    e = width / 2.0 - x
    middle = np.abs(e) <= width / 6.0 + SLACK
    mean = forces.vertical / width
    near = np.minimum(x, width - x)
    edge = 2.0 * np.asarray(forces.vertical) / (3.0 * np.where(near > 0, near, np.nan))
    effective = width - 2.0 * np.abs(e)
    return BasePressures(
        x,
        e,
        middle,
        np.where(middle, mean * (1.0 + 6.0 * e / width), np.where(e > 0, edge, 0.0)),
        np.where(middle, mean * (1.0 - 6.0 * e / width), np.where(e > 0, 0.0, edge)),
        np.where(middle, width, 3.0 * near),
        effective,
        forces.vertical / np.where(effective > 0, effective, np.nan),
    )


def sliding_factor_of(forces: BaseForces, friction: Numbers, more_kn_per_m: Numbers = 0.0) -> Array:
    """(V x friction coefficient + ties + what else holds)/H (kernel; infinite where nothing pushes)."""
    holds = np.multiply(forces.vertical, friction) + forces.ties + more_kn_per_m
    pushes = np.asarray(forces.horizontal, dtype=np.float64)
    return np.where(pushes > _NOTHING, holds / np.where(pushes > _NOTHING, pushes, 1.0), np.inf)


def overturning_factor_of(forces: BaseForces, more_kn_m_per_m: Numbers = 0.0) -> Array:
    """(MR + what else holds)/MO (kernel; infinite where nothing turns)."""
    turns = np.asarray(forces.overturning, dtype=np.float64)
    return np.where(
        turns > _NOTHING, np.add(forces.resisting, more_kn_m_per_m) / np.where(turns > _NOTHING, turns, 1.0), np.inf
    )


@dataclass(frozen=True)
class WallStability:
    """Forces, resultant, pressures and factors."""

    vertical_kn_per_m: float
    horizontal_kn_per_m: float
    resisting_kn_m_per_m: float
    overturning_kn_m_per_m: float
    resultant_x_m: float
    """From the toe."""
    eccentricity_m: float
    """Positive toward the toe."""
    in_middle_third: bool
    toe_pressure_kpa: float
    heel_pressure_kpa: float
    contact_width_m: float
    effective_width_m: float
    effective_pressure_kpa: float
    sliding_factor: float | None
    overturning_factor: float | None


def _steps(given: Mapping[str, Any], result: WallStability) -> list[Step]:
    a = filled(wall_stability, given)
    v, h, mr, mo = (
        result.vertical_kn_per_m,
        result.horizontal_kn_per_m,
        result.resisting_kn_m_per_m,
        result.overturning_kn_m_per_m,
    )
    steps = [
        Step("vertical force V", "weights + vertical parts of the thrusts", v, "kn_per_m"),
        Step("horizontal force H", "level parts of the thrusts", h, "kn_per_m"),
        Step("resisting moment MR", "weights x arms + vertical parts x arms + ties x heights", mr, "kn_m_per_m"),
        Step("overturning moment MO", "level parts x heights", mo, "kn_m_per_m"),
        Step("resultant from the toe x", f"({mr:.4f} - {mo:.4f})/{v:.4f}", result.resultant_x_m, "m"),
        Step("eccentricity e", f"{a['base_width_m']:g}/2 - x", result.eccentricity_m, "m"),
        Step("effective width B'", f"{a['base_width_m']:g} - 2 |e|", result.effective_width_m, "m"),
    ]
    if result.sliding_factor is not None:
        how = f"(V tan {a['base_friction_deg']:g}° + adhesion + passive + ties)/H"
        steps.append(Step("sliding factor", how, result.sliding_factor))
    if result.overturning_factor is not None:
        steps.append(Step("overturning factor", f"{mr:.4f}/{mo:.4f}", result.overturning_factor))
    return steps


@calculator(
    source="UFC 3-220-20, Foundations and Earth Structures, 2025, Eqs 4-23 to 4-28",
    known="SEEN",
    example={
        "base_width_m": 0.6,
        "blocks": [{"weight_kn_per_m": 10.0, "arm_m": 0.3}],
        "thrusts": [{"force_kn_per_m": 4.0, "height_m": 0.3, "angle_deg": 15.0}],
        "base_friction_deg": 30.0,
    },
    working=_steps,
    caution=WALL_CAUTION + " Compare sliding and overturning with 1.5, with earthquake 1.1 (IBC 1807.2.3).",
)
def wall_stability(
    *,
    base_width_m: Positive,
    blocks: Annotated[list[Block], Len(1)],
    thrusts: list[Thrust],
    base_friction_deg: Friction,
    ties: list[TiePull] | None = None,
    base_adhesion_kpa: NotNegative = 0.0,
    adhesion_over: Literal["effective", "base"] = "effective",
    passive_kn_per_m: NotNegative = 0.0,
) -> WallStability:
    """Sliding, overturning and ground pressure of a wall, or of the part of it above a joint.

    Equation: x = (MR - MO)/V, e = B/2 - x; within the middle third V/B (1 ± 6 e/B), else 2 V/(3 a) at the nearer edge
    over a contact of 3 a, a = min(x, B - x); B' = B - 2 |e|; sliding = (V tan d + adhesion x (B' or B) + passive +
    ties)/H; overturning = MR/MO.

    Symbols: V vertical force, H horizontal force, MR, MO moments about the toe, B base width, x resultant from the toe,
    d friction of the base.

    Limits: the passive pressure enters sliding only. A tie enters with the force given: give the force really needed
    (tie_force), not its strength. Factors are left out where nothing pushes.
    """
    forces = base_forces(blocks, thrusts, ties or [], base_width_m)
    v = float(forces.vertical)
    deny(v <= _NOTHING, "blocks", f"no weight left on the base: {v:g} kN/m", "weight above what lifts")
    x = (float(forces.resisting) - float(forces.overturning)) / v
    outside = not SLACK * base_width_m < x < base_width_m * (1 - SLACK)
    deny(outside, "blocks", f"the resultant is outside the base, {x:.4g} m from the toe", f"0 to {base_width_m:g} m")
    found = base_pressures(forces, base_width_m)
    over = float(found.effective_width_m) if adhesion_over == "effective" else base_width_m
    slides, turns = float(forces.horizontal) > _NOTHING, float(forces.overturning) > _NOTHING
    sliding = sliding_factor_of(forces, tangent(base_friction_deg), base_adhesion_kpa * over + passive_kn_per_m)
    return WallStability(
        vertical_kn_per_m=v,
        horizontal_kn_per_m=float(forces.horizontal),
        resisting_kn_m_per_m=float(forces.resisting),
        overturning_kn_m_per_m=float(forces.overturning),
        resultant_x_m=float(found.resultant_x_m),
        eccentricity_m=float(found.eccentricity_m),
        in_middle_third=bool(found.in_middle_third),
        toe_pressure_kpa=float(found.toe_kpa),
        heel_pressure_kpa=float(found.heel_kpa),
        contact_width_m=float(found.contact_width_m),
        effective_width_m=float(found.effective_width_m),
        effective_pressure_kpa=float(found.effective_kpa),
        sliding_factor=float(sliding) if slides else None,
        overturning_factor=float(overturning_factor_of(forces)) if turns else None,
    )
