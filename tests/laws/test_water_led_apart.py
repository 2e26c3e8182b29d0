"""Pipes of roofs and springs on their way out: through no pipe that is laid already."""

from __future__ import annotations

import pytest

from lawbook.water_laws import broken_water
from lawbook.whole import Whole
from wished_yards import wished_plan


@pytest.mark.parametrize("seed", [91031])
def test_roof_water_crosses_no_drain(seed):
    """A downspout beside a wall that holds the ground outside: its pipe went through the drain behind that wall."""
    plan = wished_plan(seed)
    assert plan.water.roof_pipes or any(f.code == "water.roof_pipe" for f in plan.findings)
    assert plan.water.drains and broken_water(Whole(plan).wet) == []
