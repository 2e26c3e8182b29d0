"""The way of a barrow from the truck to the heap, round what stands in between."""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heappop, heappush
from itertools import pairwise
from math import hypot
from typing import Any

import numpy as np

from lynchet.core.plane import Point
from lynchet.earth.rows import length_of
from lynchet.ground.model import Surface
from lynchet.ground.surface import level_at

_NEAR_M = 2.0
"""How far off the measured ground a level is still taken from its rim."""
_STRETCH_M = 2.0
"""Steepness is looked at over stretches so long: those a barrow has to be pushed up in one go. PRACTICE."""


def way_round(stops: Sequence[Point], blocked: Sequence[Any]) -> tuple[Point, ...]:
    """The shortest line past all stops in order that goes through nothing blocked; straight where there is none.

    Args:
        stops: two places or more.
        blocked: outlines as polygons; a stop inside one ignores it.
    """
    found: list[Point] = [stops[0]]
    for a, b in pairwise(stops):
        if hypot(b[0] - a[0], b[1] - a[1]) > 1e-6:
            found += _leg(a, b, blocked)[1:]
    return tuple(found)


def _leg(a: Point, b: Point, blocked: Sequence[Any]) -> list[Point]:
    import shapely

    ends = shapely.points(np.array([a, b]))
    walls = [shape for shape in blocked if not shapely.intersects(shape, ends).any()]
    if not walls or not shapely.intersects(np.array(walls, dtype=object), shapely.LineString([a, b])).any():
        return [a, b]
    corners = [shapely.get_coordinates(shapely.buffer(shape, 0.01, join_style="mitre")) for shape in walls]
    at = np.concatenate([np.array([a, b]), *(part[:-1] for part in corners)])
    first, second = np.triu_indices(len(at), 1)
    lines = shapely.linestrings(np.stack([at[first], at[second]], axis=1))
    free = np.ones(len(first), dtype=np.bool_)
    free[shapely.STRtree(walls).query(lines, predicate="intersects")[0]] = False
    links: dict[int, list[tuple[int, float]]] = {}
    for i, j in zip(first[free].tolist(), second[free].tolist(), strict=True):
        far = hypot(at[j, 0] - at[i, 0], at[j, 1] - at[i, 1])
        links.setdefault(i, []).append((j, far))
        links.setdefault(j, []).append((i, far))
    order = _shortest(links)
    return [(float(at[i, 0]), float(at[i, 1])) for i in order] if order else [a, b]


def _shortest(links: dict[int, list[tuple[int, float]]]) -> list[int]:
    """Numbers of the places on the shortest way from 0 to 1; empty where there is none."""
    queue: list[tuple[float, int, int]] = [(0.0, 0, -1)]
    came: dict[int, int] = {}
    while queue:
        far, here, before = heappop(queue)
        if here in came:
            continue
        came[here] = before
        if here == 1:
            way = [1]
            while came[way[-1]] >= 0:
                way.append(came[way[-1]])
            return way[::-1]
        for there, length in links.get(here, ()):
            if there not in came:
                heappush(queue, (far + length, there, here))
    return []


def climb_and_steepest(surface: Surface, line: Sequence[Point]) -> tuple[float | None, float | None]:
    """Climb from the first point of a way to its last, and the steepest stretch of it, on measured ground.

    Returns:
        (climb, rise over run), each None where the ground there was not measured.
    """
    whole = length_of(line)
    if whole < 1e-6:
        return 0.0, 0.0
    count = max(2, int(np.ceil(whole / _STRETCH_M)) + 1)
    at = points_along(line, np.linspace(0.0, whole, count))
    levels = level_at(surface, at, _NEAR_M)
    climb = float(levels[-1] - levels[0])
    slopes = np.abs(np.diff(levels)) / (whole / (count - 1))
    known = slopes[~np.isnan(slopes)]
    return (climb if climb == climb else None), (float(known.max()) if len(known) else None)


def points_along(line: Sequence[Point], stations: Any) -> Any:
    """(n, 2) places at distances along a line."""
    corners = np.array(line, dtype=float)
    sizes = np.hypot(*np.diff(corners, axis=0).T)
    reached = np.concatenate([[0.0], np.cumsum(sizes)])
    return np.column_stack([np.interp(stations, reached, corners[:, axis]) for axis in range(2)])
