"""Cautions of an open dig, the hand-digging zone along a marked line, and the ground kept for a tree's roots."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan, degrees, pi, sqrt
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Len

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive

SoilType = Literal["stable_rock", "a", "b", "c"]
SLACK = 1e-9
LOOK_FOR_CAVE_IN_M = 1.524
LADDER_M = 1.2192
ENGINEER_M = 6.096
SHORT_TERM_M = 3.6576


@dataclass(frozen=True)
class ExcavationCaution:
    """What an open dig asks for."""

    soil_type: SoilType
    cautions: list[str]
    slope_ratio: float | None = None
    slope_deg: float | None = None
    top_width_m: float | None = None


@dataclass(frozen=True)
class UtilityZone:
    """Stretch across a marked line in which only hand digging is done."""

    zone_from_m: float
    zone_to_m: float
    hand_dig_only: bool | None = None


@dataclass(frozen=True)
class RootProtection:
    """Circle round a stem kept free of digging, filling and heaps."""

    equivalent_diameter_mm: float
    radius_m: float
    area_m2: float
    capped: bool


def lowered_soil_type(soil_type: SoilType, disturbed: bool, seepage: bool) -> SoilType:
    """The soil type to work by: disturbed soil is never type a, seeping soil never better than c; rock stays rock."""
    if soil_type == "stable_rock":
        return soil_type
    if seepage:
        return "c"
    return "b" if disturbed and soil_type == "a" else soil_type


def safe_slope_ratio(soil_type: SoilType, depth_m: float, short_term: bool = False) -> float:
    """Steepest slope of an open cut, horizontal per vertical."""
    if soil_type == "a" and short_term and depth_m <= SHORT_TERM_M + SLACK:
        return 0.5
    return {"stable_rock": 0.0, "a": 0.75, "b": 1.0, "c": 1.5}[soil_type]


def _excavation_steps(given: Mapping[str, Any], result: ExcavationCaution) -> list[Step]:
    steps = [Step("soil type worked by", f"given as {given.get('soil_type', 'c')}", result.soil_type)]
    if result.slope_ratio is not None and result.slope_deg is not None:
        steps.append(Step("slope, horizontal per vertical", "steepest for this soil type", result.slope_ratio))
        steps.append(Step("slope angle", f"atan(1/{result.slope_ratio:g})", result.slope_deg, "deg"))
    if result.top_width_m is not None:
        how = f"{given['bottom_width_m']:g} + 2 x {result.slope_ratio:g} x {given['depth_m']:g}"
        steps.append(Step("width at the top", how, result.top_width_m, "m"))
    return [*steps, Step("cautions", "by depth, soil and who goes in", ", ".join(result.cautions))]


@calculator(
    source="29 CFR 1926.651-652 as listed by Indiana Constructors, Excavation by the numbers; OSHA Technical Manual "
    "V-2 slope table",
    known="SEEN",
    example={"depth_m": 1.3, "soil_type": "b", "bottom_width_m": 0.6},
    working=_excavation_steps,
    caution="Soil kills in seconds. Binding on employers, advice to others; local rules may ask for more. Have buried "
    "services located first; when in doubt stay out and ask a competent person.",
)
def excavation_caution(
    *,
    depth_m: Positive,
    soil_type: SoilType = "c",
    people_enter: bool = True,
    seepage: bool = False,
    disturbed: bool = False,
    short_term: bool = False,
    hazardous_air: bool = False,
    near_structure: bool = False,
    standing_water: bool = False,
    bottom_width_m: NotNegative | None = None,
) -> ExcavationCaution:
    """Cautions for an open dig, with the steepest safe slope of its sides.

    Equation: slope angle = atan(1/ratio); top width = bottom + 2 x ratio x depth.

    Symbols: soil_type, stable_rock, or a (firm clay), b, c (loose, sandy, wet, or not known); ratio, horizontal per
    vertical; short_term, open 24 hours at most.

    Limits: a ladder from 1.2192 m (4 ft), protection from 1.524 m (5 ft), an engineer over 6.096 m (20 ft), where no
    slope is given. Disturbed soil is never type a; seepage makes any soil type c.
    """
    worked = lowered_soil_type(soil_type, disturbed, seepage)
    soft = worked != "stable_rock"
    engineer = depth_m > ENGINEER_M + SLACK and soft
    deep = depth_m >= LOOK_FOR_CAVE_IN_M - SLACK
    rules = [
        ("locate_utilities", True),
        ("spoil_back", True),
        ("daily_inspection", people_enter),
        ("look_for_cave_in", people_enter and soft and not deep),
        ("ladder", people_enter and depth_m >= LADDER_M - SLACK),
        ("air_test", people_enter and hazardous_air and depth_m > LADDER_M + SLACK),
        ("protect", people_enter and soft and deep),
        ("engineer", engineer),
        ("structure", near_structure and soft),
        ("water", people_enter and standing_water),
    ]
    cautions = [name for name, holds in rules if holds]
    if engineer:
        return ExcavationCaution(worked, cautions)
    ratio = safe_slope_ratio(worked, depth_m, short_term)
    return ExcavationCaution(
        soil_type=worked,
        cautions=cautions,
        slope_ratio=ratio,
        slope_deg=degrees(atan(1.0 / ratio)) if ratio > 0 else 90.0,
        top_width_m=bottom_width_m + 2.0 * ratio * depth_m if bottom_width_m is not None else None,
    )


def _zone_steps(given: Mapping[str, Any], result: UtilityZone) -> list[Step]:
    half = (result.zone_to_m - result.zone_from_m) / 2.0
    how = "tolerance + half the pipe" if given.get("measured_from", "pipe_edge") == "pipe_edge" else "tolerance"
    return [
        Step("either side of the mark", how, half, "m"),
        Step("zone from", f"{given['mark_m']:g} - {half:.4g}", result.zone_from_m, "m"),
        Step("zone to", f"{given['mark_m']:g} + {half:.4g}", result.zone_to_m, "m"),
    ]


@calculator(
    source="Tolerance zone of 24 in either side: two US utilities (Indiana; East Grand Forks, Minnesota)",
    known="SEEN",
    example={"mark_m": 3.0, "pipe_diameter_mm": 100, "dig_from_m": 3.6, "dig_to_m": 4.2},
    working=_zone_steps,
    caution="Call the locating service before any dig. States differ; depth gives no clearance; private lines are not "
    "marked. Gas, power and water lines can kill.",
)
def utility_zone(
    *,
    mark_m: float,
    pipe_diameter_mm: NotNegative = 0.0,
    tolerance_m: Positive = 0.6096,
    measured_from: Literal["pipe_edge", "mark"] = "pipe_edge",
    dig_from_m: float | None = None,
    dig_to_m: float | None = None,
) -> UtilityZone:
    """Zone across a marked buried line in which only hand digging is done.

    Equation: mark -/+ (tolerance + half the pipe) measured from the pipe's edge, mark -/+ tolerance from the mark.

    Symbols: mark_m, place of the mark along any line; tolerance_m, width of the zone on either side; dig_from_m and
    dig_to_m, the dig along the same line.

    Limits: the dig is given by both ends, from under to. A dig that only touches the zone counts as in it.
    """
    half = (dig_from_m is not None) + (dig_to_m is not None) == 1
    refuse_if(half, "dig", "one end found", "dig_from_m and dig_to_m, or neither")
    reach = tolerance_m + (pipe_diameter_mm / 2000.0 if measured_from == "pipe_edge" else 0.0)
    start, end = mark_m - reach, mark_m + reach
    if dig_from_m is None or dig_to_m is None:
        return UtilityZone(start, end)
    refuse_if(dig_from_m >= dig_to_m, "dig_from_m", f"{dig_from_m:g} to {dig_to_m:g} found", "from under to")
    return UtilityZone(start, end, dig_from_m <= end + SLACK and dig_to_m >= start - SLACK)


def equivalent_diameter(stem_diameters_mm: list[float]) -> float:
    """One stem that stands for several: root of the sum of squares up to five, above that sqrt(n) x mean."""
    stems = np.asarray(stem_diameters_mm, dtype=float)
    if len(stems) > 5:
        return float(sqrt(len(stems)) * stems.mean())
    return float(np.sqrt((stems**2).sum()))


def _root_steps(given: Mapping[str, Any], result: RootProtection) -> list[Step]:
    us = given.get("rule", "bs5837") == "us_critical_root_zone"
    times = 18 if us and given.get("sensitive", False) else 12
    held = ", held at 15" if result.capped else ""
    return [
        Step("equivalent stem", "root of the sum of squares, over five stems sqrt(n) x mean",
             result.equivalent_diameter_mm, "mm"),
        Step("radius", f"{times} x {result.equivalent_diameter_mm / 1000:g}{held}", result.radius_m, "m"),
        Step("area", f"pi x {result.radius_m:g}^2", result.area_m2, "m2"),
    ]  # fmt: skip


@calculator(
    source="BS 5837:2012, radius of 12 stem diameters and Annex D, as quoted; over five stems and US rule recalled",
    known="SEEN",
    example={"stem_diameters_mm": [300.0]},
    working=_root_steps,
    caution="Cut roots can bring a tree down years later. Protected trees, neighbours' trees and old trees: ask an "
    "arborist and the local office before any dig in this circle.",
)
def root_protection_radius(
    *,
    stem_diameters_mm: Annotated[list[Positive], Len(1)],
    rule: Literal["bs5837", "us_critical_root_zone"] = "bs5837",
    sensitive: bool = False,
) -> RootProtection:
    """Radius round a tree in which roots are left alone.

    Equation: equivalent diameter = root of the sum of squares (2 to 5 stems), sqrt(n) x mean (more); bs5837 radius =
    12 x it, 15.0 m at most; US radius = 12 x it, 18 x where sensitive, no cap.

    Symbols: stem diameters at 1.5 m above ground, US at 1.37 m; sensitive, an old or tender tree (US rule only).

    Limits: a circle is the start, not the last word: roots follow soil and water.
    """
    diameter = equivalent_diameter(stem_diameters_mm)
    us = rule == "us_critical_root_zone"
    radius = (18.0 if us and sensitive else 12.0) * diameter / 1000.0
    capped = not us and radius > 15.0 + SLACK
    radius = 15.0 if capped else radius
    return RootProtection(diameter, radius, pi * radius**2, capped)
