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
from lynchet.project.model import Brief
from lynchet.water.model import Water
from lynchet.water.stage import water
from random_yards import realistic
from yards import project_of


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


@pytest.mark.parametrize(("wide_m", "long_m", "falls", "high_m"), [(4.0, 18.0, 0.01, 0.4), (6.0, 40.0, 0.0, 0.4)])
def test_drains_round_a_raised_bed_part_at_every_high_point(
    wide_m: float, long_m: float, falls: float, high_m: float
) -> None:
    """A bed that stands over the ground all round has one ring of pipe: of its drains the last meets the first as the
    others meet each other, capped 0.1 m from the high point on each side."""
    outline = [(0.0, 0.0), (wide_m, 0.0), (wide_m, long_m), (0.0, long_m)]
    places = [(x, y) for x in (-4.0, wide_m / 2, wide_m + 4.0) for y in (-4.0, 0.0, long_m / 2, long_m, long_m + 4.0)]
    readings = [(x, y, 100.0 - falls * abs(y - long_m / 2)) for x, y in places]
    project, ground = project_of(outline, readings, brief=Brief(terraces=1, levels=(100.0 + high_m,)))
    case = plan(project, ground)
    drained = water(replace(project, drain=replace(project.drain, ways_out=2)), ground, case.terraces, case.walls)
    assert broken_water(Wet(case, drained)) == []
    assert [chain.closed for chain in drained.chains] == [True]
    assert len(drained.drains) > 1
    for a, b in pairwise((*drained.drains, drained.drains[0])):
        assert a.nodes[-1] == b.nodes[0]
        assert dist(a.points_m[-1], b.points_m[0]) == pytest.approx(0.2, abs=1e-6)
