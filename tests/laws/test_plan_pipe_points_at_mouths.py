"""A bend under the mouth of another pipe is a point to set out of its own."""

from __future__ import annotations

from lawbook.pipe_laws import points_are_the_pipe
from wished_yards import wished_plan


def test_a_bend_under_another_pipes_mouth_is_told():
    """P7 turns 37 cm under the mouth of P6: taken for that mouth, its bend was told nowhere, and the pipe, laid by its
    points, would have lain 0.4 m aside."""
    assert points_are_the_pipe(wished_plan(91007)) == []
