"""Where the sun stands: the apparent place of its centre, seen from the earth's middle and from the ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Any, NamedTuple

import numpy as np
from annotated_types import Ge, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.tables import read_table

Array = NDArray[np.float64]
Latitude = Annotated[float, Ge(-90), Le(90)]
Longitude = Annotated[float, Ge(-180), Le(180)]
PARALLAX_DEG = 8.794 / 3600.0
"""Horizontal parallax of the sun: how much lower it stands on the horizon than from the earth's middle."""
_J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
_YEARS = (1900, 2100)


class SunPlace(NamedTuple):
    """The sun's centre seen from the earth's middle, in degrees; each an array of the shape of the times."""

    declination_deg: Array
    greenwich_hour_deg: Array
    """Hour angle at Greenwich, not brought into a range."""
    equation_of_time_min: Array


@dataclass(frozen=True)
class SunPosition:
    """The sun's centre seen from the ground."""

    altitude_deg: float
    airless_altitude_deg: float
    azimuth_deg: float
    declination_deg: float
    equation_of_time_min: float


def days_of(instant: datetime) -> float:
    """Days of universal time since 2000-01-01 12:00, of an instant with an offset."""
    return (instant - _J2000).total_seconds() / 86400.0


def dynamical_less_universal(days: ArrayLike) -> Array:
    """TT - UT in seconds, 1900 to 2100: polynomials of F. Espenak and J. Meeus, NASA eclipse pages (2006)."""
    year = 2000.0 + np.asarray(days, dtype=float) / 365.25
    spans: list[tuple[float, float, list[float]]] = [
        (1920.0, 1900.0, [-0.000197, 0.0061966, -0.0598939, 1.494119, -2.79]),
        (1941.0, 1920.0, [0.0020936, -0.0761, 0.84493, 21.20]),
        (1961.0, 1950.0, [1 / 2547, -1 / 233, 0.407, 29.07]),
        (1986.0, 1975.0, [-1 / 718, -1 / 260, 1.067, 45.45]),
        (2005.0, 2000.0, [0.00002373599, 0.000651814, 0.0017275, -0.060374, 0.3345, 63.86]),
        (2050.0, 2000.0, [0.005589, 0.32217, 62.92]),
    ]
    seconds = -20.0 + 32.0 * ((year - 1820.0) / 100.0) ** 2 - 0.5628 * (2150.0 - year)
    for until, start, coefficients in reversed(spans):
        seconds = np.where(year < until, np.polyval(coefficients, year - start), seconds)
    return np.asarray(seconds, dtype=float)


def dynamical_century(ut: Array) -> Array:
    """Dynamical time in centuries since 2000-01-01 12:00, of days of universal time."""
    return np.asarray((ut + dynamical_less_universal(ut) / 86400.0) / 36525.0)


def sun_place(days: ArrayLike) -> SunPlace:
    """Apparent place of the sun, good to about 0.001 degrees (kernel).

    Args:
        days: universal time, days since 2000-01-01 12:00, years 1900 to 2100.
    """
    ut = np.asarray(days, dtype=float)
    century = dynamical_century(ut)
    nutation, tilting = nutation_deg(century)
    obliquity = np.radians(23.4392911 - 0.0130042 * century + tilting)
    distance = distance_au(century)
    longitude = np.radians(_geometric_longitude(century) + nutation - 20.4898 / 3600.0 / distance)
    ascension = np.degrees(np.arctan2(np.cos(obliquity) * np.sin(longitude), np.cos(longitude)))
    declination = np.degrees(np.arcsin(np.sin(obliquity) * np.sin(longitude)))
    equinoxes = nutation * np.cos(obliquity)
    sidereal = mean_sidereal_deg(ut) + equinoxes
    equation = (mean_longitude_deg(century) - 0.0057183 - ascension + equinoxes + 180.0) % 360.0 - 180.0
    return SunPlace(declination, np.asarray(sidereal - ascension), np.asarray(4.0 * equation))


