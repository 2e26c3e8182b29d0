"""The owner's ground: what lot lines part from the yard, each taken to run on straight beyond its drawn ends.

A lot line is a boundary, and people draw only the part of it they know. So nothing is put beyond its ends either: it
runs on straight, until another lot line meets it or it would cut through the yard itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

from lynchet.core.plane import Point

MEETS_M = 0.3
"""Ends of two lot lines so near to each other are one corner, drawn twice. PRACTICE."""
_REACH_M = 100.0
"""Beyond everything drawn."""
_PART = 0.01
"""Ground that holds no more of the yard than this part of it is the neighbour's."""
_OVER_M = 0.01


@dataclass(frozen=True)
class OwnersGround:
    """Lot lines as boundaries."""

    lines: tuple[Any, ...]
    """Each lot line with what it runs on to, as a line; in the order given."""
    beyond: tuple[Any, ...]
    """Ground past them, as polygons; empty where they part nothing from the yard."""


def owners_ground(area: Any, lots: Sequence[Sequence[Point]]) -> OwnersGround:
    """Lot lines run on, and the ground past them.

    Args:
        area: the yard as a polygon.
        lots: points of each lot line; one of a single point parts nothing.
    """
    import shapely

    drawn = [shapely.LineString(line) if len(line) > 1 else shapely.Point(line[0]) for line in lots]
    whole = shapely.union_all([area, *drawn])
    frame = shapely.box(*shapely.buffer(whole, _REACH_M).bounds)
    left, low, right, high = frame.bounds
    inside = shapely.buffer(area, -_OVER_M)
    lines = []
    for n, line in enumerate(drawn):
        others = shapely.union_all([other for k, other in enumerate(drawn) if k != n])
        lines.append(_run_on(line, others, inside, hypot(right - left, high - low)))
    cells = shapely.get_parts(shapely.polygonize([shapely.union_all([frame.exterior, *lines])]))
    shares = shapely.area(shapely.intersection(cells, area)) / max(area.area, 1e-9)
    beyond = cells[(shares < _PART) & (shares < shares.max())]
    return OwnersGround(tuple(lines), tuple(beyond))


def _run_on(line: Any, others: Any, inside: Any, reach_m: float) -> Any:
    """A lot line with both ends led on: to the lot line that meets it, else straight."""
    import shapely

    if line.geom_type == "Point" or line.length == 0.0 or line.is_ring:
        return line
    points = [(float(x), float(y)) for x, y in line.coords]
    if len(points) > 3 and hypot(points[0][0] - points[-1][0], points[0][1] - points[-1][1]) < MEETS_M:
        return shapely.LineString([*points, points[0]])
    first, last = (_led_on(way, others, inside, reach_m) for way in (points[::-1], points))
    return shapely.LineString([*first[::-1], *points, *last])


def _led_on(points: Sequence[Point], others: Any, inside: Any, reach_m: float) -> list[Point]:
    """What follows on the last of these points; nothing where the line would cut through the yard."""
    import shapely

    end = points[-1]
    spot = shapely.Point(end)
    if not others.is_empty and shapely.distance(spot, others) < MEETS_M:
        to = shapely.shortest_line(spot, others).coords[-1]
        return [_past(end, (float(to[0]), float(to[1])))]
    before = next((point for point in reversed(points) if point != end), end)
    way = hypot(end[0] - before[0], end[1] - before[1])
    share = reach_m / way
    far = end[0] + share * (end[0] - before[0]), end[1] + share * (end[1] - before[1])
    ray = shapely.LineString([end, far])
    met = shapely.intersection(ray, others)
    if not met.is_empty:
        at = shapely.distance(spot, met)
        far = end[0] + (far[0] - end[0]) * at / reach_m, end[1] + (far[1] - end[1]) * at / reach_m
        far = _past(end, far)
        ray = shapely.LineString([end, far])
    return [] if shapely.intersects(ray, inside) else [far]


def _past(end: Point, to: Point) -> Point:
    """A little past a place, so that two lines cross there whatever the rounding."""
    way = hypot(to[0] - end[0], to[1] - end[1])
    share = _OVER_M / way if way > 0.0 else 0.0
    return to[0] + share * (to[0] - end[0]), to[1] + share * (to[1] - end[1])
