"""Ground that walls hold, in plan: no heap and no stack may load it."""

from __future__ import annotations

import numpy as np

from lynchet.core.plane import Point, move
from lynchet.earth.rows import Array
from lynchet.stability.model import Stability
from lynchet.walls.model import Leg, Segment, Walls


def held_ground(walls: Walls, stability: Stability) -> Array:
    """(n, 4, 2) outlines: behind every stretch of wall as deep as it holds (1 in 1, PRACTICE), and every tie."""
    behind = [ring for leg in walls.legs for segment in leg.segments if (ring := _behind(leg, segment))]
    ties = [ring for tie in stability.ties for ring in (tie.outline_m, tie.cross_outline_m) if len(ring) == 4]
    return np.array([*behind, *ties], dtype=float).reshape(-1, 4, 2)


def _behind(leg: Leg, segment: Segment) -> tuple[Point, ...]:
    """From the line of the wall into the ground it holds; empty where it holds none."""
    span = leg.span_at((segment.start_m + segment.end_m) / 2.0)
    high = max(abs(span.left0_m - span.right0_m), abs(span.left1_m - span.right1_m))
    if not span.held or high <= 0.0:
        return ()
    a, b = leg.point_at(segment.start_m), leg.point_at(segment.end_m)
    return a, b, move(b, leg.normal, span.held * high), move(a, leg.normal, span.held * high)
