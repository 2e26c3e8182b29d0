"""The widest circle in a plan shape: how deep a bed is at its deepest, told to the centimetre."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
CIRCLE_M = 0.003
"""A circle wider than the one found by more than this there is none."""
_MOST_SIDES = 20
_TOUCH_M = 1e-7
_PARALLEL = 1e-9


def widest_m(shape: Any, least_m: float = 0.0) -> float:
    """Radius of the widest circle inside a shape.

    As a rule the circle touches three sides, which gives it exactly. It is held against the shape drawn in by a hair
    more: where something is left, the circle touches a corner that stands in, and is looked for by halving cells.

    Args:
        shape: shapely polygon or several, not empty.
        least_m: the circle is known to be no narrower.

    Returns:
        The radius, metres, at most ``CIRCLE_M`` too little.
    """
    import shapely

    exact = _between_sides_m(shape, least_m)
    if exact > 0.0 and shapely.is_empty(shapely.buffer(shape, -(exact + CIRCLE_M))):
        return exact
    return float(shapely.maximum_inscribed_circle(shape, tolerance=CIRCLE_M).length)


def _between_sides_m(shape: Any, least_m: float = 0.0) -> float:
    """Radius of the widest circle inside that touches three sides; 0 where there is none, or too many sides to try."""
    import shapely

    (x, y), (along_x, along_y), lengths = _sides(shape)
    if not 3 <= len(x) <= _MOST_SIDES:
        return 0.0
    at = along_x * y - along_y * x
    one, two, three = _triples(len(x))
    (a, b), (c, d) = ((along_y[one] - along_y[n], along_x[n] - along_x[one]) for n in (two, three))
    e, f = at[two] - at[one], at[three] - at[one]
    turn = a * d - b * c
    met = np.abs(turn) > _PARALLEL
    a, b, c, d, e, f, turn, one = (part[met] for part in (a, b, c, d, e, f, turn, one))
    middle_x, middle_y = (e * d - f * b) / turn, (a * f - c * e) / turn
    radius = along_x[one] * middle_y - along_y[one] * middle_x - at[one]
    inside = (radius > max(0.0, least_m - _TOUCH_M)) & (radius <= _half_width_m(shape))
    middle_x, middle_y, radius = middle_x[inside, None], middle_y[inside, None], radius[inside]
    apart_x, apart_y = middle_x - x, middle_y - y
    along = np.minimum(np.maximum(apart_x * along_x + apart_y * along_y, 0.0), lengths)
    square = (apart_x - along * along_x) ** 2 + (apart_y - along * along_y) ** 2
    fits = square.min(axis=1, initial=np.inf) >= np.maximum(radius - _TOUCH_M, 0.0) ** 2
    fits[fits] = shapely.contains_xy(shape, middle_x[fits, 0], middle_y[fits, 0])
    return float(radius[fits].max(initial=0.0))


def _half_width_m(shape: Any) -> float:
    """Half of the narrower side of the box round a shape."""
    west, south, east, north = shape.bounds
    return float(min(east - west, north - south)) / 2 + _TOUCH_M


def _sides(shape: Any) -> tuple[FloatArray, FloatArray, FloatArray]:
    """(2, n) start of each side, (2, n) unit vector along it with the shape on its left, (n,) its length."""
    import shapely

    rings = shapely.get_rings(shapely.orient_polygons(shapely.get_parts(shape)))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    way = np.diff(points, axis=0)
    length = np.hypot(way[:, 0], way[:, 1])
    side = (ring[1:] == ring[:-1]) & (length > 0.0)
    return points[:-1][side].T.copy(), (way[side] / length[side, None]).T.copy(), length[side]


@lru_cache(maxsize=_MOST_SIDES)
def _triples(count: int) -> NDArray[np.intp]:
    """(3, n) every three of so many sides."""
    return np.array(list(combinations(range(count), 3)), dtype=np.intp).T.copy()
