"""The shortest way of a pipe through free ground: straight where possible, else round the corners in its way."""

from __future__ import annotations

import heapq
from math import dist
from typing import Any

Point = tuple[float, float]


class Room:
    """Free ground for the middle of a pipe, with what every search in it needs worked out once.

    Args:
        free: polygon or several.
    """

    def __init__(self, free: Any) -> None:
        from shapely import prepare

        self.shape = free
        self._parts = []
        for part in getattr(free, "geoms", [free]):
            if not part.is_empty:
                grown = part.buffer(1e-6)
                prepare(grown)
                self._parts.append((grown, _inner_corners(part)))

    def way(self, start: Point, end: Point) -> tuple[Point, ...] | None:
        """Shortest way between two points inside, start and end included; None where there is none."""
        from shapely.geometry import LineString
        from shapely.geometry import Point as Dot

        for grown, corners in self._parts:
            if grown.covers(Dot(start)) and grown.covers(Dot(end)):
                if grown.covers(LineString([start, end])):
                    return (start, end)
                return _round_corners(grown, [start, end, *corners])
        return None


def _round_corners(room: Any, spots: list[Point]) -> tuple[Point, ...] | None:
    """Shortest way from the first spot to the second over the others, each part inside the room."""
    from shapely.geometry import LineString

    best = {0: 0.0}
    before: dict[int, int] = {}
    queue, done = [(0.0, 0)], set[int]()
    while queue:
        cost, here = heapq.heappop(queue)
        if here == 1:
            return tuple(_trace(spots, before))
        if here in done:
            continue
        done.add(here)
        for there in range(1, len(spots)):
            more = cost + dist(spots[here], spots[there])
            if there in done or more >= best.get(there, 1e18):
                continue
            if spots[here] != spots[there] and not room.covers(LineString([spots[here], spots[there]])):
                continue
            best[there], before[there] = more, here
            heapq.heappush(queue, (more, there))
    return None


def _trace(spots: list[Point], before: dict[int, int]) -> list[Point]:
    way, here = [spots[1]], 1
    while here:
        here = before[here]
        way.append(spots[here])
    return way[::-1]


def _inner_corners(shape: Any) -> list[Point]:
    """Corners that stick into the shape: the only ones a shortest way turns at."""
    found = []
    for ring in (shape.exterior, *shape.interiors):
        points = list(ring.coords)[:-1]
        area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True))
        inside = 1 if (area > 0) == (ring is shape.exterior) else -1
        for a, b, c in zip(points[-1:] + points[:-1], points, points[1:] + points[:1], strict=True):
            if inside * ((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) < 0:
                found.append((float(b[0]), float(b[1])))
    return found
