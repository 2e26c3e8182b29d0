"""Pipes far behind the timber, in wide stone."""

from __future__ import annotations

from lawbook.water_laws import Wet, no_pipe_through_timber
from lawbook.whole import Whole
from wished_yards import wished_plan


def test_a_pipe_that_falls_on_through_wide_stone_fits_its_notch() -> None:
    """It falls 4 cm a metre from the middle of stone 0.44 m wide to the front of the wall: 0.2 mm too deep at the end,
    for it was taken to fall for 0.35 m alone."""
    found = Whole(wished_plan(96204))
    assert any(one["leg"] == "W2" for one in found.data["water"]["notches"])
    assert no_pipe_through_timber(Wet(found.case, found.plan.water)) == []
