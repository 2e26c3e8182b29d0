"""Table values of soils and of what slides on what. The tables are files in ``data``, with source and units."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import atan, degrees
from typing import Literal

from lynchet.core.calculator import calculator
from lynchet.core.kinds import Whole
from lynchet.stability.kinds import SOIL_CAUTION, Friction, Numbers, deny, tangent

PSF_KPA = 0.04788026
"""One pound per square foot in kPa."""
PSF_PER_FT_KPA_M = 0.1570875
"""One pound per square foot per foot of depth in kPa per metre."""
PCF_KN_M3 = 0.157087464
"""One pound per cubic foot in kN/m3."""

Contact = Literal[
    "concrete_on_sound_rock",
    "concrete_on_gravel",
    "concrete_on_sand",
    "concrete_on_silty_sand",
    "concrete_on_silt",
    "concrete_on_hard_clay",
    "concrete_on_stiff_clay",
    "masonry_on_timber",
    "masonry_on_masonry",
    "timber_on_steel",
    "timber_on_timber",
    "timber_on_soil",
]


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Rows of one of the room's tables, as text; lines that start with # say source, how known, units."""
    text = files("lynchet.stability").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


@dataclass(frozen=True)
class PresumptiveSoil:
    """Values a code presumes without a test."""

    class_number: int
    bearing_kpa: float
    lateral_kpa_per_m: float
    """Per metre of depth."""
    sliding_coefficient: float | None
    sliding_cohesion_kpa: float | None


@dataclass(frozen=True)
class TypicalSoil:
    """Average values of compacted soil."""

    friction_angle_deg: float
    dry_unit_weight_kn_m3: float
    """At the standard compaction maximum."""
    optimum_water_pct: float
    bound: bool
    """True where the source gives only "more than" (strength, weight)."""


@dataclass(frozen=True)
class TypicalFriction:
    """Range of friction between two things."""

    coefficient_low: float
    coefficient_high: float
    angle_low_deg: float
    angle_high_deg: float
    known: str


@calculator(
    source="International Building Code 2021/2024, Table 1806.2",
    known="SEEN",
    example={"soil_class": "SM"},
    caution=SOIL_CAUTION,
)
def presumptive_soil(*, soil_class: Whole | str) -> PresumptiveSoil:
    """Bearing, lateral and sliding values the building code presumes for a soil class.

    Equation: table; psf x 0.04788026 = kPa, psf per ft x 0.1570875 = kPa per metre.

    Symbols: soil class as a USCS symbol (GW, SM, CL ...) or as the code's class number 1 to 5.

    Limits: organic soils have no presumptive value. The cohesion of class 5 is not more than half the dead load.
    """
    symbol, number = (soil_class.strip().upper(), "") if isinstance(soil_class, str) else ("", str(soil_class))
    for row in table("presumptive_soil"):
        if symbol in row["symbols"].split() or row["class_number"] == number:
            cohesion = row["cohesion_psf"]
            return PresumptiveSoil(
                class_number=int(row["class_number"]),
                bearing_kpa=float(row["bearing_psf"]) * PSF_KPA,
                lateral_kpa_per_m=float(row["lateral_psf_per_ft"]) * PSF_PER_FT_KPA_M,
                sliding_coefficient=None if cohesion else float(row["sliding_coefficient"]),
                sliding_cohesion_kpa=float(cohesion) * PSF_KPA if cohesion else None,
            )
    listed = " ".join(row["symbols"] for row in table("presumptive_soil")).split()
    deny(True, "soil_class", f"{soil_class!r} has no presumptive value", "1 to 5 or " + ", ".join(listed))
    raise AssertionError


@calculator(
    source="US Bureau of Reclamation averages as tabulated in Y. H. Huang, Stability Analysis of Earth Slopes, 1983",
    known="SEEN",
    example={"soil_class": "SM"},
    caution=SOIL_CAUTION + " Hand-tamped garden fill is weaker than compacted soil; behind walls take no cohesion.",
)
def soil_typical(*, soil_class: str) -> TypicalSoil:
    """Typical friction angle, dry weight and best water content of a compacted soil.

    Equation: table; pcf x 0.157087464 = kN/m3.

    Symbols: soil class as a USCS symbol (also SM-SC, ML-CL).

    Limits: averages of compacted soil. Where `bound` is true the source says only "more than".
    """
    symbol = soil_class.strip().upper()
    rows = {row["symbol"]: row for row in table("soil_typical")}
    deny(symbol not in rows, "soil_class", f"{soil_class!r} is not in the table", ", ".join(rows))
    row = rows[symbol]
    return TypicalSoil(
        friction_angle_deg=float(row["friction_deg"]),
        dry_unit_weight_kn_m3=float(row["dry_pcf"]) * PCF_KN_M3,
        optimum_water_pct=float(row["optimum_pct"]),
        bound=row["bound"] == "1",
    )


def timber_on_soil_deg(friction_deg: Numbers) -> Numbers:
    """Friction angle of timber on plain ground, three quarters of the soil's (kernel)."""
    row = next(row for row in table("friction_typical") if row["contact"] == "timber_on_soil")
    return float(row["low"]) * friction_deg


@calculator(
    source="NAVFAC Design Manual 7.02, Foundations and Earth Structures, 1986, Chapter 3, Table 1, and others by row",
    known="SEEN",
    example={"contact": "timber_on_soil", "friction_angle_deg": 30.0},
    caution=SOIL_CAUTION + " There is no safety in these values. Wet or freshly treated timber: take the low end.",
)
def friction_typical(*, contact: Contact, friction_angle_deg: Friction | None = None) -> TypicalFriction:
    """Typical friction between wall and ground, timber and timber.

    Equation: table; timber_on_soil tan(0.75 x soil friction); angle = atan(coefficient).

    Symbols: contact by name; the soil's friction angle for timber_on_soil.

    Limits: no safety in it. One interface, one value: timber on a compacted stone pad is held by the weaker of timber
    on stone and pad on soil; the soil's own friction counts under timber only where the course is keyed in.
    """
    row = next(row for row in table("friction_typical") if row["contact"] == contact)
    if contact == "timber_on_soil":
        deny(
            friction_angle_deg is None, "friction_angle_deg", "missing", "the soil's friction angle for timber_on_soil"
        )
        low = high = float(tangent(timber_on_soil_deg(friction_angle_deg or 0.0)))
    else:
        low, high = float(row["low"]), float(row["high"])
    angles = degrees(atan(low)), degrees(atan(high))
    return TypicalFriction(low, high, *angles, row["known"])
