"""Pipes wider than the usual one: their notches are as wide as they ask for, and what is too small for them is told."""

from __future__ import annotations

import pytest

from lawbook.water_laws import broken_water
from lawbook.whole import Whole
from standing_yards import planned


@pytest.mark.parametrize("name", ["garden", "steep"])
@pytest.mark.parametrize("bore", ["80 mm", "100 mm", "125 mm", "150 mm", "200 mm"])
def test_a_pipe_of_any_width_has_room_in_its_notch(name, bore):
    """A pipe of 150 mm inside is 165 mm across: in a notch of 150 mm it met the timber, and the plan stopped."""
    plan = planned(name, ("drain.pipe", bore))
    assert plan.water.notches, "no pipe goes through timber here: another yard"
    assert broken_water(Whole(plan).wet) == [] and not [f.text for f in plan.clashes if "pipe" in f.text]
    assert all(notch.width_m >= plan.project.drain.outside_m + 0.029 for notch in plan.water.notches)
