"""Direct sun at many points for suns of constant declination, all in one go.

A condition (``sun_path``) is a plane's side; over a day of constant declination it is a cos H + b sin H + c > 0 in the
hour angle H, so the sun passes it twice at most, at hours known in closed form. Between two passings nothing changes.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.planting.sun_path import horizon_condition, screen_conditions

Array = NDArray[np.float64]
_AT_ONCE = 2_000_000
"""Values looked at together: keeps the work in a few megabytes."""


def swept_hours(
    declination_rad: ArrayLike,
    latitude_deg: float,
    points: ArrayLike,
    screens: ArrayLike,
    low_deg: float = -90.0,
    compiled: bool = True,
) -> Array:
    """Hours of morning sun, afternoon sun and open sky at every point and declination, over level ground.

    Args:
        declination_rad: (days,).
        latitude_deg: north positive.
        points: (n, 3) x east, y north, level.
        screens: (m, 6) x1, y1, x2, y2, base, top.
        low_deg: a screen whose top a point sees under this altitude is left out there.
        compiled: by compiled code where numba is there; else the same in NumPy.

    Returns:
        (n, days, 3).
    """
    at, rows = np.asarray(points, dtype=float).reshape(-1, 3), np.asarray(screens, dtype=float).reshape(-1, 6)
    days = np.asarray(declination_rad, dtype=float)
    sky, sky_off = horizon_condition(0.0, 0.0)
    phi, summed = float(np.radians(latitude_deg)), _summed(compiled)
    parts = []
    step = max(1, _AT_ONCE // max(12 * len(rows) + 3, 1))
    for some in (at[first : first + step] for first in range(0, len(at), step)):
        edges = _telling(some, rows, low_deg)
        normals = np.concatenate([np.broadcast_to(sky, (len(some), 1, 3)), edges], axis=1)
        parts.append(summed(days, phi, normals, sky_off))
    return np.concatenate(parts) if parts else np.zeros((0, len(days), 3))


def _summed(compiled: bool) -> Callable[[Array, float, Array, float], Array]:
    """The sum by the quickest means there is."""
    if compiled:
        try:
            from lynchet.planting.sun_sweep_compiled import sum_hours
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            return _hours
        return sum_hours
    return _hours


def _hours(days: Array, phi: float, normals: Array, sky_off: float) -> Array:
    """The sum in NumPy; condition 0 is the horizon, then four of each screen."""
    step = max(1, _AT_ONCE // (len(days) * (2 * normals.shape[1] + 4) * normals.shape[1]))
    return np.concatenate([
        _some_hours(days, phi, normals[first : first + step], sky_off) for first in range(0, len(normals), step)
    ])  # fmt: skip


def _some_hours(days: Array, phi: float, normals: Array, sky_off: float) -> Array:
    """The sum for some points at once."""
    east, north, up = (normals[:, None, :, axis] for axis in range(3))
    cosine = np.cos(days)[:, None] * (up * np.cos(phi) - north * np.sin(phi))
    sine = -np.cos(days)[:, None] * east
    fixed = np.sin(days)[:, None] * (north * np.cos(phi) + up * np.sin(phi))
    fixed[:, :, 0] += sky_off
    share = -fixed / np.maximum(np.hypot(cosine, sine), 1e-300)
    half, middle = np.arccos(np.clip(share, -1.0, 1.0)), np.arctan2(sine, cosine)
    turns = np.concatenate([middle - half, middle + half], axis=2)
    turns = (turns + np.pi) % (2.0 * np.pi) - np.pi
    ends = np.broadcast_to(np.array([-np.pi, 0.0, np.pi]), (*turns.shape[:2], 3))
    events = np.sort(np.concatenate([turns, ends], axis=2), axis=2)
    at, length = (events[..., 1:] + events[..., :-1]) / 2.0, np.diff(events, axis=2) * (12.0 / np.pi)
    sun = np.stack([np.cos(at), np.sin(at), np.ones(at.shape)], axis=3)
    above = sun @ np.stack([cosine, sine, fixed], axis=2) > 0.0
    up_now = above[..., 0]
    first, second, third, fourth = (above[..., edge::4] for edge in range(1, 5))
    hidden = (first & second & third & fourth).any(axis=3)
    lit, morning = up_now & ~hidden, at < 0.0
    return np.stack([(length * part).sum(axis=2) for part in (lit & morning, lit & ~morning, up_now)], axis=2)


def _telling(at: Array, rows: Array, low_deg: float) -> Array:
    """(n, 4 k, 3) conditions of the screens that each point sees over an altitude, those of 0 filling up to k."""
    tells = _seen_over(at, rows, low_deg)
    most = int(tells.sum(axis=1).max(initial=0))
    order = np.argsort(~tells, axis=1, kind="stable")[:, :most]
    keep = np.take_along_axis(tells, order, axis=1)
    every = screen_conditions(rows[tells.any(axis=0)], at) if len(rows) else np.zeros((len(at), 0, 4, 3))
    place = np.cumsum(tells.any(axis=0)) - 1  # where a row stands among those some point sees
    edges = np.take_along_axis(every, np.maximum(place[order], 0)[:, :, None, None], axis=1) * keep[:, :, None, None]
    return np.asarray(edges.reshape(len(at), 4 * most, 3), dtype=float)


def _seen_over(at: Array, rows: Array, low_deg: float) -> NDArray[np.bool_]:
    """(n, m) whether a point sees a screen's top over an altitude."""
    if low_deg <= -90.0:
        return np.ones((len(at), len(rows)), dtype=bool)
    start, side = rows[:, :2], rows[:, 2:4] - rows[:, :2]
    off = at[:, None, :2] - start
    square = np.maximum((side**2).sum(axis=1), 1e-12)
    share = np.clip((off * side).sum(axis=2) / square, 0.0, 1.0)
    away = np.hypot(*np.moveaxis(off - share[..., None] * side, 2, 0))
    return np.asarray(rows[:, 5] - at[:, None, 2] > away * np.tan(np.radians(low_deg)))
