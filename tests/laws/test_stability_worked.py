"""What the ground under a base carries and what ties must hold: the workings give the stage's own numbers again."""

from __future__ import annotations

import pytest

from lynchet.calculators.text import run
from lynchet.core.findings import Verdict
from lynchet.core.standing import Standing
from lynchet.project import model as pm
from lynchet.stability.bearings import bearing_working
from lynchet.stability.checks import check
from lynchet.stability.constants import BEARING_SAFETY, LOOSE_BASE_KPA
from lynchet.stability.spread import spread
from lynchet.stability.stage import stability
from lynchet.stability.words import word_on_base, word_on_ties
from lynchet.stability.worked import workings
from lynchet.terraces.stage import terraces
from lynchet.walls.stage import walls
from lynchet.water.stage import water
from yards import rectangle

TIED = pm.Brief(terraces=3, weeps=True, path_strip_m=0.6, dig_depth_m=0.1, ties="always")


class Yard:
    """A yard with ties, planned up to its stability, and its joints averaged over their windows."""

    def __init__(self, brief: pm.Brief) -> None:
        self.project, ground = rectangle(brief=brief)
        levels = terraces(self.project, ground, Standing())
        built = walls(self.project, ground, levels, Standing())
        drained = water(self.project, ground, levels, built, 1)
        self.stability = stability(self.project, ground, levels, built, drained)
        self.table = spread(check(self.project, self.stability.places), self.stability.places)


@pytest.fixture(scope="module")
def plan():
    """Ties wished everywhere."""
    return Yard(TIED)


@pytest.fixture(scope="module")
def table(plan):
    """Its joints."""
    return plan.table


def test_ground_under_every_base(plan, table):
    """A third of the ultimate pressure, at most the presumed one, is what the stage allows under every base, and the
    joint's own resultant gives the width it presses on."""
    soil = plan.project.soil
    tied = {tied.place for tied in plan.stability.tie_checks}
    for base in plan.stability.bases[::3]:
        name, given = bearing_working(plan.project, base)
        third = run(name, dict(given)).result["ultimate_kpa"] / BEARING_SAFETY
        allowed = third if soil.known and not soil.clay else min(third, LOOSE_BASE_KPA)
        assert base.allowable_kpa == pytest.approx(allowed, rel=1e-9)
        word = word_on_base(base)
        (_, (joint, more)) = workings(plan.project, table, plan.stability.places, word)
        forces = run(joint, dict(more)).result
        x = (forces["resisting_kn_m_per_m"] - forces["overturning_kn_m_per_m"]) / forces["vertical_kn_per_m"]
        width = plan.project.timber.thickness_m
        if base.place not in tied:
            assert base.effective_width_m == pytest.approx(width - 2.0 * abs(width / 2.0 - x), rel=1e-5)


def test_ties_at_every_place(plan, table):
    """tie_force gives the largest pull and what is left to the base, as the stage's checks do."""
    checks = plan.stability.tie_checks
    assert checks
    for tied in checks[:: max(1, len(checks) // 20)]:
        (name, given), _ = workings(plan.project, table, plan.stability.places, word_on_ties(tied))
        result = run(name, dict(given)).result
        assert tied.base_demand_kn_per_m == pytest.approx(result["base_kn_per_m"], rel=1e-6, abs=1e-6)
        assert any(tied.demand_kn == pytest.approx(pull, rel=1e-6, abs=1e-9) for pull in result["tie_kn"])
        if tied.demand_kn > 1e-6 and tied.capacity_kn < tied.demand_kn:
            assert word_on_ties(tied).verdict is Verdict.STOP
