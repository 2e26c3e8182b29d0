"""The stone apron where a pipe lets its water out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.core.tables import read_table
from lynchet.water.inlets import GRAVITY_M_S2

Array = NDArray[np.float64]
M_PER_IN = 0.0254
LEAST_TAILWATER = 0.4
"""Tailwater over diameter that the formula takes at least."""


@dataclass(frozen=True)
class Apron:
    """Size of an apron and its stone."""

    d50_m: float
    stone_class: int
    class_d50_m: float
    length_m: float
    depth_m: float
    end_width_m: float


def apron_d50_m(flow_m3_s: ArrayLike, diameter_m: ArrayLike, tailwater_m: ArrayLike) -> Array:
    """Median stone size 0.2 D (Q/(g^0.5 D^2.5))^(4/3) D/TW, TW held to 0.4 D ... D (any shapes that go together)."""
    pipe = np.asarray(diameter_m, dtype=float)
    water = np.clip(np.asarray(tailwater_m, dtype=float), LEAST_TAILWATER * pipe, pipe)
    force = np.asarray(flow_m3_s, dtype=float) / (sqrt(GRAVITY_M_S2) * pipe**2.5)
    return np.asarray(0.2 * pipe * force ** (4.0 / 3.0) * pipe / water)


def _apron_steps(given: Mapping[str, Any], result: Apron) -> list[Step]:
    d, yn = given["diameter_m"], given.get("normal_depth_m")
    reckoned = d if yn is None else 0.5 * (d + yn)
    water = min(max(given["tailwater_m"], LEAST_TAILWATER * reckoned), reckoned)
    how = f"0.2 x {reckoned:g} x ({given['flow_m3_s']:g}/(g^0.5 x {reckoned:g}^2.5))^(4/3) x {reckoned:g}/{water:.4g}"
    return [
        Step("diameter in the formula", "D, or (D + normal depth)/2", reckoned, "m"),
        Step("tailwater held to 0.4 D ... D", f"from {given['tailwater_m']:g}", water, "m"),
        Step("stone D50", how, result.d50_m, "m"),
        Step("class", f"{result.stone_class}: smallest that is not below it", result.class_d50_m, "m"),
        Step("length", "by class, from the diameter", result.length_m, "m"),
        Step("depth", "by class, from its D50", result.depth_m, "m"),
        Step("width at the end", f"3 x {d:g} + 2/3 x {result.length_m:.4g}", result.end_width_m, "m"),
    ]


@calculator(
    source="FHWA HEC-14, 3rd ed., Eqs. 10.4 and 10.5 (seen quoted) and table 10.1 (recalled)",
    known="MEMORY",
    example={"flow_m3_s": 0.0142, "diameter_m": 0.1524, "tailwater_m": 0.0, "normal_depth_m": 0.0762},
    working=_apron_steps,
)
def outlet_apron(
    *, flow_m3_s: Positive, diameter_m: Positive, tailwater_m: NotNegative, normal_depth_m: Positive | None = None
) -> Apron:
    """Stone apron at a pipe outlet: stone size, length, depth, width.

    Equation: D50 = 0.2 D (Q/(g^0.5 D^2.5))^(4/3) (D/TW), TW held between 0.4 D and D; length and depth by stone class;
    end width = 3 D + 2/3 length.

    Symbols: flow_m3_s, Q; diameter_m, D; tailwater_m, TW (unknown: 0); normal_depth_m, yn in the pipe, for which
    (D + yn)/2 stands for D in the formula and the limits of TW, not in length and width.

    Limits: give the normal depth where the flow in the pipe is fast (supercritical), as it mostly is on a yard's slope.
    """
    if normal_depth_m is not None:
        refuse_if(
            normal_depth_m > diameter_m, "normal_depth_m", f"a normal depth of {normal_depth_m:g} m",
            f"up to the diameter, {diameter_m:g} m",
        )  # fmt: skip
    reckoned = diameter_m if normal_depth_m is None else 0.5 * (diameter_m + normal_depth_m)
    d50 = float(apron_d50_m(flow_m3_s, reckoned, tailwater_m))
    table = read_table("water", "apron_classes")
    names = ("stone_class", "d50_in", "length_over_diameter", "depth_over_d50")
    for number, inches, long, deep in zip(*(table.column(name) for name in names), strict=True):
        size = inches * M_PER_IN
        if size >= d50 * (1.0 - 1e-12):
            length = long * diameter_m
            return Apron(d50, int(number), size, length, deep * size, 3.0 * diameter_m + 2.0 / 3.0 * length)
    needs = f"it needs stone of {d50:.3g} m, above the largest class"
    raise refuse("flow_m3_s", needs, f"stone up to {size:g} m: another kind of outlet")
