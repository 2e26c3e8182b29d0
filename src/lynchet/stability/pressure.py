"""Lateral earth pressure coefficients: active, passive, at rest, with earthquake.

In the equations p is the friction angle, d the wall friction, b the backslope, t = -lean (positive lean leans the wall
back into the fill), s the seismic angle. Kernels take degrees, plain numbers or arrays, and check nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Backslope, Friction, Lean, Numbers, deny, filled

_RAD = np.pi / 180.0
_FLAT_RATIO = 0.4
"""Above this ratio of wall friction to friction angle a plane passive surface is on the unsafe side (UFC 3-220-20)."""


def _rankine_root(friction_deg: Numbers, backslope_deg: Numbers) -> tuple[Array, Array]:
    b = np.radians(backslope_deg)
    cos_b = np.cos(b)
    return cos_b, np.sqrt(np.maximum(cos_b**2 - np.cos(np.radians(friction_deg)) ** 2, 0.0))


def rankine_active(friction_deg: Numbers, backslope_deg: Numbers = 0.0) -> Array:
    """Ka on a vertical plane, thrust parallel to the ground; backslope 0 to friction. UFC 3-220-20 Eqs 4-3 to 4-7."""
    cos_b, r = _rankine_root(friction_deg, backslope_deg)
    return cos_b * (cos_b - r) / (cos_b + r)


def coulomb_active(
    friction_deg: Numbers,
    wall_friction_deg: Numbers = 0.0,
    backslope_deg: Numbers = 0.0,
    lean_deg: Numbers = 0.0,
    seismic_deg: Numbers = 0.0,
) -> Array:
    """Ka of a plane wedge; with a seismic angle the Mononobe-Okabe KAE. UFC 3-220-20 Eqs 4-8 to 4-10, 4-15."""
    p, d, b, s = friction_deg * _RAD, wall_friction_deg * _RAD, backslope_deg * _RAD, seismic_deg * _RAD
    t = -lean_deg * _RAD
    on_wall = np.cos(t + d + s)
    inside = np.sin(p + d) * np.maximum(np.sin(p - b - s), 0.0) / (on_wall * np.cos(t - b))
    top, tilt = np.cos(p - t - s), np.cos(t)
    return np.asarray(top * top / (np.cos(s) * tilt * tilt * on_wall * (1.0 + np.sqrt(inside)) ** 2))


def rankine_passive(friction_deg: Numbers, backslope_deg: Numbers = 0.0) -> Array:
    """Kp on a vertical plane, backslope 0 to friction. UFC 3-220-20 chapter 4."""
    cos_b, r = _rankine_root(friction_deg, backslope_deg)
    return np.asarray(cos_b * (cos_b + r) / (cos_b - r))


def coulomb_passive_root(friction_deg: Numbers, wall_friction_deg: Numbers, backslope_deg: Numbers) -> Array:
    """The root in Coulomb's passive denominator; there is no solution where it reaches 1."""
    p, d, b = (np.radians(value) for value in (friction_deg, wall_friction_deg, backslope_deg))
    return np.asarray(np.sqrt(np.maximum(np.sin(p + d) * np.sin(p + b), 0.0) / (np.cos(d) * np.cos(b))))


def coulomb_passive(friction_deg: Numbers, wall_friction_deg: Numbers = 0.0, backslope_deg: Numbers = 0.0) -> Array:
    """Kp of a plane wedge, vertical face. UFC 3-220-20 Eq. 4-11."""
    p, d = np.radians(friction_deg), np.radians(wall_friction_deg)
    root = coulomb_passive_root(friction_deg, wall_friction_deg, backslope_deg)
    return np.asarray(np.cos(p) ** 2 / (np.cos(d) * (1.0 - root) ** 2))


def log_spiral_passive(friction_deg: Numbers, wall_friction_deg: Numbers = 0.0) -> Array:
    """Kp of a curved surface, level ground. UFC 3-220-20 Eq. 4-12."""
    sin_p = np.sin(np.radians(friction_deg))
    level = (1.0 + sin_p) / (1.0 - sin_p)
    return level * np.exp(np.divide(wall_friction_deg, friction_deg) * 1.443 * sin_p * np.log(level))


