"""The order list, deliveries, and what the job costs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import ceil

from lynchet.book.blocks import Block, Heading, Para, Table
from lynchet.book.texts import Words
from lynchet.units.format import mass
from lynchet.works.model import Band, OrderLine, Price, Works
from lynchet.works.price import mean_hours

_WHOLE = 10.0
"""From here on nobody orders hundredths."""


def order_pages(works: Works, units: str, kept_back: bool, words: Words) -> tuple[Block, ...]:
    """The list by group, or the word that it is kept back."""
    return tuple(_blocks(works, units, kept_back, words))


def _blocks(works: Works, units: str, kept_back: bool, words: Words) -> Iterator[Block]:
    yield Heading(words("order.head"), 1, flows=kept_back)
    if kept_back:
        yield Para(words("order.kept_back"), "strong")
        return
    yield Para(words("order.intro"))
    for group in dict.fromkeys(line.group for line in works.order):
        yield Heading(words(f"order.group_{group}"), 3)
        rows = tuple(_row(line, works.price.currency, words) for line in works.order if line.group == group)
        yield Table(words.many("order.heads"), rows, "lrlr", (6.0, 0.9, 1.2, 1.3))
    yield from _price(works, words)
    if works.deliveries:
        yield Heading(words("order.deliveries_head"))
        lorries = tuple(
            (d.name, str(d.loads), mass(d.kg, "us" if units == "us" else "metric") if d.kg else "–",
             words("order.before_day", day=d.day), d.drop or words("order.drop_unknown"))
            for d in works.deliveries
        )  # fmt: skip
        yield Table(words.many("order.delivery_heads"), lorries, "lrrll", (2.6, 0.8, 1.2, 1.8, 2.6))


def _row(line: OrderLine, currency: str, words: Words) -> tuple[str, str, str, str]:
    name = f"{line.name} ({line.note})" if line.note else line.name
    price = words("order.no_price") if line.money is None else money(line.money, currency)
    return name, number(to_buy(line.buy_units)), raised(line.unit), price


def _price(works: Works, words: Words) -> Iterator[Block]:
    price = works.price
    yield Heading(words("order.price_head"))
    if price.words:
        yield Para(price.words[:1].upper() + price.words[1:] + ".")
    beside = _beside(works, words)
    if beside:
        yield Table(words.many("order.beside_heads"), beside, "lrr", (4.0, 2.0, 1.6), together=True)
    if price.total is None:
        yield Para(words("order.no_money"))
        return
    rows = [(part.name, *_band(part.money, price.currency)) for part in price.parts]
    rows += _on_top(price, words)
    rows.append((words("order.total"), *_band(price.total, price.currency)))
    yield Table(words.many("order.price_heads"), tuple(rows), "lrrr", strong_last=True)
    yield Para(words("order.method"), "note")


def _on_top(price: Price, words: Words) -> Iterator[tuple[str, str, str, str]]:
    """What lies between the parts and the total, so that the table adds up: their sum, overhead, profit."""
    if price.direct is None or price.total is None or not (price.overhead or price.profit):
        return
    yield words("order.direct"), *_band(price.direct, price.currency)
    over = _scaled(price.direct, price.overhead)
    if price.overhead:
        yield words("order.overhead", share=f"{100.0 * price.overhead:g} %"), *_band(over, price.currency)
    if price.profit:
        bands = zip(_figures(price.total), _figures(price.direct), _figures(over), strict=True)
        rest = Band(*(total - direct - extra for total, direct, extra in bands))
        yield words("order.profit", share=f"{100.0 * price.profit:g} %"), *_band(rest, price.currency)


def _figures(band: Band) -> tuple[float, float, float]:
    return band.low, band.likely, band.high


def _scaled(band: Band, by: float) -> Band:
    return Band(*(by * value for value in _figures(band)))


def _beside(works: Works, words: Words) -> tuple[tuple[str, ...], ...]:
    """What the price counts and the list has no line for: trucks that bring something, and hours."""
    price, rows = works.price, []
    trucks = [one for one in works.deliveries if one.name != "soil away"]
    known = {part.name: part.money.likely for part in price.parts}
    if trucks:
        said = words("order.no_price") if "deliveries" not in known else money(known["deliveries"], price.currency)
        rows.append((words("order.trucks"), number(sum(one.loads for one in trucks)), said))
    if works.person_hours.likely > 0:
        if "labour" in known:
            hours = sum(mean_hours(task.hours) for task in works.tasks)
            rows.append((words("order.hours_priced"), f"{hours:.0f}", money(known["labour"], price.currency)))
        else:
            rows.append((words("order.hours"), f"{works.person_hours.likely:.0f}", words("order.no_price")))
    return tuple(rows)


def _band(band: Band, currency: str) -> tuple[str, str, str]:
    return money(band.low, currency), money(band.likely, currency), money(band.high, currency)


def money(value: float, currency: str) -> str:
    """A sum with thousands parted, its currency before it as the file gives it."""
    return f"{currency} {value:,.0f}".strip()


def to_buy(value: float) -> float:
    """An amount as one orders it: up to the third figure, never less than needed; whole pieces as they are."""
    if value < _WHOLE:
        return value
    step = 0.1 if value < 10.0 * _WHOLE else 1.0
    return ceil(value / step - 1e-6) * step


def number(value: float) -> str:
    """At most two decimals, none where it is whole."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def raised(unit: str) -> str:
    """Units as people write them: "m³", "yd³", wherever they stand in a text."""
    return re.sub(r"(?<=m|d|t)([23])(?![\w.])", lambda found: "²³"[int(found[1]) - 2], unit)
