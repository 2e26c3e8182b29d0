"""Dowel-type fasteners in European practice: embedment, yield moment, the Johansen equations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.dowel_yield import governing
from lynchet.timber.values import Angle, Array, Planes, Values

Kind = Literal["nail", "nail_predrilled", "bolt"]
SINGLE = ("a", "b", "c", "d", "e", "f")
DOUBLE = ("g", "h", "j", "k")


def embedment_strength_mpa(kind: Kind, density_kg_m3: Values, diameter_m: Values, angle_deg: Values = 0.0) -> Values:
    """Embedment strength of softwood. EN 1995-1-1, Eqs 8.15, 8.16, 8.31 to 8.33 (MEMORY)."""
    mm = 1000.0 * np.asarray(diameter_m, float)
    if kind == "nail":
        driven: Values = 0.082 * density_kg_m3 * mm**-0.3
        return driven
    parallel: Array = 0.082 * (1.0 - 0.01 * mm) * density_kg_m3
    if kind == "nail_predrilled":
        return parallel
    angle = np.radians(angle_deg)
    bolt: Array = parallel / ((1.35 + 0.015 * mm) * np.sin(angle) ** 2 + np.cos(angle) ** 2)
    return bolt


def yield_moment_kn_m(diameter_m: Values, tensile_strength_mpa: Values) -> Values:
    """0.3 fu d^2.6. EN 1995-1-1, Eq. 8.30 (SEEN)."""
    return 0.3 * tensile_strength_mpa * (1000.0 * np.asarray(diameter_m, float)) ** 2.6 / 1e6


@dataclass(frozen=True)
class Embedment:
    """What a fastener of this size finds in this wood."""

    embedment_mpa: float
    yield_moment_kn_m: float


def _embedment_steps(given: Mapping[str, Any], result: Embedment) -> list[Step]:
    mm, density = 1000.0 * given["diameter_m"], given["density_kg_m3"]
    how = f"0.082 x {density:g} x {mm:g}^-0.3" if given["kind"] == "nail" else f"0.082 (1 - 0.01 x {mm:g}) {density:g}"
    steps = []
    if given["kind"] == "bolt":
        steps = [Step("k90", f"1.35 + 0.015 x {mm:g}", 1.35 + 0.015 * mm)]
        how += f" / (k90 sin² + cos²), {given.get('angle_deg', 0.0):g} degrees"
    strength = given.get("tensile_strength_mpa", 600.0)
    return [
        *steps,
        Step("embedment strength", how, result.embedment_mpa, "mpa"),
        Step("yield moment", f"0.3 x {strength:g} x {mm:g}^2.6 N mm", result.yield_moment_kn_m, "kn_m"),
    ]


@calculator(
    source="EN 1995-1-1, 8.3.1 and 8.5.1",
    known="MEMORY",
    example={"density_kg_m3": 350.0, "diameter_m": 0.012, "kind": "bolt", "angle_deg": 90.0},
    working=_embedment_steps,
)
def embedment_eu(
    *,
    density_kg_m3: Annotated[float, Ge(200), Le(900)],
    diameter_m: Positive,
    kind: Kind,
    angle_deg: Angle = 0.0,
    tensile_strength_mpa: Positive = 600.0,
) -> Embedment:
    """Embedment strength of softwood and yield moment of a nail or bolt.

    Equation: nail 0.082 ρ d^-0.3; predrilled 0.082 (1 - 0.01 d) ρ; bolt the same over k90 sin² + cos² with
    k90 = 1.35 + 0.015 d; My = 0.3 fu d^2.6 N mm.

    Symbols: ρ characteristic density kg/m³, d diameter mm, fu tensile strength MPa, angle of the load to the grain
    (counts for bolts).

    Limits: nails to 8 mm, bolts to 30 mm; softwood.
    """
    limit = 0.030 if kind == "bolt" else 0.008
    word = "bolt" if kind == "bolt" else "nail"
    refuse_if(
        diameter_m > limit,
        "diameter_m",
        f"diameter {1000 * diameter_m:g} mm of a {word} found",
        f"to {1000 * limit:g} mm",
    )
    strength = float(embedment_strength_mpa(kind, density_kg_m3, diameter_m, angle_deg))
    return Embedment(strength, float(yield_moment_kn_m(diameter_m, tensile_strength_mpa)))


@dataclass(frozen=True)
class Fastener:
    """A dowel-type fastener through two members; numbers or arrays that broadcast."""

    diameter_m: Values
    side_m: Values
    main_m: Values
    side_embedment_mpa: Values
    main_embedment_mpa: Values
    yield_moment_kn_m: Values


def johansen_kn(fastener: Fastener) -> Array:
    """Modes a to f in single shear without the rope part; last axis. EN 1995-1-1, Eq. 8.6 (MEMORY)."""
    d, t1, t2 = (1000.0 * np.asarray(v, float) for v in (fastener.diameter_m, fastener.side_m, fastener.main_m))
    f = np.asarray(fastener.side_embedment_mpa, float)
    beta, r = np.asarray(fastener.main_embedment_mpa, float) / f, t2 / t1
    moment = 1e6 * np.asarray(fastener.yield_moment_kn_m, float)
    bearing = f * t1 * d
    bend1, bend2 = moment / (f * d * t1**2), moment / (f * d * t2**2)
    c = bearing / (1 + beta) * (np.sqrt(beta + 2 * beta**2 * (1 + r + r**2) + beta**3 * r**2) - beta * (1 + r))
    tilt1 = np.sqrt(2 * beta * (1 + beta) + 4 * beta * (2 + beta) * bend1) - beta
    tilt2 = np.sqrt(2 * beta**2 * (1 + beta) + 4 * beta * (1 + 2 * beta) * bend2) - beta
    modes = (
        bearing,
        beta * f * t2 * d,
        c,
        1.05 * bearing / (2 + beta) * tilt1,
        1.05 * f * t2 * d / (1 + 2 * beta) * tilt2,
        1.15 * np.sqrt(2 * beta / (1 + beta)) * np.sqrt(2 * moment * f * d),
    )
    return np.stack(np.broadcast_arrays(*modes), axis=-1) / 1000.0


def johansen_double_kn(fastener: Fastener) -> Array:
    """Modes g, h, j, k in double shear, per plane, without the rope part; last axis. EN 1995-1-1, Eq. 8.7."""
    double: Array = johansen_kn(fastener)[..., (0, 1, 3, 5)] * np.array([1.0, 0.5, 1.0, 1.0])
    return double


def with_rope(modes_kn: Array, withdrawal_kn: Values, rope_limit_pct: Values, plain: int = 2) -> Array:
    """Add the rope part, min(withdrawal/4, limit % of the mode), to all modes but the first ``plain`` ones."""
    quarter, share = np.asarray(withdrawal_kn, float)[..., None] / 4.0, np.asarray(rope_limit_pct, float)[..., None]
    rope = np.minimum(quarter, share / 100.0 * modes_kn)
    rope[..., :plain] = 0.0
    roped: Array = modes_kn + rope
    return roped


@dataclass(frozen=True)
class JohansenLoad:
    """Characteristic load of one fastener per shear plane."""

    characteristic_kn: float
    mode: str
    modes: list[str]
    mode_kn: list[float]


def _johansen_steps(given: Mapping[str, Any], result: JohansenLoad) -> list[Step]:
    beta = given["main_embedment_mpa"] / given["side_embedment_mpa"]
    modes = zip(result.modes, result.mode_kn, strict=True)
    return [
        Step("β", f"{given['main_embedment_mpa']:.5g} / {given['side_embedment_mpa']:.5g}", beta),
        *(Step(f"mode {mode}", "with its rope part", load, "kn") for mode, load in modes),
        Step("characteristic load, the least", f"mode {result.mode}", result.characteristic_kn, "kn"),
    ]


@calculator(
    source="EN 1995-1-1, 8.2.2, Eqs 8.6 and 8.7",
    known="MEMORY",
    example={
        "diameter_m": 0.012, "side_m": 0.1, "main_m": 0.1, "side_embedment_mpa": 16.5, "main_embedment_mpa": 16.5,
        "yield_moment_kn_m": 0.0767,
    },
    working=_johansen_steps,
    caution="Characteristic: multiply by kmod and divide by the partial factor of connections before use.",
)  # fmt: skip
def dowel_yield_eu(
    *,
    diameter_m: Positive,
    side_m: Positive,
    main_m: Positive,
    side_embedment_mpa: Positive,
    main_embedment_mpa: Positive,
    yield_moment_kn_m: Positive,
    withdrawal_kn: NotNegative = 0.0,
    rope_limit_pct: Annotated[float, Ge(0), Le(100)] = 0.0,
    planes: Planes = "single",
) -> JohansenLoad:
    """Characteristic load of a nail, bolt or pin in shear by the Johansen equations.

    Equation: β = main/side embedment, r = t2/t1. a f t1 d; b β f t2 d; c f t1 d/(1 + β) [√(β + 2β²(1 + r + r²) + β³r²)
    - β(1 + r)]; d 1.05 f t1 d/(2 + β) [√(2β(1 + β) + 4β(2 + β)My/(f d t1²)) - β]; e 1.05 f t2 d/(1 + 2β) [√(2β²(1 + β)
    + 4β(1 + 2β)My/(f d t2²)) - β]; f 1.15 √(2β/(1 + β)) √(2 My f d). Double: g = a, h = b/2, j = d, k = f. To c, d, e,
    f, j, k is added min(withdrawal/4, rope limit x that value).

    Symbols: f side embedment, t1, t2 side and main length, d diameter, My yield moment.

    Limits: per shear plane. Rope limit 15 % nails, 25 % bolts, 100 % screws, 0 bars.
    """
    fastener = Fastener(diameter_m, side_m, main_m, side_embedment_mpa, main_embedment_mpa, yield_moment_kn_m)
    plain = johansen_kn(fastener) if planes == "single" else johansen_double_kn(fastener)
    loads = with_rope(plain, withdrawal_kn, rope_limit_pct)
    modes = SINGLE if planes == "single" else DOUBLE
    least = governing(loads)
    return JohansenLoad(float(loads[least]), modes[least], list(modes), loads.tolist())
