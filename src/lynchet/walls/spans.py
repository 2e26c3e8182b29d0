"""Levels left and right of a wall line, as straight stretches."""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Sequence

from lynchet.core.plane import between
from lynchet.ground.model import Surface
from lynchet.ground.surface import profile
from lynchet.terraces.model import HOUSE, Level, Terraces, Treads, WallLine
from lynchet.walls.model import Point, Span

REACH_M = 0.35
_NEAR_M = 1e-6

Levels = tuple[list[float], list[float]]
"""Stations and levels of one side between two stations."""


def spans_of(line: WallLine, terraces: Terraces, surface: Surface) -> tuple[Span, ...]:
    """Spans over the whole line: cut at junctions, ground crossings and where the higher side changes.

    Beside a house both levels are those of the other side: nothing is held there.
    """
    ground: Levels | None = None
    if any(not _flat(name, terraces) for side in line.sides for name in (side.left, side.right)):
        stations, levels = profile(surface, line.start_m, line.end_m, REACH_M)
        ground = stations.tolist(), levels.tolist()
    spans: list[Span] = []
    for side in line.sides:
        left = _side_levels(line, side.left, (side.start_m, side.end_m), terraces, ground)
        right = _side_levels(line, side.right, (side.start_m, side.end_m), terraces, ground)
        left, right = left or right, right or left
        if left is None or right is None:
            flat = ([side.start_m, side.end_m], [0.0, 0.0])
            left = right = flat
        spans += _merged(left, right, (side.left, side.right))
    return tuple(spans)


def _flat(name: str, terraces: Terraces) -> bool:
    if name == HOUSE:
        return True
    face = terraces.face(name)
    return face is not None and isinstance(face.finish, Level | Treads)


def _side_levels(
    line: WallLine, name: str, stretch: tuple[float, float], terraces: Terraces, ground: Levels | None
) -> Levels | None:
    """Levels of one side over a stretch; None beside a house."""
    start, end = stretch
    if name == HOUSE:
        return None
    face = terraces.face(name)
    if face is not None and isinstance(face.finish, Level):
        return [start, end], [face.finish.level_m] * 2
    if face is not None and isinstance(face.finish, Treads):
        return _tread_levels(line, face.finish, start, end)
    assert ground is not None
    stations, levels = ground
    first, last = bisect_left(stations, start + _NEAR_M), bisect_left(stations, end - _NEAR_M)
    return (
        [start, *stations[first:last], end],
        [level_between(stations, levels, start), *levels[first:last], level_between(stations, levels, end)],
    )


def level_between(stations: Sequence[float], levels: Sequence[float], station: float) -> float:
    """Straight-line level at a station, the end values beyond the ends."""
    i = bisect_left(stations, station)
    if i == 0:
        return levels[0]
    if i == len(stations):
        return levels[-1]
    share = (station - stations[i - 1]) / (stations[i] - stations[i - 1])
    return levels[i - 1] + share * (levels[i] - levels[i - 1])


def _tread_levels(line: WallLine, treads: Treads, start: float, end: float) -> Levels:
    """A staircase: each tread gives two stations, a riser two levels a hair apart."""
    length = line.length_m

    def point(station: float) -> Point:
        return between(line.start_m, line.end_m, station / length)

    a, b = point(start), point(end)
    along = [
        ((p[0] - treads.origin_m[0]) * treads.direction[0] + (p[1] - treads.origin_m[1]) * treads.direction[1])
        / treads.going_m
        for p in (a, b)
    ]
    edges = []
    if abs(along[1] - along[0]) > 1e-6:
        for i in range(1, len(treads.levels_m)):
            share = (i - along[0]) / (along[1] - along[0])
            if 1e-4 < share < 1 - 1e-4:
                edges.append(start + share * (end - start))
    marks = [start, *sorted(edges), end]
    stations: list[float] = []
    levels: list[float] = []
    for s0, s1 in itertools.pairwise(marks):
        level = treads.level_at(point((s0 + s1) / 2))
        stations += [s0, s1]
        levels += [level, level]
    return stations, levels


def _merged(left: Levels, right: Levels, names: tuple[str, str]) -> list[Span]:
    """Spans between all stations of both sides, cut again where the two levels cross."""
    marks = sorted({*left[0], *right[0]})
    spans: list[Span] = []
    for s0, s1 in itertools.pairwise(marks):
        if s1 - s0 < _NEAR_M:
            continue
        l0, l1 = _ends(left, s0, s1)
        r0, r1 = _ends(right, s0, s1)
        d0, d1 = l0 - r0, l1 - r1
        if d0 * d1 < 0 and _NEAR_M < (at := (s1 - s0) * d0 / (d0 - d1)) < s1 - s0 - _NEAR_M:
            share = at / (s1 - s0)
            level = l0 + share * (l1 - l0)
            spans.append(Span(s0, s0 + at, l0, level, r0, level, *names))
            spans.append(Span(s0 + at, s1, level, l1, level, r1, *names))
        else:
            spans.append(Span(s0, s1, l0, l1, r0, r1, *names))
    return spans


def _ends(side: Levels, start: float, end: float) -> tuple[float, float]:
    """Levels just inside both ends of a stretch without a station in it."""
    stations, levels = side
    middle = (start + end) / 2
    i = max(1, min(bisect_left(stations, middle), len(stations) - 1))
    s0, s1 = stations[i - 1], stations[i]
    if s1 - s0 < 1e-12:
        return levels[i - 1], levels[i]
    slope = (levels[i] - levels[i - 1]) / (s1 - s0)
    return levels[i - 1] + slope * (start - s0), levels[i - 1] + slope * (end - s0)
