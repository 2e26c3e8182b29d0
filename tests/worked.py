"""Random yards planned as far as the works stage, and the works stage run again on changed inputs."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from lynchet.core.standing import Standing
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_on
from lynchet.project.money import ItemPrice, Prices, WorksWish
from lynchet.works.job import Job
from lynchet.works.model import Works
from lynchet.works.stage import works
from random_yards import realistic

SEEDS = (0, 3, 4, 6, 8, 9, 11)
"""Realistic yards that are quick to plan: shapes, steps, houses and drains of all kinds among them."""


@cache
def plan_of(seed: int) -> Plan:
    """The plan of one random yard, live."""
    return plan_on(*realistic(seed), Standing(), LIVE, lambda stage: None)


def job_of(plan: Plan, **parts: Any) -> Job:
    """What the works stage reads of a plan, with parts of it or of its project replaced.

    Args:
        plan: any.
        parts: fields of ``Job``, or ``prices`` and ``wish`` of the project.
    """
    project = plan.project
    if "prices" in parts:
        project = replace(project, prices=parts.pop("prices"))
    if "wish" in parts:
        project = replace(project, works=parts.pop("wish"))
    planted = getattr(plan, "planted", None)
    job = Job(
        project, plan.terraces, plan.walls, plan.water, plan.stability, plan.pieces, plan.earth, plan.timber, planted
    )
    return replace(job, **parts)


def worked(plan: Plan, full: bool = False, **parts: Any) -> Works:
    """The works stage again."""
    return works(job_of(plan, **parts), full)


def priced(prices: dict[str, float | tuple[float, str]], **shares: float) -> Prices:
    """A price list."""
    rows = ((item, price if isinstance(price, tuple) else (price, "")) for item, price in prices.items())
    return Prices("XYZ", tuple(ItemPrice(item, money, per) for item, (money, per) in rows), **shares)


def crew(people: int, day_h: float = 7.0, **more: Any) -> WorksWish:
    """Who works."""
    return WorksWish(crew=people, day_h=day_h, **more)
