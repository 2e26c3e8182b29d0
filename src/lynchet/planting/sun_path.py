"""The sun's path over a day, and what hides it: every condition is the sign of a plane through the eye.

A condition is written as normal . sun + offset > 0, with the unit vector (east, north, up) of the sun seen from the
earth's middle. Upright screens, the horizon and a tilted bed all have this form, the parallax being part of the offset.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.planting.sun import PARALLAX_DEG, sun_place

Array = NDArray[np.float64]
PARALLAX = float(np.radians(PARALLAX_DEG))


@dataclass(frozen=True, eq=False)
class SunPath:
    """Declination and hour angle over 24 hours of each day, as second-degree polynomials in hours, radians.

    Declination and equation of time bend so little in a day that the polynomials stay within 0.001 degrees.
    """

    declination: Array
    """(days, 3): constant, per hour, per hour squared."""
    hour: Array
    """(days, 3) likewise; the hour angle grows from about -pi to pi."""
    parallax: float
    """Radians; 0 for a sun of constant declination."""


def constant_path(declination_deg: float) -> SunPath:
    """One day of a sun that keeps its declination, hour angle from -180 to 180 degrees at 15 degrees an hour."""
    declination = np.array([[np.radians(declination_deg), 0.0, 0.0]])
    return SunPath(declination, np.array([[-np.pi, np.pi / 12.0, 0.0]]), 0.0)


def dated_path(midnights: ArrayLike, longitude_deg: float) -> SunPath:
    """Days that start at local mean solar midnight.

    Args:
        midnights: (days,) UTC midnights, days of universal time since 2000-01-01 12:00.
        longitude_deg: east positive.
    """
    start = np.asarray(midnights, dtype=float) - longitude_deg / 360.0
    place = sun_place(start[:, None] + np.array([0.0, 0.5, 1.0]))
    hour = place.greenwich_hour_deg + longitude_deg
    # half a turn from start to middle to end, whatever full turns the right ascension has taken off
    hour = hour - 360.0 * np.round((hour - np.array([-180.0, 0.0, 180.0])) / 360.0)
    return SunPath(_quadratic(np.radians(place.declination_deg)), _quadratic(np.radians(hour)), PARALLAX)


def _quadratic(values: Array) -> Array:
    """(days, 3) coefficients in hours of the parabola through values at 0, 12 and 24 hours."""
    first, middle, last = values.T
    bend = (first - 2.0 * middle + last) / (2.0 * 12.0**2)
    slope = (last - first) / 24.0 - 24.0 * bend
    return np.stack([first, slope, bend], axis=1)


def horizon_condition(altitude_deg: float, parallax: float) -> tuple[Array, float]:
    """The sun stands above an altitude seen from the ground."""
    sine = float(np.sin(np.radians(altitude_deg)))
    return np.array([0.0, 0.0, 1.0 + parallax * sine]), -parallax - sine


def plane_condition(slope_deg: float, azimuth_deg: float, parallax: float) -> tuple[Array, float]:
    """The sun stands in front of a plane that slopes and faces an azimuth (downhill)."""
    slope, facing = np.radians(slope_deg), np.radians(azimuth_deg)
    normal = np.array([np.sin(slope) * np.sin(facing), np.sin(slope) * np.cos(facing), np.cos(slope)])
    return normal, -parallax * float(normal[2])


def screen_conditions(screens: ArrayLike, point: ArrayLike) -> Array:
    """Normals of the four planes through a point and the edges of each upright screen.

    The sun is hidden where all four are positive: between the two ends in plan, under the top, over the base. A screen
    that the point sees edge-on hides nothing; its normals are 0.

    Args:
        screens: (n, 6) x1, y1, x2, y2, base, top.
        point: (..., 3) x, y, level.

    Returns:
        (..., n, 4, 3).
    """
    rows, at = np.asarray(screens, dtype=float).reshape(-1, 6), np.asarray(point, dtype=float)
    x, y, level = (at[..., axis, None] for axis in range(3))
    ax, ay, bx, by = rows[:, 0] - x, rows[:, 1] - y, rows[:, 2] - x, rows[:, 3] - y
    turn = ax * by - ay * bx
    flip = turn < 0
    ax, ay, bx, by = np.where(flip, bx, ax), np.where(flip, by, ay), np.where(flip, ax, bx), np.where(flip, ay, by)
    base, top, size = rows[:, 4] - level, rows[:, 5] - level, np.abs(turn)
    east, north = by - ay, ax - bx  # along the segment, turned: sun x (B - A) in plan
    zero = np.zeros(turn.shape)
    normals = np.stack(
        [
            np.stack([-ay, ax, zero], axis=-1),
            np.stack([by, -bx, zero], axis=-1),
            np.stack([top * east, top * north, -size], axis=-1),
            np.stack([-base * east, -base * north, size], axis=-1),
        ],
        axis=-2,
    )
    return np.asarray(np.where((size > 0)[..., None, None], normals, 0.0), dtype=float)
