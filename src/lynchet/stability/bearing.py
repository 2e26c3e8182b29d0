"""What the ground under a wall's base can carry, on level ground and at the edge of falling ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability import bearing_factors as factors
from lynchet.stability.bearing_factors import Leaning, Three
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Friction, Numbers, deny, filled

Method = Literal["terzaghi", "meyerhof", "general", "hansen", "vesic", "undrained"]
SlopeMethod = Literal["hansen", "vesic"]
UNDRAINED = 2 + pi
"""Nc without friction (Prandtl)."""


@dataclass(frozen=True)
class Base:
    """A base in the ground; plain numbers or arrays over walls and load cases."""

    width_m: Numbers
    depth_m: Numbers
    soil_kn_m3: Numbers
    friction_deg: Numbers = 0.0
    cohesion_kpa: Numbers = 0.0
    eccentricity_m: Numbers = 0.0
    ratio: Numbers = 0.0
    """Effective width over length: 0 for a strip."""
    horizontal_kn_per_m: Numbers = 0.0
    vertical_kn_per_m: Numbers = 1.0
    water_depth_m: Numbers = np.inf
    """Below the ground."""
    square: bool = False
    """Square, for Terzaghi's own shape factors."""
    depth_factors: bool = True

    @property
    def effective_m(self) -> Array:
        """B' = B - 2 |e|."""
        return np.asarray(self.width_m - 2.0 * np.abs(self.eccentricity_m), dtype=np.float64)

    @property
    def leaning(self) -> Leaning:
        """The load as the inclination factors take it."""
        return Leaning(
            self.horizontal_kn_per_m, self.vertical_kn_per_m, self.effective_m, self.cohesion_kpa, self.ratio
        )


def _shape_depth_inclination(method: Method, base: Base, numbers: Three) -> tuple[Three, Three, Three]:
    one = factors.ones_like(np.asarray(base.effective_m) + np.asarray(base.friction_deg))
    if method == "terzaghi":
        shape = Three(1.3 * one.c, one.q, 0.8 * one.gamma) if base.square else one
        return shape, one, one
    p, width = base.friction_deg, base.effective_m
    if method == "meyerhof":
        shape, depth = factors.meyerhof_shape(p, base.ratio), factors.meyerhof_depth(p, base.depth_m, width)
    else:
        vesic = method != "hansen"
        shape = factors.hansen_shape(numbers, p, base.ratio, vesic)
        depth = factors.hansen_depth(numbers, p, factors.depth_ratio(base.depth_m, width), vesic)
    if method in ("meyerhof", "general"):
        lean = factors.meyerhof_inclination(p, base.horizontal_kn_per_m, base.vertical_kn_per_m)
    else:
        lean = one if method == "hansen" else factors.vesic_inclination(numbers, p, base.leaning)
    return shape, depth if base.depth_factors else one, lean


def numbers_of(method: Method, friction_deg: Numbers) -> Three:
    """Nc, Nq, Ngamma of a capacity method."""
    if method == "undrained":
        zero = np.zeros_like(np.asarray(friction_deg, dtype=np.float64))
        return Three(zero + UNDRAINED, zero + 1, zero)
    return factors.bearing_numbers("vesic" if method == "general" else method, friction_deg)


def ultimate_of(method: Method, base: Base, ground: Three | None = None) -> Array:
    """Ultimate bearing pressure in kPa on the effective width (kernel).

    Args:
        method: one of the capacity methods.
        base: the base; fields fit together as arrays.
        ground: ground factors and, inside ``numbers_beside_slope``, their bearing numbers; None on level ground.
    """
    cover = np.multiply(base.soil_kn_m3, base.depth_m)
    if method == "undrained":
        k = factors.depth_ratio(base.depth_m, base.effective_m) if base.depth_factors else 0.0
        share = np.divide(base.horizontal_kn_per_m, np.multiply(base.cohesion_kpa, base.effective_m))
        lean = 0.5 * (1 + np.sqrt(np.maximum(1 - share, 0.0)))
        return np.asarray(
            base.cohesion_kpa * UNDRAINED * (1 + 0.2 * np.asarray(base.ratio)) * (1 + 0.4 * k) * lean + cover
        )
    numbers = numbers_of(method, base.friction_deg)
    s, d, i = _shape_depth_inclination(method, base, numbers)
    w = factors.water_factors(base.water_depth_m, base.width_m, base.depth_m)
    g = factors.ones_like(numbers.c) if ground is None else ground
    of_c = base.cohesion_kpa * numbers.c * s.c * d.c * i.c * g.c
    of_q = cover * numbers.q * s.q * d.q * i.q * w.q * g.q
    of_width = 0.5 * np.multiply(base.soil_kn_m3, base.effective_m) * numbers.gamma
    return np.asarray(of_c + of_q + of_width * s.gamma * d.gamma * i.gamma * w.gamma * g.gamma)


