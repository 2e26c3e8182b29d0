"""Water through holes: a free orifice, and a grate or catch basin in a low spot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le, Lt
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.circles import circle_area
from lynchet.core.kinds import NotNegative, Positive

Array = NDArray[np.float64]
OneOrMore = Annotated[float, Ge(1)]
Coefficient = Annotated[float, Gt(0), Le(1)]
Blocked = Annotated[float, Ge(0), Lt(1)]
GRAVITY_M_S2 = 9.80665
ORIFICE_COEFFICIENT = 0.6
GRATE_WEIR_COEFFICIENT = 1.66
GRATE_ORIFICE_COEFFICIENT = 0.67
GRATE_BLOCKED = 0.5


@dataclass(frozen=True)
class OrificeFlow:
    """Flow through one or more holes."""

    flow_m3_s: float
    flow_l_s: float


@dataclass(frozen=True)
class InletCapacity:
    """What a grate takes in."""

    weir_flow_l_s: float
    orifice_flow_l_s: float
    capacity_l_s: float
    controls: Literal["weir", "orifice"]
    capacity_ratio: float | None = None
    passes: bool | None = None


def orifice_flow_m3_s(area_m2: ArrayLike, head_m: ArrayLike, coefficient: ArrayLike = ORIFICE_COEFFICIENT) -> Array:
    """Free orifice Cd a (2 g h)^0.5 (any shapes that go together)."""
    speed = np.sqrt(2.0 * GRAVITY_M_S2 * np.asarray(head_m, dtype=float))
    return np.asarray(np.asarray(coefficient, dtype=float) * np.asarray(area_m2, dtype=float) * speed)


def weir_flow_m3_s(coefficient: ArrayLike, width_m: ArrayLike, head_m: ArrayLike) -> Array:
    """Weir C b h^1.5, C in m^0.5/s (any shapes that go together)."""
    return np.asarray(
        np.asarray(coefficient, dtype=float) * np.asarray(width_m, dtype=float) * np.asarray(head_m, dtype=float) ** 1.5
    )


def _orifice_steps(given: Mapping[str, Any], result: OrificeFlow) -> list[Step]:
    area = given["area_m2"] if "area_m2" in given else circle_area(given["diameter_m"])
    head, count = given["head_m"], given.get("count", 1.0)
    how = f"{given.get('coefficient', ORIFICE_COEFFICIENT):g} x {area:.4g} x (2 g x {head:g})^0.5 x {count:g}"
    return [
        Step("area of one hole", "pi/4 D^2" if "diameter_m" in given else "given", area, "m2"),
        Step("speed of free fall", f"(2 x {GRAVITY_M_S2} x {head:g})^0.5", sqrt(2 * GRAVITY_M_S2 * head), "m_s"),
        Step("flow", how, result.flow_m3_s, "m3_s"),
    ]


@calculator(
    source="US EPA, EPA/600/R-16/093 (2016), section 6.5.5",
    known="SEEN",
    example={"head_m": 0.25, "diameter_m": 0.04},
    working=_orifice_steps,
)
def orifice_flow(
    *,
    head_m: NotNegative,
    diameter_m: Positive | None = None,
    area_m2: Positive | None = None,
    coefficient: Coefficient = ORIFICE_COEFFICIENT,
    count: OneOrMore = 1.0,
) -> OrificeFlow:
    """Flow out of round or other holes under water.

    Equation: Q = Cd a (2 g h)^0.5 x count, g = 9.80665 m/s2.

    Symbols: head_m, h of the water above the centre of the hole; diameter_m or area_m2, a of one hole; coefficient, Cd.

    Limits: free fall behind the hole; exactly one of diameter and area.
    """
    both = "both diameter_m and area_m2 found" if area_m2 is not None else "neither diameter_m nor area_m2 found"
    refuse_if((diameter_m is None) == (area_m2 is None), "diameter_m or area_m2", both, "exactly one of the two")
    area = area_m2 if area_m2 is not None else circle_area(diameter_m or 0.0)
    flow = float(orifice_flow_m3_s(area, head_m, coefficient)) * count
    return OrificeFlow(flow, 1000.0 * flow)


def _inlet_steps(given: Mapping[str, Any], result: InletCapacity) -> list[Step]:
    free = 1.0 - given.get("blocked_fraction", GRATE_BLOCKED)
    head = given["head_m"]
    weir = f"{given.get('weir_coefficient', GRATE_WEIR_COEFFICIENT):g} x {given['perimeter_m']:g} x {free:g}"
    hole = f"{given.get('orifice_coefficient', GRATE_ORIFICE_COEFFICIENT):g} x {given['open_area_m2']:g} x {free:g}"
    steps = [
        Step("share not blocked", "1 - blocked", free),
        Step("over the edge", f"1000 x {weir} x {head:g}^1.5", result.weir_flow_l_s, "l_s"),
        Step("through the openings", f"1000 x {hole} x (2 g x {head:g})^0.5", result.orifice_flow_l_s, "l_s"),
        Step("capacity", f"the smaller: {result.controls}", result.capacity_l_s, "l_s"),
    ]
    if result.capacity_ratio is not None:
        how = f"{result.capacity_l_s:.4g}/{given['needed_flow_l_s']:g}"
        steps.append(Step("capacity over need", how, result.capacity_ratio))
    return steps


@calculator(
    source="Texas DOT hydraulic design manual, chapter 10, Eqs. 10-30 and 10-31, after FHWA HEC-22",
    known="SEEN",
    example={"head_m": 0.05, "perimeter_m": 1.2, "open_area_m2": 0.046, "needed_flow_l_s": 5.0},
    working=_inlet_steps,
)
def inlet_capacity(
    *,
    head_m: NotNegative,
    perimeter_m: Positive,
    open_area_m2: Positive,
    blocked_fraction: Blocked = GRATE_BLOCKED,
    weir_coefficient: Positive = GRATE_WEIR_COEFFICIENT,
    orifice_coefficient: Coefficient = GRATE_ORIFICE_COEFFICIENT,
    needed_flow_l_s: Positive | None = None,
) -> InletCapacity:
    """What a grate or catch basin in a low spot takes in.

    Equation: weir Cw P u h^1.5; orifice Co A u (2 g h)^0.5, u = 1 - blocked; capacity the smaller.

    Symbols: head_m, h of the water over the grate; perimeter_m, P over which water comes in, a side along a wall left
    out; open_area_m2, A of the clear openings; blocked_fraction, lost to leaves.

    Limits: half blocked is what the source advises, for edge and openings alike. A tie counts as weir.
    """
    free = 1.0 - blocked_fraction
    weir = 1000.0 * float(weir_flow_m3_s(weir_coefficient, perimeter_m * free, head_m))
    orifice = 1000.0 * float(orifice_flow_m3_s(open_area_m2 * free, head_m, orifice_coefficient))
    capacity = min(weir, orifice)
    ratio = None if needed_flow_l_s is None else capacity / needed_flow_l_s
    return InletCapacity(
        weir_flow_l_s=weir,
        orifice_flow_l_s=orifice,
        capacity_l_s=capacity,
        controls="weir" if weir <= orifice else "orifice",
        capacity_ratio=ratio,
        passes=None if ratio is None else ratio >= 1.0 - 1e-12,
    )
