"""Laws of second ways out: apart, on random yards, told where there is none."""

from __future__ import annotations

import sys
from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import dist
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from lawbook.case import Case, plan
from lawbook.water_laws import Wet, broken_water
from lynchet.water.model import Water
from lynchet.water.stage import water
from random_yards import realistic


def end_of(drained: Water, drain: str) -> str:
    """The outlet a drain's water comes out at, followed pipe by pipe."""
    into = {one.id: one.into for one in drained.drains}
    while drain in into:
        drain = into[drain]
    return drain


@cache
def _two_ways(seed: int) -> tuple[Case, Water]:
    """A yard that wishes for two ways out, and its water."""
    project, ground = realistic(seed)
    case = plan(project, ground)
    wished = replace(project, drain=replace(project.drain, ways_out=2))
    return replace(case, project=wished), water(wished, ground, case.terraces, case.walls)


@pytest.mark.parametrize("seed", range(5))
def test_every_chain_has_two_ways_or_is_told(seed: int) -> None:
    """With two ways asked for, each chain's pipe parts at a high point between two outlets, or a finding says no."""
    case, drained = _two_ways(seed)
    assert broken_water(Wet(case, drained)) == []
    told = {finding.place for finding in drained.findings if finding.code == "water.one_way"}
    mouths = {outlet.id: outlet.point_m for outlet in drained.outlets}
    for chain in drained.chains:
        mine = [one for one in drained.drains if one.chain == chain.id]
        parted = [(a, b) for a, b in pairwise(mine) if a.nodes[-1] == b.nodes[0]]
        two = [(a, b) for a, b in parted if end_of(drained, a.id) != end_of(drained, b.id)]
        assert not mine or (chain.id in told) == (not two), chain.id
        for a, b in two:
            ends = [mouths.get(end_of(drained, one.id)) for one in (a, b)]
            if None not in ends:
                assert dist(*ends) > 0.3, chain.id  # type: ignore[arg-type]


def test_water_with_one_outlet_shut_stands_lower_with_two_ways() -> None:
    """Over random yards, where a second way is laid water never stands higher with one shut than with all shut, and
    somewhere it stands lower than it did with one way."""
    lower = 0
    for seed in range(5):
        project, ground = realistic(seed)
        case, two = _two_ways(seed)
        one = water(project, ground, case.terraces, case.walls)
        for leg in case.walls.legs:
            for row in two.levels_of(leg.id):
                assert row.wet_m - 1e-9 <= row.one_shut_m <= row.all_shut_m + 1e-9
                before = one.level_at(leg.id, (row.start_m + row.end_m) / 2)
                lower += row.two_ways and before is not None and row.one_shut_m < before.one_shut_m - 0.05
    assert lower > 0
