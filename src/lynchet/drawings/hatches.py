"""Hatches as lines clipped to their area, pebbles and dots kept inside it. Everything is in paper mm.

Lines hang on the sheet's origin, so that neighbouring areas of one kind run through; gaps are never under 0.9 mm
(ISO 128 asks 0.7 mm).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate, chain, pairwise
from math import ceil, cos, floor, pi, radians, sin

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.roles import PEN_MM, Dash

Point = tuple[float, float]
Rings = tuple[tuple[Point, ...], ...]
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Hatch:
    """One hatch: a family of lines, pebbles or dots."""

    kind: str
    """lines, pebbles or dots."""
    gap_mm: float
    angle_deg: float = 0.0
    """Anticlockwise as seen."""
    pen_mm: float = PEN_MM["hair"]
    dash: Dash = "solid"
    size_mm: float = 0.0


HATCHES: dict[str, Hatch] = {
    "house cut": Hatch("lines", 0.9, 45.0, PEN_MM["fine"]),
    "house": Hatch("lines", 1.8, 45.0),
    "stone small": Hatch("pebbles", 1.1, size_mm=0.35),
    "stone": Hatch("pebbles", 1.5, size_mm=0.5),
    "stone large": Hatch("pebbles", 2.8, size_mm=0.95),
    "fill": Hatch("dots", 3.0, size_mm=0.2),
    "bed soil": Hatch("lines", 4.2, 60.0, dash="soil"),
    "buried": Hatch("lines", 1.5, -45.0),
    "left over": Hatch("lines", 1.2, 45.0),
    "no dig": Hatch("lines", 6.0, -45.0, PEN_MM["fine"]),
}
_RANDOM_SEED = 20130
_LEAST_LINE_MM = 0.05


def lines_in(rings: Rings, gap_mm: float, angle_deg: float, compiled: bool = True) -> list[tuple[Point, Point]]:
    """Parallel lines clipped to an area with holes (even-odd rule).

    Args:
        rings: outer ring and holes, not closed.
        gap_mm: distance between lines.
        angle_deg: their direction, anticlockwise as seen (y runs down).
        compiled: by compiled code where numba is there.
    """
    c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
    corners, starts = _flat(rings)
    if not len(corners):
        return []
    x, y = corners.T
    # Turned so that the lines are level: u along, v across.
    turned = np.column_stack([x * c - y * s, x * s + y * c])
    first, last = ceil(turned[:, 1].min() / gap_mm), floor(turned[:, 1].max() / gap_mm)
    a, b, level = _cut_lines(turned, starts, (first, last, gap_mm), compiled).T
    ends = np.column_stack([a * c + level * s, -a * s + level * c, b * c + level * s, -b * s + level * c])
    return [((ax, ay), (bx, by)) for ax, ay, bx, by in ends.tolist()]


def _cut_lines(turned: Array, starts: NDArray[np.int64], which: tuple[int, int, float], compiled: bool) -> Array:
    """(n, 3): start, end and level of the parts of level lines, by their first and last number and the gap."""
    (first, last, gap_mm), corners = which, len(turned)
    if compiled:
        try:
            from lynchet.drawings.hatches_compiled import lines_at
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
        else:
            room = max(last - first + 1, 0) * max(corners // 2, 1)
            found = np.empty((room, 3))
            used = lines_at(turned, starts, (first, last, gap_mm, _LEAST_LINE_MM), np.empty(corners), found)
            return found[:used]
    rings = [turned[a:b].tolist() for a, b in pairwise(starts.tolist())]
    rows: list[tuple[float, float, float]] = []
    for n in range(first, last + 1):
        level = n * gap_mm
        cuts = sorted(
            au + (level - av) / (bv - av) * (bu - au)
            for ring in rings
            for (au, av), (bu, bv) in zip(ring, ring[1:] + ring[:1], strict=True)
            if (av <= level) != (bv <= level)
        )
        rows += [(a, b, level) for a, b in zip(cuts[::2], cuts[1::2], strict=True) if b - a > _LEAST_LINE_MM]
    return np.array(rows).reshape(-1, 3)


def inside(rings: Rings, points: Array, compiled: bool = True) -> NDArray[np.bool_]:
    """Which of (n, 2) points lie inside an area with holes (even-odd rule).

    Args:
        rings: outer ring and holes, not closed.
        points: asked for.
        compiled: by compiled code where numba is there.
    """
    if compiled:
        try:
            from lynchet.drawings.hatches_compiled import inside_at
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
        else:
            found = np.empty(len(points), dtype=np.bool_)
            inside_at(*_flat(rings), np.ascontiguousarray(points, dtype=np.float64), found)
            return found
    x, y = points[:, 0], points[:, 1]
    odd = np.zeros(len(points), dtype=bool)
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1], strict=True):
            if ay == by:
                continue
            odd ^= ((ay <= y) != (by <= y)) & (x < ax + (y - ay) / (by - ay) * (bx - ax))
    return odd


def all_inside(rings: Rings, points: Array, shape: Array, compiled: bool = True) -> Array:
    """Those of (n, 2) points round which all (k, 2) corners of a shape lie inside an area with holes.

    Args:
        rings: outer ring and holes, not closed.
        points: asked for.
        shape: corners, from the point.
        compiled: by compiled code where numba is there.
    """
    if compiled:
        try:
            from lynchet.drawings.hatches_compiled import all_inside_at
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
        else:
            found = np.empty(len(points), dtype=np.bool_)
            asked = np.ascontiguousarray(points, dtype=np.float64)
            all_inside_at(*_flat(rings), asked, np.ascontiguousarray(shape, dtype=np.float64), found)
            return np.asarray(points[found])
    for corner in shape:  # one after the other: many places fall out with the first
        points = points[inside(rings, points + corner, compiled)]
    return points


def _flat(rings: Rings) -> tuple[Array, NDArray[np.int64]]:
    """Corners of all rings, and the first of each."""
    starts = np.array([0, *accumulate(map(len, rings))], dtype=np.int64)
    return np.array(list(chain.from_iterable(rings)), dtype=np.float64).reshape(-1, 2), starts


def _reach(corners: Array, gap_mm: float) -> tuple[Array, Array]:
    """The first and the last column and row of a grid over the box of an area."""
    return np.floor(corners.min(axis=0) / gap_mm), np.ceil(corners.max(axis=0) / gap_mm)


def _grid(rings: Rings, gap_mm: float, jitter: float) -> Array:
    """Points of a jittered grid over the box of an area; the same place always has the same jitter."""
    low, high = _reach(_flat(rings)[0], gap_mm)
    columns, rows = np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1)
    i, j = (part.ravel() for part in np.meshgrid(columns, rows))
    # A hash of the cell, not a running generator: an area's pebbles do not change when another area does.
    noise = np.sin(i * 12.9898 + j * 78.233 + _RANDOM_SEED)[:, None] * np.array([43758.5453, 24634.6345])
    shift = (noise - np.floor(noise) - 0.5) * jitter
    points = np.column_stack([i + 0.5 * (j % 2), j]) * gap_mm + shift * gap_mm
    return np.asarray(points, dtype=np.float64)


def rounds_in(rings: Rings, hatch: Hatch, compiled: bool = True) -> list[tuple[Point, ...]]:
    """Hexagons (pebbles) or diamonds (dots) that lie wholly inside an area.

    Args:
        rings: outer ring and holes, not closed.
        hatch: of pebbles or dots.
        compiled: by compiled code where numba is there.
    """
    pebbles = hatch.kind == "pebbles"
    sides, jitter = (6, 0.5) if pebbles else (4, 0.3)
    if compiled:
        try:
            from lynchet.drawings.hatches_compiled import rounds_at
        except (ImportError, RuntimeError):
            pass
        else:
            corners, starts = _flat(rings)
            (column, row), (right, bottom) = (ends.tolist() for ends in _reach(corners, hatch.gap_mm))
            across = int(right - column) + 1
            room = np.empty((across * (int(bottom - row) + 1), sides, 2))
            grid = (column, row, across, hatch.gap_mm, jitter, float(_RANDOM_SEED))
            used = rounds_at(corners, starts, grid, (hatch.size_mm, sides), room)
            return _as_paths(room[:used])
    centres = _grid(rings, hatch.gap_mm, jitter)
    # Corner by corner: most places of the grid fall out with the first.
    for n in range(sides):
        centres = centres[inside(rings, _corner(centres, hatch.size_mm, n / sides), compiled)]
    return _as_paths(np.stack([_corner(centres, hatch.size_mm, n / sides) for n in range(sides)], axis=1))


def _as_paths(rounds: Array) -> list[tuple[Point, ...]]:
    """(n, sides, 2) corners as n closed paths."""
    x, y = rounds.reshape(-1, 2).T.tolist()
    corners = zip(x, y, strict=True)
    return list(zip(*(corners,) * rounds.shape[1], strict=True))


def _corner(centres: Array, size_mm: float, share: float) -> Array:
    """The corner of every pebble or dot at a share of the way round it."""
    x, y = centres.T
    size = size_mm * (0.75 + 0.25 * np.sin(x * 7.1 + y * 3.3))
    turn = (x * 1.7 + y * 2.9) + share * (2 * pi)
    return np.column_stack([x + size * np.cos(turn), y + size * (0.8 * np.sin(turn))])