def at_rest(friction_deg: Numbers, overconsolidation_ratio: Numbers = 1.0) -> Array:
    """K0 = (1 - sin p) OCR^(sin p). UFC 3-220-20 Eq. 4-2."""
    sin_p = np.sin(np.radians(friction_deg))
    return (1.0 - sin_p) * np.power(overconsolidation_ratio, sin_p)


def seismic_angle(horizontal_coefficient: Numbers, vertical_coefficient: Numbers = 0.0) -> Array:
    """Angle in degrees of the shaken weight from the vertical, kv upward positive."""
    return np.degrees(np.arctan(np.divide(horizontal_coefficient, np.subtract(1.0, vertical_coefficient))))


@dataclass(frozen=True)
class Coefficient:
    """An active pressure coefficient and the direction of its thrust."""

    coefficient: float
    thrust_angle_deg: float
    """Down from the horizontal, as it acts on the wall."""


@dataclass(frozen=True)
class PassiveCoefficient:
    """A passive pressure coefficient and the direction of its thrust."""

    coefficient: float
    thrust_angle_deg: float
    overestimates: bool
    """True where the plane surface gives too much: use the log spiral."""


@dataclass(frozen=True)
class PlainCoefficient:
    """One coefficient."""

    coefficient: float


@dataclass(frozen=True)
class SeismicCoefficient:
    """Active coefficient under shaking, and what the shaking adds."""

    coefficient: float
    seismic_angle_deg: float
    static_coefficient: float
    increment_coefficient: float


def _active_steps(given: Mapping[str, Any], result: Coefficient) -> list[Step]:
    a = filled(active_coefficient, given)
    p, b, d, lean = a["friction_angle_deg"], a["backslope_deg"], a["wall_friction_deg"], a["lean_deg"]
    if a["method"] == "rankine":
        cos_b, r = (float(value) for value in _rankine_root(p, b))
        return [
            Step("root r", f"r = sqrt(cos²b - cos²p) = sqrt(cos²{b:g}° - cos²{p:g}°)", r),
            Step(
                "active coefficient Ka", f"Ka = cos b (cos b - r)/(cos b + r), cos b = {cos_b:.5f}", result.coefficient
            ),
            Step("thrust angle", "parallel to the ground", result.thrust_angle_deg, "deg"),
        ]
    t = -lean
    top = float(np.sin(np.radians(p + d)) * np.sin(np.radians(p - b)))
    low = float(np.cos(np.radians(t + d)) * np.cos(np.radians(t - b)))
    return [
        Step(
            "what stands under the root",
            f"sin(p + d) sin(p - b)/(cos(t + d) cos(t - b)), p = {p:g}°, d = {d:g}°, b = {b:g}°, t = -lean = {t:g}°",
            top / low,
        ),
        Step(
            "active coefficient Ka",
            f"Ka = cos²(p - t)/(cos²t cos(t + d) (1 + sqrt({top / low:.5f}))²)",
            result.coefficient,
        ),
        Step("thrust angle", f"wall friction - lean = {d:g}° - {lean:g}°", result.thrust_angle_deg, "deg"),
    ]


@calculator(
    source="UFC 3-220-20, Foundations and Earth Structures, 2025, Eqs 4-3 to 4-10 (Rankine, Coulomb)",
    known="SEEN",
    example={"friction_angle_deg": 30.0, "method": "coulomb", "wall_friction_deg": 20.0},
    working=_active_steps,
    caution=WALL_CAUTION,
)
def active_coefficient(
    *,
    friction_angle_deg: Friction,
    method: Literal["rankine", "coulomb"] = "rankine",
    backslope_deg: Backslope = 0.0,
    wall_friction_deg: Friction = 0.0,
    lean_deg: Lean = 0.0,
) -> Coefficient:
    """Active earth pressure coefficient Ka by Rankine or Coulomb.

    Equation: Rankine Ka = cos b (cos b - r)/(cos b + r), r = sqrt(cos²b - cos²p). Coulomb
    Ka = cos²(p - t)/(cos²t cos(t + d) (1 + sqrt(sin(p + d) sin(p - b)/(cos(t + d) cos(t - b))))²).

    Symbols: p friction angle of the soil, b slope of the ground behind, d friction between soil and wall, t = -lean
    (lean positive where the wall leans back into the fill). The thrust per metre is half Ka, unit weight, height
    squared; for Rankine the height is that of the vertical plane through the heel.

    Limits: drained soil without cohesion. The ground behind must not be steeper than the friction angle. Rankine takes
    no wall friction, no lean and no ground falling away.
    """
    deny(
        backslope_deg > friction_angle_deg,
        "backslope_deg",
        f"{backslope_deg:g} found",
        f"up to the friction angle, {friction_angle_deg:g}",
    )
    deny(
        wall_friction_deg > friction_angle_deg,
        "wall_friction_deg",
        f"{wall_friction_deg:g} found",
        f"0 up to the friction angle, {friction_angle_deg:g}",
    )
    if method == "coulomb":
        value = coulomb_active(friction_angle_deg, wall_friction_deg, backslope_deg, lean_deg)
        return Coefficient(float(value), wall_friction_deg - lean_deg)
    deny(backslope_deg < 0, "backslope_deg", f"{backslope_deg:g} found", "0 or more with rankine; use coulomb")
    deny(wall_friction_deg != 0, "wall_friction_deg", "rankine takes no wall friction", "0, or coulomb")
    deny(lean_deg != 0, "lean_deg", "rankine takes no lean", "0, or coulomb")
    return Coefficient(float(rankine_active(friction_angle_deg, backslope_deg)), backslope_deg)