def nutation_deg(century: Array) -> tuple[Array, Array]:
    """Nutation in longitude and in obliquity, the four largest terms of each. J. Meeus, chapter 22.

    Args:
        century: dynamical time in centuries since 2000-01-01 12:00.
    """
    node = np.radians(125.04452 - 1934.136261 * century)
    sun, moon = np.radians(280.4665 + 36000.7698 * century), np.radians(218.3165 + 481267.8813 * century)
    along = -17.20 * np.sin(node) - 1.32 * np.sin(2 * sun) - 0.23 * np.sin(2 * moon) + 0.21 * np.sin(2 * node)
    tilting = 9.20 * np.cos(node) + 0.57 * np.cos(2 * sun) + 0.10 * np.cos(2 * moon) - 0.09 * np.cos(2 * node)
    return np.asarray(along / 3600.0), np.asarray(tilting / 3600.0)


def distance_au(century: Array) -> Array:
    """Distance of the sun in astronomical units, good to 0.0001. J. Meeus, chapter 25, in multiples of the anomaly."""
    anomaly = np.radians(357.52911 + 35999.05029 * century)
    return np.asarray(1.00014 - 0.01671 * np.cos(anomaly) - 0.00014 * np.cos(2 * anomaly))


def mean_sidereal_deg(ut: Array) -> Array:
    """Mean sidereal time at Greenwich, not brought into a range. J. Meeus, equation 12.4.

    Args:
        ut: universal time, days since 2000-01-01 12:00.
    """
    return np.asarray(280.46061837 + 360.98564736629 * ut + 0.000387933 * (ut / 36525.0) ** 2)


def mean_longitude_deg(century: Array) -> Array:
    """The sun's mean longitude, not brought into a range. J. Meeus, equation 25.2."""
    return np.asarray(280.46646 + 36000.76983 * century + 0.0003032 * century**2)


def _geometric_longitude(century: Array) -> Array:
    """The sun's geometric longitude in degrees: that of the earth, turned by half a circle."""
    table = read_table("planting", "sun_longitude")
    power, size, phase, rate = (np.array(table.column(name)) for name in ("power", "size", "phase", "rate"))
    thousand = century[..., None] / 10.0
    terms = size * 1e-8 * thousand**power * np.cos(phase + rate * thousand)
    return np.asarray(np.degrees(terms.sum(axis=-1)) + 180.0, dtype=float)


def horizontal_place(declination_deg: ArrayLike, hour_deg: ArrayLike, latitude_deg: ArrayLike) -> tuple[Array, Array]:
    """Altitude (no air, from the earth's middle) and azimuth (0 to 360, clockwise from north), in degrees."""
    east, north, up = sun_vector(declination_deg, hour_deg, latitude_deg)
    altitude = np.degrees(np.arctan2(up, np.hypot(east, north)))
    azimuth = np.degrees(np.arctan2(east, north)) % 360.0
    return np.asarray(altitude, dtype=float), np.asarray(np.where(azimuth >= 360.0, 0.0, azimuth), dtype=float)


def sun_vector(declination_deg: ArrayLike, hour_deg: ArrayLike, latitude_deg: ArrayLike) -> tuple[Array, Array, Array]:
    """Unit vector towards the sun: east, north, up."""
    declination, hour, latitude = (
        np.radians(np.asarray(value, dtype=float)) for value in (declination_deg, hour_deg, latitude_deg)
    )
    flat = np.cos(declination) * np.cos(hour)
    east = -np.cos(declination) * np.sin(hour)
    north = np.sin(declination) * np.cos(latitude) - flat * np.sin(latitude)
    up = np.sin(declination) * np.sin(latitude) + flat * np.cos(latitude)
    return np.asarray(east, dtype=float), np.asarray(north, dtype=float), np.asarray(up, dtype=float)


def seen_from_ground(altitude_deg: ArrayLike) -> Array:
    """Airless altitude at the ground, lower by the parallax than from the earth's middle."""
    altitude = np.asarray(altitude_deg, dtype=float)
    return np.asarray(altitude - PARALLAX_DEG * np.cos(np.radians(altitude)), dtype=float)


