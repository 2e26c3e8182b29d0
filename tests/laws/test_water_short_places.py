"""Stretches too short for a pipe, and the ends at which pipes are drawn back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lawbook.water_laws import Wet, what_counts_as_drained_lies_by_stone
from lawbook.whole import whole
from random_yards import crooked, realistic


@pytest.mark.parametrize("seed", [17, 20])
def test_stone_lies_where_ground_counts_as_drained(seed: int) -> None:
    """Short stretches that count as drained by stone have stone: placed as a body, in the volume, under its wall."""
    plan = whole(*realistic(seed)).plan
    pockets = [chain for chain in plan.water.chains if not any(d.chain == chain.id for d in plan.water.drains)]
    short = [chain for chain in pockets if chain.catchment_m2 == 0.0]
    assert short
    for chain in short:
        stones = [one for one in plan.water.stone if one.chain == chain.id]
        assert stones and all(one.volume_m3 > 0.0 for one in stones), chain.id
        assert {one.id for one in stones} <= {body.id for body in plan.water.bodies if body.kind == "stone"}
        assert any(row.chain == chain.id and row.drained == "stone" for row in plan.water.levels_of(stones[0].leg))
    assert plan.water.quantities.stone_m3 == pytest.approx(sum(one.volume_m3 for one in plan.water.stone))


def test_the_law_sees_stone_that_is_missing() -> None:
    """Taken away, the stone of short stretches is missed by the law."""
    found = whole(*realistic(21))
    assert what_counts_as_drained_lies_by_stone(found.wet) == []
    bare = {chain.id for chain in found.plan.water.chains if chain.catchment_m2 == 0.0}
    water = found.plan.water
    less = replace(water, stone=tuple(one for one in water.stone if one.chain not in bare))
    assert what_counts_as_drained_lies_by_stone(Wet(found.case, less)) != []


def test_ground_before_a_rock_that_leaves_no_room_for_stone_counts_as_undrained() -> None:
    """Stone at the ends of a stretch alone, the rest of it against what stays: the water stands to the surface."""
    found = whole(*crooked(90031))
    assert what_counts_as_drained_lies_by_stone(found.wet) == []
    (row,) = found.plan.water.levels_of("F0.2")
    stones = [one for one in found.plan.water.stone if one.leg == "F0.2"]
    assert sum(one.volume_m3 for one in stones) < 0.1 * (row.end_m - row.start_m) * 0.3 * 0.3
    assert row.drained == "none" and row.wet_m == row.all_shut_m