def _passive_steps(given: Mapping[str, Any], result: PassiveCoefficient) -> list[Step]:
    a = filled(passive_coefficient, given)
    p, b, d = a["friction_angle_deg"], a["backslope_deg"], a["wall_friction_deg"]
    how = {
        "rankine": f"Kp = cos b (cos b + r)/(cos b - r), r = sqrt(cos²b - cos²p), p = {p:g}°, b = {b:g}°",
        "coulomb": f"Kp = cos²p/(cos d (1 - root)²), root = {float(coulomb_passive_root(p, d, b)):.5f}, d = {d:g}°",
        "log_spiral": f"Kp = KR exp((d/p) 1.443 sin p ln KR), KR = {float(rankine_passive(p)):.5f}, d = {d:g}°",
    }[a["method"]]
    return [
        Step("passive coefficient Kp", how, result.coefficient),
        Step("thrust angle", "down from the horizontal, on the wall", result.thrust_angle_deg, "deg"),
    ]


@calculator(
    source="UFC 3-220-20, Foundations and Earth Structures, 2025, Eqs 4-11 and 4-12 (Rankine, Coulomb, log spiral)",
    known="SEEN",
    example={"friction_angle_deg": 30.0},
    working=_passive_steps,
    caution=WALL_CAUTION + " Full passive pressure needs the wall to move; count it only in ground that stays.",
)
def passive_coefficient(
    *,
    friction_angle_deg: Friction,
    method: Literal["rankine", "coulomb", "log_spiral"] = "rankine",
    backslope_deg: Annotated[float, Ge(-45), Le(45)] = 0.0,
    wall_friction_deg: Friction = 0.0,
) -> PassiveCoefficient:
    """Passive earth pressure coefficient Kp by Rankine, Coulomb or log spiral.

    Equation: Rankine Kp = cos b (cos b + r)/(cos b - r); Coulomb on a vertical face
    Kp = cos²p/(cos d (1 - sqrt(sin(p + d) sin(p + b)/(cos d cos b)))²); log spiral
    Kp = KR exp((d/p) 1.443 sin p ln KR), KR = (1 + sin p)/(1 - sin p).

    Symbols: p friction angle, b slope of the ground in front (rising positive), d wall friction.

    Limits: the flag `overestimates` is true for Coulomb with d/p above 0.4: a plane surface is then unsafe. The log
    spiral takes level ground only.
    """
    p, b, d = friction_angle_deg, backslope_deg, wall_friction_deg
    deny(abs(b) > p, "backslope_deg", f"{b:g} found", f"not beyond the friction angle, {p:g}, either way")
    deny(d > p, "wall_friction_deg", f"{d:g} found", f"0 up to the friction angle, {p:g}")
    if method == "rankine":
        deny(d != 0, "wall_friction_deg", "rankine takes no wall friction", "0, or another method")
        deny(b < 0, "backslope_deg", f"{b:g} found", "0 or more with rankine; use coulomb")
        return PassiveCoefficient(float(rankine_passive(p, b)), b, False)
    if method == "coulomb":
        root = float(coulomb_passive_root(p, d, b))
        deny(root >= 1 - 1e-12, "friction_angle_deg", "no solution for these angles", "less wall friction or slope")
        return PassiveCoefficient(float(coulomb_passive(p, d, b)), -d, d > _FLAT_RATIO * p + SLACK)
    deny(b != 0, "backslope_deg", "log_spiral takes level ground only", "0, or another method")
    deny(p == 0, "friction_angle_deg", "0 found", "above 0 with log_spiral")
    return PassiveCoefficient(float(log_spiral_passive(p, d)), -d, False)


