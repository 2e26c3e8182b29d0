"""What is known of the price, as a range: lines without a price stay out and are counted."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import sqrt

from lynchet.works.items import items
from lynchet.works.job import Job
from lynchet.works.model import Band, Delivery, OrderLine, Price, PricePart, Task
from lynchet.works.price_list import PriceList
from lynchet.works.quote_price import profit_factor, to_hundredth
from lynchet.works.uncertain_items import UncertainItem

TOGETHER = 0.3
"""Correlation of the parts of one job: rain and soft ground raise many at once. PRACTICE, as the calculator advises."""
LESS, MORE = 0.95, 1.10
"""Band of loose goods and loads: a twentieth less to a tenth more than ordered. PRACTICE. It gives the spread
alone: the expected money is that of the order list, for what is on the list is what is bought."""
TENTH_SD = 1.2815515655446004
"""Standard deviations from the mean to the tenth and the ninetieth percentile of a normal sum."""
DELIVERIES, LABOUR = "deliveries by truck", "work by the hour"
"""Lines of the price that are not on the order list: all trucks that bring something, all hours."""
METHOD = (
    "the order list's own money, trucks, and hours at the mean of low, expected and high; low and high: what one "
    "and nine in ten such jobs cost no more than, as a normal sum with parts leaning one way with 0.3"
)

_LOOSE = UncertainItem("loose goods", "triangular", low_money=LESS, likely_money=1.0, high_money=MORE)

Moments = tuple[float, float]
"""Expected money, to the hundredth, and its variance."""


@dataclass(frozen=True)
class _Part:
    """Money of one part with its spread."""

    name: str
    lines: int
    money: tuple[Moments, ...]


def price_of(
    job: Job, order: Sequence[OrderLine], sent: Sequence[Delivery], tasks: Sequence[Task], prices: PriceList
) -> Price:
    """The price of the job as far as prices are known.

    Args:
        job: the plan so far.
        order: the lines, money in them where known.
        sent: deliveries, money in them where known.
        tasks: for the hours, if an hour has a price.
        prices: of the file.
    """
    wish = job.project.prices
    wanting = [line for line in order if line.buy > 0]
    parts = [part for part in _parts(job, wanting, sent, tasks, prices) if part.money]
    labour = any(part.name == "labour" for part in parts)
    money = {line.name: line.money for line in wanting}
    money.update((DELIVERIES, one.money) for one in sent if one.name != "soil away")
    money.update([(LABOUR, 0.0 if labour else None)] if tasks else ())
    lines, missing = len(money), [name for name, value in money.items() if value is None]
    rows = tuple(PricePart(part.name, _band(part.money), part.lines) for part in parts)
    every = tuple(item for part in parts for item in part.money)
    direct = _band(every) if every else None
    factor = (1.0 + wish.overhead) * profit_factor(100.0 * wish.profit, on_price=True)
    total = None if direct is None else _times(direct, factor)
    return Price(
        currency=wish.currency,
        lines=lines,
        missing=tuple(missing),
        parts=rows,
        direct=direct,
        overhead=wish.overhead,
        profit=wish.profit,
        tax=wish.tax,
        total=total,
        tax_money=0.0 if total is None else to_hundredth(total.likely * wish.tax),
        method=METHOD,
        words=_words(money, len(missing), labour, direct is not None),
        hour_money=prices.of(items(job.project.units)["labour"]),
    )


def missing_words(missing: int, lines: int) -> str:
    """ "no price for 3 of 14 lines": the same words on every screen and sheet; empty where none is missing."""
    return f"no price for {missing} of {lines} line{'' if lines == 1 else 's'}" if missing else ""


def _words(names: Collection[str], missing: int, labour: bool, any_known: bool) -> str:
    lines = len(names)
    if not lines:
        return "nothing to buy"
    if not any_known or missing == lines:
        return missing_words(lines, lines) + _which(names)
    if not missing:
        return f"all {lines} lines have a price" + ("" if labour else f"; {LABOUR} is not in it")
    return missing_words(missing, lines) + _which(names) + ("" if labour else f"; {LABOUR} is not in it")


def _which(names: Collection[str]) -> str:
    """What the lines are, where some stand on no order list."""
    beside = [said for name, said in ((DELIVERIES, "the trucks"), (LABOUR, "the hours")) if name in names]
    bought = len(names) - len(beside)
    return f" ({', '.join([f'{bought} to buy', *beside])})" if beside and bought else ""


def _parts(
    job: Job, order: Sequence[OrderLine], sent: Sequence[Delivery], tasks: Sequence[Task], prices: PriceList
) -> list[_Part]:
    known = [line for line in order if line.money is not None]
    goods = [line for line in known if line.key != "load_away"]
    away = [line for line in known if line.key == "load_away"]
    brought = [one for one in sent if one.name != "soil away" and one.money is not None]
    hour = prices.of(items(job.project.units)["labour"])
    found = [
        _Part("material", len(goods), tuple(_line(line) for line in goods)),
        _Part("soil away", len(away), tuple(_loose(line.money or 0.0) for line in away)),
        _Part("deliveries", len(brought), tuple((one.money or 0.0, 0.0) for one in brought)),
    ]
    if hour is not None:
        found.append(_Part("labour", len(tasks), tuple(_work(task, hour) for task in tasks)))
    return found


def _line(line: OrderLine) -> Moments:
    """Counted goods are known; loose ones are more or less."""
    return _loose(line.money or 0.0) if line.measure == "m3" else (line.money or 0.0, 0.0)


def _loose(money: float) -> Moments:
    return money, _LOOSE.moments()[1] * money**2


def _work(task: Task, hour: float) -> Moments:
    """Mean of the three at the price of an hour; the spread goes with the rounded money, so dearer stays dearer."""
    band = task.hours
    hours, variance = UncertainItem(
        task.id, "triangular", low_money=band.low, likely_money=band.likely, high_money=band.high
    ).moments()
    money = to_hundredth(mean_hours(band) * hour)
    return money, variance * (money / hours) ** 2 if hours > 0 else 0.0


def mean_hours(band: Band) -> float:
    """Hours charged: the mean of low, expected and high."""
    return (band.low + band.likely + band.high) / 3.0


def _times(band: Band, factor: float) -> Band:
    low, likely, high = (to_hundredth(value * factor) for value in (band.low, band.likely, band.high))
    return Band(low, likely, high)


def _band(moments: Sequence[Moments]) -> Band:
    """Expected, and what 10 and 90 in a hundred such jobs cost no more than.

    With items of bounded spread (triangles over zero) a dearer item never lowers any of the three: the low value rises
    by at least the mean less 1.2816 standard deviations of the item, and a triangle's is at most 0.7072 of its mean.
    """
    mean, sd = round(sum(one for one, _ in moments), 2), sd_together([variance for _, variance in moments], TOGETHER)
    return Band(mean - TENTH_SD * sd, mean, mean + TENTH_SD * sd)


def sd_together(variances: Sequence[float], correlation: float) -> float:
    """Standard deviation of a sum whose parts all have one correlation (kernel of ``price_range`` for that case).

    Args:
        variances: of the parts.
        correlation: of every two of them, 0 to 1.
    """
    alone, together = sum(variances), sum(sqrt(variance) for variance in variances) ** 2
    return sqrt((1.0 - correlation) * alone + correlation * together)
