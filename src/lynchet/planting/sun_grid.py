"""Direct sun over many points at once: compiled where numba is there, else the same sum point by point in NumPy."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.planting.direct_sun import Bed, sun_conditions, sun_hours
from lynchet.planting.sun_path import SunPath

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
