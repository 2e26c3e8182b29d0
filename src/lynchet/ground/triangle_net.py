"""Triangle nets over points in plan: Delaunay, held to break lines where there are any."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from lynchet.ground.outlines import cross, crosses

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Edge = tuple[int, int]
_FLAT = 4e-15
"""Twice the area of a triangle that is flat but for rounding, per square of the extent."""


def twice_areas(points: Array, triangles: Indices) -> Array:
    """Twice the plan area of each triangle, positive where its corners run anticlockwise."""
    a, b, c = (points[triangles[:, i], :2] for i in range(3))
    return cross(b - a, c - a)


def anticlockwise(points: Array, triangles: Indices) -> Indices:
    """The same triangles, each turned anticlockwise."""
    turned = triangles.copy()
    wrong = twice_areas(points, triangles) < 0
    turned[wrong] = turned[wrong][:, ::-1]
    return turned


def delaunay(points: Array, edges: Sequence[Edge] = ()) -> Indices:
    """Delaunay net over the convex outline of the points, constrained to the edges.

    Args:
        points: (n, 2) or (n, 3), three or more, no two in one place, not on one line; best near the origin.
        edges: pairs of point numbers that become edges of the net; they neither cross nor run through other points.

    Returns:
        (m, 3) point numbers, anticlockwise.
    """
    from scipy.spatial import Delaunay

    plan = np.asarray(points, dtype=float)[:, :2]
    plan = plan - plan.mean(axis=0)
    found = Delaunay(plan)
    triangles = anticlockwise(plan, found.simplices.astype(np.intp))
    flat = _FLAT * float(np.ptp(plan, axis=0).max()) ** 2
    triangles = triangles[twice_areas(plan, triangles) > flat]
    whole = len(found.coplanar) == 0 and _is_whole(triangles, len(plan))
    if whole and not edges:
        return triangles
    net = _Net(plan, triangles.tolist() if whole else sweep(plan))
    for edge in edges:
        net.insert(edge)
    net.make_delaunay({_key(*edge) for edge in edges})
    return net.triangles()


def _is_whole(triangles: Indices, count: int) -> bool:
    """Whether a net uses every point, each directed edge once, and has no hole."""
    edges = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    directed = len(np.unique(edges, axis=0))
    plain = len(np.unique(np.sort(edges, axis=1), axis=0))
    used = len(np.unique(triangles))
    return used == count and directed == len(edges) and count - plain + len(triangles) == 1


def sweep(plan: Array) -> list[list[int]]:
    """Some net over all the points: taken from left to right, each joined to the hull edges it sees.

    Slower than the library and far from Delaunay, but it leaves no point out, however close the points lie.
    """
    order = [int(i) for i in np.lexsort((plan[:, 1], plan[:, 0]))]
    at: list[tuple[float, float]] = [(float(x), float(y)) for x, y in plan]
    hull: list[int] = []
    line = [order[0], order[1]]
    triangles: list[list[int]] = []
    for p in order[2:]:
        if not hull:
            side = _turn(at[line[0]], at[line[-1]], at[p])
            if side == 0:
                line.append(p)
                continue
            line = line if side > 0 else line[::-1]
            triangles += [[a, b, p] for a, b in pairwise(line)]
            hull = [*line, p]
            continue
        count = len(hull)
        seen = [_turn(at[hull[i]], at[hull[(i + 1) % count]], at[p]) < 0 for i in range(count)]
        if not any(seen):
            raise ArithmeticError("a point sees no edge of the net")
        first = next(i for i in range(count) if seen[i] and not seen[i - 1])
        ring = hull[first:] + hull[:first]
        joined = 0
        while seen[(first + joined) % count]:
            triangles.append([ring[(joined + 1) % count], ring[joined], p])
            joined += 1
        hull = [ring[0], p, *ring[joined:]]
    return triangles


class _Net:
    """A net whose edges can be flipped: the third corner of the triangle to the left of each directed edge."""

    def __init__(self, plan: Array, triangles: Iterable[Sequence[int]]) -> None:
        self.plan = plan
        self.at: list[tuple[float, float]] = [(float(x), float(y)) for x, y in plan]
        self.third: dict[Edge, int] = {}
        for triangle in triangles:
            self._add(*triangle)

    def _add(self, a: int, b: int, c: int) -> None:
        self.third[a, b], self.third[b, c], self.third[c, a] = c, a, b

    def triangles(self) -> Indices:
        """All triangles, the least corner first."""
        rows = [(a, b, c) for (a, b), c in self.third.items() if a < b and a < c]
        return np.array(sorted(rows), dtype=np.intp)

    def _flip(self, a: int, b: int) -> Edge | None:
        """Turn the diagonal a-b of its four-sided figure; None where that figure is not convex."""
        c, d = self.third[a, b], self.third[b, a]
        at = self.at
        if _turn(at[a], at[d], at[c]) <= 0 or _turn(at[d], at[b], at[c]) <= 0:
            return None
        del self.third[a, b], self.third[b, a]
        self._add(a, d, c)
        self._add(d, b, c)
        return c, d

    def insert(self, edge: Edge) -> None:
        """Make a pair of points an edge of the net, by flipping every edge that crosses it."""
        a, b = edge
        if edge in self.third or (b, a) in self.third:
            return
        inner = np.array([pair for pair in self.third if pair[0] < pair[1] and pair[::-1] in self.third])
        starts, ends = self.plan[inner[:, 0]], self.plan[inner[:, 1]]
        waiting = deque(tuple(pair) for pair in inner[crosses(self.plan[a], self.plan[b], starts, ends)].tolist())
        for _ in range(100 * len(self.at) + 1000):
            if not waiting:
                return
            u, v = waiting.popleft()
            turned = self._flip(u, v)
            if turned is None:
                waiting.append((u, v))
            elif a not in turned and b not in turned and self._crosses(edge, turned):
                waiting.append(turned)
        raise ArithmeticError("a break line could not be laid into the net")

    def _crosses(self, one: Edge, two: Edge) -> bool:
        ends = self.plan[[two[0]]], self.plan[[two[1]]]
        return bool(crosses(self.plan[one[0]], self.plan[one[1]], *ends)[0])

    def make_delaunay(self, fixed: set[Edge]) -> None:
        """Flip every edge that is not fixed and whose far corner lies in the circle of its triangle."""
        waiting = [pair for pair in self.third if pair[0] < pair[1]]
        for _ in range(200 * len(self.at) ** 2 + 1000):
            if not waiting:
                return
            a, b = waiting.pop()
            if (a, b) not in self.third or (b, a) not in self.third or _key(a, b) in fixed:
                continue
            c, d = self.third[a, b], self.third[b, a]
            if _in_circle(self.at[a], self.at[b], self.at[c], self.at[d]) and self._flip(a, b):
                waiting += [(a, d), (d, b), (b, c), (c, a)]
        raise ArithmeticError("the net did not settle")


def _key(a: int, b: int) -> Edge:
    return (a, b) if a < b else (b, a)


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    """Twice the signed area of a, b, c, positive anticlockwise; 0 where rounding cannot tell."""
    one, two = (b[0] - a[0]) * (c[1] - a[1]), (b[1] - a[1]) * (c[0] - a[0])
    return one - two if abs(one - two) > 1e-15 * (abs(one) + abs(two)) else 0.0


def _in_circle(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    """Whether d lies inside the circle through a, b, c (anticlockwise), beyond what rounding can tell."""
    ax, ay, bx, by, cx, cy = a[0] - d[0], a[1] - d[1], b[0] - d[0], b[1] - d[1], c[0] - d[0], c[1] - d[1]
    aa, bb, cc = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    value = aa * (bx * cy - cx * by) + bb * (cx * ay - ax * cy) + cc * (ax * by - bx * ay)
    size = aa * (abs(bx * cy) + abs(cx * by)) + bb * (abs(cx * ay) + abs(ax * cy)) + cc * (abs(ax * by) + abs(bx * ay))
    return value > 1e-14 * size
