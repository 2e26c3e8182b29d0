"""The sum of ``sun_sweep`` over points and days, compiled: what hides the sun as stretches of the day, put together.

Imported only where numba is there.
"""

from __future__ import annotations

from math import acos, atan2, cos, hypot, pi, sin

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]


@njit(cache=True)
def _planes(normals: Array, phi: float) -> Array:
    """(k, 3) of each condition: share of the declination's sine, of its cosine, hour angle of the highest stand."""
    planes = np.empty((len(normals), 3))
    for row in range(len(normals)):
        east, north, up = normals[row]
        level = up * cos(phi) - north * sin(phi)
        planes[row, 0] = north * cos(phi) + up * sin(phi)
        planes[row, 1] = hypot(level, east)
        planes[row, 2] = atan2(-east, level)
    return planes


@njit(cache=True)
def _half(plane: Array, sine: float, cosine: float, offset: float) -> float:
    """Hour angle on either side of the highest stand within which a condition holds: 0 never, pi always."""
    fixed, swing = sine * plane[0] + offset, cosine * plane[1]
    if fixed >= swing:
        return pi if fixed > 0.0 else 0.0
    return acos(-fixed / swing) if fixed > -swing else 0.0


@njit(cache=True)
def _within(at: float, middle: float, half: float) -> bool:
    """Whether an hour angle lies within an arc; in a whole day always, right opposite its middle too."""
    off = abs(at - middle)
    return half >= pi or min(off, 2.0 * pi - off) < half


@njit(cache=True)
def _sort(values: Array, count: int) -> None:
    """The first few values put in order in place."""
    for row in range(1, count):
        value, place = values[row], row
        while place > 0 and values[place - 1] > value:
            values[place] = values[place - 1]
            place -= 1
        values[place] = value


@njit(cache=True)
def _arcs_met(middles: Array, halves: Array, ends: Array, found: Array, count: int) -> int:
    """Stretches of (-pi, pi) within all four arcs, written into ``found`` from row ``count``; the new count."""
    ends[0], ends[1], size = -pi, pi, 2
    for arc in range(len(halves)):
        if halves[arc] < pi:
            for side in (-1.0, 1.0):
                ends[size] = (middles[arc] + side * halves[arc] + pi) % (2.0 * pi) - pi
                size += 1
    _sort(ends, size)
    for row in range(size - 1):
        at, inside = (ends[row] + ends[row + 1]) / 2.0, ends[row + 1] > ends[row]
        for arc in range(4):
            inside = inside and _within(at, middles[arc], halves[arc])
        if inside:
            found[count, 0], found[count, 1] = ends[row], ends[row + 1]
            count += 1
    return count


@njit(cache=True)
def _overlap(low: float, high: float, first: float, last: float) -> float:
    return max(0.0, min(high, last) - max(low, first))


@njit(cache=True)
def _lit(up: tuple[float, float], hidden: Array, count: int) -> tuple[float, float]:
    """Hour angle with the sun up and not hidden, before and after noon.

    Args:
        up: from sunrise to sunset.
        hidden: stretches in which something hides the sun, from and to.
        count: of the stretches.
    """
    morning, afternoon = _overlap(up[0], up[1], -pi, 0.0), _overlap(up[0], up[1], 0.0, pi)
    reached = -pi
    for row in np.argsort(hidden[:count, 0]):
        low, high = max(hidden[row, 0], reached, up[0]), min(hidden[row, 1], up[1])
        if high > low:
            morning -= _overlap(low, high, -pi, 0.0)
            afternoon -= _overlap(low, high, 0.0, pi)
            reached = high
    return max(morning, 0.0), max(afternoon, 0.0)


@njit(cache=True)
def sum_hours(declinations: Array, phi: float, normals: Array, sky_offset: float) -> Array:
    """Hours of morning sun, afternoon sun and open sky.

    Args:
        declinations: (days,) radians.
        phi: latitude, radians.
        normals: (n, 1 + 4 k, 3) conditions of each point: the sun over a level horizon, then four of each screen.
        sky_offset: of the first condition.

    Returns:
        (n, days, 3).
    """
    hours = np.empty((len(normals), len(declinations), 3))
    size = normals.shape[1]
    hidden, ends, halves = np.empty((4 * size + 4, 2)), np.empty(16), np.empty(4)
    for point in range(len(normals)):
        planes = _planes(normals[point], phi)
        for day in range(len(declinations)):
            sine, cosine = sin(declinations[day]), cos(declinations[day])
            half = _half(planes[0], sine, cosine, sky_offset)
            up = (-half, half)
            count = 0
            for screen in range(1, size, 4):
                for arc in range(4):
                    halves[arc] = _half(planes[screen + arc], sine, cosine, 0.0)
                    if halves[arc] <= 0.0:
                        break
                else:
                    count = _arcs_met(planes[screen : screen + 4, 2], halves, ends, hidden, count)
            lit = _lit(up, hidden, count)
            hours[point, day, 0], hours[point, day, 1] = lit[0] * 12.0 / pi, lit[1] * 12.0 / pi
            hours[point, day, 2] = 2.0 * half * 12.0 / pi
    return hours
