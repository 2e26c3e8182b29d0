"""Direct sun over many points at once: compiled where numba is there, else the same sum point by point in NumPy."""

from __future__ import annotations

import sys

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.planting.direct_sun import Bed, sun_conditions, sun_hours
from lynchet.planting.sun_path import SunPath, horizon_condition, screen_conditions

Array = NDArray[np.float64]
_WORTH_COMPILING = 2000
"""Points times days above which loading the compiled sum pays."""


def mean_sun_hours(
    path: SunPath, latitude_deg: float, points: ArrayLike, screens: ArrayLike, tilt: tuple[float, float] = (0.0, 180.0)
) -> Array:
    """Mean hours a day of morning sun, afternoon sun and open sky at each point.

    Args:
        path: the sun's path over the days looked at.
        latitude_deg: north positive.
        points: (n, 3) x, y, level.
        screens: (m, 6) x1, y1, x2, y2, base, top; none touches a point in plan.
        tilt: slope of the ground and the azimuth it faces, in degrees.

    Returns:
        (n, 3).
    """
    at, rows = np.asarray(points, dtype=float).reshape(-1, 3), np.asarray(screens, dtype=float).reshape(-1, 6)
    if len(at) * len(path.hour) >= _WORTH_COMPILING and abs(latitude_deg) < 89.0:
        try:
            return compiled_sun_hours(path, latitude_deg, at, rows, tilt)
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
    return plain_sun_hours(path, latitude_deg, at, rows, tilt)


def plain_sun_hours(
    path: SunPath, latitude_deg: float, points: Array, screens: Array, tilt: tuple[float, float]
) -> Array:
    """The sum in NumPy, point by point."""
    beds = [Bed(x, y, level, 0.0, *tilt) for x, y, level in points.tolist()]
    hours = [sun_hours(path, latitude_deg, bed, screens).mean(axis=0) for bed in beds]
    return np.array(hours).reshape(-1, 3)


def compiled_sun_hours(
    path: SunPath, latitude_deg: float, points: Array, screens: Array, tilt: tuple[float, float]
) -> Array:
    """The sum compiled; not for latitudes within a degree of the poles.

    Raises:
        ImportError: numba is not there.
    """
    from lynchet.planting.sun_grid_compiled import mean_hours

    hours = np.zeros((len(points), 3))
    for row, (x, y, level) in enumerate(points.tolist()):
        normals, offsets = sun_conditions(path, Bed(x, y, level, 0.0, *tilt), screens)
        hours[row] = mean_hours(path.declination, path.hour, float(np.radians(latitude_deg)), normals, offsets)
    return hours


def each_day_hours(path: SunPath, latitude_deg: float, points: ArrayLike, screens: ArrayLike, low_deg: float) -> Array:
    """Hours of morning sun, afternoon sun and open sky of every day at every point, over level ground.

    Args:
        path: the sun's path over the days looked at.
        latitude_deg: north positive.
        points: (n, 3) x, y, level.
        screens: (m, 6) x1, y1, x2, y2, base, top.
        low_deg: a screen whose top a point sees under this altitude is left out there.

    Returns:
        (n, days, 3).
    """
    at, rows = np.asarray(points, dtype=float).reshape(-1, 3), np.asarray(screens, dtype=float).reshape(-1, 6)
    tells = _seen_over(at, rows, low_deg)
    rows, tells = rows[tells.any(axis=0)], tells[:, tells.any(axis=0)]
    if abs(latitude_deg) < 89.0 and ("numba" in sys.modules or len(at) * len(path.hour) >= _WORTH_COMPILING):
        try:
            return _compiled_each(path, latitude_deg, at, (rows, tells))
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
    beds = [Bed(x, y, level) for x, y, level in at.tolist()]
    hours = [sun_hours(path, latitude_deg, bed, rows[some]) for bed, some in zip(beds, tells, strict=True)]
    return np.array(hours).reshape(len(at), -1, 3)


def _compiled_each(path: SunPath, latitude_deg: float, at: Array, screens: tuple[Array, NDArray[np.bool_]]) -> Array:
    from lynchet.planting.sun_grid_compiled import hours_each

    rows, tells = screens
    edges = (screen_conditions(rows, at) * tells[:, :, None, None]).reshape(len(at), -1, 3)
    sky, sky_off = horizon_condition(0.0, path.parallax)
    first = np.broadcast_to(np.array([sky, sky, np.zeros(3)]), (len(at), 3, 3))
    normals = np.concatenate([first, edges], axis=1)
    offsets = np.concatenate(
        [np.broadcast_to([sky_off, sky_off, 1.0], (len(at), 3)), -path.parallax * edges[..., 2]], axis=1
    )
    phi = float(np.radians(latitude_deg))
    return np.asarray(hours_each(path.declination, path.hour, phi, normals, np.ascontiguousarray(offsets)))


def _seen_over(at: Array, rows: Array, low_deg: float) -> NDArray[np.bool_]:
    """(n, m) whether a point sees a screen's top over an altitude."""
    start, side = rows[:, :2], rows[:, 2:4] - rows[:, :2]
    off = at[:, None, :2] - start
    square = np.maximum((side**2).sum(axis=1), 1e-12)
    share = np.clip((off * side).sum(axis=2) / square, 0.0, 1.0)
    away = np.hypot(*np.moveaxis(off - share[..., None] * side, 2, 0))
    return np.asarray(rows[:, 5] - at[:, None, 2] > away * np.tan(np.radians(low_deg)))