def beside_slope_of(method: SlopeMethod, base: Base, slope_deg: Numbers) -> Array:
    """Ultimate pressure in kPa of a strip at the edge of falling ground, vertical load (kernel)."""
    ground = factors.ground_factors(method, slope_deg)
    value = ultimate_of(method, base, ground)
    if method == "hansen":
        return value
    # Vesic: in clay (friction 0) the falling ground takes Ngamma down to -2 sin(slope).
    smooth = np.asarray(base.friction_deg, dtype=np.float64) <= SLACK
    lost = np.multiply(base.soil_kn_m3, base.effective_m) * np.sin(np.radians(slope_deg)) * ground.gamma
    return np.asarray(value - np.where(smooth, lost, 0.0))


@dataclass(frozen=True)
class BearingCapacity:
    """Ultimate pressure on the effective width, and the factors used."""

    ultimate_kpa: float
    effective_width_m: float
    n_c: float
    n_q: float
    n_gamma: float


@dataclass(frozen=True)
class SlopeBearing:
    """Ultimate pressure at the edge of a slope, beside that on level ground."""

    ultimate_kpa: float
    level_kpa: float
    g_c: float
    g_q: float
    g_gamma: float


def _steps(given: Mapping[str, Any], result: BearingCapacity) -> list[Step]:
    a = filled(bearing_capacity, given)
    c, d, g = a["cohesion_kpa"], a["depth_m"], a["unit_weight_kn_m3"]
    factor = (
        "c (2 + pi) sc dc ic + g D"
        if a["method"] == "undrained"
        else "c Nc s d i + g D Nq s d i w + half g B' Ng s d i w"
    )
    return [
        Step("effective width B'", f"{a['width_m']:g} - 2 x |{a['eccentricity_m']:g}|", result.effective_width_m, "m"),
        Step("Nc", f"{a['method']}, friction {a['friction_angle_deg']:g}°", result.n_c),
        Step("Nq", "", result.n_q),
        Step("Ngamma", "", result.n_gamma),
        Step("ultimate pressure", f"{factor}; c = {c:g}, g = {g:g}, D = {d:g}", result.ultimate_kpa, "kpa"),
    ]


def _deny_load(method: Method, base: Base, vertical: float | None) -> None:
    push, c = float(base.horizontal_kn_per_m), float(base.cohesion_kpa)
    grip = c * float(base.effective_m)
    key = "horizontal_kn_per_m"
    if method == "undrained":
        deny(float(base.friction_deg) > 0, "friction_angle_deg", "undrained takes cohesion only", "0")
        deny(c <= 0, "cohesion_kpa", f"{c:g} found", "above 0 for undrained")
        deny(push > grip * (1 + SLACK), key, f"{push:g} found, above cohesion x effective width", f"up to {grip:g}")
    elif push > 0:
        no = method in ("terzaghi", "hansen")
        deny(no, key, f"{method} takes no inclination", "0, or meyerhof, general or vesic")
        deny(not vertical, "vertical_kn_per_m", "missing, but inclination needs it", "the vertical force, above 0")
        held = (vertical or 0.0) * float(np.tan(np.radians(base.friction_deg))) + grip
        beyond = method == "vesic" and push > held * (1 + SLACK)
        deny(beyond, key, f"inclination: {push:g} found, the base slides first", f"up to V tan p + c B' = {held:g}")


def _length_over(shape: str, width_m: float, length_m: float | None) -> float:
    """Length to divide the effective width by."""
    if shape != "rectangle":
        deny(length_m is not None, "length_m", f"{length_m} found", "left out unless the shape is a rectangle")
        return width_m if shape == "square" else np.inf
    deny(length_m is None, "length_m", "missing", "the length of the rectangle")
    length = length_m or 0.0
    deny(length < width_m, "length_m", f"{length:g} found", f"the width or more, {width_m:g}")
    return length


def _deny_eccentric(eccentricity_m: float, width_m: float) -> None:
    outside = abs(eccentricity_m) >= width_m / 2 - SLACK * width_m
    deny(outside, "eccentricity_m", f"{eccentricity_m:g} found", f"within half the width, {width_m / 2:g}, either way")


