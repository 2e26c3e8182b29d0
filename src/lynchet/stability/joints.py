"""Every joint of a stack of level courses: does the part above slide on it or turn over its front edge?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import Count, Fraction, NotNegative, Positive
from lynchet.stability.gravity import BaseForces, overturning_factor_of, sliding_factor_of
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Friction, Numbers, ThrustAngle, deny, filled, tangent


@dataclass(frozen=True)
class Stack:
    """A bare stack of courses and the soil behind it; plain numbers, or arrays over walls and load cases."""

    width_m: Numbers
    timber_kn_m3: Numbers
    soil_kn_m3: Numbers
    coefficient: Numbers
    """Active coefficient Ka."""
    thrust_angle_deg: Numbers = 0.0
    surcharge_kpa: Numbers = 0.0
    lean_deg: Numbers = 0.0


def joint_forces(stack: Stack, above_m: Numbers) -> BaseForces:
    """Weight and thrust on a joint, moments about the front edge of the course above it.

    Args:
        stack: the stack; its fields and ``above_m`` fit together (say walls x 1 against joints).
        above_m: height of the courses above the joint, above 0.

    Returns:
        Forces in kN per metre, moments in kN m per metre.
    """
    weight = np.multiply(above_m, stack.width_m) * stack.timber_kn_m3
    soil = 0.5 * np.multiply(stack.coefficient, stack.soil_kn_m3) * np.square(above_m)
    load = np.multiply(stack.coefficient, stack.surcharge_kpa) * above_m
    thrust = soil + load
    turning = soil * above_m / 3.0 + load * above_m / 2.0
    height = turning / thrust
    angle, lean = np.radians(stack.thrust_angle_deg), tangent(stack.lean_deg)
    down, out = thrust * np.sin(angle), thrust * np.cos(angle)
    resisting = weight * (np.divide(stack.width_m, 2.0) + lean * above_m / 2.0) + down * (stack.width_m + lean * height)
    return BaseForces(weight + down, out, resisting, out * height)


def buried_help(passive_coefficient: Numbers, soil_kn_m3: Numbers, buried_m: Numbers) -> tuple[Array, Array]:
    """Passive force of ground in front and its moment about the joint, by the buried depth above the joint (kernel)."""
    force = 0.5 * np.multiply(passive_coefficient, soil_kn_m3) * np.square(buried_m)
    return np.asarray(force), np.asarray(force * buried_m / 3.0)


def held_beside(buried_kn: Numbers, pins_kn: Numbers, screws_kn: Numbers) -> Array:
    """What holds beside friction (kernel): buried part and pins press on the same ground, so the larger counts."""
    return np.asarray(np.maximum(buried_kn, pins_kn) + screws_kn)


@dataclass(frozen=True)
class CourseJoints:
    """Lists from the base (joint 0) up, one entry per course."""

    joint_height_m: list[float]
    vertical_kn_per_m: list[float]
    horizontal_kn_per_m: list[float]
    sliding_factor: list[float]
    sliding_factor_helped: list[float]
    overturning_factor: list[float]
    overturning_factor_helped: list[float]
    least_bare: float
    least_helped: float
    stands_bare: bool


def _steps(given: Mapping[str, Any], result: CourseJoints) -> list[Step]:
    a = filled(course_joint_check, given)
    steps: list[Step] = []
    for j, height in enumerate(result.joint_height_m):
        above = (a["courses"] - j) * a["course_height_m"]
        friction = f"tan {a['base_friction_deg']:g}°" if j == 0 else f"{a['timber_friction']:g}"
        v, h = result.vertical_kn_per_m[j], result.horizontal_kn_per_m[j]
        weight = f"{above:.4g} x {a['course_width_m']:g} x {a['timber_unit_weight_kn_m3']:g}"
        push = f"0.5 x {a['coefficient']:.4g} x {a['unit_weight_kn_m3']:g} x {above:.4g}²"
        load = f" + {a['coefficient']:.4g} x {a['surcharge_kpa']:g} x {above:.4g}" if a["surcharge_kpa"] else ""
        where = f"joint {j} at {height:.3f} m: "
        steps += [
            Step(where + "vertical V", f"{weight} + T sin a, T = {push}{load}", v, "kn_per_m"),
            Step(where + "horizontal", "T cos a", h, "kn_per_m"),
            Step(where + "sliding", f"{v:.4f} x {friction}/{h:.4f}", result.sliding_factor[j]),
            Step(where + "sliding with pins and buried part", "", result.sliding_factor_helped[j]),
            Step(where + "overturning", "moments about the front edge", result.overturning_factor[j]),
            Step(where + "overturning with the buried part", "", result.overturning_factor_helped[j]),
        ]
    return [*steps, Step("least, bare", "smallest of all joints", result.least_bare)]


@calculator(
    source="Statics of a stack of level courses (no published example; checked by strips)",
    known="DERIVED",
    example={
        "courses": 2,
        "course_height_m": 0.14,
        "course_width_m": 0.14,
        "timber_unit_weight_kn_m3": 7.9,
        "unit_weight_kn_m3": 18.9,
        "coefficient": 0.297,
        "thrust_angle_deg": 20.0,
        "base_friction_deg": 30.0,
        "timber_friction": 0.4,
    },
    working=_steps,
    caution=WALL_CAUTION
    + " `stands_bare` says only that the bare stack does not fall at once: compare the least factors with 1.5.",
)
def course_joint_check(
    *,
    courses: Count,
    course_height_m: Positive,
    course_width_m: Positive,
    timber_unit_weight_kn_m3: Positive,
    unit_weight_kn_m3: Positive,
    coefficient: Positive,
    base_friction_deg: Friction,
    timber_friction: Fraction,
    thrust_angle_deg: ThrustAngle = 0.0,
    surcharge_kpa: NotNegative = 0.0,
    lean_deg: Annotated[float, Ge(0), Le(30)] = 0.0,
    joint_shear_kn_per_m: NotNegative = 0.0,
    base_pin_kn_per_m: NotNegative = 0.0,
    buried_m: NotNegative = 0.0,
    passive_coefficient: NotNegative = 0.0,
) -> CourseJoints:
    """Sliding and overturning at every joint of a stack of timber courses.

    Equation: T = half K g H² + K q H at height hp; W = H x width x timber weight; V = W + T sin a; sliding =
    V f/(T cos a); overturning = (W (width/2 + tan l H/2) + T sin a (width + tan l hp))/(T cos a hp). Helped: pins and
    half Kp g D² added to what holds, its moment at D/3.

    Symbols: H height above the joint, K, a coefficient and thrust angle (active_coefficient), g soil weight, q load on
    the bench, l lean, f tan(base friction) at the base and timber on timber above, D buried depth above the joint.

    Limits: drained, level ground behind, no ties (add them in wall_stability). The buried part counts only in ground
    that is never dug, washed or falling away: else leave the passive coefficient 0. Pins and buried part press on the
    same ground: show each alone as well.
    """
    stack_m = courses * course_height_m
    deny(buried_m > stack_m + SLACK, "buried_m", f"{buried_m:g} found", f"up to the stack's height, {stack_m:g}")
    j = np.arange(courses)
    stack = Stack(
        course_width_m,
        timber_unit_weight_kn_m3,
        unit_weight_kn_m3,
        coefficient,
        thrust_angle_deg,
        surcharge_kpa,
        lean_deg,
    )
    forces = joint_forces(stack, np.asarray((courses - j) * course_height_m, dtype=np.float64))
    friction = np.where(j == 0, tangent(base_friction_deg), timber_friction)
    pins = np.where(j == 0, base_pin_kn_per_m, joint_shear_kn_per_m)
    deep = np.maximum(buried_m - j * course_height_m, 0.0)
    passive, turning = buried_help(passive_coefficient, unit_weight_kn_m3, deep)
    bare = sliding_factor_of(forces, friction), overturning_factor_of(forces)
    helped = sliding_factor_of(forces, friction, pins + passive), overturning_factor_of(forces, turning)
    least = float(np.min(bare))
    return CourseJoints(
        joint_height_m=(j * course_height_m).tolist(),
        vertical_kn_per_m=np.asarray(forces.vertical).tolist(),
        horizontal_kn_per_m=np.asarray(forces.horizontal).tolist(),
        sliding_factor=bare[0].tolist(),
        sliding_factor_helped=helped[0].tolist(),
        overturning_factor=bare[1].tolist(),
        overturning_factor_helped=helped[1].tolist(),
        least_bare=least,
        least_helped=float(np.min(helped)),
        stands_bare=least >= 1.0,
    )
