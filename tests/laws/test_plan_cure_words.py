"""What a cure says of what it costs: a bed that goes is never passed over."""

from __future__ import annotations

from dataclasses import replace

import pytest

from demo_plans import demo
from lynchet.commands.report import soil_line, works_lines
from lynchet.core.findings import Verdict
from lynchet.core.standing import Standing
from lynchet.plan.cure_nearer import nearer
from lynchet.plan.cures import effect
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import figures
from lynchet.plan.pipeline import plan_on
from lynchet.project.model import Brief
from lynchet.units.format import area
from yards import rectangle


@pytest.mark.parametrize(("lost", "words"), [(1, "1 bed lost"), (2, "2 beds lost"), (0, ""), (-1, "")])
def test_beds_that_are_lost_are_said(lost: int, words: str) -> None:
    """Fewer beds are counted; ground to plant that is lost is told, from a tenth on."""
    plan = demo("side_yard")
    before = figures(plan)
    after = replace(before, beds=before.beds - lost, bed_m2=before.bed_m2 / 2)
    said = effect(before, after, plan.project)
    assert (words in said) if words else "lost" not in said
    assert "ground to plant" in said
    kept = replace(after, bed_m2=before.bed_m2 * 0.95)
    assert ("ground to plant" in effect(before, kept, plan.project)) == bool(words)


def test_the_beds_of_two_plans_are_counted() -> None:
    """A slope in three terraces, planned again in two: one bed lost, with both areas that can be planted."""
    three, two = (plan_on(*rectangle(brief=Brief(terraces=count)), Standing(), LIVE, lambda stage: None)
                  for count in (3, 2))  # fmt: skip
    before, after = figures(three), figures(two)
    grounds = " → ".join(area(one.bed_m2, "metric") for one in (before, after))
    assert effect(before, after, three.project).endswith(f"1 bed lost, ground to plant {grounds}")
    assert "lost" not in effect(after, before, three.project)


def test_as_many_stops_that_fall_less_short_are_told_with_the_worst() -> None:
    """A cure that leaves every stop and yet betters the walls says so with both factors; one that ends a wall's stop
    has its count to tell of it."""
    plan = demo("side_yard")
    walls = plan.stability.walls

    def stopped(*factors: float) -> object:
        made = tuple(
            replace(wall, factor=factor, verdict=Verdict.STOP) for wall, factor in zip(walls, factors, strict=False)
        )
        return replace(plan, stability=replace(plan.stability, walls=made))

    assert "(the worst 0.17 → 0.30), not near enough" in nearer(stopped(0.17, 0.4), stopped(0.3, 0.5))
    said = nearer(stopped(0.17, 0.4), stopped(0.17, 0.9))
    assert said and "worst" not in said
    assert nearer(stopped(0.17, 0.4), stopped(0.3)) == "" == nearer(stopped(0.17), stopped())


def test_one_of_a_kind_is_said_as_one() -> None:
    """A day, a stick, a barrow: no "1 sticks"."""
    plan = demo("side_yard")
    found = replace(figures(plan), days=1, barrows=1, loads=1)
    assert "about 1 day of " in next(works_lines(found)) and "1 barrow or 1 load" in soil_line(found, plan)
