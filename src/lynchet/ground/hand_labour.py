"""Hours of hand digging, filling and carrying."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive, Words
from lynchet.core.tables import read_table

Soil = Literal["loose", "firm", "clay", "boulder_clay", "gravel"]
Material = Literal["sand_soil", "clay", "hoggin", "hardcore"]
Kind = Literal["trench", "pit"]
SLACK = 1e-9
HAND_TAMPED_MM = 150.0
CARRY_RATES = ((10.0, 6.25), (20.0, 3.23), (50.0, 2.13))
"""Distance up to, m, and volume carried by one person in an hour, m3: same page as the digging rates."""
Carry = Annotated[float, Ge(0), Le(50 + SLACK)]


@dataclass(frozen=True)
class HandDigHours:
    """Hours of one person."""

    dig_h: float
    carry_h: float
    total_h: float
    dig_rate_m3_per_h: float


@dataclass(frozen=True)
class BackfillHours:
    """Hours of one person."""

    fill_h: float
    carry_h: float
    total_h: float
    fill_rate_m3_per_h: float
    hand_tamp_ok: bool


def digging_rates(kind: str, soil: str) -> tuple[tuple[float, float], ...]:
    """(depth up to, rate) of one kind of dig and soil, shallow first; empty where the table has none."""
    rows = read_table("ground", "hand_digging").rows
    return tuple((float(r["to_depth"]), float(r["rate"])) for r in rows if r["kind"] == kind and r["soil"] == soil)


def filling_rate(material: str, layer_mm: float) -> float:
    """Rate of filling and compacting by hand in layers of this thickness."""
    row = next(row for row in read_table("ground", "hand_filling").rows if row["material"] == material)
    for top in (100, 200, 300):
        if layer_mm <= top + SLACK:
            return float(row[f"to_{top}"])
    return float(row["over_300"])


def carrying_hours(volume_m3: float, carry_m: float) -> float:
    """Hours of one person to carry a volume; nothing where it is left beside the hole."""
    if carry_m == 0:
        return 0.0
    return volume_m3 / next(rate for to, rate in CARRY_RATES if carry_m <= to + SLACK)


def _labour_steps(given: Mapping[str, Any], result: HandDigHours | BackfillHours) -> list[Step]:
    digs = isinstance(result, HandDigHours)
    volume = given["bank_m3"] if digs else given["compacted_m3"]
    rate = result.dig_rate_m3_per_h if isinstance(result, HandDigHours) else result.fill_rate_m3_per_h
    hours = result.dig_h if isinstance(result, HandDigHours) else result.fill_h
    return [
        Step("digging" if digs else "filling and compacting", f"{volume:g}/{rate:g}", hours, "h"),
        Step("carrying", f"{volume:g}/rate for {given.get('carry_m', 0):g} m", result.carry_h, "h"),
        Step("hours of one person", f"{hours:.3g} + {result.carry_h:.3g}", result.total_h, "h"),
    ]


@calculator(
    source="Guild of Project Controls, Excavate reduce levels (wiki 422684)",
    known="SEEN",
    example={"bank_m3": 2.0, "soil": "firm", "depth_m": 0.5, "carry_m": 15},
    working=_labour_steps,
    caution="Outputs differ by half either way, other figures are two to three times slower. For a deep or steep dig "
    "see excavation_caution before anyone goes in.",
)
def hand_dig_hours(
    *,
    bank_m3: Annotated[float, Ge(0), Words("bank volume")],
    soil: Soil,
    depth_m: Positive,
    kind: Kind = "trench",
    carry_m: Carry = 0.0,
) -> HandDigHours:
    """Hours of one person to dig by hand and carry away.

    Equation: hours = volume/rate, digging and carrying added.

    Symbols: bank_m3, volume as it lies in the ground; depth_m, the full depth, by which the whole volume is rated;
    carry_m, distance on level ground, 0 where the soil is left beside the hole.

    Limits: trench to 4.5 m (loose, firm, clay, boulder_clay), pit to 3.0 m (gravel too, base to 2 m2); carry to 50 m. A
    boundary belongs to the smaller band. Loading and spreading are apart.
    """
    bands = digging_rates(kind, soil)
    words = sorted({row["soil"] for row in read_table("ground", "hand_digging").rows if row["kind"] == kind})
    refuse_if(not bands, "soil", f"{soil!r} found for a {kind}", ", ".join(words))
    deepest = bands[-1][0]
    refuse_if(depth_m > deepest + SLACK, "depth_m", f"{depth_m:g} found", f"up to {deepest:g} for a {kind}")
    rate = next(rate for to, rate in bands if depth_m <= to + SLACK)
    carry = carrying_hours(bank_m3, carry_m)
    return HandDigHours(bank_m3 / rate, carry, bank_m3 / rate + carry, rate)


@calculator(
    source="Guild of Project Controls, Hand fill and compact (wiki 422442)",
    known="SEEN",
    example={"compacted_m3": 1.2, "material": "sand_soil", "layer_mm": 150},
    working=_labour_steps,
    caution="A layer over 150 mm is not compacted by a hand tamper, whatever the table's speed: fill behind "
    "walls settles.",
)
def backfill_hours(
    *,
    compacted_m3: Annotated[float, Ge(0), Words("filled volume")],
    material: Material,
    layer_mm: Positive,
    carry_m: Carry = 0.0,
) -> BackfillHours:
    """Hours of one person to fill and compact by hand.

    Equation: hours = volume/rate, filling and carrying added.

    Symbols: compacted_m3, the space filled; layer_mm, thickness of each layer; carry_m, distance on level ground, 0
    where the soil lies beside the hole.

    Limits: a thickness on a boundary belongs to the thinner band; carry to 50 m. Up to 150 mm a hand tamper compacts
    the layer (PRACTICE).
    """
    rate = filling_rate(material, layer_mm)
    carry = carrying_hours(compacted_m3, carry_m)
    fill = compacted_m3 / rate
    return BackfillHours(fill, carry, fill + carry, rate, layer_mm <= HAND_TAMPED_MM + SLACK)