@calculator(
    source="Terzaghi, Meyerhof 1963, Hansen 1970, Vesic 1973, NZ Building Code B1/VM4; FHWA GEC 6 Eqs 5-10, 5-11",
    known="SEEN",
    example={
        "method": "vesic",
        "width_m": 0.6,
        "depth_m": 0.3,
        "unit_weight_kn_m3": 18.0,
        "friction_angle_deg": 30.0,
        "horizontal_kn_per_m": 4.0,
        "vertical_kn_per_m": 20.0,
    },
    working=_steps,
    caution=WALL_CAUTION + " Divide the ultimate pressure by 2 to 3; beside a slope use bearing_beside_slope.",
)
def bearing_capacity(
    *,
    method: Method,
    width_m: Positive,
    depth_m: NotNegative,
    unit_weight_kn_m3: Positive,
    friction_angle_deg: Friction = 0.0,
    cohesion_kpa: NotNegative = 0.0,
    shape: Literal["strip", "square", "rectangle"] = "strip",
    length_m: Positive | None = None,
    eccentricity_m: float = 0.0,
    horizontal_kn_per_m: NotNegative = 0.0,
    vertical_kn_per_m: NotNegative | None = None,
    water_depth_m: NotNegative | None = None,
    depth_factors: bool = True,
) -> BearingCapacity:
    """Ultimate pressure the ground under a base can carry, by six methods.

    Equation: q = c Nc sc dc ic + g D Nq sq dq iq wq + half g B' Ng sg dg ig wg on the effective width B' = B - 2 |e|;
    undrained q = c (2 + pi)(1 + 0.2 r)(1 + 0.4 k) half (1 + sqrt(1 - H/(c B'))) + g D.

    Symbols: c cohesion, g unit weight, D depth of the base, N bearing, s shape, d depth, i inclination, w water
    factors, r = B' over length (0 for a strip), k = D/B' (its arctangent beyond 1), H, V forces per metre of length.

    Limits: level ground on both sides. `depth_factors` false where the soil in front may be dug; the depth is the least
    cover that always stays. Undrained ignores the water. Terzaghi and Hansen here take no inclined load.
    """
    _deny_eccentric(eccentricity_m, width_m)
    deny(method == "terzaghi" and shape == "rectangle", "shape", "terzaghi has no rectangle", "strip or square")
    length = _length_over(shape, width_m, length_m)
    base = Base(
        width_m,
        depth_m,
        unit_weight_kn_m3,
        friction_angle_deg,
        cohesion_kpa,
        eccentricity_m,
        ratio=(width_m - 2 * abs(eccentricity_m)) / length,
        horizontal_kn_per_m=horizontal_kn_per_m,
        vertical_kn_per_m=vertical_kn_per_m or 1.0,
        water_depth_m=np.inf if water_depth_m is None else water_depth_m,
        square=shape == "square",
        depth_factors=depth_factors,
    )
    _deny_load(method, base, vertical_kn_per_m)
    n = numbers_of(method, friction_angle_deg)
    return BearingCapacity(
        float(ultimate_of(method, base)), float(base.effective_m), float(n.c), float(n.q), float(n.gamma)
    )


def _slope_steps(given: Mapping[str, Any], result: SlopeBearing) -> list[Step]:
    a = filled(bearing_beside_slope, given)
    s = a["ground_slope_deg"]
    power = "(1 - tan(s)/2)⁵" if a["method"] == "hansen" else "(1 - tan s)²"
    return [
        Step("ground factor of cohesion", f"1 - {s:g}/147", result.g_c),
        Step("ground factor of cover and width", f"{power}, s = {s:g}°", result.g_q),
        Step("on level ground", f"{a['method']}, strip, vertical load", result.level_kpa, "kpa"),
        Step("at the edge of the slope", "each term times its ground factor", result.ultimate_kpa, "kpa"),
    ]


@calculator(
    source="Hansen 1970 and Vesic 1973 ground factors, as in a course table after Bowles, Table 4-5",
    known="SEEN",
    example={
        "method": "hansen",
        "ground_slope_deg": 20.0,
        "width_m": 0.6,
        "depth_m": 0.3,
        "unit_weight_kn_m3": 18.0,
        "friction_angle_deg": 30.0,
    },
    working=_slope_steps,
    caution=WALL_CAUTION + " The slope as a whole is checked apart (slip_search).",
)
def bearing_beside_slope(
    *,
    method: SlopeMethod,
    ground_slope_deg: Annotated[float, Ge(0), Le(45)],
    width_m: Positive,
    depth_m: NotNegative,
    unit_weight_kn_m3: Positive,
    friction_angle_deg: Friction = 0.0,
    cohesion_kpa: NotNegative = 0.0,
    eccentricity_m: float = 0.0,
    depth_factors: bool = True,
) -> SlopeBearing:
    """Ultimate pressure under a strip at the edge of ground that falls away.

    Equation: q = c Nc dc gc + g D Nq dq gq + half g B' Ng gg; gc = 1 - slope/147; hansen gq = gg = (1 - half tan
    slope)⁵; vesic gq = gg = (1 - tan slope)², and Ng = -2 sin slope at friction 0.

    Symbols: as in bearing_capacity; slope of the falling ground in degrees.

    Limits: strip, vertical load. No credit for a setback: beyond about 4 widths (recalled) use the level value, between
    do not interpolate. Overall stability is checked apart.
    """
    p, slope = friction_angle_deg, ground_slope_deg
    _deny_eccentric(eccentricity_m, width_m)
    deny(p > 0 and slope > p + SLACK, "ground_slope_deg", f"slope {slope:g} found", f"up to the friction angle, {p:g}")
    deny(p == 0 and cohesion_kpa == 0, "cohesion_kpa", "0 found", "above 0 where the friction angle is 0")
    base = Base(width_m, depth_m, unit_weight_kn_m3, p, cohesion_kpa, eccentricity_m, depth_factors=depth_factors)
    ultimate = float(beside_slope_of(method, base, slope))
    deny(ultimate <= 0, "ground_slope_deg", f"slope {slope:g} leaves no bearing: {ultimate:.4g} kPa", "flatter ground")
    g = factors.ground_factors(method, slope)
    return SlopeBearing(ultimate, float(ultimate_of(method, base)), float(g.c), float(g.q), float(g.gamma))
