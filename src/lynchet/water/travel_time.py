"""How long the rain takes to gather: time of concentration over lawn, rill and channel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Gt, Le, Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive
from lynchet.core.rows import refuse_other_keys

Array = NDArray[np.float64]
M_PER_FT = 0.3048
MM_PER_IN = 25.4
SHALLOW_FT_S = {"unpaved": 16.1345, "paved": 20.3282}
"""Velocity of shallow flow on a slope of 1, feet a second."""
NEEDED = {
    "sheet": ("length_m", "slope", "roughness", "rain_2yr_24h_mm"),
    "shallow": ("length_m", "slope", "surface"),
    "channel": ("length_m", "slope", "roughness", "area_m2", "wetted_perimeter_m"),
}


@dataclass(frozen=True)
class Segment:
    """One stretch of the way; which keys it needs depends on its kind."""

    kind: Literal["sheet", "shallow", "channel"]
    length_m: Positive
    slope: Positive
    roughness: Positive | None = None
    """Manning's n; for sheet flow the n of sheet flow."""
    rain_2yr_24h_mm: Positive | None = None
    surface: Literal["unpaved", "paved"] | None = None
    area_m2: Positive | None = None
    wetted_perimeter_m: Positive | None = None


@dataclass(frozen=True)
class TravelTime:
    """Time of concentration, whole and by segment."""

    segment_times_min: list[float]
    segment_velocities_m_s: list[float]
    total_min: float
    design_min: float


@dataclass(frozen=True)
class GatheringTime:
    """A time of concentration."""

    time_min: float


def sheet_time_min(roughness: ArrayLike, length_m: ArrayLike, rain_2yr_24h_mm: ArrayLike, slope: ArrayLike) -> Array:
    """Time of sheet flow in minutes (any shapes that go together): 0.007 (n L)^0.8/(P2^0.5 s^0.4) h, L in feet, P2 in
    inches."""
    way = np.asarray(roughness, dtype=float) * np.asarray(length_m, dtype=float) / M_PER_FT
    rain = np.asarray(rain_2yr_24h_mm, dtype=float) / MM_PER_IN
    return np.asarray(60.0 * 0.007 * way**0.8 / (np.sqrt(rain) * np.asarray(slope, dtype=float) ** 0.4))


def shallow_velocity_m_s(slope: ArrayLike, surface: str) -> Array:
    """Velocity of shallow flow that has gathered, on unpaved or paved ground."""
    return np.asarray(SHALLOW_FT_S[surface] * M_PER_FT * np.sqrt(slope))


def manning_velocity_m_s(hydraulic_radius_m: ArrayLike, slope: ArrayLike, roughness: ArrayLike) -> Array:
    """Manning's velocity R^(2/3) s^0.5/n (any shapes that go together)."""
    radius = np.asarray(hydraulic_radius_m, dtype=float)
    return np.asarray(radius ** (2.0 / 3.0) * np.sqrt(slope) / np.asarray(roughness, dtype=float))


def kirpich_min(length_m: ArrayLike, slope: ArrayLike) -> Array:
    """Kirpich's time 0.0195 L^0.77 s^-0.385 in minutes (any shapes that go together)."""
    return np.asarray(0.0195 * np.asarray(length_m, dtype=float) ** 0.77 * np.asarray(slope, dtype=float) ** -0.385)


def segment_min(segment: Segment) -> float:
    """Time of one segment with the keys of its kind."""
    if segment.kind == "sheet":
        assert segment.roughness is not None and segment.rain_2yr_24h_mm is not None
        return float(sheet_time_min(segment.roughness, segment.length_m, segment.rain_2yr_24h_mm, segment.slope))
    if segment.kind == "shallow":
        assert segment.surface is not None
        velocity = float(shallow_velocity_m_s(segment.slope, segment.surface))
    else:
        assert segment.roughness is not None and segment.area_m2 is not None and segment.wetted_perimeter_m is not None
        radius = segment.area_m2 / segment.wetted_perimeter_m
        velocity = float(manning_velocity_m_s(radius, segment.slope, segment.roughness))
    return segment.length_m / velocity / 60.0


def _travel_steps(given: Mapping[str, Any], result: TravelTime) -> list[Step]:
    formulas = {
        "sheet": "0.007 (n L)^0.8/(P2^0.5 s^0.4) hours, L in ft, P2 in inches",
        "shallow": "length/velocity, velocity by surface and slope",
        "channel": "length/velocity, velocity R^(2/3) s^0.5/n",
    }
    steps = [
        Step(f"{segment.kind} flow, {segment.length_m:g} m", formulas[segment.kind], minutes, "min")
        for segment, minutes in zip(given["segments"], result.segment_times_min, strict=True)
    ]
    total = Step("total", "sum", result.total_min, "min")
    return [*steps, total, Step("design time", "not below the least time", result.design_min, "min")]


@calculator(
    source="USDA SCS, TR-55, 2nd ed., 1986, chapter 3 and appendix F (seen quoted)",
    known="SEEN",
    example={
        "segments": [{"kind": "sheet", "length_m": 18.0, "slope": 0.15, "roughness": 0.24, "rain_2yr_24h_mm": 78.0}]
    },
    working=_travel_steps,
)
def travel_time(
    *,
    segments: Annotated[list[Segment], Len(1)],
    minimum_min: Positive = 5.0,
    sheet_limit_m: Annotated[float, Gt(0), Le(91.44)] = 30.48,
) -> TravelTime:
    """Time the rain takes from the farthest point of a catchment (time of concentration).

    Equation: sheet t (h) = 0.007 (n L/0.3048)^0.8/((P2/25.4)^0.5 s^0.4); shallow V = 16.1345 x 0.3048 s^0.5 unpaved,
    20.3282 x 0.3048 s^0.5 paved; channel V = R^(2/3) s^0.5/n, R = area/wetted perimeter.

    Symbols: n, Manning's n (for sheet flow a list of its own); L, length; P2, 2-year 24-hour rain; s, slope as rise
    over run.

    Limits: sheet segments together no longer than sheet_limit_m (100 ft; old texts 300 ft): past it the water has
    gathered, whatever the ground. The design time is never under minimum_min.
    """
    refuse_other_keys(segments, "segments", NEEDED)
    sheet = sum(segment.length_m for segment in segments if segment.kind == "sheet")
    refuse_if(
        sheet > sheet_limit_m + 1e-9, "segments", f"sheet flow over {sheet:g} m",
        f"up to {sheet_limit_m:g} m of sheet flow; beyond it shallow or channel flow",
    )  # fmt: skip
    times = [segment_min(segment) for segment in segments]
    velocities = [segment.length_m / (60.0 * time) for segment, time in zip(segments, times, strict=True)]
    total = sum(times)
    return TravelTime(times, velocities, total, max(total, minimum_min))


@calculator(
    source="Kirpich (1940), as Eq. 4-15 of the Texas DOT hydraulic design manual, chapter 4",
    known="SEEN",
    example={"length_m": 609.6, "slope": 0.04},
)
def kirpich_time(*, length_m: Positive, slope: Positive) -> GatheringTime:
    """Time of concentration of a small farm basin with a channel.

    Equation: t = 0.0195 L^0.77 s^-0.385, minutes and metres.

    Symbols: length_m, L along the channel; slope, s as rise over run.

    Limits: a channel formula for small farm basins; for a yard use travel_time.
    """
    return GatheringTime(float(kirpich_min(length_m, slope)))
