"""Direct sun through the year: hours at a few declinations of the sun, and how months and seasons lie between them.

The hours at a place depend on the day through the sun's declination alone (the equation of time only moves the clock).
So they are worked out at a few declinations, and every day of the year takes its share of the two next to its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.planting.bloom import months_of
from lynchet.planting.frost import day_number
from lynchet.planting.sun import days_of, sun_place

Array = NDArray[np.float64]
TILT_DEG = 23.45
YEAR = 2025
"""Any year does: from year to year a day's declination differs by a quarter of a day's change."""
_MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
TROPIC_DEG = 23.5


@dataclass(frozen=True)
class Season:
    """The growing season, from a first to a last day of a year of 365 (the last may lie before the first)."""

    first_day: int
    last_day: int
    known: bool
    """True where it comes from the file's frost dates."""

    @property
    def months(self) -> tuple[int, int]:
        """Its first and last whole or part month."""
        return month_of(self.first_day), month_of(self.last_day)

    def days(self) -> NDArray[np.intp]:
        """Every day of it, 0 = 1 January."""
        length = (self.last_day - self.first_day) % 365 + 1
        return np.asarray((self.first_day - 1 + np.arange(length)) % 365, dtype=np.intp)


def growing_season(latitude_deg: float, last_frost: str | None, first_frost: str | None) -> Season:
    """Last spring frost to first autumn frost; where they are not given, the usual months of the hemisphere.

    April to October north of the tropic, October to April south of it, all year between them (PRACTICE).
    """
    if last_frost is not None and first_frost is not None:
        days = [(day_number(text, "autumn", "frost") - 1) % 365 + 1 for text in (last_frost, first_frost)]
        return Season(days[0], days[1], True)
    if abs(latitude_deg) <= TROPIC_DEG:
        return Season(1, 365, False)
    return Season(91, 304, False) if latitude_deg > 0 else Season(274, 120, False)


def month_of(day: int) -> int:
    """Month (1 to 12) of a day of a year of 365, from 1."""
    return int(np.searchsorted(np.cumsum(_MONTH_DAYS), day)) + 1


def season_months(season: Season) -> list[int]:
    """Months of the season in order; all twelve where it goes round the year."""
    return [*_season_months(season)]


@cache
def _season_months(season: Season) -> tuple[int, ...]:
    first, last = season.months
    whole = len(season.days()) > 334
    return tuple(months_of(first, (first - 2) % 12 + 1) if whole else months_of(first, last))


def sample_declinations(count: int) -> Array:
    """(count,) declinations from solstice to solstice, radians."""
    return np.radians(np.linspace(-TILT_DEG, TILT_DEG, count))


@cache
def _declinations(longitude_deg: float) -> Array:
    """(365,) declination at local noon of each day of the year, radians."""
    noon = days_of(datetime(YEAR, 1, 1, 12, tzinfo=UTC)) - longitude_deg / 360.0 + np.arange(365.0)
    return np.asarray(np.radians(sun_place(noon).declination_deg), dtype=float)


@cache
def day_shares(count: int, longitude_deg: float) -> Array:
    """(365, count) share of each sampled declination in each day of the year; rows add up to 1."""
    samples = sample_declinations(count)
    place = (_declinations(longitude_deg) - samples[0]) / (samples[1] - samples[0])
    place = np.clip(place, 0.0, count - 1.0)
    return np.asarray(np.maximum(1.0 - np.abs(place[:, None] - np.arange(count)), 0.0), dtype=float)


@cache
def season_share(season: Season, count: int, longitude_deg: float) -> Array:
    """(count,) share of each sampled declination in the season."""
    return np.asarray(day_shares(count, longitude_deg)[season.days()].mean(axis=0))


@cache
def month_shares(count: int, longitude_deg: float) -> Array:
    """(12, count) share of each sampled declination in each month."""
    shares = day_shares(count, longitude_deg)
    ends = np.cumsum(_MONTH_DAYS)
    return np.array([shares[end - days : end].mean(axis=0) for end, days in zip(ends, _MONTH_DAYS, strict=True)])


def true_places(points: ArrayLike, north_deg: float) -> Array:
    """Plan points of the file as east, north.

    Args:
        points: (..., 2) x, y of the file.
        north_deg: bearing of true north, clockwise from +y.
    """
    at, turn = np.asarray(points, dtype=float), np.radians(north_deg)
    east = at[..., 0] * np.cos(turn) - at[..., 1] * np.sin(turn)
    north = at[..., 0] * np.sin(turn) + at[..., 1] * np.cos(turn)
    return np.stack([east, north], axis=-1)
