"""Sticks cut to within a split end of their length are counted, and the list says that none is spare."""

from __future__ import annotations

from dataclasses import replace

import pytest

from demo_plans import DEMOS, demo
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.timber.model import Stick
from lynchet.timber.tight_sticks import no_spare_words, tight_count
from lynchet.units.measures import System


def _stick(left_mm: float, trim_mm: float = 0.0) -> Stick:
    """Two pieces of a stick, cut apart and off its end with 3 mm each, and what stays."""
    return Stick(
        2.4, ("a", "b"), (1.4, 1.0 - (left_mm + trim_mm + 6.0) / 1000.0), kerf_m=0.003, trim_m=trim_mm / 1000.0
    )


@pytest.mark.parametrize(("system", "most_mm"), [("metric", 15.0), ("us", 15.875)])
def test_tight_sticks_are_counted_by_what_is_left(system: System, most_mm: float) -> None:
    """A stick counts where saw cuts and trim taken off no more than the length of a split end stays; exactly so too."""
    left = [0.0, 5.0, most_mm, most_mm + 0.2, 100.0, 700.0]
    for trim in (0.0, 50.0):
        sticks = [_stick(one, trim) for one in left]
        assert tight_count(sticks, system) == 3
        assert "3 of 6 sticks are cut to within" in no_spare_words(sticks, system)


def test_no_spare_is_said_however_much_is_left() -> None:
    """That no stick is spare is said even where every stick has an end to spare, and not where none is cut."""
    words = no_spare_words([_stick(300.0)], "metric")
    assert words.startswith("No spare stick is counted. Buy one more")
    assert no_spare_words([], "metric") == ""


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", DEMOS)
def test_notes_of_the_order_list_are_sentences(name: str, units: System) -> None:
    """Notes of a line follow each other as sentences do, and hold no word of ours for how a value is known."""
    plan = plan_project(replace(demo(name).project, units=units), effort=LIVE)
    timber = [line.note for line in plan.works.order if line.group == "timber"]
    assert any("No spare stick" in note for note in timber)
    for note in timber:
        assert ".;" not in note and "; ;" not in note and "MEMORY" not in note, note
