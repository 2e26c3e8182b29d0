"""Which way the ground falls over the area, and which way the lines between benches run."""

from __future__ import annotations

from collections.abc import Iterable
from math import cos, hypot, radians

from lynchet.core.plane import Point, dot, left_of, minus, signed_area, unit
from lynchet.ground.model import Surface
from lynchet.ground.surface import profile
from lynchet.terraces.area import Ring

FLAT = 0.005
"""A mean slope under this has no direction worth following. PRACTICE."""
NEAR_DEG = 30.0
"""Lines follow the longest edge that lies this near to across the fall."""
REACH_M = 0.3


def mean_fall(surface: Surface, rings: Iterable[Ring]) -> Point:
    """Mean gradient of the ground over the area, uphill.

    Equation: (1 / area) times the boundary integral of level times outward normal; exact for ground of triangles,
    without clipping any.
    """
    gx = gy = area = 0.0
    for ring in rings:
        points = [edge.start for edge in ring]
        area += signed_area(points)
        for a, b in zip(points, [*points[1:], points[0]], strict=True):
            stations, levels = profile(surface, a, b, REACH_M)
            integral = float(((levels[1:] + levels[:-1]) * (stations[1:] - stations[:-1])).sum()) / 2.0
            way = unit(minus(b, a))
            gx += integral * way[1]
            gy -= integral * way[0]
    return gx / area, gy / area


def line_direction(fall: Point, rings: Iterable[Ring], square_to_fall: bool) -> Point:
    """Unit vector along the lines, uphill on its left.

    Args:
        fall: mean gradient.
        rings: the area.
        square_to_fall: lay lines square to the fall instead of along the longest edge near it.
    """
    edges = [
        minus(after.start, edge.start) for ring in rings for edge, after in zip(ring, (*ring[1:], ring[0]), strict=True)
    ]
    longest = max(edges, key=lambda e: round(hypot(*e), 6))
    if hypot(*fall) < FLAT:
        way = unit(longest)
        return way if dot(left_of(way), fall) >= 0 else (-way[0], -way[1])
    uphill = unit(fall)
    across = (uphill[1], -uphill[0])
    if square_to_fall:
        return across
    near = [e for e in edges if abs(dot(unit(e), across)) >= cos(radians(NEAR_DEG))]
    if not near:
        return across
    way = unit(max(near, key=lambda e: round(hypot(*e), 6)))
    return way if dot(way, across) > 0 else (-way[0], -way[1])
