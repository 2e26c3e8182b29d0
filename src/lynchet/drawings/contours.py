"""Contours of the measured ground: the level lines of its triangles, joined end to end.

Each triangle is flat, so a contour crosses it in one straight part; the parts of neighbouring triangles share the
point where they cross the common edge, and are joined by that edge. Nothing is smoothed: the lines are the surface
that was planned on.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, hypot

import numpy as np

from lynchet.ground.model import Surface

Point = tuple[float, float]
Edge = tuple[int, int]
_SLIVER = 0.1
"""Height of a triangle over its longest side, under which one along the border tells nothing of the ground."""


@dataclass(frozen=True)
class Contour:
    """One level line."""

    level_m: float
    number: int
    """Level over step, whole."""
    points: tuple[Point, ...]
    """Higher ground on the left; the first point is repeated at the end where it closes."""


def contours(surface: Surface, step_m: float) -> tuple[Contour, ...]:
    """All contours at whole multiples of a step.

    Args:
        surface: the triangles.
        step_m: metres between levels, over 0.

    Returns:
        By level, then by the first point; each line runs with the higher ground on its left.
    """
    points = surface.points
    triangles = _known(points, surface.triangles)
    if len(triangles) == 0:
        return ()
    levels = points[:, 2]
    found: list[Contour] = []
    for number in range(ceil(levels.min() / step_m - 1e-9), floor(levels.max() / step_m + 1e-9) + 1):
        level = number * step_m
        # A reading exactly on the level counts as just above it: no corner is ever met, so no part is degenerate.
        above = levels >= level
        corners = above[triangles]
        mixed = triangles[corners.any(axis=1) & ~corners.all(axis=1)]
        parts = [_part(triangle, above) for triangle in mixed.tolist()]
        lines = (tuple(_crossing(edge, points, level) for edge in chain) for chain in _joined(parts))
        found.extend(Contour(level, number, line) for line in sorted(lines) if _length(line) > 1e-6)
    return tuple(found)


def _known(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    """Triangles but those along the border whose corners are nearly in one line: what lies across them nobody measured.

    A contour would run along such a sliver, and end in a hook that no ground has.
    """
    if len(triangles) == 0:
        return triangles
    ends = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=-1), axis=-1)
    keys = ends[..., 0].astype(np.int64) * len(points) + ends[..., 1]
    _, which, count = np.unique(keys, return_inverse=True, return_counts=True)
    border = count[which.reshape(triangles.shape)] == 1
    flat = points[:, :2]
    sides = np.hypot(*(flat[ends[..., 0]] - flat[ends[..., 1]]).transpose(2, 0, 1))
    (ax, ay), (bx, by), (cx, cy) = (flat[triangles[:, n]].T for n in range(3))
    twice = np.abs((bx - ax) * (cy - ay) - (cx - ax) * (by - ay))
    longest = sides.argmax(axis=1)
    rows = np.arange(len(triangles))
    sliver = border[rows, longest] & (twice < _SLIVER * sides[rows, longest] ** 2)
    kept: np.ndarray = triangles[~sliver]
    return _known(points, kept) if sliver.any() else kept


def _part(triangle: list[int], above: np.ndarray) -> tuple[Edge, Edge]:
    """The two edges a contour crosses in a triangle (anticlockwise), so that the higher ground is on its left."""
    enters: Edge | None = None
    leaves: Edge | None = None
    for a, b in zip(triangle, triangle[1:] + triangle[:1], strict=True):
        edge = (min(a, b), max(a, b))
        if above[a] and not above[b]:
            enters = edge
        elif above[b] and not above[a]:
            leaves = edge
    assert enters is not None and leaves is not None
    # Going round anticlockwise, the line starts where the border falls below the level and ends where it rises again.
    return enters, leaves


def _crossing(edge: Edge, points: np.ndarray, level: float) -> Point:
    (ax, ay, az), (bx, by, bz) = points[edge[0]].tolist(), points[edge[1]].tolist()
    share = (level - az) / (bz - az)
    return ax + share * (bx - ax), ay + share * (by - ay)


def _joined(parts: list[tuple[Edge, Edge]]) -> list[list[Edge]]:
    """Parts chained by the edges they share."""
    after = {start: n for n, (start, _) in enumerate(parts)}
    ends = {end for _, end in parts}
    used = [False] * len(parts)
    chains: list[list[Edge]] = []
    # Lines that come in over the border first, then the closed ones that are left.
    for first in sorted(range(len(parts)), key=lambda n: (parts[n][0] in ends, n)):
        if used[first]:
            continue
        chain = [parts[first][0]]
        n: int | None = first
        while n is not None and not used[n]:
            used[n] = True
            chain.append(parts[n][1])
            n = after.get(parts[n][1])
        chains.append(chain)
    return chains


def _length(line: tuple[Point, ...]) -> float:
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line))


def by_level(lines: tuple[Contour, ...]) -> dict[int, tuple[Contour, ...]]:
    """Contours by their number."""
    table: dict[int, list[Contour]] = defaultdict(list)
    for line in lines:
        table[line.number].append(line)
    return {number: tuple(group) for number, group in sorted(table.items())}
