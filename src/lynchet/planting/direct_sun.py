"""Hours of direct sun at a point: every change between sun and shade is found, then the stretches are added up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Le, Lt
from numpy.typing import NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Count
from lynchet.planting.sun import Latitude, Longitude
from lynchet.planting.sun_path import (
    SunPath,
    constant_path,
    dated_path,
    horizon_condition,
    plane_condition,
    screen_conditions,
)
from lynchet.planting.sun_times import calendar_day, universal_midnight

Array = NDArray[np.float64]
TOUCH_M = 1e-6
_HALVINGS = 34


@dataclass(frozen=True)
class Obstruction:
    """An upright screen over a straight plan segment, from a base level to a top level."""

    x1_m: float
    y1_m: float
    x2_m: float
    y2_m: float
    base_m: float
    top_m: float


@dataclass(frozen=True)
class DirectSunHours:
    """Means per day."""

    mean_sun_h: float
    morning_sun_h: float
    afternoon_sun_h: float
    open_sky_h: float
    day_count: int


@dataclass(frozen=True)
class Bed:
    """A point that takes the sun: its horizon and its tilt."""

    x_m: float = 0.0
    y_m: float = 0.0
    level_m: float = 0.0
    horizon_deg: float = 0.0
    slope_deg: float = 0.0
    azimuth_deg: float = 180.0


def sun_hours(path: SunPath, latitude_deg: float, bed: Bed, screens: Array) -> Array:
    """Direct sun in the morning, in the afternoon, and open sky, in hours of each day (kernel).

    Args:
        path: the sun's path over n days.
        latitude_deg: north positive.
        bed: the point.
        screens: (m, 6) x1, y1, x2, y2, base, top.

    Returns:
        (n, 3).
    """
    normals, offsets = sun_conditions(path, bed, screens)
    events = _passings(path, latitude_deg, normals, offsets)
    hours = np.sort(np.concatenate([events, _noons(path)], axis=1), axis=1)
    middle, length = (hours[:, :-1] + hours[:, 1:]) / 2.0, np.diff(hours, axis=1)
    _, hour = _places(path, middle)
    east, north, up = (part[..., None] for part in _sun(path, float(np.radians(latitude_deg)), middle))
    above = np.asarray(east * normals[:, 0] + north * normals[:, 1] + up * normals[:, 2] + offsets > 0, dtype=bool)
    lit = above[..., 1] & above[..., 2]
    if len(screens):
        inside = np.all(above[..., 3:].reshape(*middle.shape, len(screens), 4), axis=3)
        hidden = np.any(inside, axis=2)
        lit &= ~hidden
    morning = (hour + np.pi) % (2.0 * np.pi) < np.pi
    parts = [lit & morning, lit & ~morning, above[..., 0]]
    return np.stack([(length * part).sum(axis=1) for part in parts], axis=1)


def sun_conditions(path: SunPath, bed: Bed, screens: Array) -> tuple[Array, Array]:
    """Normals and offsets: open sky, horizon, front of the plane, then four of each screen."""
    rows = [horizon_condition(0.0, path.parallax), horizon_condition(bed.horizon_deg, path.parallax)]
    flat = (np.zeros(3), 1.0)
    rows.append(plane_condition(bed.slope_deg, bed.azimuth_deg, path.parallax) if bed.slope_deg > 0 else flat)
    edges = screen_conditions(screens, (bed.x_m, bed.y_m, bed.level_m)).reshape(-1, 3)
    normals = np.concatenate([np.array([row[0] for row in rows]), edges])
    offsets = np.concatenate([np.array([row[1] for row in rows]), -path.parallax * edges[:, 2]])
    return normals, offsets


def _places(path: SunPath, hours: Array) -> tuple[Array, Array]:
    """Declination and hour angle, radians, at (n, k, ...) hours of n days."""
    shape = (len(path.hour),) + (1,) * (hours.ndim - 1)
    d, h = (np.moveaxis(row, 1, 0).reshape(3, *shape) for row in (path.declination, path.hour))
    return d[0] + hours * (d[1] + hours * d[2]), h[0] + hours * (h[1] + hours * h[2])


def _sun(path: SunPath, phi: float, hours: Array) -> tuple[Array, Array, Array]:
    """East, north and up of the sun at (n, ...) hours of n days."""
    declination, hour = _places(path, hours)
    flat = np.cos(declination) * np.cos(hour)
    east = -np.cos(declination) * np.sin(hour)
    north = np.sin(declination) * np.cos(phi) - flat * np.sin(phi)
    return east, north, np.asarray(np.sin(declination) * np.sin(phi) + flat * np.cos(phi))


def _passings(path: SunPath, latitude_deg: float, normals: Array, offsets: Array) -> Array:
    """Hours of each day at which the sun passes any condition's plane: (n, k) padded with 24.

    Between full hours, and the hours at which it stands highest or lowest over a plane, the sun passes that plane once
    at most; each passing is found by halving.
    """
    days, count = len(path.hour), len(normals)
    marks = np.broadcast_to(np.arange(25.0)[None, :, None], (days, 25, count))
    phi = float(np.radians(latitude_deg))
    highest = np.arctan2(-normals[:, 0], normals[:, 2] * np.cos(phi) - normals[:, 1] * np.sin(phi))
    extremes = np.stack([_hour_of(path, highest), _hour_of(path, highest + np.pi)], axis=1)
    marks = np.sort(np.concatenate([marks, extremes], axis=1), axis=1)
    east, north, up = _sun(path, phi, marks)
    sides = east * normals[:, 0] + north * normals[:, 1] + up * normals[:, 2] + offsets
    day, place, condition = np.nonzero((sides[:, :-1] > 0) != (sides[:, 1:] > 0))
    low, high = marks[day, place, condition], marks[day, place + 1, condition]
    rising = sides[day, place, condition] <= 0
    few = SunPath(path.declination[day], path.hour[day], path.parallax)
    a, b, c = normals[condition].T
    for _ in range(_HALVINGS):
        half = (low + high) / 2.0
        east, north, up = _sun(few, phi, half)
        later = (east * a + north * b + up * c + offsets[condition] > 0) != rising
        low, high = np.where(later, half, low), np.where(later, high, half)
    order = np.argsort(day, kind="stable")
    counts = np.bincount(day, minlength=days)
    column = np.arange(len(day)) - np.repeat(np.cumsum(counts) - counts, counts)
    events = np.full((days, int(counts.max(initial=0))), 24.0)
    events[day[order], column] = low[order]
    return events


def _hour_of(path: SunPath, angle: Array) -> Array:
    """(n, conditions) hours of each day at which the hour angle takes these values, held to 0 to 24."""
    start, rate, bend = (path.hour[:, i : i + 1] for i in range(3))
    hours = ((angle[None, :] - start) % (2.0 * np.pi)) / rate
    hours = hours - bend * hours**2 / rate
    return np.clip(hours, 0.0, 24.0)


def _noons(path: SunPath) -> Array:
    """Start and end of each day, and the hours at which morning turns to afternoon and back."""
    days = len(path.hour)
    turns = [_hour_of(path, np.array([angle])) for angle in (0.0, np.pi)]
    return np.concatenate([np.zeros((days, 1)), *turns, np.full((days, 1), 24.0)], axis=1)


def _sun_steps(given: Mapping[str, Any], result: DirectSunHours) -> list[Step]:
    screens = len(given.get("obstructions", []))
    return [
        Step("days", "looked at", result.day_count),
        Step("open sky", "sun above the level horizon, mean per day", result.open_sky_h, "h"),
        Step("morning sun", f"above horizon and plane, past {screens} screens", result.morning_sun_h, "h"),
        Step("afternoon sun", "likewise", result.afternoon_sun_h, "h"),
        Step("direct sun", "morning + afternoon", result.mean_sun_h, "h"),
    ]


@calculator(
    source="Spherical astronomy (sun's path as sun_position); plane geometry of upright screens",
    known="DERIVED",
    example={
        "latitude_deg": 40.0,
        "longitude_deg": -105.0,
        "date_from": "2025-05-01",
        "date_to": "2025-09-30",
        "step_days": 14,
        "obstructions": [{"x1_m": -4.0, "y1_m": -9.0, "x2_m": -4.0, "y2_m": 9.0, "base_m": 0.0, "top_m": 5.0}],
    },
    working=_sun_steps,
)
def direct_sun_hours(
    *,
    latitude_deg: Latitude,
    point_x_m: float = 0.0,
    point_y_m: float = 0.0,
    point_level_m: float = 0.0,
    obstructions: list[Obstruction] | None = None,
    horizon_deg: Annotated[float, Ge(-1), Lt(90)] = 0.0,
    plane_slope_deg: Annotated[float, Ge(0), Lt(90)] = 0.0,
    plane_azimuth_deg: Annotated[float, Ge(0), Le(360)] = 180.0,
    declination_deg: Annotated[float, Ge(-23.5), Le(23.5)] | None = None,
    longitude_deg: Longitude | None = None,
    date: str | None = None,
    date_from: str | None = None,
    date_to: str | None = None,
    step_days: Count | None = None,
) -> DirectSunHours:
    """Hours of direct sun a day at a point among walls, houses and trees.

    Equation: direct sun where altitude > horizon, the angle to the plane's normal is under 90 degrees, and no screen
    hides it: level of the sight line over a screen = point level + d tan(altitude), between its base and its top.

    Symbols: screens stand upright over straight plan segments, x east, y north; d, distance in plan along the sun's
    azimuth; plane azimuth, the way the plane faces, downhill; morning, hour angle below 0.

    Limits: one kind of day: a declination, or a date with longitude, or date_from, date_to and step_days with
    longitude. Airless altitudes. Open sky counts from altitude 0 whatever stands about. Ground shape is not seen
    unless drawn as screens; trees are taken as solid.
    """
    screens = _screens(obstructions or [], (point_x_m, point_y_m))
    dates = (date, date_from, date_to, step_days)
    if declination_deg is not None:
        refuse_if(any(key is not None for key in dates), "date", "a date beside a declination", "one kind of day")
        path = constant_path(declination_deg)
    else:
        midnights = _midnights(date, date_from, date_to, step_days)
        refuse_if(longitude_deg is None, "longitude_deg", "missing beside a date", "a longitude, east positive")
        path = dated_path(midnights, longitude_deg or 0.0)
    bed = Bed(point_x_m, point_y_m, point_level_m, horizon_deg, plane_slope_deg, plane_azimuth_deg)
    morning, afternoon, open_sky = sun_hours(path, latitude_deg, bed, screens).mean(axis=0).tolist()
    return DirectSunHours(morning + afternoon, morning, afternoon, open_sky, len(path.hour))


def _screens(obstructions: Sequence[Obstruction], point: tuple[float, float]) -> Array:
    """(n, 6) screens; those without length, upside down or touching the point are refused."""
    from lynchet.ground.outlines import distance_to_segments

    rows = np.array([[o.x1_m, o.y1_m, o.x2_m, o.y2_m, o.base_m, o.top_m] for o in obstructions]).reshape(-1, 6)
    for number, row in enumerate(rows):
        where = f"obstructions[{number}]"
        refuse_if(row[5] <= row[4], f"{where}.top_m", f"top {row[5]:g} found", f"above the base {row[4]:g}")
        refuse_if(bool((row[:2] == row[2:4]).all()), where, "an obstruction without plan length", "two ends apart")
        near = distance_to_segments(np.array(point), row[None, :2], row[None, 2:4])[0]
        refuse_if(near <= TOUCH_M, where, "an obstruction that touches the point", "1e-6 m away or more in plan")
    return rows


def _midnights(day: str | None, start: str | None, end: str | None, step: int | None) -> Array:
    """UTC midnights of the days asked for."""
    spans = [key for key in (start, end, step) if key is not None]
    kinds = (day is not None) + bool(spans)
    accepted = "declination_deg, or date, or date_from + date_to + step_days"
    refuse_if(kinds != 1, "date", "no kind of day" if kinds == 0 else "more than one kind of day", accepted)
    if day is not None:
        return np.array([universal_midnight(calendar_day(day))])
    refuse_if(len(spans) != 3, "date_from", "part of a range of dates missing", "date_from, date_to and step_days")
    first, last = calendar_day(start or "", "date_from"), calendar_day(end or "", "date_to")
    refuse_if(first > last, "date_from", f"{first} after {last}", "a date up to date_to")
    every = range(0, (last - first).days + 1, step or 1)
    return np.array([universal_midnight(first + timedelta(days=days)) for days in every])
