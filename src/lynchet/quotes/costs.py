"""The cost of a plan line by line: what is bought, brought, taken away, worked, travelled, and costs of the firm."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.plan.model import Plan
from lynchet.quotes.cents import cents
from lynchet.quotes.model import CostKind, CostLine, HourLine, Part
from lynchet.units.measures import System
from lynchet.works.items import told_amount
from lynchet.works.model import OrderLine, Task
from lynchet.works.price import mean_hours
from lynchet.works.task_hours import billed_days

AWAY = "load_away"
"""Key of the line of soil taken away."""
MADE_UP = "made up"
"""Key of the line of hours that make the work up to whole days."""
_TASKS: dict[str, Part] = {
    "set up": "ready", "set out": "ready", "clear up": "ready", "topsoil": "earth", "bench": "earth",
    "trench": "earth", "fill": "earth", "haul away": "earth", "base": "walls", "first course": "walls",
    "courses": "walls", "steps": "walls", "drain": "drains", "pipe trench": "drains", "stone": "drains",
    "bed soil": "beds",    "plants": "beds", "mulch": "beds",
}  # fmt: skip
_GROUPS: dict[str, Part] = {
    "timber": "walls", "fixings": "walls", "stone": "drains", "drain": "drains", "soil": "beds", "plants": "beds",
    "away": "earth",
}  # fmt: skip
_KEYS: dict[str, Part] = {"base_stone": "walls", "fill_soil": "earth"}


def cost_lines(plan: Plan) -> tuple[CostLine, ...]:
    """All lines that cost something, those without a price included."""
    return (*_bought(plan), *_brought(plan), *_worked(plan), *_travelled(plan), *_own(plan))


def hour_lines(plan: Plan) -> tuple[HourLine, ...]:
    """Hours of every task; what is charged is the mean of low, expected and high."""
    return tuple(_hours(task, plan.project.units) for task in plan.works.tasks)


def _hours(task: Task, system: System) -> HourLine:
    band, charged = task.hours, mean_hours(task.hours)
    amount, measure = told_amount(task.quantity, task.measure, system)
    return HourLine(task.name, task.kind, amount, measure, band.low, band.likely, band.high, charged)


def _bought(plan: Plan) -> Iterator[CostLine]:
    for line in plan.works.order:
        if line.buy > 0:
            kind: CostKind = "soil away" if line.key == AWAY else "material"
            yield _line(kind, _part_of(line), (line.key, line.name), (line.buy_units, line.unit), line.unit_price)


def _part_of(line: OrderLine) -> Part:
    return _KEYS.get(line.key, _GROUPS[line.group])


def _line(
    kind: CostKind, part: Part, named: tuple[str, str], amount: tuple[float, str], rate: float | None, note: str = ""
) -> CostLine:
    quantity, unit = amount
    sum_cents = None if rate is None else cents(quantity * rate)
    return CostLine(named[0], kind, part, named[1], quantity, unit, rate, sum_cents, note)


def _brought(plan: Plan) -> Iterator[CostLine]:
    """Trucks that bring something; what goes away stands among the order lines."""
    sent = [one for one in plan.works.deliveries if one.name != "soil away"]
    for one in sent:
        named = "delivery", f"delivery: {one.name}"
        yield _line("delivery", "ready", named, (float(one.loads), "load"), one.unit_price)


def _worked(plan: Plan) -> Iterator[CostLine]:
    rate, hours = plan.works.price.hour_money, hour_lines(plan)
    for task, row in zip(plan.works.tasks, hours, strict=True):
        yield _line("labour", _TASKS[task.kind], (task.id, row.name), (row.charged, "h"), rate)
    terms, wish = plan.project.offer.terms, plan.project.works
    worked = sum(row.charged for row in hours)
    day = wish.crew * wish.day_h
    billed = billed_days(worked / day, terms.bill_days, terms.minimum_days) * day
    if billed > worked + 1e-9:
        said = f"made up to {billed / day:g} crew days"
        yield _line("labour", "ready", (MADE_UP, said), (billed - worked, "h"), rate)


def _travelled(plan: Plan) -> Iterator[CostLine]:
    terms = plan.project.offer.terms
    days = float(plan.works.programme.days)
    if terms.travel_day_money is not None and days > 0:
        named = "travel", "way to the yard and back"
        yield _line("travel", "ready", named, (days, "day"), terms.travel_day_money)
    if terms.travel_once_money is not None and days > 0:
        named = "tools", "bringing and fetching tools"
        yield _line("travel", "ready", named, (1.0, "job"), terms.travel_once_money)


def _own(plan: Plan) -> Iterator[CostLine]:
    for cost in plan.project.offer.costs:
        yield _line("own cost", "ready", (cost.name, cost.name), (cost.quantity, cost.unit or "each"), cost.money)
