"""Tape ties: a point fixed by tapes from known bases, and a rectangle checked by its diagonals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Gt, Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import NotNegative, Positive, Words
from lynchet.ground.outlines import cross
from lynchet.ground.plan_areas import PlanPoint
from lynchet.ground.tape_fit import along_base, best_fix, crossing_angle

Array = NDArray[np.float64]
Side = Literal["left", "right"]
SLACK = 1e-9


@dataclass(frozen=True)
class TapeFix:
    """A point fixed by tapes."""

    x_m: float
    y_m: float
    residuals_m: list[float]
    crossing_deg: float
    weak: bool
    sigma_m: float | None = None


@dataclass(frozen=True)
class Squareness:
    """A four-sided frame against a rectangle."""

    true_diagonal_m: float
    difference_m: float | None = None
    corner_angles_deg: list[float] | None = None
    angle_sum_deg: float | None = None
    worst_deg: float | None = None
    offset_m: float | None = None
    verdict: Literal["square", "out of square"] | None = None


def two_tape_point(base_a: ArrayLike, base_b: ArrayLike, tape_a_m: ArrayLike, tape_b_m: ArrayLike) -> Array:
    """Points to the left of base a to base b where two tapes meet.

    Args:
        base_a: (..., 2) first bases.
        base_b: (..., 2) second bases.
        tape_a_m: (...) tapes from the first.
        tape_b_m: (...) tapes from the second.

    Returns:
        (..., 2); where the tapes do not quite reach, the nearest point of the base line.
    """
    a, b = np.asarray(base_a, dtype=float), np.asarray(base_b, dtype=float)
    ra, rb = np.asarray(tape_a_m, dtype=float), np.asarray(tape_b_m, dtype=float)
    apart = np.hypot(b[..., 0] - a[..., 0], b[..., 1] - a[..., 1])
    along = along_base(apart, ra, rb)
    off = np.sqrt(np.maximum((ra - along) * (ra + along), 0.0))
    unit = (b - a) / apart[..., None]
    left = np.stack([-unit[..., 1], unit[..., 0]], axis=-1)
    return np.asarray(a + along[..., None] * unit + off[..., None] * left, dtype=float)


def _fix_steps(given: Mapping[str, Any], result: TapeFix) -> list[Step]:
    bases, tapes = given["bases"], given["tapes_m"]
    if len(bases) == 2:
        apart = sqrt((bases[1].x_m - bases[0].x_m) ** 2 + (bases[1].y_m - bases[0].y_m) ** 2)
        along = float(along_base(apart, tapes[0], tapes[1]))
        steps = [
            Step("along the base line", f"({apart:.5g}^2 + {tapes[0]:g}^2 - {tapes[1]:g}^2)/(2 x {apart:.5g})", along,
                 "m"),
            Step("off the base line", f"sqrt({tapes[0]:g}^2 - {along:.5g}^2)",
                 sqrt(max(tapes[0] ** 2 - along**2, 0.0)), "m"),
        ]  # fmt: skip
    else:
        steps = [Step("least squares", f"smallest sum of squares of {len(tapes)} residuals", "")]
    return [
        *steps,
        Step("x", "from the first base", result.x_m, "m"),
        Step("y", "from the first base", result.y_m, "m"),
        Step("crossing angle", "of all pairs of lines, nearest 90", result.crossing_deg, "deg"),
    ]


@calculator(
    source="Open University, OpenLearn, triangulation (method); least squares of tape residuals",
    known="SEEN",
    example={
        "bases": [{"x_m": 0.0, "y_m": 0.0}, {"x_m": 10.0, "y_m": 0.0}],
        "tapes_m": [5.0, 8.062],
        "side": "left",
    },
    working=_fix_steps,
)
def tape_fix(
    *,
    bases: Annotated[list[PlanPoint], Len(2)],
    tapes_m: list[Positive],
    side: Side | None = None,
) -> TapeFix:
    """Fix a point by tapes from two or more known bases.

    Equation: two tapes, x along the base = (d^2 + r1^2 - r2^2)/(2d), offset = sqrt(r1^2 - x^2); three or more, the
    point with the smallest sum of squared residuals (tape - computed length).

    Symbols: d, distance of the two bases; r1, r2, tapes; side, of the line from base 1 to base 2; crossing, angle at
    the point between the lines to two bases, of all pairs the one nearest 90 degrees; sigma = sqrt(sum of squares/(n -
    2)).

    Limits: the side must be said for two tapes and for bases on one line (none more than 0.05 m off the line through
    bases 1 and 2); a side that is said is always obeyed. A crossing under 30 or over 150 degrees is weak.
    """
    places = np.array([[base.x_m, base.y_m] for base in bases])
    tapes = np.array(tapes_m)
    count = len(bases)
    refuse_if(len(tapes_m) != count, "tapes_m", f"{len(tapes_m)} for {count} bases", "one tape for each base")
    gaps = np.hypot(*(places[:, None, :] - places[None, :, :]).transpose(2, 0, 1)) + 2e-6 * np.eye(count)
    refuse_if(bool((gaps < 1e-6).any()), "bases", "two bases coincide", "bases 1e-6 m apart or more")
    local = places - places[0]
    unit = local[1] / np.hypot(*local[1])
    one_line = bool((np.abs(cross(unit, local)) <= 0.05 + SLACK).all())
    needs = "the side, left or right of base 1 to base 2"
    refuse_if(one_line and side is None, "side", "missing with two tapes or bases on one line", needs)
    if count == 2:
        apart = float(np.hypot(*local[1]))
        short = apart > tapes.sum() + SLACK or abs(tapes[0] - tapes[1]) > apart + SLACK
        refuse_if(short, "tapes_m", f"tapes that do not meet over {apart:g} m", "tapes that meet")
        point = two_tape_point(local[0], local[1], *tapes)
        if side == "right":
            point = 2.0 * (point @ unit) * unit - point
    else:
        fitted = best_fix(local, tapes, {"left": 1, "right": -1, None: 0}[side])
        if fitted is None:
            raise refuse("side", f"no point on the {side} fits the tapes", "the other side, or other tapes")
        point = fitted
    residuals = tapes - np.hypot(*(point - local).T)
    crossing = crossing_angle(point - local)
    return TapeFix(
        x_m=float(point[0] + places[0, 0]),
        y_m=float(point[1] + places[0, 1]),
        residuals_m=residuals.tolist(),
        crossing_deg=crossing,
        weak=not 30.0 - SLACK <= crossing <= 150.0 + SLACK,
        sigma_m=sqrt(float((residuals**2).sum()) / (count - 2)) if count > 2 else None,
    )


def corner_angle(side_a_m: ArrayLike, side_b_m: ArrayLike, opposite_m: ArrayLike) -> Array:
    """Angle between two sides, in degrees, from the length opposite it (cosine rule)."""
    a, b = np.asarray(side_a_m, dtype=float), np.asarray(side_b_m, dtype=float)
    across = np.asarray(opposite_m, dtype=float)
    return np.asarray(np.degrees(np.arccos(np.clip((a**2 + b**2 - across**2) / (2 * a * b), -1, 1))), dtype=float)


def _square_steps(given: Mapping[str, Any], result: Squareness) -> list[Step]:
    length, width = given["length_m"], given["width_m"]
    steps = [Step("true diagonal", f"sqrt({length:g}^2 + {width:g}^2)", result.true_diagonal_m, "m")]
    if result.difference_m is None or result.worst_deg is None or result.offset_m is None:
        return steps
    one, two = given["diagonal_1_m"], given["diagonal_2_m"]
    angles = ", ".join(f"{angle:.3f}" for angle in result.corner_angles_deg or [])
    return [
        *steps,
        Step("difference of the diagonals", f"{one:g} - {two:g}", result.difference_m, "m"),
        Step("largest departure from 90 degrees", f"corners {angles}", result.worst_deg, "deg"),
        Step("offset over the width", f"{width:g} x sin({result.worst_deg:.4g})", result.offset_m, "m"),
    ]


SideLength = Annotated[float, Gt(0), Words("side length")]


@calculator(
    source="3-4-5 rule (Noble Research Institute, raised-bed layout); cosine rule",
    known="SEEN",
    example={"length_m": 7.3152, "width_m": 3.6576, "diagonal_1_m": 8.185, "diagonal_2_m": 8.172},
    working=_square_steps,
)
def squareness(
    *,
    length_m: SideLength,
    width_m: SideLength,
    opposite_length_m: Annotated[float | None, Gt(0), Words("opposite side length")] = None,
    opposite_width_m: Annotated[float | None, Gt(0), Words("opposite side width")] = None,
    diagonal_1_m: float | None = None,
    diagonal_2_m: float | None = None,
    tolerance_deg: NotNegative = 0.2,
) -> Squareness:
    """Check a rectangle by its sides and both diagonals, corner by corner.

    Equation: true diagonal = sqrt(length^2 + width^2); each corner by the cosine rule from its two sides and the
    diagonal opposite it; offset = width x sin(largest departure from 90 degrees).

    Symbols: length A to B, width B to C, opposite length C to D, opposite width D to A; diagonal 1 A to C, diagonal 2 B
    to D.

    Limits: both diagonals or none. Equal diagonals alone are not enough. The four angles add up to 360 when the six
    lengths agree; away from it by more than about a degree a tape is misread, whatever the verdict.
    """
    given = (diagonal_1_m is not None) + (diagonal_2_m is not None)
    refuse_if(given == 1, "diagonals", "one found", "both diagonals or none")
    true = sqrt(length_m**2 + width_m**2)
    if diagonal_1_m is None or diagonal_2_m is None:
        return Squareness(true_diagonal_m=true)
    ab, bc = length_m, width_m
    cd = opposite_length_m if opposite_length_m is not None else ab
    da = opposite_width_m if opposite_width_m is not None else bc
    corners = [(da, ab, diagonal_2_m), (ab, bc, diagonal_1_m), (bc, cd, diagonal_2_m), (cd, da, diagonal_1_m)]
    for name, (one, two, opposite) in zip("ABCD", corners, strict=True):
        none = not abs(one - two) < opposite < one + two
        refuse_if(none, f"corner {name}", f"{one:g}, {two:g}, {opposite:g} found", "lengths that make a triangle")
    angles = corner_angle(*np.array(corners).T)
    worst = float(np.abs(angles - 90.0).max())
    return Squareness(
        true_diagonal_m=true,
        difference_m=diagonal_1_m - diagonal_2_m,
        corner_angles_deg=angles.tolist(),
        angle_sum_deg=float(angles.sum()),
        worst_deg=worst,
        offset_m=width_m * float(np.sin(np.radians(worst))),
        verdict="square" if worst <= tolerance_deg + SLACK else "out of square",
    )
