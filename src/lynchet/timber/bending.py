"""Bending, shear, bearing and sag of a rectangular timber under a spread and a point load."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from annotated_types import Gt, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import ByValue, NotNegative, Positive
from lynchet.timber.beams import (
    Loading,
    Support,
    bearing_stress_mpa,
    bending_stress_mpa,
    forces,
    sag_m,
    shear_stress_mpa,
)
from lynchet.timber.sections import area_m2, inertia_m4, section_modulus_m3

Crack = Annotated[float, Gt(0), Le(1)]


@dataclass(frozen=True)
class Member:
    """What the loads do to a member."""

    moment_kn_m: float
    shear_kn: float
    reaction_kn: float
    """The largest of one support."""
    bending_stress_mpa: float
    shear_stress_mpa: float
    area_m2: float
    section_modulus_m3: float
    bearing_stress_mpa: float | None = None
    deflection_m: float | None = None
    bending_ratio: float | None = None
    """Stress over strength; above 1 is too weak."""
    shear_ratio: float | None = None
    bearing_ratio: float | None = None


def _member_steps(given: Mapping[str, Any], result: Member) -> list[Step]:
    span, support = given["span_m"], given.get("support", "simple")
    line, point = given.get("line_load_kn_per_m", 0.0), given.get("point_load_kn", 0.0)
    loads = f"{support}, span {span:g} m, {line:g} kN/m and {point:g} kN"
    crack = given.get("crack_factor", 1.0)
    steps = [
        Step("largest moment M", loads, result.moment_kn_m, "kn_m"),
        Step("largest shear V", "at the support", result.shear_kn, "kn"),
        Step("section modulus S", f"{given['width_m']:g} x {given['depth_m']:g}² / 6", result.section_modulus_m3, "m3"),
        Step("bending stress", "M / S", result.bending_stress_mpa, "mpa"),
        Step("shear stress", f"1.5 V / ({crack:g} x A), A = {result.area_m2:.6g} m²", result.shear_stress_mpa, "mpa"),
    ]
    optional = [
        ("bearing stress", "largest reaction / (width x bearing length)", result.bearing_stress_mpa, "mpa"),
        ("sag under these loads", "immediate; soil keeps pressing, so allow more", result.deflection_m, "m"),
        ("bending, stress over strength", "1 is the limit", result.bending_ratio, ""),
        ("shear, stress over strength", "1 is the limit", result.shear_ratio, ""),
        ("bearing, stress over strength", "1 is the limit", result.bearing_ratio, ""),
    ]
    return steps + [Step(what, how, value, unit) for what, how, value, unit in optional if value is not None]


@calculator(
    source="Statics; NDS 2018, 3.4.2 (shear at the support); EN 1995-1-1, 6.1.7 (crack factor)",
    known="DERIVED",
    example={
        "span_m": 1.2, "width_m": 0.1397, "depth_m": 0.1397, "support": "continuous", "line_load_kn_per_m": 5.0,
        "bending_strength_mpa": 5.27, "shear_strength_mpa": 1.02, "modulus_mpa": 8274.0,
    },
    working=_member_steps,
    caution="A ratio above 1 means the timber is too weak. Walls that hold a load, or more than local rules allow, "
    "need a licensed engineer.",
)  # fmt: skip
def member_check(
    *,
    span_m: Positive,
    width_m: Positive,
    depth_m: Positive,
    support: Support = "simple",
    spans: Annotated[Literal[2, 3, 4], ByValue()] = 3,
    line_load_kn_per_m: NotNegative = 0.0,
    point_load_kn: NotNegative = 0.0,
    point_at_m: NotNegative | None = None,
    bearing_length_m: Positive | None = None,
    modulus_mpa: Positive | None = None,
    shear_modulus_mpa: Positive | None = None,
    crack_factor: Crack = 1.0,
    bending_strength_mpa: Positive | None = None,
    shear_strength_mpa: Positive | None = None,
    bearing_strength_mpa: Positive | None = None,
) -> Member:
    """Bending, shear, bearing and sag of a rectangular timber.

    Equation: simple: reactions by statics, M the largest anywhere, sag at mid-span 5wL⁴/384EI + P c(3L² - 4c²)/48EI,
    with the shear modulus + 1.2 M(mid)/GA. Cantilever: V = wL + P, M = wL²/2 + P a, tip wL⁴/8EI + P a²(3L - a)/6EI.
    Continuous over equal spans, all loaded: tabulated fractions of wL², wL, wL⁴/EI. Bending M/S, shear
    1.5 V/(kcr A), bearing R/(b lb).

    Symbols: w line load, P point load, a its place (from the fixed end of a cantilever; mid-span when not given),
    c its smaller distance to a support, L span, E modulus, G shear modulus, A = b d, S = b d²/6, I = b d³/12, b width
    across the load, d depth along it, kcr crack factor, lb bearing length.

    Limits: shear is taken at the support. Deflections are immediate: under soil US practice doubles them for wet or
    unseasoned wood and takes 1.5 times for seasoned dry wood (NDS 2018, 3.5.2); EN 1995 uses the final modulus. A wall
    piece counts its own spans only, it is not continuous across a butt joint.
    """
    at = span_m / 2.0 if point_at_m is None else point_at_m
    _refuse_loads(support, span_m, (line_load_kn_per_m, point_load_kn, at))
    refuse_if(
        bearing_strength_mpa is not None and bearing_length_m is None,
        "bearing_length_m",
        "bearing length missing",
        "needed with a bearing strength",
    )
    loading = Loading(support, spans, span_m, line_load_kn_per_m, point_load_kn, at)
    found = forces(loading)
    bending = float(bending_stress_mpa(found.moment_kn_m, width_m, depth_m))
    shear = float(shear_stress_mpa(found.shear_kn, width_m, depth_m, crack_factor))
    bearing = None
    if bearing_length_m is not None:
        bearing = float(bearing_stress_mpa(found.reaction_kn, width_m, bearing_length_m))
    return Member(
        moment_kn_m=float(found.moment_kn_m),
        shear_kn=float(found.shear_kn),
        reaction_kn=float(found.reaction_kn),
        bending_stress_mpa=bending,
        shear_stress_mpa=shear,
        area_m2=float(area_m2(width_m, depth_m)),
        section_modulus_m3=float(section_modulus_m3(width_m, depth_m)),
        bearing_stress_mpa=bearing,
        deflection_m=_sag_m(loading, (width_m, depth_m), modulus_mpa, shear_modulus_mpa),
        bending_ratio=_ratio(bending, bending_strength_mpa),
        shear_ratio=_ratio(shear, shear_strength_mpa),
        bearing_ratio=_ratio(bearing, bearing_strength_mpa),
    )


def _ratio(stress: float | None, strength: float | None) -> float | None:
    return None if stress is None or strength is None else stress / strength


def _refuse_loads(support: Support, span_m: float, loads: tuple[float, float, float]) -> None:
    line, point, at = loads
    refuse_if(line == 0 and point == 0, "line_load_kn_per_m", "no load found", "a line or point load")
    continuous = support == "continuous" and point > 0
    refuse_if(continuous, "point_load_kn", "point load on a continuous member found", "a line load alone")
    refuse_if(at > span_m, "point_at_m", f"point at {at:g} m found", f"0 to the span, {span_m:g} m")


def _sag_m(
    loading: Loading, section: tuple[float, float], modulus_mpa: float | None, shear_modulus_mpa: float | None
) -> float | None:
    if modulus_mpa is None:
        return None
    shear = None if shear_modulus_mpa is None else 1000.0 * shear_modulus_mpa * area_m2(*section)
    return float(sag_m(loading, 1000.0 * modulus_mpa * inertia_m4(*section), shear))
