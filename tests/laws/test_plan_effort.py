"""What effort buys: the full plan searches slips with the finest settings there are."""

from __future__ import annotations

from lynchet.plan.effort import FULL, LIVE
from lynchet.stability import slip_search


def test_full_effort_is_the_fine_search_and_live_is_not() -> None:
    """The number handed to the slope check reaches the fine settings at full, and stays under them live."""
    assert FULL.slip_ends >= slip_search.FULL.ends > LIVE.slip_ends
    assert FULL.cutting_work > LIVE.cutting_work == 0
    assert FULL.drain_beam > LIVE.drain_beam
