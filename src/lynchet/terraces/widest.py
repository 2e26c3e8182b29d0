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


def widest_m(shape: Any) -> float:
    """Radius of the widest circle inside a shape.

    As a rule the circle touches three sides, which gives it exactly. It is held against the shape drawn in by a hair
    more: where something is left, the circle touches a corner that stands in, and is looked for by halving cells.

    Args:
        shape: shapely polygon or several, not empty.

    Returns:
        The radius, metres, at most ``CIRCLE_M`` too little.
    """
    import shapely

    exact = _between_sides_m(shape)
    if exact > 0.0 and shapely.is_empty(shapely.buffer(shape, -(exact + CIRCLE_M))):
        return exact
    return float(shapely.maximum_inscribed_circle(shape, tolerance=CIRCLE_M).length)


def _between_sides_m(shape: Any) -> float:
    """Radius of the widest circle inside that touches three sides; 0 where there is none, or too many sides to try."""
    import shapely

    starts, ways, lengths = _sides(shape)
    if not 3 <= len(starts) <= _MOST_SIDES:
        return 0.0
    inward = np.column_stack([-ways[:, 1], ways[:, 0]])
    at = (inward * starts).sum(axis=1)
    one, two, three = _triples(len(starts))
    a, b = inward[two] - inward[one], inward[three] - inward[one]
    c, d = at[two] - at[one], at[three] - at[one]
    turn = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    met = np.abs(turn) > _PARALLEL
    a, b, c, d, turn, one = a[met], b[met], c[met], d[met], turn[met], one[met]
    middle = np.column_stack([c * b[:, 1] - d * a[:, 1], a[:, 0] * d - b[:, 0] * c]) / turn[:, None]
    radius = (inward[one] * middle).sum(axis=1) - at[one]
    inside = (radius > 0.0) & (radius <= _half_width_m(shape))
    middle, radius = middle[inside], radius[inside]
    apart = middle[:, None, :] - starts
    along = np.clip((apart * ways).sum(axis=2), 0.0, lengths)
    gap = apart - along[..., None] * ways
    fits = (gap**2).sum(axis=2).min(axis=1, initial=np.inf) >= np.maximum(radius - _TOUCH_M, 0.0) ** 2
    fits[fits] = shapely.contains_xy(shape, middle[fits])
    return float(radius[fits].max(initial=0.0))


def _half_width_m(shape: Any) -> float:
    """Half of the narrower side of the box round a shape."""
    west, south, east, north = shape.bounds
    return float(min(east - west, north - south)) / 2 + _TOUCH_M


def _sides(shape: Any) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Start of each side, unit vector along it with the shape on its left, and its length."""
    import shapely

    rings = shapely.get_rings(shapely.orient_polygons(shapely.get_parts(shape)))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    way = np.diff(points, axis=0)
    length = np.hypot(way[:, 0], way[:, 1])
    side = (ring[1:] == ring[:-1]) & (length > 0.0)
    return points[:-1][side], way[side] / length[side, None], length[side]


@lru_cache(maxsize=_MOST_SIDES)
def _triples(count: int) -> NDArray[np.intp]:
    """(3, n) every three of so many sides."""
    return np.array(list(combinations(range(count), 3)), dtype=np.intp).T
