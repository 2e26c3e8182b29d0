"""The shortest way round the corners of one piece of free ground.

A shortest way is taut: like a string it bends only at corners that stick into the ground, and bends round them. So of
all pairs of corners only those matter whose line touches the ground beside both: few, and told by the sides of a
corner before anything is held against the whole outline. The ways from one start to all corners make one tree, grown
as far as the ends asked of it need; each further end is then only looked up.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
FloatArray = NDArray[np.float64]
Near = list[tuple[int, float]]
"""Corners that are seen, and how far they are."""
_ASLANT = 1e-3
"""Sine of the angle by which a line may cut into a corner and still be looked at: to be left to the outline."""


class Part:
    """One connected piece of free ground.

    Args:
        shape: it, a hair's breadth wider, prepared.
        plain: polygon whose corners a way may turn at.
    """

    def __init__(self, shape: Any, plain: Any) -> None:
        self.shape = shape
        self._corners, self._sides = _inner_corners(plain)
        self._seen: dict[int, Near] = {}
        self._ends: dict[Point, Near] = {}
        self._trees: dict[Point, _Tree] = {}

    def way(self, start: Point, end: Point, longest_m: float) -> tuple[Point, ...] | None:
        """Shortest way over the corners, each stretch inside; None where none is shorter than ``longest_m``."""
        last = dict(self._from_end(end))
        tree = self._trees.get(start)
        if tree is None:
            tree = self._trees[start] = _Tree(self, self._from_end(start))
        goal, turn = longest_m, -1
        for cost, here in tree.by_length():
            if cost >= goal:
                break
            if here in last and cost + last[here] < goal:
                goal, turn = cost + last[here], here
        if turn < 0:
            return None
        corners = [(float(x), float(y)) for x, y in self._corners[tree.back(turn)]]
        return (start, *reversed(corners), end)

    def from_corner(self, corner: int) -> Near:
        """Corners that a taut way may go to from one of them."""
        if corner not in self._seen:
            here, beside = self._corners[corner], self._sides[:, corner]
            ways = self._corners - here
            taut = _bends_round(ways, beside[:, None]) & _bends_round(ways, self._sides)
            taut[corner] = False
            self._seen[corner] = self._free(here, taut)
        return self._seen[corner]

    def _from_end(self, point: Point) -> Near:
        """Corners that a taut way may go to from any other point."""
        if point not in self._ends:
            here = np.array(point)
            self._ends[point] = self._free(here, _bends_round(self._corners - here, self._sides))
        return self._ends[point]

    def _free(self, here: FloatArray, some: NDArray[np.bool_]) -> Near:
        from shapely import covers, linestrings

        places = np.flatnonzero(some)
        there = self._corners[places]
        lines = linestrings(np.stack([np.broadcast_to(here, there.shape), there], axis=1))
        seen = np.asarray(covers(self.shape, lines), dtype=bool)
        away = np.hypot(*(there[seen] - here).T)
        return list(zip(places[seen].tolist(), away.tolist(), strict=True))


class _Tree:
    """Shortest ways from one start to the corners, the nearest first, worked out as far as they are asked for."""

    def __init__(self, part: Part, first: Near) -> None:
        self._part = part
        self._best, self._before = dict(first), {corner: -1 for corner, _ in first}
        self._queue = [(away, corner) for corner, away in first]
        heapq.heapify(self._queue)
        self._done: list[tuple[float, int]] = []

    def by_length(self) -> Iterator[tuple[float, int]]:
        """Lengths of ways and the corners they lead to."""
        place = 0
        while place < len(self._done) or self._grow():
            yield self._done[place]
            place += 1

    def back(self, corner: int) -> list[int]:
        """A corner and those before it on the way there."""
        found = []
        while corner >= 0:
            found.append(corner)
            corner = self._before[corner]
        return found

    def _grow(self) -> bool:
        """One corner more; False where all are reached."""
        while self._queue:
            cost, here = heapq.heappop(self._queue)
            if cost > self._best[here]:
                continue
            self._done.append((cost, here))
            for there, away in self._part.from_corner(here):
                if cost + away < self._best.get(there, inf):
                    self._best[there], self._before[there] = cost + away, here
                    heapq.heappush(self._queue, (cost + away, there))
            return True
        return False


def _bends_round(ways: FloatArray, sides: FloatArray) -> NDArray[np.bool_]:
    """(n,) whether a line that comes this way has both sides of a corner on one hand.

    Args:
        ways: (n, 2) of the lines.
        sides: (2, n, 2) unit vectors from each corner to the ones before and after it; or (2, 1, 2) of one corner.
    """
    across = ways[:, 0] * sides[:, :, 1] - ways[:, 1] * sides[:, :, 0]
    slack = _ASLANT * np.hypot(ways[:, 0], ways[:, 1])
    return np.asarray((across >= -slack).all(axis=0) | (across <= slack).all(axis=0))


def _inner_corners(shape: Any) -> tuple[FloatArray, FloatArray]:
    """Corners that stick into the shape: the only ones a shortest way turns at.

    Returns:
        (n, 2) them, and (2, n, 2) unit vectors to the corners before and after.
    """
    from shapely import get_coordinates

    found, beside = [np.empty((0, 2))], [np.empty((2, 0, 2))]
    for number, ring in enumerate((shape.exterior, *shape.interiors)):
        points = get_coordinates(ring)[:-1]
        after = np.roll(points, -1, axis=0)
        area = float(np.sum(points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]))
        inside = 1 if (area > 0) == (number == 0) else -1
        ahead, back = after - points, np.roll(points, 1, axis=0) - points
        inward = inside * (ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0]) < 0
        sides = np.stack([back, ahead])[:, inward]
        found.append(points[inward])
        beside.append(sides / np.linalg.norm(sides, axis=2, keepdims=True))
    return np.concatenate(found), np.concatenate(beside, axis=1)
