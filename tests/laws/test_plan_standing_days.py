"""What a stretch that stands leaves to come: pins and screws past its end, within a piece, have a day."""

from __future__ import annotations

from built_yards import built_plan
from days_and_order import not_adding_up


def test_fasteners_past_the_end_of_what_stands_come_on_a_day() -> None:
    """The stretch ends within a piece: the order list counted what the days left out."""
    assert not_adding_up(built_plan(84014)) == []