@calculator(
    source="UFC 3-220-20, Foundations and Earth Structures, 2025, Eq. 4-2",
    known="SEEN",
    example={"friction_angle_deg": 30.0, "overconsolidation_ratio": 2.0},
    caution=WALL_CAUTION,
)
def at_rest_coefficient(
    *, friction_angle_deg: Friction, overconsolidation_ratio: Annotated[float, Ge(1)] = 1.0
) -> PlainCoefficient:
    """At-rest earth pressure coefficient K0.

    Equation: K0 = (1 - sin p) OCR^(sin p).

    Symbols: p friction angle, OCR overconsolidation ratio (greatest past load over the present one).

    Limits: level ground, no movement of the wall.
    """
    return PlainCoefficient(float(at_rest(friction_angle_deg, overconsolidation_ratio)))


def _seismic_steps(given: Mapping[str, Any], result: SeismicCoefficient) -> list[Step]:
    a = filled(seismic_active_coefficient, given)
    kh, kv = a["horizontal_coefficient"], a["vertical_coefficient"]
    return [
        Step("seismic angle s", f"atan(kh/(1 - kv)) = atan({kh:g}/(1 - {kv:g}))", result.seismic_angle_deg, "deg"),
        Step("coefficient KAE", "Mononobe-Okabe, Coulomb's wedge turned by s", result.coefficient),
        Step("static coefficient KA", "Coulomb, no shaking", result.static_coefficient),
        Step("increment", f"(1 - {kv:g}) KAE - KA", result.increment_coefficient),
    ]


@calculator(
    source="UFC 3-220-20, Foundations and Earth Structures, 2025, Eqs 4-15 and 4-16 (Mononobe-Okabe)",
    known="SEEN",
    example={"friction_angle_deg": 32.0, "horizontal_coefficient": 0.1, "wall_friction_deg": 16.0},
    working=_seismic_steps,
    caution=WALL_CAUTION,
)
def seismic_active_coefficient(
    *,
    friction_angle_deg: Friction,
    horizontal_coefficient: Annotated[float, Ge(0), Le(1)],
    vertical_coefficient: Annotated[float, Ge(-0.5), Le(0.5)] = 0.0,
    wall_friction_deg: Friction = 0.0,
    backslope_deg: Backslope = 0.0,
    lean_deg: Lean = 0.0,
) -> SeismicCoefficient:
    """Active earth pressure coefficient with earthquake by Mononobe and Okabe.

    Equation: s = atan(kh/(1 - kv)); KAE = cos²(p - t - s)/(cos s cos²t cos(t + d + s)
    (1 + sqrt(sin(p + d) sin(p - b - s)/(cos(t + d + s) cos(t - b))))²); increment = (1 - kv) KAE - KA.

    Symbols: kh, kv shares of gravity (kv upward positive, lightens the soil), otherwise as in active_coefficient. The
    thrust per metre is half (1 - kv) KAE, unit weight, height squared.

    Limits: no solution where the friction angle is below backslope + s, or wall friction - lean + s reaches 90°.
    """
    p, d = friction_angle_deg, wall_friction_deg
    deny(d > p, "wall_friction_deg", f"{d:g} found", f"0 up to the friction angle, {p:g}")
    s = float(seismic_angle(horizontal_coefficient, vertical_coefficient))
    limit = "a flatter backslope or less shaking"
    deny(
        p < backslope_deg + s - SLACK, "backslope_deg", f"no solution: {backslope_deg:g} + {s:.2f} exceeds {p:g}", limit
    )
    deny(d - lean_deg + s >= 90, "lean_deg", f"no solution: {d:g} - {lean_deg:g} + {s:.2f} reaches 90", limit)
    shaken = float(coulomb_active(p, d, backslope_deg, lean_deg, s))
    still = float(coulomb_active(p, d, backslope_deg, lean_deg))
    return SeismicCoefficient(shaken, s, still, (1 - vertical_coefficient) * shaken - still)
