"""The times of the tasks against the calculator of the critical path, which checks and orders its network itself."""

from __future__ import annotations

import pytest

from lynchet.works.critical_path import PathActivity, critical_path
from worked import SEEDS, plan_of


@pytest.mark.parametrize("seed", SEEDS)
def test_starts_and_slack_are_those_of_the_critical_path(seed: int) -> None:
    """Earliest starts, slack and the critical tasks agree with the published method, tasks given in reverse order."""
    works = plan_of(seed).works
    day_h = works.programme.day_h
    rows = [PathActivity(task.id, task.hours.likely / task.people / day_h, list(task.after)) for task in works.tasks]
    found = critical_path(activities=rows[::-1])
    start = dict(zip([row.name for row in rows[::-1]], found.early_start_day, strict=True))
    slack = dict(zip([row.name for row in rows[::-1]], found.total_float_day, strict=True))
    for task in works.tasks:
        assert task.day_start == pytest.approx(start[task.id], abs=1e-9)
        assert task.float_days == pytest.approx(slack[task.id], abs=1e-9)
    assert set(works.programme.critical) == set(found.critical)
