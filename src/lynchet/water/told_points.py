"""Which points of a pipe must be told so that it can be laid by them: straight lines between them are the pipe."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise
from math import acos, degrees, dist, hypot

Point = tuple[float, float]
LEVEL_M = 0.0025
"""No point left out lies further above or below the line between those told. PRACTICE: a quarter of a bubble."""
ASIDE_M = 0.02
"""Nor further beside it. PRACTICE."""
BEND_DEG = 5.0
"""A pipe that turns by less is laid as one straight line. PRACTICE."""
SCRAP_M = 0.03
"""A stretch that short is a fitting."""
DROP = 1.0 / 3.0
"""A steeper stretch is a drop, made with two bends, no fall a pipe is laid to. PRACTICE."""


def told_points(points: Sequence[Point], levels_m: Sequence[float]) -> tuple[int, ...]:
    """Indices of the points to be set out: ends, bends, and wherever the fall changes.

    Args:
        points: of the pipe in plan, in order.
        levels_m: its invert at each.
    """
    last = len(points) - 1
    return _thinned(points, levels_m, [0, *(i for i in range(1, last) if bends(points, i)), last], ASIDE_M)


def even_parts(points: Sequence[Point], levels_m: Sequence[float]) -> tuple[tuple[int, int], ...]:
    """First and last index of every stretch laid to one fall, whatever way it runs in plan; a scrap of pipe before
    the end or after the start is none of its own."""
    found = list(_thinned(points, levels_m, [0, len(points) - 1], float("inf")))
    for scrap, inner in (((-2, -1), -2), ((0, 1), 1)):
        i, j = (found[k] for k in scrap)
        way = sum(dist(a, b) for a, b in pairwise(points[i : j + 1]))
        if len(found) > 2 and way < SCRAP_M and abs(levels_m[i] - levels_m[j]) < LEVEL_M:
            del found[inner]
    return tuple(pairwise(found))


def is_drop(way_m: float, down_m: float) -> bool:
    """Whether a stretch falls too steeply to be laid to a fall."""
    return abs(down_m) > LEVEL_M and abs(down_m) > DROP * way_m


def bends(points: Sequence[Point], i: int) -> bool:
    """Whether a pipe turns at an inner point."""
    (ax, ay), (bx, by), (cx, cy) = points[i - 1 : i + 2]
    first, second = (bx - ax, by - ay), (cx - bx, cy - by)
    lengths = hypot(*first) * hypot(*second)
    if lengths < 1e-9:
        return False
    return degrees(acos(max(-1.0, min(1.0, (first[0] * second[0] + first[1] * second[1]) / lengths)))) > BEND_DEG


def _thinned(
    points: Sequence[Point], levels_m: Sequence[float], kept: Iterable[int], aside_m: float
) -> tuple[int, ...]:
    """Points kept, and of the others, between two of them, again and again the one farthest off the line."""
    along = [0.0, *accumulate(dist(a, b) for a, b in pairwise(points))]
    found = sorted(set(kept))
    place = 0
    while place < len(found) - 1:
        i, j = found[place], found[place + 1]
        off = {k: _off(points, levels_m, along, (i, k, j), aside_m) for k in range(i + 1, j)}
        worst = max(off, key=lambda k: off[k], default=None)
        if worst is not None and off[worst] > 1.0:
            found.insert(place + 1, worst)
        else:
            place += 1
    return tuple(found)


def _off(
    points: Sequence[Point], levels_m: Sequence[float], along: Sequence[float], at: tuple[int, int, int], aside_m: float
) -> float:
    """How far a point lies off the line between two others, as a multiple of what is allowed."""
    i, k, j = at
    long = along[j] - along[i]
    share = (along[k] - along[i]) / long if long > 0 else 0.0
    level = levels_m[i] + share * (levels_m[j] - levels_m[i])
    place = tuple(a + share * (b - a) for a, b in zip(points[i], points[j], strict=True))
    return max(abs(levels_m[k] - level) / LEVEL_M, dist(points[k], place) / aside_m)
