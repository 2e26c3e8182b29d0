"""Roof water: gutters at the eaves and downspouts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, pi, sqrt
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le, Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.core.tables import read_table

Array = NDArray[np.float64]
L_PER_GALLON = 3.785411784
M_PER_IN = 0.0254
M2_PER_FT2 = 0.09290304
DOWNSPOUT_GPM = 27.8
"""Gallons a minute of a vertical pipe of 1 in that runs full."""
FILL = 7.0 / 24.0
FLATTEST = 3.0
"""Longer side over shorter up to which a rectangular downspout counts as the round one of equal area."""
SIZE_SLACK_M = 0.0005


@dataclass(frozen=True)
class RoofRunoff:
    """Water of a roof and what its downspouts carry."""

    roof_flow_l_s: float
    downspout_capacity_l_s: float
    roof_area_per_downspout_m2: float
    downspouts_needed: int
    passes: bool


@dataclass(frozen=True)
class GutterCapacity:
    """What a gutter carries against what its roof sends."""

    pitch_factor: float
    gutter_flow_l_s: float
    capacity_l_s: float
    largest_roof_area_m2: float
    passes: bool


def roof_flow_l_s(coefficient: ArrayLike, intensity_mm_h: ArrayLike, area_m2: ArrayLike) -> Array:
    """Roof water C i A/3600 in litres a second (any shapes that go together)."""
    rain = np.asarray(intensity_mm_h, dtype=float) * np.asarray(area_m2, dtype=float)
    return np.asarray(np.asarray(coefficient, dtype=float) * rain / 3600.0)


def downspout_flow_l_s(diameter_m: ArrayLike, fill_fraction: ArrayLike = FILL) -> Array:
    """Vertical downspout, 27.8 fill^(5/3) d^(8/3) gallons a minute with d in inches (any shapes that go together)."""
    inches = np.asarray(diameter_m, dtype=float) / M_PER_IN
    gallons = DOWNSPOUT_GPM * np.asarray(fill_fraction, dtype=float) ** (5.0 / 3.0) * inches ** (8.0 / 3.0)
    return np.asarray(gallons * L_PER_GALLON / 60.0)


def pitch_factor(roof_pitch: float) -> float:
    """Factor on the roof's area by its pitch (rise over run)."""
    table = read_table("water", "roof_pitches")
    rows = zip(table.column("rise_in_12_up_to"), table.column("factor"), strict=True)
    return next(factor for up_to, factor in rows if roof_pitch <= up_to / 12.0 + 1e-9)


def _roof_steps(given: Mapping[str, Any], result: RoofRunoff) -> list[Step]:
    c, fill = given.get("coefficient", 1.0), given.get("fill_fraction", FILL)
    diameter = _diameter_m(given.get("downspout_diameter_m"), given.get("downspout_section_m"))
    flow, one = result.roof_flow_l_s, result.downspout_capacity_l_s
    rain = f"{c:g} x {given['intensity_mm_h']:g}"
    return [
        Step("roof water", f"{rain} x {given['roof_area_m2']:g}/3600", flow, "l_s"),
        Step("diameter of the downspout", "given, or (4 w h/pi)^0.5", diameter, "m"),
        Step("one downspout", f"27.8 x {fill:.4g}^(5/3) x ({diameter:.4g}/0.0254)^(8/3) gallons a minute", one, "l_s"),
        Step("roof per downspout", f"{one:.4g} x 3600/({rain})", result.roof_area_per_downspout_m2, "m2"),
        Step("downspouts needed", f"{flow:.4g}/{one:.4g}, rounded up", float(result.downspouts_needed)),
    ]


def _diameter_m(diameter_m: float | None, section_m: list[float] | None) -> float:
    """Diameter of a downspout, or of the round one that has the area of a section."""
    return sqrt(4.0 * section_m[0] * section_m[1] / pi) if section_m is not None else diameter_m or 0.0


