"""Plane geometry in plain floats: points are (x, y) tuples, faster than arrays for the handful a yard has."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

Point = tuple[float, float]


def minus(a: Point, b: Point) -> Point:
    """Vector from b to a."""
    return a[0] - b[0], a[1] - b[1]


def dot(a: Point, b: Point) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1]


def cross(a: Point, b: Point) -> float:
    """Third component of the vector product; positive where b lies to the left of a."""
    return a[0] * b[1] - a[1] * b[0]


def unit(a: Point) -> Point:
    """Vector of length 1.

    Raises:
        ZeroDivisionError: the vector has no length.
    """
    length = hypot(*a)
    return a[0] / length, a[1] / length


def left_of(a: Point) -> Point:
    """The vector turned a quarter to the left."""
    return -a[1], a[0]


def move(point: Point, direction: Point, distance: float) -> Point:
    """The point moved along a direction."""
    return point[0] + direction[0] * distance, point[1] + direction[1] * distance


def between(a: Point, b: Point, share: float) -> Point:
    """The point at a share of the way from a to b."""
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def signed_area(ring: Sequence[Point]) -> float:
    """Area of a ring (not closed), positive where it runs anticlockwise."""
    x0, y0 = ring[0]
    return 0.5 * sum(
        (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
        for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True)
    )


def meet(p: Point, p_way: Point, q: Point, q_way: Point) -> float | None:
    """How far along ``p + s p_way`` the line through q crosses it; None where the two are parallel.

    Args:
        p, p_way: point and unit vector of the first line.
        q, q_way: point and unit vector of the second.
    """
    sine = cross(p_way, q_way)
    if abs(sine) < 1e-9:
        return None
    return cross(minus(q, p), q_way) / sine


def distance_to_segment(point: Point, a: Point, b: Point) -> float:
    """Least distance from a point to a stretch of line."""
    way = minus(b, a)
    square = dot(way, way)
    share = 0.0 if square == 0.0 else max(0.0, min(1.0, dot(minus(point, a), way) / square))
    near = between(a, b, share)
    return hypot(point[0] - near[0], point[1] - near[1])


def segments_cross(a: Point, b: Point, c: Point, d: Point) -> float | None:
    """Share of the way from a to b where stretch c-d crosses it; None where it does not (touching counts)."""
    ab, cd = minus(b, a), minus(d, c)
    sine = cross(ab, cd)
    if abs(sine) < 1e-12:
        return None
    share, other = cross(minus(c, a), cd) / sine, cross(minus(c, a), ab) / sine
    return share if 0.0 <= share <= 1.0 and 0.0 <= other <= 1.0 else None
