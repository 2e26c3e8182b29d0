"""Shear at a notched end of a timber."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.bending import Crack
from lynchet.timber.values import NEAR, Array, Face, Practice, Values


def us_shear_depth_m(depth_m: Values, notch_depth_m: Values, face: Face, past_support_m: Values) -> Array:
    """Depth that carries shear at a notched end. NDS 2018, 3.4.3.2.

    Args:
        depth_m: whole depth along the load.
        notch_depth_m: above 0, below the depth.
        face: where the notch lies.
        past_support_m: how far a notch in the compression face reaches past the inner edge of the support.
    """
    depth = np.asarray(depth_m, float)
    net = depth - notch_depth_m
    if face == "tension":
        tension: Array = net * (net / depth) ** 2
        return tension
    past = np.minimum(past_support_m, net)
    return depth - (depth - net) * past / net


def eu_notch_factor(depth_m: Values, notch_depth_m: Values, corner_m: Values = 0.0, slope_run: Values = 0.0) -> Array:
    """kv of a notch in the tension face, solid timber. EN 1995-1-1, Eq. 6.62.

    Args:
        depth_m: whole depth.
        notch_depth_m: above 0, below the depth.
        corner_m: middle of the support to the notch corner.
        slope_run: run of the notch's slope per unit of its depth; 0 is square.
    """
    root = np.sqrt(1000.0 * np.asarray(depth_m, float))
    share = 1.0 - np.asarray(notch_depth_m, float) / depth_m
    corner = 0.8 * np.asarray(corner_m) / depth_m * np.sqrt(1.0 / share - share**2)
    factor = 5.0 * (1.0 + 1.1 * np.asarray(slope_run, float) ** 1.5 / root)
    return np.minimum(1.0, factor / (root * (np.sqrt(share * (1.0 - share)) + corner)))


def shear_capacity_kn(strength_mpa: Values, width_m: Values, shear_depth_m: Values) -> Values:
    """(2/3) Fv b d of a rectangle."""
    return 1000.0 * strength_mpa * width_m * shear_depth_m / 1.5


@dataclass(frozen=True)
class NotchShear:
    """What a notched end carries."""

    net_depth_m: float
    capacity_kn: float
    strength_factor: float
    """To the whole timber."""
    ratio: float
    """Shear over capacity."""
    end_notch_allowed: bool | None
    """Notch of a quarter of the depth or less (US)."""


def _notch_steps(given: Mapping[str, Any], result: NotchShear) -> list[Step]:
    return [
        Step("net depth", f"{given['depth_m']:g} - {given['notch_depth_m']:g}", result.net_depth_m, "m"),
        Step(
            "share of the whole timber's shear strength", given.get("face", "tension") + " face", result.strength_factor
        ),
        Step("shear it carries", f"at {given['shear_strength_mpa']:.5g} MPa", result.capacity_kn, "kn"),
        Step("shear over capacity", f"{given.get('shear_kn', 0.0):g} / {result.capacity_kn:.5g}", result.ratio),
    ]


@calculator(
    source="NDS 2018, 3.4.3.2 and 4.4.3; EN 1995-1-1, 6.5.2",
    known="SEEN",
    example={
        "practice": "us", "width_m": 0.1397, "depth_m": 0.1397, "notch_depth_m": 0.03, "shear_strength_mpa": 1.02,
        "shear_kn": 4.0,
    },
    working=_notch_steps,
    caution="A notch splits timber suddenly. Inside the span, timbers of 3 1/2 in and more may not be notched on the "
    "tension face at all; treat every cut.",
)  # fmt: skip
def notch_shear(
    *,
    practice: Practice,
    width_m: Positive,
    depth_m: Positive,
    notch_depth_m: Positive,
    shear_strength_mpa: Positive,
    shear_kn: NotNegative = 0.0,
    face: Face = "tension",
    past_support_m: NotNegative | None = None,
    corner_m: NotNegative = 0.0,
    slope_run: NotNegative = 0.0,
    crack_factor: Crack = 1.0,
) -> NotchShear:
    """Shear that the notched end of a timber carries.

    Equation: US, tension face (2/3) Fv b n (n/d)²; compression face (2/3) Fv b [d - (d - n) e/n], n itself once e is
    above n. EU, kv kcr fv b n/1.5; compression face kv = 1; tension face, α = n/d, h = d in mm:
    kv = min(1, 5 (1 + 1.1 i^1.5/√h)/(√h [√(α(1 - α)) + 0.8 (x/h) √(1/α - α²)])).

    Symbols: n net depth, d whole depth along the load, b width, e `past_support_m`, x `corner_m` (middle of the support
    to the notch corner), i `slope_run`, kcr `crack_factor`.

    Limits: solid timber; the notch less than the depth. A US end notch of more than a quarter of the depth is not
    allowed (NDS 4.4.3, MEMORY).
    """
    refuse_if(
        notch_depth_m >= depth_m,
        "notch_depth_m",
        f"a notch of {notch_depth_m:g} m found",
        f"less than the depth, {depth_m:g} m",
    )
    net = depth_m - notch_depth_m
    if practice == "us":
        if face == "compression" and past_support_m is None:
            raise refuse("past_support_m", "past support missing", "how far the notch reaches past the support")
        carrying = float(us_shear_depth_m(depth_m, notch_depth_m, face, past_support_m or 0.0))
        crack, allowed = 1.0, notch_depth_m <= depth_m / 4.0 + NEAR * depth_m
    else:
        factor = 1.0 if face == "compression" else float(eu_notch_factor(depth_m, notch_depth_m, corner_m, slope_run))
        carrying, crack, allowed = factor * net, crack_factor, None
    capacity = float(shear_capacity_kn(crack * shear_strength_mpa, width_m, carrying))
    return NotchShear(net, capacity, carrying / depth_m, shear_kn / capacity, allowed)
