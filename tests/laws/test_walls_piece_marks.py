"""Letters of pieces along a course."""

from __future__ import annotations

from itertools import pairwise

from lynchet.walls.piece_marks import letter


def test_letters_go_on_past_zz():
    """No two of the first twenty thousand pieces of a course share a mark, and each next one is as long or longer."""
    marks = [letter(number) for number in range(20_000)]
    assert marks[:3] == ["a", "b", "c"] and marks[25:28] == ["z", "aa", "ab"] and marks[701:704] == ["zz", "aaa", "aab"]
    assert len(set(marks)) == len(marks)
    assert all(len(one) <= len(other) for one, other in pairwise(marks))
