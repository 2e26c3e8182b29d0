"""Rectangular sections: area, section modulus, inertia, and the dressed sizes of US timbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive, Whole
from lynchet.timber.values import INCH_M, Values

Nominal = Annotated[Whole, Ge(1), Le(24)]
Condition = Literal["dry", "green", "rough"]


def area_m2(width_m: Values, depth_m: Values) -> Values:
    """A = b d."""
    return width_m * depth_m


def section_modulus_m3(width_m: Values, depth_m: Values) -> Values:
    """S = b d²/6, depth along the load."""
    return width_m * depth_m**2 / 6.0


def inertia_m4(width_m: Values, depth_m: Values) -> Values:
    """I = b d³/12, depth along the load."""
    return width_m * depth_m**3 / 12.0


def dressed_in(thickness_in: int, width_in: int, condition: Condition) -> tuple[float, float]:
    """Dressed thickness and width in inches of a nominal size.

    A one-inch side stays 3/4 in dry and 25/32 in green. Source: NDS Supplement 2018, Table 1A; PS 20
    (green inch and widths of 7 in MEMORY).
    """
    if condition == "rough":
        return float(thickness_in), float(width_in)
    if thickness_in >= 5:
        return _timber_side(thickness_in), _timber_side(width_in)
    if condition == "dry":
        thickness = 0.75 if thickness_in == 1 else thickness_in - 0.5
        return thickness, (0.75 if width_in == 1 else width_in - (0.5 if width_in <= 7 else 0.75))
    thickness = 25 / 32 if thickness_in == 1 else thickness_in - 7 / 16
    if width_in == 1:
        return thickness, 25 / 32
    return thickness, width_in - (7 / 16 if width_in <= 4 else 3 / 8 if width_in <= 7 else 0.5)


def _timber_side(nominal_in: int) -> float:
    """Side of a timber of 5 in and thicker: 1/2 in off to 6, 3/4 in to 15, 1 in from 16."""
    return nominal_in - (0.5 if nominal_in <= 6 else 0.75 if nominal_in <= 15 else 1.0)


@dataclass(frozen=True)
class TimberSize:
    """A dressed size."""

    thickness_m: float
    width_m: float
    area_m2: float
    section_modulus_m3: float
    inertia_m4: float
    board_feet: float | None = None
    volume_m3: float | None = None


def _size_steps(given: Mapping[str, Any], result: TimberSize) -> list[Step]:
    thickness, width = given["nominal_thickness_in"], given["nominal_width_in"]
    dressed = dressed_in(thickness, width, given.get("condition", "dry"))
    steps = [
        Step("thickness", f"{thickness} in nominal, {dressed[0]:g} in dressed", result.thickness_m, "m"),
        Step("width", f"{width} in nominal, {dressed[1]:g} in dressed", result.width_m, "m"),
        Step("section modulus", "thickness x width² / 6", result.section_modulus_m3, "m3"),
    ]
    if result.board_feet is not None:
        how = f"{thickness} x {width} in x {given['length_m'] / (12 * INCH_M):g} ft / 12"
        steps.append(Step("board feet", how, result.board_feet))
    return steps


@calculator(
    source="NDS Supplement 2018, Table 1A; PS 20",
    known="SEEN",
    example={"nominal_thickness_in": 6, "nominal_width_in": 6, "length_m": 2.4384},
    working=_size_steps,
    caution="Older tables give 7 1/2 in for eight-inch timbers, and yards differ: measure the timber you buy.",
)
def timber_size(
    *,
    nominal_thickness_in: Nominal,
    nominal_width_in: Nominal,
    condition: Condition = "dry",
    length_m: Positive | None = None,
) -> TimberSize:
    """Dressed size, section and board feet of a US timber by its nominal size.

    Equation: dry under 5 in thick: 1/2 in off thickness and off widths to 7 in, 3/4 in off wider ones; timbers of 5 in
    and thicker: 1/2 in off sides to 6 in, 3/4 in to 15 in, 1 in from 16 in. Green under 5 in: 7/16 in off the
    thickness; 7/16 in off widths to 4 in, 3/8 in to 7 in, 1/2 in from 8 in. Rough is nominal. S = t w²/6, I = t w³/12.

    Symbols: t thickness, w width; the axis lies across the width.

    Limits: whole inches, 1 to 24; green only under 5 in thick; a one-inch side is 3/4 in dry, 25/32 in green.
    """
    refuse_if(
        nominal_width_in < nominal_thickness_in,
        "nominal_width_in",
        f"width of {nominal_width_in} in found",
        f"not below the thickness, {nominal_thickness_in} in",
    )
    refuse_if(
        condition == "green" and nominal_thickness_in >= 5,
        "condition",
        f"green timber of {nominal_thickness_in} in found",
        "green sizes of less than 5 in thickness; timbers of 5 in and more are sold by the dry or rough size",
    )
    thickness_in, width_in = dressed_in(nominal_thickness_in, nominal_width_in, condition)
    thickness, width = thickness_in * INCH_M, width_in * INCH_M
    area = float(area_m2(thickness, width))
    return TimberSize(
        thickness_m=thickness,
        width_m=width,
        area_m2=area,
        section_modulus_m3=float(section_modulus_m3(thickness, width)),
        inertia_m4=float(inertia_m4(thickness, width)),
        board_feet=None if length_m is None else nominal_thickness_in * nominal_width_in * length_m / INCH_M / 144.0,
        volume_m3=None if length_m is None else area * length_m,
    )
