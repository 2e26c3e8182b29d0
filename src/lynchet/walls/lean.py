"""Lean: fronts set back a little with every course, where the geometry allows it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import cos, radians

from lynchet.core.plane import cross, dot
from lynchet.walls.corners import PARALLEL_SINE, square_enough
from lynchet.walls.model import Leg, Node, Point

SQUARE_COS = 0.5
"""A leaning wall meets everything at 60 degrees or more."""
MOST_HEIGHT_M = 1.5
_FRONT_COS = cos(radians(30.0))


def may_lean(leg: Leg, nodes: Sequence[Node], legs: Mapping[str, Leg], along: Point, course_m: float) -> str:
    """Why a front stands plumb; "" where it may lean, "no front" where leaning is not looked for.

    Args:
        leg: a leg with its segments.
        nodes: nodes of the leg.
        legs: all legs.
        along: direction of the lines between benches.
        course_m: height of a course.
    """
    if not leg.segments or dot(leg.direction, along) < _FRONT_COS or leg.role == "cheek":
        return "no front"
    low, high = min(s.base for s in leg.segments), max(s.top for s in leg.segments)
    if any(span.held < 0 and _stands(leg, span.start_m, span.end_m) for span in leg.spans):
        return "it holds the ground on both sides by turns"
    if (high - low + 1) * course_m >= MOST_HEIGHT_M:
        return "it is too high"
    for node in nodes:
        for arm in node.arms:
            other = legs[arm.leg]
            straight = abs(cross(leg.direction, other.direction)) < PARALLEL_SINE
            if other.id != leg.id and not straight and not square_enough(leg, other, SQUARE_COS):
                return f"it meets {other.id} at less than 60 degrees"
            if other.role == "cheek":
                return "a flight of steps is let into it"
    return ""


def _stands(leg: Leg, start: float, end: float) -> bool:
    return any(s.start_m < end and s.end_m > start for s in leg.segments)
