"""Laws of the small geometry helpers."""

from __future__ import annotations

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lynchet.core.intervals import common, joined, without
from lynchet.core.plane import cross, distance_to_segment, left_of, meet, move, segments_cross, signed_area, unit

number = st.floats(-50, 50).map(lambda x: round(x, 3))
Parts = list[tuple[float, float]]
interval = st.tuples(number, st.floats(0.01, 20)).map(lambda pair: (pair[0], pair[0] + round(pair[1], 3)))


@given(st.lists(interval, max_size=6), st.lists(interval, max_size=6), number)
def test_intervals_are_sets_of_points(
    first: list[tuple[float, float]], second: list[tuple[float, float]], at: float
) -> None:
    """Union, difference and intersection agree, point by point, with membership."""

    def inside(x: float, parts: list[tuple[float, float]]) -> bool:
        return any(a < x < b for a, b in parts)

    if any(at in pair for pair in (*first, *second)):
        return
    assert inside(at, joined(first)) == inside(at, first)
    assert inside(at, without(first, second)) == (inside(at, first) and not inside(at, second))
    assert inside(at, common(first, second)) == (inside(at, first) and inside(at, second))


@given(st.tuples(number, number), st.floats(0.1, 3.0), st.tuples(number, number), st.floats(3.3, 6.0))
def test_meet_lies_on_both_lines(p: tuple[float, float], a: float, q: tuple[float, float], b: float) -> None:
    """The point where two lines meet lies on both."""
    ways = [unit((1.0, a)), unit((1.0, -b))]
    along = meet(p, ways[0], q, ways[1])
    assert along is not None
    x, y = move(p, ways[0], along)
    assert abs(cross(ways[1], (x - q[0], y - q[1]))) < 1e-6


def test_parallel_lines_never_meet() -> None:
    """Parallel lines give None, and so do stretches side by side."""
    assert meet((0, 0), (1, 0), (0, 1), (1, 0)) is None
    assert segments_cross((0, 0), (1, 0), (0, 1), (1, 1)) is None


def test_known_figures() -> None:
    """A unit square, a crossing in the middle, a distance by Pythagoras."""
    assert signed_area([(0, 0), (1, 0), (1, 1), (0, 1)]) == pytest.approx(1.0)
    assert segments_cross((0, 0), (2, 2), (0, 2), (2, 0)) == pytest.approx(0.5)
    assert distance_to_segment((4, 4), (0, 0), (1, 0)) == pytest.approx(5.0)
    assert left_of((1.0, 0.0)) == (0.0, 1.0)
    assert hypot(*unit((3.0, 4.0))) == pytest.approx(1.0)
