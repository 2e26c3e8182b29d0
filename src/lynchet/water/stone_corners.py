"""Drain stone in an inner corner of which one strip ends near it: the other fills the corner."""

from __future__ import annotations

from cmath import phase
from math import cos, sin, tan

from lynchet.water.model import Chain, ChainEdge

_STRAIGHT = 1e-3
"""Of a turn, radians."""
_SQUARE = 1e-9
"""Of the cotangent of a turn: no triangle lies outside a strip that meets the other square."""
_SHARPEST = 2.6
"""Turn from which on a corner is a fold, radians."""


def corners_left_out_m2(chain: Chain, width_m: float) -> dict[int, float]:
    """Area of stone that strips counted along their middle leave out, by the edge whose stone fills it.

    The middles of two strips that go on past their corner count the corner once. Where the last wall of a chain ends
    before the far side of the corner, its middle is short, or stops short, of what its strip takes off the other.

    Args:
        chain: along the middle of its stone.
        width_m: of the stone.
    """
    if chain.closed:
        return {}
    found: dict[int, float] = {}
    count = len(chain.edges)
    for order in (range(count), range(count - 1, -1, -1)):
        leg, long = chain.edges[order[0]].leg, 0.0
        for near in order:
            if chain.edges[near].leg != leg:
                before = order[order.index(near) - 1]
                area = _left_out_m2(_inward(chain, before, near), long, width_m)
                if area > 0.0:
                    found[near] = max(area, found.get(near, 0.0))
                break
            long += chain.edges[near].length_m
    return found


def _inward(chain: Chain, one: int, other: int) -> float:
    """How far the chain turns towards the side of its stone between two edges, radians; below 0 round outer corners."""
    first, last = sorted((one, other))
    points = [complex(*chain.nodes[at].point_m) for at in (first, first + 1, last, last + 1)]
    ways = points[1] - points[0], points[3] - points[2]
    if 0.0 in ways:
        return 0.0
    return phase(ways[1] / ways[0]) * _side(chain.edges[first])


def _side(edge: ChainEdge) -> int:
    """+1 where the ground held lies left of the way the chain goes."""
    return edge.held if edge.end_station_m > edge.start_station_m else -edge.held


def _left_out_m2(turn: float, long_m: float, width_m: float) -> float:
    """What is left out where the last strip's middle is ``long_m`` long past a corner of a turn.

    The strips lie in one another over a kite with sides of c = width x tan(turn / 2), of which each middle leaves out
    c / 2. Of a strip shorter than c, and in flat corners of one hardly longer, triangles alone lie outside the other,
    which in corners sharper than square is cut off along the first wall.
    """
    if not _STRAIGHT < turn < _SHARPEST:
        return 0.0
    side, across = width_m * tan(turn / 2.0), width_m * sin(turn)
    strip_m = long_m + side / 2.0
    if strip_m >= max(side, across):
        return 0.0
    area = width_m * (side / 2.0 - long_m)
    slope = cos(turn) / sin(turn)
    if slope > _SQUARE:
        area += slope * strip_m**2 / 2.0 + max(strip_m - side, 0.0) ** 2 / (2.0 * slope)
    elif slope < -_SQUARE:
        area += slope * width_m**2 / 2.0 - max(strip_m - width_m / sin(turn), 0.0) ** 2 / (2.0 * slope)
    return max(area, 0.0)
