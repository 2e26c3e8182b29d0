"""Sunrise, sunset, noon: the instants at which the sun passes an altitude."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.planting.sun import Latitude, Longitude, days_of, horizontal_place, seen_from_ground, sun_place

Array = NDArray[np.float64]
State = Literal["rises and sets", "up all day", "down all day"]
HOUR_DEG_PER_DAY = 360.0
_SAMPLES = 97


@dataclass(frozen=True)
class SunRiseSet:
    """Clock hours after local midnight."""

    state: State
    solar_noon_h: float
    day_length_h: float
    sunrise_h: float | None = None
    sunset_h: float | None = None


def calendar_day(text: str, key: str = "date") -> date:
    """A day written YYYY-MM-DD, 1900 to 2100."""
    try:
        day = date.fromisoformat(text) if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII) else None
    except ValueError:
        day = None
    if day is None:
        raise refuse(key, f"{text!r} is no date", "a day that exists, like 2025-06-21")
    refuse_if(not 1900 <= day.year <= 2100, key, f"date with year {day.year} found", "1900 to 2100")
    return day


def universal_midnight(day: date) -> float:
    """Days of universal time since 2000-01-01 12:00 at the UTC midnight a day starts with."""
    return days_of(datetime(day.year, day.month, day.day, tzinfo=UTC))


def airless_altitude(days: ArrayLike, latitude_deg: float, longitude_deg: float) -> Array:
    """Altitude of the sun's centre without air, at the ground, at instants of universal time (kernel)."""
    place = sun_place(days)
    altitude, _ = horizontal_place(place.declination_deg, place.greenwich_hour_deg + longitude_deg, latitude_deg)
    return seen_from_ground(altitude)


def transit(near: float, longitude_deg: float, hour_deg: float = 0.0) -> float:
    """Instant nearest to another at which the sun has an hour angle (0 noon, 180 the lower transit)."""
    at = near
    for _ in range(5):
        hour = float(sun_place(at).greenwich_hour_deg) + longitude_deg - hour_deg
        at -= ((hour + 180.0) % 360.0 - 180.0) / HOUR_DEG_PER_DAY
    return at


def _crossing(above: Callable[[Array], Array], inner: float, outer: float) -> float | None:
    """Instant between noon (inner, above) and a lower transit (outer) nearest to noon where the sun passes; or None."""
    from scipy.optimize import brentq, minimize_scalar

    at = np.linspace(inner, outer, _SAMPLES)
    height = above(at)

    def one(instant: float) -> float:
        return float(above(np.array(instant)))

    below = np.where(height <= 0)[0]
    if len(below) == 0:
        lowest = int(np.argmin(height))
        around = sorted((at[max(lowest - 1, 0)], at[min(lowest + 1, _SAMPLES - 1)]))
        dip = minimize_scalar(one, bounds=around, method="bounded", options={"xatol": 1e-7})
        return float(brentq(one, inner, dip.x, xtol=1e-9)) if dip.fun <= 0 else None
    first = int(below[0])
    return float(brentq(one, at[first - 1], at[first], xtol=1e-9))


def _day_steps(given: Mapping[str, Any], result: SunRiseSet) -> list[Step]:
    steps = [Step("solar noon", "hour angle 0, clock hours", result.solar_noon_h, "h")]
    if result.sunrise_h is not None and result.sunset_h is not None:
        altitude = given.get("centre_altitude_deg", -50 / 60)
        steps.append(Step("sunrise", f"last passing of {altitude:.4g} degrees before noon", result.sunrise_h, "h"))
        steps.append(Step("sunset", f"first passing of {altitude:.4g} degrees after noon", result.sunset_h, "h"))
    return [*steps, Step("day length", result.state, result.day_length_h, "h")]


@calculator(
    source="J. Meeus, Astronomical Algorithms, 2nd ed., chapter 15 (definitions); each event solved at its own instant",
    known="SEEN",
    example={"date": "2025-06-21", "latitude_deg": 40.0, "longitude_deg": -105.0, "utc_offset_h": -7.0},
    working=_day_steps,
)
def sun_rise_set(
    *,
    date: str,
    latitude_deg: Latitude,
    longitude_deg: Longitude,
    utc_offset_h: Annotated[float, Ge(-12), Le(14)],
    centre_altitude_deg: Annotated[float, Ge(-18), Le(60)] = -50.0 / 60.0,
) -> SunRiseSet:
    """Sunrise, sunset, solar noon and day length of a local calendar day.

    Equation: altitude without air of the sun's centre = the altitude asked for, solved at its own instant.

    Symbols: utc_offset_h, hours the clock is ahead of UTC; centre_altitude_deg, -50/60 for the almanac's sunrise, 0 for
    the plain horizon, -6 for civil twilight.

    Limits: noon is the transit nearest to 12:00 of the clock's day; sunrise the last crossing before it, sunset the
    first after it, between the lower transits on either side. Where the clock does not suit the longitude they may fall
    outside 0 to 24. Up all day: a crossing is missing; down all day: not above at noon.
    """
    midnight = universal_midnight(calendar_day(date)) - utc_offset_h / 24.0
    noon = transit(midnight + 0.5, longitude_deg)

    def above(days: Array) -> Array:
        return airless_altitude(days, latitude_deg, longitude_deg) - centre_altitude_deg

    noon_h = (noon - midnight) * 24.0
    if float(above(np.array(noon))) <= 0:
        return SunRiseSet("down all day", noon_h, 0.0)
    rise = _crossing(above, noon, transit(noon - 0.5, longitude_deg, 180.0))
    setting = _crossing(above, noon, transit(noon + 0.5, longitude_deg, 180.0))
    if rise is None or setting is None:
        return SunRiseSet("up all day", noon_h, 24.0)
    return SunRiseSet(
        state="rises and sets",
        solar_noon_h=noon_h,
        day_length_h=(setting - rise) * 24.0,
        sunrise_h=(rise - midnight) * 24.0,
        sunset_h=(setting - midnight) * 24.0,
    )
