"""The works stage: what to buy, how long it takes, in which order, what it costs, what to look after."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from lynchet.works.days import days_at, days_of
from lynchet.works.deliveries import deliveries
from lynchet.works.hours import tasks_of, total
from lynchet.works.job import Job
from lynchet.works.model import Day, Price, Programme, Task, Works
from lynchet.works.order_lines import order_lines
from lynchet.works.price import METHOD, price_of
from lynchet.works.price_list import PriceList
from lynchet.works.sayings import findings_of
from lynchet.works.sequence import least_days, timed
from lynchet.works.upkeep import upkeep_of
from lynchet.works.wall_parts import Stages, wall_parts


def works(job: Job, full: bool) -> Works:
    """Order list, hours, days, deliveries, price and upkeep of a plan.

    Args:
        job: the results of all earlier stages.
        full: also look for the fewest days with work side by side, and pack the loads to a proven fewest number.

    Returns:
        Complete at both efforts; where nothing is built there are no lines, tasks and days.
    """
    if job.terraces.refused or not (any(leg.segments for leg in job.walls.legs) or _dug(job)):
        return _nothing(job)
    stages = Stages(job)
    parts = wall_parts(job, stages)
    prices = PriceList(job.project.prices)
    wish = job.project.works
    order = order_lines(job, parts, prices)
    tasks = timed(tasks_of(job, parts, stages), wish.day_h)
    days = days_of(job, tasks, parts, stages.highest)
    sent = deliveries(job, order, days, prices, full)
    price = price_of(job, order, sent, tasks, prices)
    programme = _programme(job, tasks, days, full)
    return Works(
        order=order,
        tasks=tuple(tasks),
        programme=programme,
        days=days,
        deliveries=sent,
        price=price,
        upkeep=upkeep_of(job, programme.finish),
        findings=tuple(findings_of(job, order, price, prices, programme)),
    )


def _dug(job: Job) -> bool:
    """Whether a bed is made without a wall: its soil is stripped, loosened or moved, and comes back with compost."""
    return any(bed.soil_m3 + bed.mulch_m3 + bed.cut_m3 + bed.fill_m3 > 0.0 for bed in job.earth.beds)


def _programme(job: Job, tasks: Sequence[Task], days: Sequence[Day], full: bool) -> Programme:
    wish, hours = job.project.works, total(tasks)
    least = least_days(tasks, wish.crew, wish.day_h) if full else None
    return Programme(
        crew=wish.crew,
        day_h=wish.day_h,
        days=len(days),
        days_low=max(1, min(len(days), ceil(hours.low / wish.crew / wish.day_h - 1e-9))),
        days_high=days_at(len(days), hours.likely, hours.high),
        least_days=None if least is None else least.days,
        least_proven=least is not None and least.proven,
        critical=tuple(task.id for task in tasks if task.critical),
        finish=days[-1].date if days else "",
    )


def _nothing(job: Job) -> Works:
    wish, prices = job.project.works, job.project.prices
    price = Price(
        prices.currency,
        0,
        (),
        (),
        None,
        prices.overhead,
        prices.profit,
        prices.tax,
        None,
        0.0,
        METHOD,
        "nothing to buy",
    )
    programme = Programme(wish.crew, wish.day_h, 0, 0, 0, None, False, (), "")
    return Works((), (), programme, (), (), price, (), ())
