"""A front between two pinned returns from the forces found on its base and courses, in any load case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Len

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.box import Box, box_forces, course_bending, course_sag_mm, course_stiffness_kn_m2
from lynchet.stability.gravity import BaseForces, overturning_factor_of, sliding_factor_of
from lynchet.stability.joints import Stack
from lynchet.stability.kinds import WALL_CAUTION, Friction, deny, filled, tangent


@dataclass(frozen=True)
class CornerBox:
    """Factors of the whole body, and lists by course from the lowest up."""

    return_weight_kn: float
    """Of one return."""
    sliding_factor: float
    overturning_factor: float
    corner_pull_kn: list[float]
    moment_kn_m: list[float]
    bending_mpa: list[float]
    sag_mm: list[float] | None


def _steps(given: Mapping[str, Any], result: CornerBox) -> list[Step]:
    a = filled(corner_box_check, given)
    back, long, weight = a["return_length_m"], a["front_length_m"], result.return_weight_kn
    returned = f"{back:.4g} x {a['height_m']:.4g} x {a['course_width_m']:g} x {a['timber_unit_weight_kn_m3']:g}"
    v, h, mr, mo = (a[key] for key in ("vertical_kn_per_m", "horizontal_kn_per_m", "resisting_kn_m_per_m",
                                       "overturning_kn_m_per_m"))  # fmt: skip
    holds = f"({mr:.4f} x {long:.4g} + 2 x {weight:.4f} x {back:.4g}/2)"
    grip = f"(({v:.4f} x {long:.4g} + 2 x {weight:.4f}) x tan {a['base_friction_deg']:.4g}°"
    more = a["held_beside_kn_per_m"]
    beside = f" + {more:.4f} x {long:.4g}" if more else ""
    steps = [
        Step("weight of one return Wr", returned, weight, "kn"),
        Step("overturning as one body", f"{holds}/({mo:.4f} x {long:.4g})", result.overturning_factor),
        Step("sliding as one body", f"{grip}{beside})/({h:.4f} x {long:.4g})", result.sliding_factor),
    ]
    for number, (load, pull) in enumerate(zip(a["course_load_kn_per_m"], result.corner_pull_kn, strict=True), 1):
        steps.append(Step(f"held course {number}: pull on its corner", f"{load:.4f} x {long:.4g}/2", pull, "kn"))
    return steps


@calculator(
    source="Statics of front and returns as one rigid body (no published allowance for corners was found)",
    known="DERIVED",
    example={
        "front_length_m": 3.6, "return_length_m": 1.2, "height_m": 0.42, "course_height_m": 0.14,
        "course_width_m": 0.14, "timber_unit_weight_kn_m3": 7.9, "base_friction_deg": 30.0, "vertical_kn_per_m": 0.6,
        "horizontal_kn_per_m": 0.7, "resisting_kn_m_per_m": 0.05, "overturning_kn_m_per_m": 0.1,
        "course_load_kn_per_m": [0.35, 0.25, 0.1],
    },
    working=_steps,
    caution=WALL_CAUTION
    + " Statics only: no published allowance for corners was found. The corner fixing and the timber must carry these "
    "demands, and soil inside the sliding wedge cannot hold a return.",
)  # fmt: skip
def corner_box_check(
    *,
    front_length_m: Positive,
    return_length_m: Positive,
    height_m: Positive,
    course_height_m: Positive,
    course_width_m: Positive,
    timber_unit_weight_kn_m3: Positive,
    base_friction_deg: Friction,
    vertical_kn_per_m: float,
    horizontal_kn_per_m: Positive,
    resisting_kn_m_per_m: float,
    overturning_kn_m_per_m: Positive,
    course_load_kn_per_m: Annotated[list[NotNegative], Len(1)],
    held_beside_kn_per_m: NotNegative = 0.0,
    modulus_mpa: Positive | None = None,
) -> CornerBox:
    """A front between two pinned returns from the forces on its base and courses, in any load case.

    Equation: overturning = (MR L + 2 Wr R/2)/(MO L); sliding = ((V L + 2 Wr) tan d + beside x L)/(H L); a course with
    load w pulls w L/2 on each corner, bends with w L²/8, stress moment/(h width²/6), sag 5 w L⁴/(384 E h width³/12).

    Symbols: V, H, MR, MO and beside on a metre of the front's base as joint_case_check gives them, L front length, R
    and Wr length and weight of one return, d friction of the base, h course height, E modulus.

    Limits: every course one stick, lapped and pinned at both corners; no load on a course that holds no ground. A
    course cut by an opening hands its load to those beside it. The push on the returns is not in it.
    """
    shortest = 2 * course_width_m
    deny(front_length_m <= shortest, "front_length_m", f"{front_length_m:g} found", f"above two widths, {shortest:g}")
    stack = Stack(course_width_m, timber_unit_weight_kn_m3, 0.0, 0.0)
    front = BaseForces(vertical_kn_per_m, horizontal_kn_per_m, resisting_kn_m_per_m, overturning_kn_m_per_m)
    whole, one_return = box_forces(front, Box(front_length_m, return_length_m, height_m), stack)
    load = np.array(course_load_kn_per_m)
    pull, moment, bending = course_bending(load, front_length_m, course_height_m, course_width_m)
    sag = None
    if modulus_mpa is not None:
        stiffness = course_stiffness_kn_m2(modulus_mpa, course_height_m, course_width_m)
        sag = course_sag_mm(load, front_length_m, stiffness).tolist()
    beside = held_beside_kn_per_m * front_length_m
    return CornerBox(
        return_weight_kn=float(one_return),
        sliding_factor=float(sliding_factor_of(whole, tangent(base_friction_deg), beside)),
        overturning_factor=float(overturning_factor_of(whole)),
        corner_pull_kn=pull.tolist(),
        moment_kn_m=moment.tolist(),
        bending_mpa=bending.tolist(),
        sag_mm=sag,
    )
