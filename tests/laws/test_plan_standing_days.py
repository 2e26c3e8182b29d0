"""What a stretch that stands leaves to come: timber past its end is new, and its pins and screws have a day."""

from __future__ import annotations

from built_yards import built_plan
from days_and_order import not_adding_up


def test_fasteners_past_the_end_of_what_stands_come_on_a_day() -> None:
    """Between two stretches that stand a piece is laid: order list and days count the same screws in it."""
    assert not_adding_up(built_plan(84014)) == []
