"""The sum over days of ``direct_sun.sun_hours`` for one point, compiled. Imported only where numba is there."""

from __future__ import annotations

from math import acos, atan2, cos, hypot, pi, sin

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]


@njit(cache=True)
def _hour_of(angle: float, path: Array) -> float:
    """Hour of the day at which the hour angle takes a value, held to 0 to 24."""
    hours = ((angle - path[0]) % (2.0 * pi)) / path[1]
    hours -= path[2] * hours * hours / path[1]
    return float(min(max(hours, 0.0), 24.0))


@njit(cache=True)
def _passing(declination: Array, hour: Array, plane: Array, side: float) -> float:
    """Hour at which the sun passes a plane, before (-1) or after (+1) it stands highest over it.

    Any hour where it does not pass. ``plane`` holds the share of sin and of cos of the declination, the hour angle of
    the highest stand, and the offset.
    """
    at = 12.0
    for _ in range(3):  # the declination moves so little in a day that the hour settles at once
        place = declination[0] + at * (declination[1] + at * declination[2])
        share = -(sin(place) * plane[0] + plane[3]) / (cos(place) * plane[1])
        at = _hour_of(plane[2] + side * acos(min(max(share, -1.0), 1.0)), hour)
    return at


@njit(cache=True)
def _planes(normals: Array, offsets: Array, phi: float) -> Array:
    """(n, 4) what ``_passing`` needs of each condition."""
    planes = np.empty((len(normals), 4))
    for row in range(len(normals)):
        east, north, up = normals[row]
        level = up * cos(phi) - north * sin(phi)
        planes[row, 0] = north * cos(phi) + up * sin(phi)
        planes[row, 1] = max(hypot(east, level), 1e-300)
        planes[row, 2] = atan2(-east, level)
        planes[row, 3] = offsets[row]
    return planes


@njit(cache=True)
def _over(sun: tuple[float, float, float], normal: Array, offset: float) -> bool:
    """Whether the sun is on the positive side of a condition."""
    return bool(sun[0] * normal[0] + sun[1] * normal[1] + sun[2] * normal[2] + offset > 0.0)


@njit(cache=True)
def _lit(sun: tuple[float, float, float], normals: Array, offsets: Array) -> bool:
    """Whether the sun stands over the horizon and before the plane, and no screen hides it."""
    if not (_over(sun, normals[1], offsets[1]) and _over(sun, normals[2], offsets[2])):
        return False
    for screen in range(3, len(normals), 4):
        edge = screen
        while edge < screen + 4 and _over(sun, normals[edge], offsets[edge]):
            edge += 1
        if edge == screen + 4:
            return False
    return True


@njit(cache=True)
def mean_hours(declination: Array, hour: Array, phi: float, normals: Array, offsets: Array) -> Array:
    """Mean hours a day of morning sun, afternoon sun and open sky at one point.

    Args:
        declination: (days, 3) of the path.
        hour: (days, 3) of the path.
        phi: latitude, radians.
        normals: (3 + 4 m, 3) conditions as ``direct_sun`` lays them out.
        offsets: of the same.
    """
    total = np.zeros(3)
    planes = _planes(normals, offsets, phi)
    events = np.zeros(2 * len(normals) + 4)
    for day in range(len(hour)):
        events[0], events[1] = 0.0, 24.0
        events[2], events[3] = _hour_of(0.0, hour[day]), _hour_of(pi, hour[day])
        for row in range(len(normals)):
            for side in range(2):
                events[4 + 2 * row + side] = _passing(declination[day], hour[day], planes[row], 2.0 * side - 1.0)
        events.sort()
        for step in range(len(events) - 1):
            length = events[step + 1] - events[step]
            if length <= 0.0:
                continue
            at = (events[step] + events[step + 1]) / 2.0
            place = declination[day, 0] + at * (declination[day, 1] + at * declination[day, 2])
            angle = hour[day, 0] + at * (hour[day, 1] + at * hour[day, 2])
            flat = cos(place) * cos(angle)
            north, up = sin(place) * cos(phi) - flat * sin(phi), sin(place) * sin(phi) + flat * cos(phi)
            sun = (-cos(place) * sin(angle), north, up)
            if _over(sun, normals[0], offsets[0]):
                total[2] += length
            if _lit(sun, normals, offsets):
                total[0 if (angle + pi) % (2.0 * pi) < pi else 1] += length
    return total / len(hour)
