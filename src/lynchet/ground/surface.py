"""The ground as triangles over readings: building it, levels at points, the profile along a line."""

from __future__ import annotations

import sys
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.ground.model import Array, Surface

REACH_M = 0.05
"""How far off the measured ground a level may still be taken from the nearest triangle. PRACTICE."""
_SAME_M = 1e-6
_SLIVER_M = 1e-3


def build_surface(points: ArrayLike) -> Surface:
    """Triangles over readings (Delaunay), slivers along the hull left out.

    Args:
        points: (n, 3) x, y, level in metres, in the own frame; at least three, not on one line, no two in one place.

    Returns:
        The surface; triangles run anticlockwise.

    Raises:
        ValueError: fewer than three points, or all on one line.
    """
    from scipy.spatial import Delaunay, QhullError

    at = np.asarray(points, dtype=float)
    if len(at) < 3:
        raise ValueError("at least three readings are needed for a surface")
    try:
        triangles = Delaunay(at[:, :2]).simplices.astype(np.intp)
    except QhullError as error:
        raise ValueError("the readings lie on one line") from error
    corner = at[triangles]
    a, b, c = corner[:, 0], corner[:, 1], corner[:, 2]
    twice = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    longest = np.sqrt(np.max([np.sum((p - q)[:, :2] ** 2, axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0))
    triangles[twice < 0] = triangles[twice < 0][:, ::-1]
    kept = np.abs(twice) > longest * _SLIVER_M
    triangles = triangles[kept]
    if not len(triangles):
        raise ValueError("the readings lie on one line")
    order = np.lexsort(np.sort(triangles, axis=1).T[::-1])
    return Surface(at, triangles[order], _planes(at, triangles[order]))


def _planes(points: Array, triangles: NDArray[np.intp]) -> Array:
    """(m, 3) coefficients of level = a x + b y + c, by Cramer's rule (no linear algebra library per triangle)."""
    x, y, z = (points[triangles][:, :, axis] for axis in range(3))
    x1, x2, y1, y2 = x[:, 1] - x[:, 0], x[:, 2] - x[:, 0], y[:, 1] - y[:, 0], y[:, 2] - y[:, 0]
    z1, z2 = z[:, 1] - z[:, 0], z[:, 2] - z[:, 0]
    twice = x1 * y2 - x2 * y1
    a, b = (z1 * y2 - z2 * y1) / twice, (x1 * z2 - x2 * z1) / twice
    return np.column_stack([a, b, z[:, 0] - a * x[:, 0] - b * y[:, 0]])


def level_at(surface: Surface, points: ArrayLike, reach_m: float = REACH_M) -> Array:
    """Ground level at plan points.

    Args:
        surface: the ground.
        points: (n, 2) x, y.
        reach_m: points off the measured ground by no more than this take the level of its nearest edge.

    Returns:
        (n,) levels; NaN where a point lies further off.
    """
    at = np.asarray(points, dtype=float).reshape(-1, 2)
    if "numba" not in sys.modules:  # loading it takes longer than a whole first look
        return _levels_by_tree(surface, at, reach_m)
    levels, others = _well_inside(surface, at, reach_m)
    if others:
        levels[others] = _levels_by_tree(surface, at[others], reach_m)
    return levels


def _well_inside(surface: Surface, at: Array, reach_m: float) -> tuple[Array, list[int]]:
    """Levels of points well inside one triangle, NaN of all others; indices of those not surely beyond the reach."""
    from lynchet.ground.surface_compiled import levels_inside

    levels, others = levels_inside(at, reach_m, surface.corners, surface.planes, surface.cells, surface.rim)
    return levels, others


def _levels_by_tree(surface: Surface, at: Array, reach_m: float) -> Array:
    """The same for points anywhere."""
    import shapely

    spots: Any = shapely.points(at)
    index, triangle = surface.tree.query(spots, predicate="intersects")
    meets = np.bincount(index, minlength=len(at))
    inside = meets[index] == 1
    levels = np.full(len(at), np.nan)
    levels[index[inside]] = _on_planes(surface, triangle[inside], at[index[inside]])
    others = np.flatnonzero(meets != 1)  # on an edge, or off the ground: the nearest triangle, a much slower search
    if len(others):
        levels[others] = _nearest_levels(surface, at[others], spots[others], reach_m)
    return levels


def _nearest_levels(surface: Surface, at: Array, spots: Any, reach_m: float) -> Array:
    """Levels of the nearest triangle, at the points themselves or the nearest on its edge."""
    import shapely

    (index, triangle), distance = surface.tree.query_nearest(spots, return_distance=True, all_matches=False)
    levels = np.full(len(at), np.nan)
    near = distance <= reach_m
    index, triangle = index[near], triangle[near]
    place = at[index]
    off = distance[near] > 0.0
    if off.any():
        line = shapely.shortest_line(surface.polygons[triangle[off]], spots[index[off]])
        place[off] = shapely.get_coordinates(shapely.get_point(line, 0))
    levels[index] = _on_planes(surface, triangle, place)
    return levels


def _on_planes(surface: Surface, triangle: NDArray[np.intp], at: Array) -> Array:
    plane = surface.planes[triangle]
    return np.asarray(plane[:, 0] * at[:, 0] + plane[:, 1] * at[:, 1] + plane[:, 2])


def beyond(surface: Surface, points: Array, fall: tuple[float, float] = (0.0, 0.0)) -> Array:
    """Levels at plan points off the measured ground, however far: that of the nearest place on its rim, gone on.

    Args:
        surface: the ground.
        points: (n, 2) x, y.
        fall: gradient (uphill, rise per run) with which the ground goes on from there; level when left out.
    """
    start, end = (surface.points[side] for side in surface.border.T)
    way = end - start
    apart = points[:, None, :] - start[None, :, :2]
    square = np.maximum((way[:, :2] ** 2).sum(axis=1), 1e-12)
    share = np.clip((apart * way[None, :, :2]).sum(axis=2) / square, 0.0, 1.0)
    off = apart - share[..., None] * way[None, :, :2]
    rows = np.arange(len(points))
    side = (off**2).sum(axis=2).argmin(axis=1)
    rim = start[side, 2] + share[rows, side] * way[side, 2]
    return np.asarray(rim + off[rows, side] @ np.array(fall), dtype=float)


def off_ground_m(surface: Surface, points: ArrayLike) -> Array:
    """How far each plan point lies outside the measured ground; 0 on it.

    Args:
        surface: the ground.
        points: (n, 2) x, y.
    """
    at = np.asarray(points, dtype=float).reshape(-1, 2)
    if "numba" not in sys.modules:
        return _away_by_tree(surface, at)
    _, others = _well_inside(surface, at, np.inf)
    away = np.zeros(len(at))
    if others:
        away[others] = _away_by_tree(surface, at[others])
    return away


def _away_by_tree(surface: Surface, at: Array) -> Array:
    import shapely

    _, distance = surface.tree.query_nearest(shapely.points(at), return_distance=True, all_matches=False)
    return np.asarray(distance, dtype=float)


def profile(
    surface: Surface, start: tuple[float, float], end: tuple[float, float], reach_m: float = REACH_M
) -> tuple[Array, Array]:
    """Levels of the ground along a straight line: exact, one station at every edge of a triangle crossed.

    Args:
        surface: the ground.
        start, end: plan points, apart.
        reach_m: how far the two ends may lie off the measured ground.

    Returns:
        (n,) stations from 0 to the length and (n,) levels; NaN at an end that lies further off. Between two stations
        the level is a straight line (also over a gap in the measured ground).
    """
    (x, y), (to_x, to_y) = start, end
    return _profile(surface, (float(x), float(y)), (float(to_x), float(to_y)), reach_m)


@lru_cache(maxsize=128)
def _profile(
    surface: Surface, start: tuple[float, float], end: tuple[float, float], reach_m: float
) -> tuple[Array, Array]:
    """The same, kept by surface and line: several stages ask for the same lines, and so do plans of one yard in which
    a line stays. Nobody writes to what is kept."""
    length, stations, levels = _crossed(surface, start, end)
    ends = level_at(surface, np.array([start, end], dtype=float), reach_m)
    stations = np.concatenate([[0.0], stations, [length]])
    levels = np.concatenate([ends[:1], levels, ends[1:]])
    order = np.argsort(stations, kind="stable")
    stations, levels = stations[order], levels[order]
    kept = np.concatenate([[True], np.diff(stations) > _SAME_M])
    kept[-1] = True
    stations, levels = stations[kept], levels[kept]
    stations.setflags(write=False)
    levels.setflags(write=False)
    return stations, levels


def bends(surface: Surface, start: tuple[float, float], end: tuple[float, float]) -> Array:
    """Stations between two plan points at which a straight line crosses an edge of a triangle, in no order."""
    return _crossed(surface, start, end)[1]


def _crossed(surface: Surface, start: tuple[float, float], end: tuple[float, float]) -> tuple[float, Array, Array]:
    """Length of a line, and stations and levels where it crosses edges of triangles, in no order."""
    a, b = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    length = float(np.hypot(*(b - a)))
    way = (b - a) / length
    relative = surface.points[:, :2] - a
    along = relative @ way
    beside = way[0] * relative[:, 1] - way[1] * relative[:, 0]
    first, second = surface.edges[:, 0], surface.edges[:, 1]
    side_first, side_second = beside[first], beside[second]
    crossed = side_first * side_second < 0.0
    first, second = first[crossed], second[crossed]
    share = side_first[crossed] / (side_first[crossed] - side_second[crossed])
    stations = along[first] + share * (along[second] - along[first])
    z = surface.points[:, 2]
    levels = z[first] + share * (z[second] - z[first])
    on_line = np.abs(beside) < _SAME_M
    stations = np.concatenate([stations, along[on_line]])
    levels = np.concatenate([levels, z[on_line]])
    inside = (stations > _SAME_M) & (stations < length - _SAME_M)
    return length, stations[inside], levels[inside]
