"""Barrows and trucks going back and forth: a cycle in four parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from typing import Annotated, Any

from annotated_types import Gt, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Count, NotNegative, Positive, Words

SLACK = 1e-9
Loading = Annotated[NotNegative | None, Words("loading time")]
LoadingRate = Annotated[Positive | None, Words("loading rate")]
Climb = Annotated[NotNegative, Words("level run for a metre of climb")]


@dataclass(frozen=True)
class HaulCycle:
    """Times of one cycle and of the whole."""

    load_time_min: float
    out_min: float
    back_min: float
    cycle_min: float
    trips_per_h: float
    output_m3_per_h: float
    trips: int
    total_h: float
    person_h: float


def way_min(distance_m: float, climb_m: float, level_per_rise: float, speed_m_min: float) -> float:
    """Minutes of one way; a climb counts as so much more level run, a fall gives no bonus."""
    return (distance_m + level_per_rise * max(climb_m, 0.0)) / speed_m_min


def _cycle_steps(given: Mapping[str, Any], result: HaulCycle) -> list[Step]:
    useful = given.get("useful_min_per_h", 60.0)
    return [
        Step("loading", "given, or 60 x load/(rate x loaders)", result.load_time_min, "min"),
        Step("out, loaded", f"({given['distance_m']:g} + climb)/{given['speed_out_m_min']:g}", result.out_min, "min"),
        Step("back, empty", "likewise at the speed back", result.back_min, "min"),
        Step("cycle", f"loading, out, tip {given.get('tip_min', 0.0):g}, back", result.cycle_min, "min"),
        Step("trips an hour of one", f"{useful:g}/{result.cycle_min:.4g}", result.trips_per_h),
        Step("output of all", "trips x load x carriers", result.output_m3_per_h, "m3_per_h"),
        Step("trips in all", f"{given['volume_m3']:g}/{given['load_m3']:g}, rounded up", float(result.trips)),
        Step("hours", f"{given['volume_m3']:g}/{result.output_m3_per_h:.4g}", result.total_h, "h"),
    ]


@calculator(
    source="Four parts of a trip as in a course text on hauling; level run for a climb (5 to 10) PRACTICE",
    known="SEEN",
    example={
        "volume_m3": 2.4, "load_m3": 0.06, "distance_m": 30, "rise_m": 3, "level_per_rise": 6, "speed_out_m_min": 40,
        "speed_back_m_min": 60, "load_rate_m3_per_h": 2.0, "tip_min": 0.5, "carriers": 2, "useful_min_per_h": 50,
    },
    working=_cycle_steps,
)  # fmt: skip
def haul_cycle(
    *,
    volume_m3: NotNegative,
    load_m3: Positive,
    distance_m: NotNegative,
    speed_out_m_min: Positive,
    speed_back_m_min: Positive | None = None,
    rise_m: float = 0.0,
    level_per_rise: Climb = 0.0,
    level_per_rise_back: Climb = 0.0,
    load_min: Loading = None,
    load_rate_m3_per_h: LoadingRate = None,
    loaders: Annotated[Count, Words("loaders, counted as carriers are")] = 1,
    tip_min: NotNegative = 0.0,
    carriers: Count = 1,
    useful_min_per_h: Annotated[float, Gt(0), Le(60)] = 60.0,
) -> HaulCycle:
    """Trips and hours to move soil or stone by barrow or truck.

    Equation: cycle = loading + (distance + level_per_rise x rise)/speed out + tip + (distance + level_per_rise_back x
    fall)/speed back; loading = 60 x load/(rate x loaders); trips an hour = useful minutes/cycle.

    Symbols: volume_m3, loose; distance_m, one way; rise_m, end less start of the loaded way; level_per_rise, metres of
    level run that equal one metre of climb; person_h, hours of the carriers.

    Limits: a fall gives no bonus; no waiting for one another; whoever loads besides the carriers is not in person_h.
    """
    ways = (load_min is not None) + (load_rate_m3_per_h is not None)
    refuse_if(
        ways != 1, "load_min or load_rate_m3_per_h", "no way of loading" if ways == 0 else "both ways of loading",
        "exactly one of the two",
    )  # fmt: skip
    loading = load_min if load_min is not None else 60.0 * load_m3 / ((load_rate_m3_per_h or 1.0) * loaders)
    out = way_min(distance_m, rise_m, level_per_rise, speed_out_m_min)
    back = way_min(distance_m, -rise_m, level_per_rise_back, speed_back_m_min or speed_out_m_min)
    cycle = loading + out + tip_min + back
    refuse_if(cycle <= 0, "load_min", "a cycle of no length: no time for loading, way or tip", "some time")
    per_hour = useful_min_per_h / cycle
    output = per_hour * load_m3 * carriers
    return HaulCycle(
        load_time_min=loading,
        out_min=out,
        back_min=back,
        cycle_min=cycle,
        trips_per_h=per_hour,
        output_m3_per_h=output,
        trips=max(ceil(volume_m3 / load_m3 - SLACK), 0),
        total_h=volume_m3 / output,
        person_h=volume_m3 / output * carriers,
    )
