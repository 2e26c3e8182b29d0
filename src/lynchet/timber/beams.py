"""Forces and sag of a member under a spread and a point load: on two supports, fixed at one end, over many."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from lynchet.timber.sections import area_m2, section_modulus_m3
from lynchet.timber.values import Values

Support = Literal["simple", "cantilever", "continuous"]

CONTINUOUS: dict[int, tuple[float, float, float, float]] = {
    2: (1 / 8, 5 / 8, 5 / 4, 0.0054161),
    3: (0.1, 0.6, 1.1, 0.0068842),
    4: (3 / 28, 17 / 28, 8 / 7, 0.0064604),
}
"""Spans: largest moment (w L²), shear (w L), reaction (w L), sag (w L⁴/EI) with every span loaded. Statics."""


@dataclass(frozen=True)
class Forces:
    """Largest forces along a member; numbers or arrays alike."""

    moment_kn_m: Any
    shear_kn: Any
    reaction_kn: Any


def simple_forces(line_kn_per_m: Values, point_kn: Values, at_m: Values, span_m: Values) -> Forces:
    """Member on two supports.

    Args:
        line_kn_per_m, point_kn: loads, 0 or more.
        at_m: place of the point load from one end, 0 to the span.
        span_m: above 0.
    """
    w, p, a, length = (np.asarray(value, dtype=float) for value in (line_kn_per_m, point_kn, at_m, span_m))
    left = w * length / 2.0 + p * (length - a) / length
    right = w * length / 2.0 + p * a / length
    with np.errstate(divide="ignore", invalid="ignore"):
        before = np.where(w > 0, left / w, np.inf)
        after = np.where(w > 0, (left - p) / w, -np.inf)
    # Shear changes its sign before the point load, after it, or else under it.
    x = np.where(before < a, before, np.where(after > a, after, a))
    moment = left * x - w * x**2 / 2.0 - p * np.maximum(x - a, 0.0)
    reaction = np.maximum(left, right)
    return Forces(moment, reaction, reaction)


def cantilever_forces(line_kn_per_m: Values, point_kn: Values, at_m: Values, span_m: Values) -> Forces:
    """Member fixed at one end; the point load stands ``at_m`` from the fixed end."""
    shear = line_kn_per_m * span_m + point_kn
    return Forces(line_kn_per_m * span_m**2 / 2.0 + point_kn * at_m, shear, shear)


def continuous_forces(line_kn_per_m: Values, span_m: Values, spans: int) -> Forces:
    """Member over equal spans, all loaded alike; ``spans`` is 2, 3 or 4."""
    moment, shear, reaction, _ = CONTINUOUS[spans]
    load = line_kn_per_m * span_m
    return Forces(moment * load * span_m, shear * load, reaction * load)


def simple_sag_m(
    loads: tuple[Values, Values, Values],
    span_m: Values,
    stiffness_kn_m2: Values,
    shear_stiffness_kn: Values | None = None,
) -> Values:
    """Sag at mid-span of a member on two supports.

    Args:
        loads: line load (kN/m), point load (kN), its place from one end (m).
        span_m: above 0.
        stiffness_kn_m2: E I.
        shear_stiffness_kn: G A; adds 1.2 M(mid)/(G A) when given.
    """
    line, point, at = loads
    near = np.minimum(at, span_m - at)
    bend = 5.0 * line * span_m**4 / (384.0 * stiffness_kn_m2)
    bend = bend + point * near * (3.0 * span_m**2 - 4.0 * near**2) / (48.0 * stiffness_kn_m2)
    if shear_stiffness_kn is None:
        return bend
    middle = line * span_m**2 / 8.0 + point * near / 2.0
    return bend + 1.2 * middle / shear_stiffness_kn


def cantilever_sag_m(
    line_kn_per_m: Values, point_kn: Values, at_m: Values, span_m: Values, stiffness_kn_m2: Values
) -> Values:
    """Sag of the free end."""
    tip = line_kn_per_m * span_m**4 / 8.0 + point_kn * at_m**2 * (3.0 * span_m - at_m) / 6.0
    return tip / stiffness_kn_m2


def bending_stress_mpa(moment_kn_m: Values, width_m: Values, depth_m: Values) -> Values:
    """M/S."""
    return moment_kn_m / section_modulus_m3(width_m, depth_m) / 1000.0


def shear_stress_mpa(shear_kn: Values, width_m: Values, depth_m: Values, crack_factor: Values = 1.0) -> Values:
    """1.5 V/(kcr A). Source: NDS 2018, Eq. 3.4-2; EN 1995-1-1, 6.1.7 (kcr)."""
    return 1.5 * shear_kn / (crack_factor * area_m2(width_m, depth_m)) / 1000.0


def bearing_stress_mpa(reaction_kn: Values, width_m: Values, bearing_length_m: Values) -> Values:
    """R/(b lb)."""
    return reaction_kn / (width_m * bearing_length_m) / 1000.0


@dataclass(frozen=True)
class Loading:
    """How a member is held and loaded; numbers or arrays that broadcast."""

    support: Support
    spans: int
    """Of a continuous member: 2, 3 or 4."""
    span_m: Any
    line_kn_per_m: Any
    point_kn: Any = 0.0
    at_m: Any = 0.0
    """Place of the point load from one end (the fixed one of a cantilever)."""


def forces(loading: Loading) -> Forces:
    """Largest forces; a continuous member takes the line load alone."""
    line, point, at, span = loading.line_kn_per_m, loading.point_kn, loading.at_m, loading.span_m
    if loading.support == "simple":
        return simple_forces(line, point, at, span)
    if loading.support == "cantilever":
        return cantilever_forces(line, point, at, span)
    return continuous_forces(line, span, loading.spans)


def sag_m(loading: Loading, stiffness_kn_m2: Values, shear_stiffness_kn: Values | None = None) -> Values:
    """Largest sag at once; the shear stiffness G A counts for a member on two supports only."""
    line, point, at, span = loading.line_kn_per_m, loading.point_kn, loading.at_m, loading.span_m
    if loading.support == "simple":
        return simple_sag_m((line, point, at), span, stiffness_kn_m2, shear_stiffness_kn)
    if loading.support == "cantilever":
        return cantilever_sag_m(line, point, at, span, stiffness_kn_m2)
    sag: Values = CONTINUOUS[loading.spans][3] * line * span**4 / stiffness_kn_m2
    return sag
