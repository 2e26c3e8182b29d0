"""How many courses of timber make a wall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.values import NEAR, Array, Values


def course_count(height_m: Values, timber_height_m: Values) -> Array:
    """Whole courses that reach a height; a rounding of floats makes no extra course."""
    return np.ceil(np.asarray(height_m, float) / timber_height_m - NEAR)


def lean_deg(setback_m: Values, timber_height_m: Values) -> Array:
    """Lean of a face whose courses step back."""
    return np.degrees(np.arctan(np.asarray(setback_m, float) / timber_height_m))


@dataclass(frozen=True)
class WallCourses:
    """Courses of a wall."""

    courses: int
    wall_height_m: float
    surplus_m: float
    embedment_m: float
    """Reached: the surplus goes below ground."""
    total_setback_m: float
    lean_deg: float


def _course_steps(given: Mapping[str, Any], result: WallCourses) -> list[Step]:
    parts = [given["retained_height_m"], given.get("embedment_m", 0.0), given.get("freeboard_m", 0.0)]
    needed, height = sum(parts), given["timber_height_m"]
    return [
        Step("height to reach", " + ".join(f"{part:g}" for part in parts), needed, "m"),
        Step("courses", f"{needed:g} / {height:g}, rounded up", result.courses),
        Step("surplus, goes below ground", f"{result.courses} x {height:g} - {needed:g}", result.surplus_m, "m"),
        Step("setback of the top", f"({result.courses} - 1) x setback", result.total_setback_m, "m"),
    ]


@calculator(
    source="Arithmetic; surplus goes into the ground",
    known="DERIVED",
    example={"retained_height_m": 0.6, "timber_height_m": 0.1397, "embedment_m": 0.15},
    working=_course_steps,
    caution="Many places ask a permit or an engineer for walls over 4 ft (1.2 m), measured from the footing, or less.",
)
def wall_courses(
    *,
    retained_height_m: Positive,
    timber_height_m: Positive,
    embedment_m: NotNegative = 0.0,
    freeboard_m: NotNegative = 0.0,
    setback_m: NotNegative = 0.0,
) -> WallCourses:
    """Courses of timber for a wall of a given height.

    Equation: n = ceil((H + embedment + freeboard)/h); surplus = n h - the sum; setback total (n - 1) x setback;
    lean = atan(setback/h).

    Symbols: H retained height, h timber height, freeboard above the soil, setback per course.

    Limits: setback below the timber height.
    """
    refuse_if(
        setback_m >= timber_height_m,
        "setback_m",
        f"setback {setback_m:g} m found",
        f"below the timber height, {timber_height_m:g} m",
    )
    needed = retained_height_m + embedment_m + freeboard_m
    courses = int(course_count(needed, timber_height_m))
    surplus = courses * timber_height_m - needed
    return WallCourses(
        courses=courses,
        wall_height_m=courses * timber_height_m,
        surplus_m=surplus,
        embedment_m=embedment_m + surplus,
        total_setback_m=(courses - 1) * setback_m,
        lean_deg=float(lean_deg(setback_m, timber_height_m)),
    )
