"""A bed wall between two returns: front and returns as one rigid body, and what every lapped course carries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import Count, NotNegative, Positive
from lynchet.stability.gravity import BaseForces, overturning_factor_of, sliding_factor_of
from lynchet.stability.joints import Stack, buried_help, joint_forces
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Friction, Numbers, ThrustAngle, deny, filled, tangent


@dataclass(frozen=True)
class Box:
    """The plan of a front between two returns."""

    front_m: Numbers
    return_m: Numbers
    """Clear length of one return behind the front."""
    height_m: Numbers
    buried_m: Numbers = 0.0


def box_forces(front: BaseForces, box: Box, stack: Stack) -> tuple[BaseForces, Array]:
    """Forces of the whole box in kN and kN m, moments about the face, and the weight of one return in kN (kernel)."""
    one_return = np.multiply(box.return_m, box.height_m) * stack.width_m * stack.timber_kn_m3
    holds = np.multiply(front.resisting, box.front_m) + 2.0 * one_return * np.divide(box.return_m, 2.0)
    vertical = np.multiply(front.vertical, box.front_m) + 2.0 * one_return
    pushes, turns = np.multiply(front.horizontal, box.front_m), np.multiply(front.overturning, box.front_m)
    return BaseForces(vertical, pushes, holds, turns), np.asarray(one_return)


def inside_friction_kn(box: Box, soil_kn_m3: Numbers, span_coefficient: Numbers, friction_deg: Numbers) -> Array:
    """Friction of the soil inside on one return (kernel)."""
    held = np.subtract(box.height_m, box.buried_m)
    push = 0.5 * np.multiply(span_coefficient, soil_kn_m3) * held**2
    return np.asarray(push * box.return_m * tangent(friction_deg))


def course_bending(
    load_kn_per_m: Numbers, front_m: Numbers, height_m: Numbers, width_m: Numbers
) -> tuple[Array, Array, Array]:
    """Corner pull in kN, moment in kN m, bending stress in MPa of a course held at both corners (kernel)."""
    pull = np.multiply(load_kn_per_m, front_m) / 2.0
    moment = np.multiply(load_kn_per_m, np.square(front_m)) / 8.0
    return pull, moment, moment / (np.multiply(height_m, np.square(width_m)) / 6.0) / 1000.0


def course_stiffness_kn_m2(modulus_mpa: float, course_height_m: float, course_width_m: float) -> float:
    """Stiffness E h t^3/12 of a course against bending level, across its width t."""
    return 1000.0 * modulus_mpa * course_height_m * course_width_m**3 / 12.0


def course_sag_mm(load_kn_per_m: Numbers, front_m: Numbers, stiffness_kn_m2: Numbers) -> Array:
    """Sag in mm of a simply held course, 5 w L^4/(384 E I), by its stiffness E I in kN m2 (kernel)."""
    span4 = np.square(np.square(front_m))
    return np.asarray(5.0 * np.multiply(load_kn_per_m, span4) / np.multiply(384.0, stiffness_kn_m2) * 1000.0)


@dataclass(frozen=True)
class BoxWall:
    """Factors of the bare front and of the box; lists of the retained courses from the top."""

    overturning_factor_bare: float
    overturning_factor_box: float
    sliding_factor_bare: float
    sliding_factor_buried: float
    sliding_factor_box: float
    sliding_factor_box_no_passive: float
    inside_friction_kn: float
    """Of one return."""
    course_load_kn_per_m: list[float]
    corner_pull_kn: list[float]
    moment_kn_m: list[float]
    bending_mpa: list[float]
    sag_mm: list[float] | None


def _steps(given: Mapping[str, Any], result: BoxWall) -> list[Step]:
    a = filled(box_wall_check, given)
    high = a["courses"] * a["course_height_m"]
    stack = Stack(
        a["course_width_m"],
        a["timber_unit_weight_kn_m3"],
        a["unit_weight_kn_m3"],
        a["coefficient"],
        a["thrust_angle_deg"],
    )
    front = joint_forces(stack, high)
    v, h, mr, mo = (
        float(np.asarray(x)) for x in (front.vertical, front.horizontal, front.resisting, front.overturning)
    )
    returned = f"{a['return_length_m']:g} x {high:.4g} x {a['course_width_m']:g} x {a['timber_unit_weight_kn_m3']:g}"
    lists = zip(result.course_load_kn_per_m, result.corner_pull_kn, result.moment_kn_m, strict=True)
    courses = [
        Step(f"course {i + 1} from the top: corner pull", f"{w:.4f} x {a['front_length_m']:g}/2", pull, "kn")
        for i, (w, pull, _) in enumerate(lists)
    ]
    return [
        Step("front per metre: vertical V", "weight + T sin a", v, "kn_per_m"),
        Step("front per metre: horizontal", "T cos a", h, "kn_per_m"),
        Step("bare overturning", f"{mr:.4f}/{mo:.4f}", result.overturning_factor_bare),
        Step(
            "box overturning", f"(MR front + 2 Wr return/2)/(MO front), Wr = {returned}", result.overturning_factor_box
        ),
        Step("bare sliding", f"{v:.4f} x tan {a['base_friction_deg']:g}°/{h:.4f}", result.sliding_factor_bare),
        Step("sliding with the buried part", "+ half Kp g D² x front", result.sliding_factor_buried),
        Step("friction inside one return", "half Ks g hr² x return x tan d", result.inside_friction_kn, "kn"),
        Step("box sliding", "+ 2 Wr tan(base friction) + 2 x inside friction", result.sliding_factor_box),
        Step("box sliding, no ground in front", "the same less the passive", result.sliding_factor_box_no_passive),
        *courses,
    ]


@calculator(
    source="Statics of front and returns as one rigid body (no published allowance for corners was found)",
    known="DERIVED",
    example={
        "front_length_m": 3.6,
        "return_length_m": 1.2,
        "courses": 3,
        "course_height_m": 0.14,
        "course_width_m": 0.14,
        "timber_unit_weight_kn_m3": 7.9,
        "unit_weight_kn_m3": 18.9,
        "coefficient": 0.297,
        "thrust_angle_deg": 20.0,
        "base_friction_deg": 30.0,
    },
    working=_steps,
    caution=WALL_CAUTION
    + " Statics only: no published allowance for corners was found. The corner fixing and the timber must carry these "
    "demands, and soil inside the sliding wedge cannot hold a return.",
)
def box_wall_check(
    *,
    front_length_m: Positive,
    return_length_m: Positive,
    courses: Count,
    course_height_m: Positive,
    course_width_m: Positive,
    timber_unit_weight_kn_m3: Positive,
    unit_weight_kn_m3: Positive,
    coefficient: Positive,
    base_friction_deg: Friction,
    thrust_angle_deg: ThrustAngle = 0.0,
    buried_m: NotNegative = 0.0,
    passive_coefficient: NotNegative = 0.0,
    span_coefficient: Positive | None = None,
    inside_friction_deg: Friction = 0.0,
    modulus_mpa: Positive | None = None,
) -> BoxWall:
    """A front wall between two pinned returns: turning, sliding, and the demand on every corner.

    Equation: box overturning = (MR front + 2 Wr return/2)/(MO front); sliding adds passive half Kp g D² front, 2 Wr
    tan(base friction), 2 x inside friction; inside friction = half Ks g hr² return tan d. Course in the middle depth z:
    load w = Ks g z h, corner pull w L/2, moment w L²/8, bending = moment/(h width²/6), sag 5 w L⁴/(384 E h width³/12).

    Symbols: MR, MO, V as in course_joint_check at the base without lean; Wr weight of one return, L front length, h
    course height, hr retained height, Ks span coefficient (coefficient x cos thrust angle), d inside friction, E
    modulus.

    Limits: every course one stick, lapped and pinned at the corners. Leave the inside friction 0 unless the returns run
    well beyond the wedge (tier_separation's reach). The push on the returns is not in it: check each as a short wall.
    """
    deny(
        front_length_m <= 2 * course_width_m + SLACK,
        "front_length_m",
        f"{front_length_m:g} found",
        f"above two widths, {2 * course_width_m:g}",
    )
    high = courses * course_height_m
    deny(buried_m > high + SLACK, "buried_m", f"{buried_m:g} found", f"up to the stack's height, {high:g}")
    stack = Stack(course_width_m, timber_unit_weight_kn_m3, unit_weight_kn_m3, coefficient, thrust_angle_deg)
    box = Box(front_length_m, return_length_m, high, buried_m)
    front = joint_forces(stack, high)
    whole, _ = box_forces(front, box, stack)
    ks = coefficient * float(np.cos(np.radians(thrust_angle_deg))) if span_coefficient is None else span_coefficient
    inside = float(inside_friction_kn(box, unit_weight_kn_m3, ks, inside_friction_deg))
    passive = float(buried_help(passive_coefficient, unit_weight_kn_m3, buried_m)[0])
    friction = tangent(base_friction_deg)
    z: Array = (np.arange(courses, dtype=np.float64) + 0.5) * course_height_m
    load: Array = ks * unit_weight_kn_m3 * z[z < high - buried_m - 1e-9] * course_height_m
    pull, moment, bending = course_bending(load, front_length_m, course_height_m, course_width_m)
    sag = None
    if modulus_mpa is not None:
        stiffness = course_stiffness_kn_m2(modulus_mpa, course_height_m, course_width_m)
        sag = course_sag_mm(load, front_length_m, stiffness).tolist()
    return BoxWall(
        overturning_factor_bare=float(overturning_factor_of(front)),
        overturning_factor_box=float(overturning_factor_of(whole)),
        sliding_factor_bare=float(sliding_factor_of(front, friction)),
        sliding_factor_buried=float(sliding_factor_of(front, friction, passive)),
        sliding_factor_box=float(sliding_factor_of(whole, friction, passive * front_length_m + 2 * inside)),
        sliding_factor_box_no_passive=float(sliding_factor_of(whole, friction, 2 * inside)),
        inside_friction_kn=inside,
        course_load_kn_per_m=load.tolist(),
        corner_pull_kn=pull.tolist(),
        moment_kn_m=moment.tolist(),
        bending_mpa=bending.tolist(),
        sag_mm=sag,
    )
