"""How much one person may lift with two hands: the revised NIOSH lifting equation in both printed forms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive, Whole, Words
from lynchet.core.tables import read_table

Coupling = Literal["good", "fair", "poor"]
Form = Literal["metric", "us"]
SLACK = 1e-9
INCH_M = 0.0254
POUND_KG = 0.45359237


@dataclass(frozen=True)
class LiftingLimit:
    """Recommended weight limit and its multipliers."""

    rwl_kg: float
    lifting_index: float
    hm: float
    vm: float
    dm: float
    am: float
    fm: float
    cm: float


@dataclass(frozen=True)
class _Form:
    """Constants of one printed form, lengths in its own unit."""

    unit_m: float
    constant_kg: float
    nearest: float
    farthest: float
    highest: float
    knuckle: float
    vertical_rate: float
    travel_constant: float


_FORMS = {
    "metric": _Form(0.01, 23.0, 25.0, 63.0, 175.0, 75.0, 0.003, 4.5),
    "us": _Form(INCH_M, 51.0 * POUND_KG, 10.0, 25.0, 70.0, 30.0, 0.0075, 1.8),
}


def position_multipliers(
    form: Form, horizontal_m: float, vertical_m: float, travel_m: float
) -> tuple[float, float, float]:
    """Multipliers HM, VM and DM of one form (kernel, ranges not checked)."""
    own = _FORMS[form]
    away, high, moved = (max(value, 0.0) / own.unit_m for value in (horizontal_m, vertical_m, travel_m))
    return (
        own.nearest / max(away, own.nearest),
        1.0 - own.vertical_rate * abs(high - own.knuckle),
        0.82 + own.travel_constant / max(moved, own.nearest),
    )


def frequency_multiplier(lifts_per_min: float, duration_h: float, low_origin: bool) -> float | None:
    """Multiplier FM by straight lines between the rows of the table; None beyond the last row that is not zero.

    Args:
        lifts_per_min: 0.2 and less count as 0.2.
        duration_h: up to 8.
        low_origin: whether the lift starts below 75 cm (30 in).
    """
    hours = next(hours for hours in (1, 2, 8) if duration_h <= hours + SLACK)
    table = read_table("ground", "lifting_frequency")
    rates = np.array(table.column("lifts_per_min"))
    values = np.array(table.column(f"{hours}_h_{'low' if low_origin else 'high'}"))
    last = rates[values > 0].max()
    rate = max(lifts_per_min, rates[0])
    return float(np.interp(rate, rates, values)) if rate <= last + SLACK else None


def _lifting_steps(given: Mapping[str, Any], result: LiftingLimit) -> list[Step]:
    constant = "51 lb" if given.get("form", "metric") == "us" else "23 kg"
    parts = (result.hm, result.vm, result.dm, result.am, result.fm, result.cm)
    product = " x ".join(f"{part:.3g}" for part in parts)
    return [
        Step("HM, how far out", "25 cm (10 in) over the distance", result.hm),
        Step("VM, how high", "less for every step from 75 cm (30 in)", result.vm),
        Step("DM, how far up or down", "less for long travel", result.dm),
        Step("AM, twist", "1 - 0.0032 x degrees", result.am),
        Step("FM, how often", "table, by duration and height at the origin", result.fm),
        Step("CM, grip", "table", result.cm),
        Step("recommended weight limit", f"{constant} x {product}", result.rwl_kg, "kg"),
        Step("lifting index", f"{given['load_kg']:g}/{result.rwl_kg:.4g}", result.lifting_index),
    ]


@calculator(
    source="Waters, Putz-Anderson, Garg: Applications manual for the revised NIOSH lifting equation, DHHS (NIOSH) "
    "94-110, rev. 9/2021, section 1.3, Tables 5 and 7",
    known="SEEN",
    example={"load_kg": 20.0, "horizontal_m": 0.35, "vertical_m": 0.3, "travel_m": 0.6},
    working=_lifting_steps,
    caution="One person, two hands, firm footing, no carrying: not for team lifts, barrows or shovels. An index over 1 "
    "means raised risk for some people, over 3 for most.",
)
def lifting_limit(
    *,
    load_kg: Positive,
    horizontal_m: Annotated[float, Ge(0)],
    vertical_m: Annotated[float, Ge(0)],
    travel_m: Annotated[float, Ge(0)],
    asymmetry_deg: Annotated[float, Ge(0), Le(135 + SLACK)] = 0.0,
    lifts_per_min: Annotated[float, Ge(0), Words("lifting frequency")] = 0.2,
    duration_h: Annotated[float, Gt(0), Le(8 + SLACK)] = 1.0,
    coupling: Coupling = "fair",
    origin_vertical_m: Annotated[float | None, Ge(0)] = None,
    form: Form = "metric",
    people: Whole = 1,
) -> LiftingLimit:
    """Recommended weight limit of a lift and the load's index against it.

    Equation: RWL = LC HM VM DM AM FM CM; metric, lengths in cm: LC 23 kg, HM 25/H, VM 1 - 0.003 |V - 75|, DM 0.82 +
    4.5/D; us, lengths in inches: LC 51 lb, HM 10/H, VM 1 - 0.0075 |V - 30|, DM 0.82 + 1.8/D; AM 1 - 0.0032 A; index =
    load/RWL.

    Symbols: H, hands ahead of the ankles; V, hands above the floor; D, travel up or down; A, twist; FM by lifts a
    minute, hours and height at the origin; CM by grip and height.

    Limits: H up to 63 cm (25 in), under 25 cm (10 in) as 25; V up to 175 cm (70 in); D up to 175 cm (70 in), under
    25 cm as 25; A up to 135 degrees; up to 8 hours. The two forms are not exact conversions. No rounding inside.
    """
    refuse_if(people != 1, "people", f"{people} found", "one person: the equation holds for no team lift")
    own = _FORMS[form]
    origin = vertical_m if origin_vertical_m is None else origin_vertical_m
    tops = (
        ("horizontal_m", horizontal_m, own.farthest),
        ("vertical_m", vertical_m, own.highest),
        ("origin_vertical_m", origin, own.highest),
        ("travel_m", travel_m, own.highest),
    )
    for key, value, top in tops:
        most = top * own.unit_m
        refuse_if(value > most + SLACK, key, f"{value:g} found", f"up to {most:g}")
    knuckle = own.knuckle * own.unit_m - SLACK
    fm = frequency_multiplier(lifts_per_min, duration_h, origin < knuckle)
    found = f"frequency of {lifts_per_min:g} found"
    refuse_if(fm is None, "lifts_per_min", found, "no more than the table has for this duration and height")
    fm = fm or 0.0
    hm, vm, dm = position_multipliers(form, horizontal_m, vertical_m, travel_m)
    am = 1.0 - 0.0032 * asymmetry_deg
    cm = {"good": 1.0, "fair": 0.95 if vertical_m < knuckle else 1.0, "poor": 0.9}[coupling]
    limit = own.constant_kg * hm * vm * dm * am * fm * cm
    return LiftingLimit(limit, load_kg / limit, hm, vm, dm, am, fm, cm)
