"""What effort buys: the full plan searches slips with the finest settings there are, and no clock decides anything."""

from __future__ import annotations

from dataclasses import replace
from itertools import count

import pytest

from lynchet.core.standing import Standing
from lynchet.plan.effort import FULL, LIVE
from lynchet.plan.pipeline import plan_on
from lynchet.project.model import Brief
from lynchet.stability import slip_search
from lynchet.timber import cut_integer, cut_plan, cut_programme
from lynchet.works import layered_search, load_packing, resource_schedule
from yards import rectangle


def test_full_effort_is_the_fine_search_and_live_is_not() -> None:
    """The number handed to the slope check reaches the fine settings at full, and stays under them live."""
    assert FULL.slip_ends >= slip_search.FULL.ends > LIVE.slip_ends
    assert FULL.cutting_work > LIVE.cutting_work == 0
    assert FULL.drain_beam > LIVE.drain_beam


def test_a_full_plan_hangs_on_no_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a machine whose clock leaps by a day at every look, a full plan has the same sticks, days and trucks."""
    project, ground = rectangle(brief=Brief(terraces=2))
    effort = replace(FULL, slip_ends=LIVE.slip_ends, drain_beam=LIVE.drain_beam)  # these look at no clock
    plan = plan_on(project, ground, Standing(), effort, lambda stage: None)
    days = count(0.0, 86400.0)
    for module in (cut_integer, cut_plan, cut_programme, layered_search, load_packing, resource_schedule):
        monkeypatch.setattr(module, "monotonic", lambda: next(days))
    again = plan_on(project, ground, Standing(), effort, lambda stage: None)
    assert again.timber.sticks == plan.timber.sticks and again.timber.proof == plan.timber.proof
    assert again.works.programme == plan.works.programme and again.works.deliveries == plan.works.deliveries
    assert next(days) > 0.0
