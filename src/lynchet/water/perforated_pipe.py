"""What a perforated drain carries: holes, bore and outlet, whichever is least."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.circles import circle_area
from lynchet.core.kinds import Positive
from lynchet.water.inlets import ORIFICE_COEFFICIENT, Blocked, Coefficient, OneOrMore, orifice_flow_m3_s
from lynchet.water.pipe_flow import full_flow_m3_s


@dataclass(frozen=True)
class DrainCapacity:
    """Capacity of a perforated drain and what limits it."""

    slots_flow_l_s: float
    pipe_flow_l_s: float
    capacity_l_s: float
    controls: Literal["slots", "pipe", "outlet"]
    outlet_flow_l_s: float | None = None
    capacity_ratio: float | None = None
    passes: bool | None = None


def _drain_steps(given: Mapping[str, Any], result: DrainCapacity) -> list[Step]:
    pipes, c = given.get("pipes", 1.0), given.get("coefficient", ORIFICE_COEFFICIENT)
    open_area = given["open_area_m2_per_m"] * given["length_m"] * pipes * (1.0 - given.get("blocked_fraction", 0.0))
    bore = f"{pipes:g} x full pipe of {given['diameter_m']:g} m at slope {given['slope']:g}, n {given['roughness']:g}"
    steps = [
        Step("open area left", "holes per metre x length x pipes x (1 - blocked)", open_area, "m2"),
        Step(
            "through the holes",
            f"1000 x {c:g} x {open_area:.4g} x (2 g x {given['head_m']:g})^0.5",
            result.slots_flow_l_s,
            "l_s",
        ),
        Step("along the bore", bore, result.pipe_flow_l_s, "l_s"),
    ]
    if result.outlet_flow_l_s is not None:
        how = f"orifice of {given['outlet_diameter_m']:g} m under {given['outlet_head_m']:g} m"
        steps.append(Step("through the outlet", how, result.outlet_flow_l_s, "l_s"))
    steps.append(Step("capacity", f"the least: {result.controls}", result.capacity_l_s, "l_s"))
    if result.capacity_ratio is not None:
        how = f"{result.capacity_l_s:.4g}/{given['needed_flow_l_s']:g}"
        steps.append(Step("capacity over need", how, result.capacity_ratio))
    return steps


@calculator(
    source="US EPA, EPA/600/R-16/093 (2016), section 6.5.8; Manning's formula for the bore",
    known="SEEN",
    example={
        "diameter_m": 0.1016, "slope": 0.01, "roughness": 0.015, "length_m": 4.9, "open_area_m2_per_m": 0.0021,
        "head_m": 0.03, "needed_flow_l_s": 2.0,
    },
    working=_drain_steps,
)  # fmt: skip
def perforated_drain_capacity(
    *,
    diameter_m: Positive,
    slope: Positive,
    roughness: Positive,
    length_m: Positive,
    open_area_m2_per_m: Positive,
    head_m: Positive,
    pipes: OneOrMore = 1.0,
    coefficient: Coefficient = ORIFICE_COEFFICIENT,
    blocked_fraction: Blocked = 0.0,
    outlet_diameter_m: Positive | None = None,
    outlet_head_m: Positive | None = None,
    outlets: OneOrMore = 1.0,
    needed_flow_l_s: Positive | None = None,
) -> DrainCapacity:
    """What a perforated drain takes in, carries and lets out.

    Equation: holes Cd x open area x (1 - blocked) x (2 g h)^0.5; bore by Manning's full pipe; outlet Cd a (2 g h)^0.5;
    capacity the least.

    Symbols: open_area_m2_per_m, holes per metre of one pipe; head_m, h of the water over the holes; pipes, side by
    side; outlet_diameter_m and outlet_head_m, of the outlet; roughness, Manning's n.

    Limits: outlet diameter and head together or not at all. Ties go to slots, then pipe.
    """
    refuse_if(
        (outlet_diameter_m is None) != (outlet_head_m is None), "outlet_diameter_m and outlet_head_m",
        "one of outlet diameter and outlet head without the other", "both or neither",
    )  # fmt: skip
    holes = open_area_m2_per_m * length_m * pipes * (1.0 - blocked_fraction)
    flows: dict[Literal["slots", "pipe", "outlet"], float] = {
        "slots": 1000.0 * float(orifice_flow_m3_s(holes, head_m, coefficient)),
        "pipe": 1000.0 * pipes * float(full_flow_m3_s(diameter_m, slope, roughness)),
    }
    if outlet_diameter_m is not None and outlet_head_m is not None:
        hole = circle_area(outlet_diameter_m)
        flows["outlet"] = 1000.0 * outlets * float(orifice_flow_m3_s(hole, outlet_head_m, coefficient))
    controls = min(flows, key=lambda part: flows[part])  # the first of equals, in the order above
    ratio = None if needed_flow_l_s is None else flows[controls] / needed_flow_l_s
    return DrainCapacity(
        slots_flow_l_s=flows["slots"],
        pipe_flow_l_s=flows["pipe"],
        capacity_l_s=flows[controls],
        controls=controls,
        outlet_flow_l_s=flows.get("outlet"),
        capacity_ratio=ratio,
        passes=None if ratio is None else ratio >= 1.0 - 1e-12,
    )