@calculator(
    source="2006 National Standard Plumbing Code Illustrated, table 13.6.1 (round); equal area for others recalled",
    known="SEEN",
    example={"roof_area_m2": 100.0, "intensity_mm_h": 110.0, "downspout_section_m": [0.0508, 0.0762], "downspouts": 2},
    working=_roof_steps,
)
def roof_runoff(
    *,
    roof_area_m2: Positive,
    intensity_mm_h: Positive,
    downspout_diameter_m: Positive | None = None,
    downspout_section_m: Annotated[list[Positive], Len(2, 2)] | None = None,
    downspouts: Annotated[float, Ge(1)] = 1.0,
    coefficient: Annotated[float, Gt(0), Le(1)] = 1.0,
    fill_fraction: Annotated[float, Gt(0), Le(1.0 / 3.0)] = FILL,
) -> RoofRunoff:
    """Roof water, and how many downspouts it needs.

    Equation: flow (l/s) = C i A/3600; one downspout (gallons a minute, d in inches) = 27.8 fill^(5/3) d^(8/3); a
    rectangular one counts as the round one of equal area.

    Symbols: roof_area_m2, plan area; intensity_mm_h, i; downspout_section_m, width and depth; fill_fraction, share of
    the pipe that water fills (7/24 by the code).

    Limits: exactly one of diameter and section; the longer side at most three times the shorter.
    """
    both = "both found" if downspout_section_m is not None else "neither found"
    refuse_if(
        (downspout_diameter_m is None) == (downspout_section_m is None), "downspout_diameter_m or downspout_section_m",
        both, "exactly one of the two",
    )  # fmt: skip
    if downspout_section_m is not None:
        short, long = sorted(downspout_section_m)
        refuse_if(
            long > FLATTEST * short * (1.0 + 1e-9), "downspout_section_m", f"a section of {short:g} by {long:g} m",
            "the longer side at most three times the shorter",
        )  # fmt: skip
    flow = float(roof_flow_l_s(coefficient, intensity_mm_h, roof_area_m2))
    one = float(downspout_flow_l_s(_diameter_m(downspout_diameter_m, downspout_section_m), fill_fraction))
    return RoofRunoff(
        roof_flow_l_s=flow,
        downspout_capacity_l_s=one,
        roof_area_per_downspout_m2=one * 3600.0 / (coefficient * intensity_mm_h),
        downspouts_needed=ceil(flow / one - 1e-9),
        passes=flow <= downspouts * one * (1.0 + 1e-12),
    )


def _gutter_steps(given: Mapping[str, Any], result: GutterCapacity) -> list[Step]:
    factor, rain = result.pitch_factor, given["intensity_mm_h"]
    return [
        Step("pitch factor", f"roof pitch {given.get('roof_pitch', 0.0):g}", factor),
        Step("water", f"{factor:g} x {rain:g} x {given['roof_area_m2']:g}/3600", result.gutter_flow_l_s, "l_s"),
        Step("gutter carries", "printed roof area at 1 in/h", result.capacity_l_s, "l_s"),
        Step("largest roof", f"{result.capacity_l_s:.4g} x 3600/({factor:g} x {rain:g})", result.largest_roof_area_m2,
             "m2"),
    ]  # fmt: skip


@calculator(
    source="Area table at 1 in/h and pitch factors on a building magazine's web page, Adjusting for pitch and rainfall",
    known="SEEN",
    example={"profile": "k_style", "size_m": 0.127, "roof_area_m2": 60.0, "intensity_mm_h": 150.0, "roof_pitch": 0.5},
    working=_gutter_steps,
)
def gutter_capacity(
    *,
    profile: Literal["half_round", "k_style"],
    size_m: Positive,
    roof_area_m2: Positive,
    intensity_mm_h: Positive,
    roof_pitch: NotNegative = 0.0,
) -> GutterCapacity:
    """Whether a gutter carries the water of its roof.

    Equation: flow = factor i A/3600; capacity from the printed roof area at 1 in/h; largest roof = capacity x 3600/
    (factor i).

    Symbols: profile and size_m, nominal 5 or 6 in; roof_area_m2, plan area that drains to it; intensity_mm_h, i of 5
    minutes; roof_pitch, rise over run, with its factor.

    Limits: the four gutters of the table; between two printed ranges of pitch the larger factor.
    """
    area_m2 = _printed_area_m2(profile, size_m)
    capacity = float(roof_flow_l_s(1.0, 25.4, area_m2))
    factor = pitch_factor(roof_pitch)
    flow = float(roof_flow_l_s(factor, intensity_mm_h, roof_area_m2))
    return GutterCapacity(
        pitch_factor=factor,
        gutter_flow_l_s=flow,
        capacity_l_s=capacity,
        largest_roof_area_m2=capacity * 3600.0 / (factor * intensity_mm_h),
        passes=flow <= capacity * (1.0 + 1e-12),
    )


def _printed_area_m2(profile: str, size_m: float) -> float:
    """Roof area at 1 in/h that the table prints for a gutter."""
    rows = read_table("water", "gutters").rows
    for row in rows:
        if row["profile"] == profile and abs(float(row["size_in"]) * M_PER_IN - size_m) <= SIZE_SLACK_M + 1e-9:
            return float(row["roof_area_ft2"]) * M2_PER_FT2
    raise refuse("size_m", f"a size of {size_m:g} m is not in the table", "0.127 or 0.1524 (5 or 6 in)")