def refraction_deg(airless_deg: ArrayLike, pressure_kpa: ArrayLike, temperature_c: ArrayLike) -> Array:
    """How much the air lifts the sun: 0 below an airless altitude of -0.8333 degrees (NREL/TP-560-34302, eq. 42)."""
    e = np.maximum(np.asarray(airless_deg, dtype=float), -0.8333)
    thickness = np.asarray(pressure_kpa, dtype=float) / 101.0 * 283.0 / (273.0 + np.asarray(temperature_c, dtype=float))
    lift = thickness * 1.02 / (60.0 * np.tan(np.radians(e + 10.3 / (e + 5.11))))
    return np.asarray(np.where(np.asarray(airless_deg) >= -0.8333, lift, 0.0), dtype=float)


def instant_of(text: str) -> datetime:
    """An ISO 8601 time with offset; the year as written runs from 1900 to 2100."""
    try:
        instant = datetime.fromisoformat(text)
    except ValueError:
        raise refuse("time", f"{text!r} cannot be read", "like 2025-06-21T12:00:00+02:00") from None
    refuse_if(instant.tzinfo is None, "time", f"{text!r} has no UTC offset", "like 2025-06-21T12:00:00+02:00")
    first, last = _YEARS
    refuse_if(not first <= instant.year <= last, "time", f"year {instant.year} found", f"{first} to {last}")
    return instant


def _sun_steps(given: Mapping[str, Any], result: SunPosition) -> list[Step]:
    return [
        Step("declination", "apparent, from the earth's middle", result.declination_deg, "deg"),
        Step("equation of time", "apparent less mean solar time", result.equation_of_time_min, "min"),
        Step("azimuth", "clockwise from north", result.azimuth_deg, "deg"),
        Step("altitude without air", "less the parallax", result.airless_altitude_deg, "deg"),
        Step("altitude", "with refraction", result.altitude_deg, "deg"),
    ]


@calculator(
    source="I. Reda, A. Andreas, NREL/TP-560-34302, rev. Jan 2008 (largest terms); J. Meeus, Astronomical Algorithms, "
    "2nd ed., chapters 12, 22, 25",
    known="SEEN",
    example={"time": "2025-06-21T12:00:00-07:00", "latitude_deg": 40.0, "longitude_deg": -105.0},
    working=_sun_steps,
    caution="Never look at the sun to check it.",
)
def sun_position(
    *,
    time: str,
    latitude_deg: Latitude,
    longitude_deg: Longitude,
    elevation_m: Annotated[float, Ge(-500), Le(9000)] = 0.0,
    pressure_kpa: Annotated[float, Ge(0), Le(120)] = 101.325,
    temperature_c: Annotated[float, Ge(-90), Le(60)] = 12.0,
) -> SunPosition:
    """Altitude and azimuth of the sun at a place and an instant.

    Equation: sin altitude = sin lat sin dec + cos lat cos dec cos H; parallax 8.794" cos altitude taken off; refraction
    (P/101) (283/(273 + T)) 1.02/(60 tan(e + 10.3/(e + 5.11))) added from e = -0.8333 degrees up.

    Symbols: lat, latitude; dec, declination; H, hour angle; e, altitude without air; P, pressure in kPa; T,
    temperature; azimuth clockwise from true north; equation of time, apparent less mean solar time.

    Limits: years 1900 to 2100, time with its UTC offset. Good to 0.01 degrees on the sky. Pressure 0 switches
    refraction off. The elevation of the ground changes the parallax too little to count.
    """
    place = sun_place(days_of(instant_of(time)))
    altitude, azimuth = horizontal_place(place.declination_deg, place.greenwich_hour_deg + longitude_deg, latitude_deg)
    airless = float(seen_from_ground(altitude))
    return SunPosition(
        altitude_deg=airless + float(refraction_deg(airless, pressure_kpa, temperature_c)),
        airless_altitude_deg=airless,
        azimuth_deg=float(azimuth),
        declination_deg=float(place.declination_deg),
        equation_of_time_min=float(place.equation_of_time_min),
    )
