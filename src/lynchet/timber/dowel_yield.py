"""Pins, bolts, lag screws and nails in shear: the yield limit equations of United States practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.values import NEAR, Angle, Array, Planes, Values, inches

SINGLE = ("Im", "Is", "II", "IIIm", "IIIs", "IV")
DOUBLE = ("Im", "Is", "IIIs", "IV")
_DOUBLE_AT = (0, 1, 4, 5)


@dataclass(frozen=True)
class Dowel:
    """A dowel through two members; numbers or arrays that broadcast."""

    diameter_m: Values
    """Root diameter where threads bear."""
    main_length_m: Values
    side_length_m: Values
    main_bearing_mpa: Values
    side_bearing_mpa: Values
    yield_strength_mpa: Values
    gap_m: Values = 0.0


def yield_modes_kn(dowel: Dowel) -> Array:
    """Yield load of the six modes in single shear before reduction; modes (``SINGLE``) on the last axis.

    Source: AWC, Technical Report 12, general dowel equations; without a gap NDS 2018, Eqs 12.3-1 to 12.3-6.
    """
    d, lm, ls, gap = (1000.0 * np.asarray(v, float) for v in (
        dowel.diameter_m, dowel.main_length_m, dowel.side_length_m, dowel.gap_m))  # fmt: skip
    qm, qs = np.asarray(dowel.main_bearing_mpa) * d, np.asarray(dowel.side_bearing_mpa) * d
    moment = np.asarray(dowel.yield_strength_mpa) * d**3 / 6.0
    modes = np.broadcast_arrays(
        qm * lm,
        qs * ls,
        _load(0.25 / qs + 0.25 / qm, ls / 2 + gap + lm / 2, -qs * ls**2 / 4 - qm * lm**2 / 4),
        _load(0.5 / qs + 0.25 / qm, gap + lm / 2, -moment - qm * lm**2 / 4),
        _load(0.25 / qs + 0.5 / qm, ls / 2 + gap, -qs * ls**2 / 4 - moment),
        _load(0.5 / qs + 0.5 / qm, gap, -2.0 * moment),
    )
    return np.stack(modes, axis=-1) / 1000.0


def _load(a: Array, b: Array, c: Array) -> Array:
    """The positive root of a P² + b P + c = 0."""
    root: Array = (-b + np.sqrt(b**2 - 4.0 * a * c)) / (2.0 * a)
    return root


def reduction_terms(diameter_m: Values, nominal_diameter_m: Values, angle_deg: Values) -> Array:
    """Rd of the six modes, on the last axis. NDS 2018, Table 12.3.1B."""
    inch, nominal = np.asarray(inches(diameter_m), float), np.asarray(inches(nominal_diameter_m), float)
    skew = 1.0 + 0.25 * np.asarray(angle_deg, float) / 90.0
    small = np.where(inch <= 0.17 + NEAR, 2.2, 10.0 * inch + 0.5)
    thin, threaded = nominal < 0.25 - NEAR, inch < 0.25 - NEAR
    terms = [np.where(thin, small, np.where(threaded, small * skew, k * skew)) for k in (4.0, 4.0, 3.6, 3.2, 3.2, 3.2)]
    return np.stack(np.broadcast_arrays(*terms), axis=-1)


def design_modes_kn(dowel: Dowel, terms: Array, planes: Planes = "single") -> Array:
    """Reduced load of every mode, ``SINGLE`` or ``DOUBLE`` on the last axis; double shear has its members alike."""
    reduced = yield_modes_kn(dowel) / terms
    if planes == "single":
        return reduced
    double: Array = reduced[..., _DOUBLE_AT] * np.array([1.0, 2.0, 2.0, 2.0])
    return double


def governing(mode_kn: Array) -> int:
    """Index of the least mode; of modes equal to nine digits the first."""
    return int(np.argmax(mode_kn <= mode_kn.min() * (1.0 + NEAR)))


@dataclass(frozen=True)
class DowelYield:
    """Reference design load of one dowel."""

    design_kn: float
    mode: str
    modes: list[str]
    mode_kn: list[float]
    """After reduction, as ``modes``."""
    reduction_term: float
    """Of the governing mode."""


_MODE_WORDS = {
    "Im": "main member crushes", "Is": "side member crushes", "II": "dowel tilts, both crush",
    "IIIm": "dowel bends in the side, main crushes", "IIIs": "dowel bends in the main, side crushes",
    "IV": "dowel bends in both",
}  # fmt: skip


def _yield_steps(given: Mapping[str, Any], result: DowelYield) -> list[Step]:
    mm = 1000.0 * given["diameter_m"]
    qm, qs = mm * given["main_bearing_mpa"], mm * given["side_bearing_mpa"]
    steps = [
        Step("main member bears qm", f"Fem D = {given['main_bearing_mpa']:.5g} x {mm:.5g} mm", qm, "n_mm"),
        Step("side member bears qs", f"Fes D = {given['side_bearing_mpa']:.5g} x {mm:.5g} mm", qs, "n_mm"),
        Step("dowel's moment M", "Fyb D³/6, N mm", given["yield_strength_mpa"] * mm**3 / 6.0),
    ]
    modes = zip(result.modes, result.mode_kn, strict=True)
    steps += [Step(f"mode {mode}", f"{_MODE_WORDS[mode]}; reduced", load, "kn") for mode, load in modes]
    steps.append(Step("reduction of the least", f"mode {result.mode}", result.reduction_term))
    return [*steps, Step("design load, the least", f"mode {result.mode}", result.design_kn, "kn")]


@calculator(
    source="NDS 2018, 12.3.1 and Table 12.3.1B; AWC Technical Report 12 (gap)",
    known="SEEN",
    example={
        "diameter_m": 0.0127, "main_length_m": 0.1397, "side_length_m": 0.1397, "main_bearing_mpa": 25.0,
        "side_bearing_mpa": 25.0, "yield_strength_mpa": 310.0, "angle_deg": 90.0,
    },
    working=_yield_steps,
    caution="Before duration, moisture and distances (`connection_us`). Bar not proved Grade 60 counts with 310 MPa.",
)  # fmt: skip
def dowel_yield(
    *,
    diameter_m: Positive,
    main_length_m: Positive,
    side_length_m: Positive,
    main_bearing_mpa: Positive,
    side_bearing_mpa: Positive,
    yield_strength_mpa: Positive,
    nominal_diameter_m: Positive | None = None,
    angle_deg: Angle = 0.0,
    gap_m: NotNegative = 0.0,
    planes: Planes = "single",
) -> DowelYield:
    """Design load of one pin, bolt, lag screw or nail in shear.

    Equation: with qm = Fem D, qs = Fes D, M = Fyb D³/6 and P(A, B, C) = [-B + √(B² - 4AC)]/2A: Im qm lm; Is qs ls;
    II P(1/4qs + 1/4qm, ls/2 + g + lm/2, -qs ls²/4 - qm lm²/4); IIIm P(1/2qs + 1/4qm, g + lm/2, -M - qm lm²/4);
    IIIs P(1/4qs + 1/2qm, ls/2 + g, -qs ls²/4 - M); IV P(1/2qs + 1/2qm, g, -2M). Double: Im, 2 Is, 2 IIIs, 2 IV. Each
    over Rd: nominal D under 1/4 in: KD; nominal 1/4 in and more but D under 1/4 in: KD Kθ; else 4 Kθ (I), 3.6 Kθ
    (II), 3.2 Kθ (III, IV).

    Symbols: D diameter (root where threads bear), lm, ls bearing lengths in main and side member, Fem, Fes bearing
    strengths, Fyb bending yield strength, g gap, Kθ = 1 + 0.25 angle/90, KD = 2.2 to 0.17 in, else 10 D + 0.5 (D in).

    Limits: `angle_deg` is the larger of the two members. Bearing length of a driven point or screw: penetration less
    half its tip; least penetration 6 D, lag screws 4 D without the tip. Bar pins: plain round diameter, bearing at
    90°, Fyb 60 ksi for bar proved Grade 60, else 45 ksi.
    """
    nominal = diameter_m if nominal_diameter_m is None else nominal_diameter_m
    refuse_if(
        nominal < diameter_m,
        "nominal_diameter_m",
        f"nominal diameter {nominal:g} m found",
        f"not below the diameter, {diameter_m:g} m",
    )
    dowel = Dowel(
        diameter_m, main_length_m, side_length_m, main_bearing_mpa, side_bearing_mpa, yield_strength_mpa, gap_m
    )
    terms = reduction_terms(diameter_m, nominal, angle_deg)
    modes = SINGLE if planes == "single" else DOUBLE
    loads = design_modes_kn(dowel, terms, planes)
    least = governing(loads)
    term = terms[SINGLE.index(modes[least])]
    return DowelYield(float(loads[least]), modes[least], list(modes), loads.tolist(), float(term))
