"""What elevation text is read into, whatever its format, and levels between the points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lynchet.core.calculator import refuse_if
from lynchet.ground.outlines import cross, off_line
from lynchet.ground.triangle_net import delaunay

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Unit = Literal["m", "ft", "us_ft"]
UNIT_M: dict[str, float] = {"m": 1.0, "ft": 0.3048, "us_ft": 1200.0 / 3937.0}
EDGE_M = 1e-9


@dataclass(frozen=True, eq=False)
class ElevationPoints:
    """Levels read from text."""

    points: Array
    """(n, 3): x, y, level in metres, in file order (a grid row by row from the north, west to east)."""
    holes: int
    triangles: Indices | None
    """(m, 3) places in ``points`` where the format gives faces."""
    level_at: Callable[[float, float], float | None]
    """Level at a plan point in metres; None outside."""


def number(text: str) -> float | None:
    """A finite number as files write it, or None."""
    try:
        value = float(text) if "_" not in text else float("nan")
    except ValueError:
        return None
    return value if isfinite(value) else None


def unit_given(unit: str | None) -> float:
    """Metres per unit of the call; refused where the text has no unit of its own and none was given."""
    refuse_if(unit is None, "unit", "missing", "m, ft or us_ft, as the text has none of its own")
    return UNIT_M[unit or "m"]


def level_on_triangles(points: Array, triangles: Indices, x_m: float, y_m: float) -> float | None:
    """Level on the plane of the first triangle that holds the place; None outside all of them.

    Args:
        points: (n, 3).
        triangles: (m, 3), either turning; flat ones are passed over.
    """
    corners = points[triangles]
    a, b, c = (corners[:, i, :2] - np.array([x_m, y_m]) for i in range(3))
    twice = cross(b - a, c - a)
    parts = np.stack([cross(b, c), cross(c, a), cross(a, b)], axis=1)
    longest = np.sqrt(np.max([((p - q) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0))
    solid = np.abs(twice) > EDGE_M * longest
    inside = (parts * np.sign(twice)[:, None] >= -EDGE_M * longest[:, None]).all(axis=1) & solid
    if not inside.any():
        return None
    first = int(np.argmax(inside))
    return float(parts[first] @ corners[first, :, 2] / parts[first].sum())


def level_on_net(points: Array, x_m: float, y_m: float) -> float | None:
    """Level by straight lines on the Delaunay net of the points; None outside it."""
    if len(points) < 3 or off_line(points) <= 1e-6:
        return None
    local = points - np.array([points[0, 0], points[0, 1], 0.0])
    return level_on_triangles(local, delaunay(local), x_m - points[0, 0], y_m - points[0, 1])
