"""Plan outlines cut along parallel rows: exact along each row, each row standing for a strip of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, pairwise
from math import ceil, cos, floor, hypot, radians, sin

import numpy as np
from numpy.typing import NDArray

from lynchet.core.outlines import flat_rings
from lynchet.core.plane import Point

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Flags = NDArray[np.bool_]
WAYS_DEG = tuple(range(5, 180, 10))


@dataclass(frozen=True, eq=False)
class Rings:
    """Sides of many plan outlines, holes among them: a place lies inside where a row has crossed an odd number."""

    start: Array
    """(n, 2) starts of the sides."""
    end: Array
    owner: Index
    """(n,) outline each side belongs to."""
    count: int
    """Number of outlines."""


@dataclass(frozen=True)
class Rows:
    """Parallel rows over a stretch of the plan; ``u`` runs along them, ``v`` across."""

    along: Point
    """Unit vector along the rows."""
    first_v: float
    """Lower side of row 0."""
    step_m: float
    least_u: float
    length_m: float
    """More than any row is long."""
    count: int

    def turned(self, points: Array) -> tuple[Array, Array]:
        """(u, v) of plan points (..., 2)."""
        ux, uy = self.along
        return points[..., 0] * ux + points[..., 1] * uy, points[..., 1] * ux - points[..., 0] * uy

    def places(self, row: Index, u: Array) -> tuple[Array, Array]:
        """(x, y) of places in the middle of rows."""
        v = self.first_v + (row + 0.5) * self.step_m
        ux, uy = self.along
        return u * ux - v * uy, u * uy + v * ux

    def key(self, row: Index, u: Array) -> Array:
        """One number by which places sort first by row, then along it."""
        return np.asarray(row * (self.length_m + 1.0) + (u - self.least_u), dtype=float)


@dataclass(frozen=True, eq=False)
class Chords:
    """Where rows lie inside outlines; every array has one entry per chord."""

    owner: Index
    row: Index
    start: Array
    """Along the row."""
    end: Array


@dataclass(frozen=True, eq=False)
class Pieces:
    """Stretches of rows short enough to be looked at by their middle, sorted along and by row."""

    row: Index
    start: Array
    end: Array
    starts: Array
    """Sorting keys of the starts."""


def rings_of(outlines: Sequence[Sequence[Sequence[Point]]]) -> Rings:
    """Sides of outlines, each given as its outer ring and holes (not closed).

    Args:
        outlines: for each outline its rings; every ring has three corners or more.
    """
    start, sizes = flat_rings(chain.from_iterable(outlines))
    parts = np.array([len(rings) for rings in outlines], dtype=np.intp)
    owner = np.repeat(np.repeat(np.arange(len(outlines), dtype=np.intp), parts), sizes)
    following = np.arange(1, len(start) + 1, dtype=np.intp)
    ends = np.cumsum(sizes)
    following[ends - 1] = ends - sizes
    return Rings(start, start[following], owner, len(outlines))


def rows_over(corners: Array, walls: Sequence[Point], step_m: float) -> Rows:
    """Rows over all corners, turned so that they run along no wall and square to none.

    Args:
        corners: (n, 2) what is to be covered, at least one point.
        walls: unit vectors along the walls.
        step_m: width of the strip each row stands for.
    """

    def clear(way_deg: float) -> float:
        ux, uy = cos(radians(way_deg)), sin(radians(way_deg))
        return min((abs((ux * y - uy * x) * (ux * x + uy * y)) for x, y in walls), default=1.0)

    way = radians(max(WAYS_DEG, key=clear))
    ux, uy = cos(way), sin(way)
    u = corners[:, 0] * ux + corners[:, 1] * uy
    v = corners[:, 1] * ux - corners[:, 0] * uy
    length = float(u.max() - u.min()) + 1.0
    count = max(1, ceil(float(v.max() - v.min()) / step_m))
    return Rows((ux, uy), float(v.min()), step_m, float(u.min()), length, count)


def chords(rings: Rings, rows: Rows) -> Chords:
    """Where the middle of every row lies inside each outline, by outline and row."""
    u0, v0 = rows.turned(rings.start)
    u1, v1 = rows.turned(rings.end)
    low, high = (
        np.clip(np.ceil((edge - rows.first_v) / rows.step_m - 0.5), 0, rows.count).astype(np.intp)
        for edge in (np.minimum(v0, v1), np.maximum(v0, v1))
    )
    side, row = spread_out(low, high)
    middle = rows.first_v + (row + 0.5) * rows.step_m
    u = u0[side] + (middle - v0[side]) * ((u1 - u0)[side] / (v1 - v0)[side])
    owner = rings.owner[side]
    u = np.clip(u, rows.least_u, rows.least_u + rows.length_m)
    order = np.argsort((owner * rows.count + row) * (rows.length_m + 1.0) + (u - rows.least_u), kind="stable")
    first, second = order[0::2], order[1::2]
    some = u[second] > u[first]
    first, second = first[some], second[some]
    return Chords(owner[first], row[first], u[first], u[second])


def spread_out(first: Index, after: Index) -> tuple[Index, Index]:
    """Every whole number of each range, with the number of its range.

    Args:
        first, after: (n,) each range runs from ``first`` up to, not including, ``after``.
    """
    counts = np.maximum(after - first, 0)
    which = np.repeat(np.arange(len(first), dtype=np.intp), counts)
    begins = np.cumsum(counts) - counts
    return which, np.arange(len(which), dtype=np.intp) - begins[which] + first[which]


def only(pieces: Pieces, wanted: NDArray[np.bool_]) -> tuple[Pieces, Index]:
    """The pieces wanted, and the new number of every old one."""
    kept = Pieces(pieces.row[wanted], pieces.start[wanted], pieces.end[wanted], pieces.starts[wanted])
    return kept, np.cumsum(wanted) - 1


def pieces_of(found: Sequence[Chords], rows: Rows, longest_m: float) -> Pieces:
    """Rows cut at every end of a chord, and into parts no longer than ``longest_m``."""
    row = np.concatenate([part.row for part in found] * 2)
    u = np.concatenate([*(part.start for part in found), *(part.end for part in found)])
    _, which = np.unique(rows.key(row, u), return_index=True)
    row, u = row[which], u[which]
    same = row[1:] == row[:-1]
    row, start, end = row[:-1][same], u[:-1][same], u[1:][same]
    parts = np.maximum(np.ceil((end - start) / longest_m), 1.0).astype(np.intp)
    which, number = spread_out(np.zeros(len(parts), dtype=np.intp), parts)
    share = (end - start)[which] / parts[which]
    row, begin = row[which], start[which] + number * share
    return Pieces(row, begin, begin + share, rows.key(row, begin))


def met(found: Chords, pieces: Pieces, rows: Rows) -> tuple[Index, Index]:
    """(outline, piece) of every piece that lies on a chord of an outline."""
    first = np.searchsorted(pieces.starts, rows.key(found.row, found.start) - 1e-9)
    after = np.searchsorted(pieces.starts, rows.key(found.row, found.end) - 1e-9)
    which, piece = spread_out(first, after)
    return found.owner[which], piece


def widened(ring: Array, by_m: float) -> Array:
    """Convex outlines moved outward by the same amount on every side.

    Args:
        ring: (n, k, 2) corners, either hand.
        by_m: how far.
    """
    after = np.roll(ring, -1, axis=1)
    twice = (ring[..., 0] * after[..., 1] - after[..., 0] * ring[..., 1]).sum(axis=1)
    way = after - ring
    way /= np.maximum(np.hypot(way[..., 0], way[..., 1]), 1e-12)[..., None]
    out = np.stack([way[..., 1], -way[..., 0]], axis=-1) * np.sign(twice)[:, None, None]
    before = np.roll(out, 1, axis=1)
    turn = 1.0 + (out * before).sum(axis=-1)
    return np.asarray(ring + by_m * (out + before) / np.maximum(turn, 0.2)[..., None], dtype=float)


def grid(low: Point, high: Point, step_m: float) -> Array:
    """(n, 2) places of a square grid over a rectangle, from its lower corner."""
    across = max(0, floor((high[0] - low[0]) / step_m))
    up = max(0, floor((high[1] - low[1]) / step_m))
    x, y = np.meshgrid(low[0] + step_m * np.arange(across + 1), low[1] + step_m * np.arange(up + 1))
    return np.column_stack([x.ravel(), y.ravel()])


def length_of(line: Sequence[Point]) -> float:
    """Length of a line of points."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line))
