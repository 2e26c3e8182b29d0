"""Laws of deliveries: every line that is bought comes once, no truck is over its room or weight, nothing comes late."""

from __future__ import annotations

import pytest

from lynchet.works.deliveries import truck_of
from worked import SEEDS, job_of, plan_of, worked


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("full", [False, True])
def test_everything_comes_once_in_loads_that_can_be_carried(seed: int, full: bool) -> None:
    """Lines bought are those delivered; the loads hold their room and weight; each is there by the first day it is
    needed, soil away not before it is carried."""
    plan = plan_of(seed)
    found = worked(plan, full=full)
    truck = truck_of(job_of(plan))
    sent = [key for one in found.deliveries for key in one.lines]
    assert sorted(sent) == sorted(line.key for line in found.order if line.buy > 0)
    by_key = {line.key: line for line in found.order}
    for one in found.deliveries:
        assert one.loads * truck.m3 >= one.m3 - 1e-9 and one.loads * truck.kg >= one.kg - 1e-6
        assert one.kg == pytest.approx(sum(by_key[key].kg for key in one.lines)) or one.name == "soil away"
    first: dict[str, int] = {}
    for day in found.days:
        for step in day.steps:
            first.setdefault(step.task.rpartition("/")[2], day.number)
    days = {one.name: one.day for one in found.deliveries}
    assert days["timber, fixings and drain goods"] <= min(
        first[kind] for kind in ("first course", "courses") if kind in first
    )
    assert days["stone"] <= first["base"]
    if "soil and mulch" in days:
        assert all(days["soil and mulch"] <= first[kind] for kind in ("bed soil", "mulch") if kind in first)
    if "soil away" in days:
        assert days["soil away"] == first["haul away"]
