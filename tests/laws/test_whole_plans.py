"""Whole plans of random yards, with drains, ties, pins and steps, held to every law."""

from __future__ import annotations

import pytest

from lawbook.book import broken
from lawbook.whole import broken_whole, whole
from random_yards import crooked, realistic


@pytest.mark.parametrize("chunk", range(5))
def test_every_law_holds_on_whole_plans(chunk: int) -> None:
    """No law of geometry, water, ties, pins, pieces, timber or soil is broken on these yards (the sweep has more)."""
    wrong = {}
    for seed in range(3 * chunk, 3 * chunk + 3):
        found = whole(*realistic(seed))
        wrong[seed] = [*broken(found.case), *broken_whole(found)]
    found = whole(*crooked(chunk))
    wrong[-chunk] = [*broken(found.case), *broken_whole(found)]
    assert {seed: texts for seed, texts in wrong.items() if texts} == {}


@pytest.mark.parametrize(
    ("seed", "why"),
    [
        (145, "a lap of 0.56 m beside a notch, with a tie and two base pins in it"),
        (152, "two ties side by side in neighbouring courses, where a screw would stand between them"),
    ],
)
def test_screws_find_their_place_where_little_room_is_left(seed: int, why: str) -> None:
    """Laps crowded with steel and a notch get their screws all the same, by every law."""
    found = whole(*realistic(seed))
    assert [*broken(found.case), *broken_whole(found)] == [], why


def test_a_pipe_near_one_end_of_a_quarter_metre_is_not_taken_for_near_all_along() -> None:
    """A wall about a tree holds more from one step to the next, while the pipe comes near: told all the same."""
    found = whole(*realistic(2914))
    assert [*broken(found.case), *broken_whole(found)] == []
    assert "F0.3" in {f.place for f in found.plan.water.findings if f.code.startswith("water.")}
