"""What stands at the end of a day: shares only rise, all stands in the end, nothing hangs in the air."""

from __future__ import annotations

import pytest

from demo_plans import DEMOS, demo
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from random_yards import realistic

YARDS = (*DEMOS, 3, 7, 11)


@pytest.fixture(scope="module", params=YARDS)
def days(request: pytest.FixtureRequest) -> BuildingDays:
    """Demos and random yards."""
    wished = request.param
    plan: Plan = demo(wished) if isinstance(wished, str) else plan_project(realistic(wished)[0], effort=LIVE)
    return BuildingDays(plan)


def test_shares_rise_to_the_whole(days: BuildingDays) -> None:
    """From evening to evening no share of a task falls, and on the last every task is whole."""
    before: dict[str, float] = {}
    for day in days.plan.works.days:
        done = dict(days.done(day.number))
        assert all(done[task] >= share for task, share in before.items())
        before = done
    assert before == {task.id: 1.0 for task in days.plan.works.tasks}
    assert dict(days.done(0)) == {}


def test_what_came_stays_and_all_comes(days: BuildingDays) -> None:
    """A thing that stands one evening stands on all later ones, from the day it is said to come, and in the end all
    stands."""
    last = len(days.plan.works.days)
    for thing in days.things:
        evenings = [days.stands(thing.id, days.done(day)) for day in range(last + 1)]
        assert evenings == sorted(evenings) and evenings[-1]
        assert evenings.index(True) == days.day_of(thing.id)


def test_nothing_comes_before_what_it_lies_on(days: BuildingDays) -> None:
    """Stone beds come no later than the timber on them, the first course no later than any drain stone behind it."""
    placed = {thing.id: thing for thing in days.things}
    timber = [piece for piece in days.plan.pieces if piece.id in placed]
    for bed in (thing for thing in days.things if thing.kind == "stone bed" and not thing.owner.startswith("S")):
        over = [p for p in timber if p.leg == bed.owner and abs(p.bottom_m - bed.top_m) < 1e-6
                and p.polygon.intersection(bed.polygon).area > 0.5 * p.polygon.area]  # fmt: skip
        assert all(days.day_of(bed.id) <= days.day_of(piece.id) for piece in over)
