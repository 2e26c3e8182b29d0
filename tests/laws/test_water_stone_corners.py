"""Drain stone in inner corners of which one strip ends near the corner, against areas of polygons (Shapely)."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin, tan
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from banked_yards import banked
from lawbook.stone_laws import stone_and_fabric_fill_their_zone
from lawbook.whole import whole
from lynchet.water.model import Chain, ChainEdge, ChainNode
from lynchet.water.stone_corners import corners_left_out_m2
from spring_yards import sprung

LONG_M = 9.0


def _node(number: int, x: float, y: float) -> ChainNode:
    return ChainNode(f"B1/A1/n{number}", (x, y), "A1", 0.0, "plain", 0.0, 0.0, 0.0, 0.0, 0.0)


def _edge(leg: str, long_m: float, forward: bool) -> ChainEdge:
    start, end = (0.0, long_m) if forward else (long_m, 0.0)
    return ChainEdge(leg, start, end, 1, long_m, 0.6, 0.0, "outside")


def _chain(turn: float, last_m: float, width_m: float) -> Chain:
    """Two walls that meet in an inner corner: the first runs in along y = 0, its ground left of it."""
    half = width_m * tan(turn / 2.0) / 2.0
    corner, back = (-half, width_m / 2.0), LONG_M - half
    middle = last_m - half
    end = (corner[0] + middle * cos(turn), corner[1] + middle * sin(turn))
    nodes = (_node(0, corner[0] - back, corner[1]), _node(1, *corner), _node(2, *end))
    return Chain("B1/A1", "B1", nodes, (_edge("A1", back, True), _edge("A2", middle, True)), False, 1.0)


def _turned_over(chain: Chain) -> Chain:
    """The same written from its other end."""
    back = [_edge(edge.leg, edge.length_m, False) for edge in reversed(chain.edges)]
    return Chain(chain.id, chain.high_face, tuple(reversed(chain.nodes)), tuple(back), False, 1.0)


def _covered_m2(turn: float, last_m: float, width_m: float) -> float:
    """Ground between the walls that lies within the width of either, no further on than either goes."""
    on, off = (cos(turn), sin(turn)), (-sin(turn), cos(turn))
    far = 10.0 * LONG_M
    between = shapely.Polygon([(-far, 0.0), (0.0, 0.0), (far * on[0], far * on[1]), (far * on[0] - far, far * on[1])])
    first = shapely.box(-LONG_M, 0.0, 0.0, width_m)
    ends = [(0.0, 0.0), (last_m, 0.0), (last_m, width_m), (0.0, width_m)]
    second = shapely.Polygon([(a * on[0] + b * off[0], a * on[1] + b * off[1]) for a, b in ends])
    return float(shapely.union(first & between, second & between).area)


@given(turn=st.floats(0.05, 2.5), share=st.floats(0.51, 4.0), width_m=st.floats(0.2, 0.6), back=st.booleans())
def test_what_strips_leave_out_is_what_lies_between_the_walls(
    turn: float, share: float, width_m: float, back: bool
) -> None:
    last_m = share * width_m * tan(turn / 2.0)
    chain = _chain(turn, last_m, width_m)
    counted = width_m * sum(edge.length_m for edge in chain.edges)
    left_out = corners_left_out_m2(_turned_over(chain) if back else chain, width_m)
    assert set(left_out) <= {1 if back else 0}
    wanted = _covered_m2(turn, last_m, width_m) - counted
    assert sum(left_out.values()) == pytest.approx(wanted, abs=1e-6)


def test_an_outer_corner_leaves_nothing_out() -> None:
    chain = _chain(pi / 2.0, 0.2, 0.3)
    turned = Chain(chain.id, chain.high_face, chain.nodes, tuple(_edge(e.leg, e.length_m, False) for e in chain.edges),
                   False, 1.0)  # fmt: skip
    assert corners_left_out_m2(chain, 0.3) and not corners_left_out_m2(turned, 0.3)


@pytest.mark.parametrize("make", [lambda: sprung(96808), lambda: whole(*banked(96614))])
def test_corners_near_the_end_of_a_wall_have_their_stone(make: Callable[[], Any]) -> None:
    """0.297 for 0.323 m3 in one bed of the first, 1.20 for 1.31 m3 in one of the second."""
    found = make()
    assert stone_and_fabric_fill_their_zone(found.data, found.plan.project) == []
