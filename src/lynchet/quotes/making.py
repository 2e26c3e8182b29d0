"""A quote made from a plan: its cost, the price by the firm's terms, and what is still open before it is sent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import Literal

from lynchet.plan.model import Plan
from lynchet.project.firm import AllowedFor, OfferOption, Terms
from lynchet.project.money import Prices
from lynchet.quotes.cents import CENT, cents, money_of, shared_out
from lynchet.quotes.costs import AWAY, cost_lines, hour_lines
from lynchet.quotes.model import (
    ClientPart,
    CostLine,
    Missing,
    Over,
    Part,
    Payment,
    PricedOption,
    Quote,
    Sums,
    UnitPrice,
)
from lynchet.works.dates import read_date
from lynchet.works.price import DELIVERIES, LABOUR
from lynchet.works.quote_price import Allowance, QuotePrice, quote_price, staged

_PARTS: tuple[tuple[Part, str], ...] = (
    ("ready", "Setting up, deliveries, clearing up"),
    ("earth", "Digging, filling, soil taken away"),
    ("walls", "Timber walls"),
    ("drains", "Drains and stone behind the walls"),
    ("beds", "Beds: soil, planting, mulch"),
)


def quote_of(plan: Plan) -> Quote:
    """The quote of a plan; options that ask for a plan of their own come unpriced in ``wishes``."""
    offer, prices = plan.project.offer, plan.project.prices
    lines = cost_lines(plan)
    direct = sum(line.cents or 0 for line in lines)
    asked: list[AllowedFor | OfferOption] = [
        *offer.allowances, *(one for one in offer.options if one.cost_money is not None)
    ]  # fmt: skip
    found = _priced(direct, offer.terms, prices, [Allowance(one.name, one.cost_money or 0.0) for one in asked])
    sums = _sums(direct, found, offer.terms)
    unit = dict(zip((id(one) for one in asked), found.allowance_price_money or [], strict=True))
    allowances = tuple(
        UnitPrice(one.name, one.unit, one.cost_money, _price_cents(one.cost_money, one.price_money, unit.get(id(one))))
        for one in offer.allowances
    )
    options = tuple(_option(one, unit.get(id(one))) for one in offer.options if not one.leave_out)
    missing = missing_of(lines)
    return Quote(
        prices.currency,
        lines,
        hour_lines(plan),
        missing,
        sums,
        client_parts(plan, lines, sums.price),
        payments(sums.total, offer.terms),
        allowances,
        options,
        over_of(lines, sums, offer.terms),
        plan.project.sheet.date,
        valid_until(plan.project.sheet.date, offer.terms.valid_days),
        tuple(held_back(plan, lines)),
        tuple(before_sending(plan, missing)),
        tuple(one for one in offer.options if one.leave_out),
    )


def _priced(direct: int, terms: Terms, prices: Prices, asked: Sequence[Allowance]) -> QuotePrice:
    """By the published formula; a firm without steps of its own rounds to whole hundredths.

    A price just over the smallest job that the nearest step would carry below it goes up instead: else a dearer job
    could be the cheaper offer.
    """

    def found(rounding: Literal["nearest", "up"]) -> QuotePrice:
        return quote_price(
            direct_money=money_of(direct),
            overhead_pct=100.0 * prices.overhead,
            profit_pct=100.0 * prices.profit,
            minimum_money=terms.minimum_money,
            round_to_money=terms.round_to_money or CENT,
            rounding=rounding,
            tax_pct=100.0 * prices.tax,
            allowances=list(asked),
        )

    first = found(terms.rounding)
    return first if first.price_money >= terms.minimum_money else found("up")


def _sums(direct: int, found: QuotePrice, terms: Terms) -> Sums:
    """In whole hundredths: what is rounded away falls to the profit, so that all adds up."""
    price, overhead = cents(found.price_money), cents(found.overhead_money)
    return Sums(direct, overhead, price - direct - overhead, price, cents(found.tax_money), found.minimum_applied,
                terms.round_to_money is not None)  # fmt: skip


def _price_cents(cost: float | None, price: float | None, reckoned: float | None) -> int | None:
    said = price if price is not None else reckoned if cost is not None else None
    return None if said is None else cents(said)


def _option(one: OfferOption, reckoned: float | None) -> PricedOption:
    unit = _price_cents(one.cost_money, one.price_money, reckoned)
    amount = f"{one.quantity:g} {one.unit}".strip() if one.unit or one.quantity != 1.0 else ""
    words = one.words + (f" ({amount})" if amount and one.words else amount)
    return PricedOption(one.name, words, None if unit is None else cents(one.quantity * money_of(unit)))


def missing_of(lines: Sequence[CostLine]) -> Missing:
    """Lines without a price, counted as the plan counts them; the firm's own costs come on top.

    All hours are one line, and all trucks that bring something. Travel is no line: it is there only with its price.
    """
    counted = [line for line in lines if line.kind != "travel"]
    wanting = dict.fromkeys(counted_as(line) for line in counted)
    without = dict.fromkeys(counted_as(line) for line in counted if line.cents is None)
    return Missing(tuple(without), len(wanting))


def counted_as(line: CostLine) -> str:
    """What a line is called where lines are counted: all hours are one, and all trucks that bring something."""
    return {"labour": LABOUR, "delivery": DELIVERIES}.get(line.kind, line.name)


def client_parts(plan: Plan, lines: Sequence[CostLine], price: int) -> tuple[ClientPart, ...]:
    """The price shared out over the parts of the work by their cost; the parts make the price to the last cent."""
    named = [(part, _part_name(plan, part, name)) for part, name in _PARTS if any(line.part == part for line in lines)]
    weights = [sum(line.cents or 0 for line in lines if line.part == part) for part, _ in named]
    shares = shared_out(price, weights)
    return tuple(ClientPart(part, name, share) for (part, name), share in zip(named, shares, strict=True))


def _part_name(plan: Plan, part: Part, name: str) -> str:
    if part == "walls" and plan.terraces.flights:
        return f"{name} and steps"
    if part == "beds" and not plan.planted.plantings:
        return "Beds: soil, mulch"
    away = any(line.key == AWAY for line in plan.works.order)
    return "Digging, filling" if part == "earth" and not away else name


def payments(total: int, terms: Terms) -> tuple[Payment, ...]:
    """Each but the last cut down to whole hundredths, the last the rest."""
    money = staged(money_of(total), [100.0 * stage.share for stage in terms.stages]) if terms.stages else []
    return tuple(Payment(stage.name, stage.share, cents(one)) for stage, one in zip(terms.stages, money, strict=True))


def over_of(lines: Sequence[CostLine], sums: Sums, terms: Terms) -> Over:
    """What is left of the profit where the direct cost runs over."""
    more = cents(terms.run_over * money_of(sums.direct))
    hauled = [line.cents for line in lines if line.kind == "soil away" or line.key.endswith("/haul away")]
    away = None if any(one is None for one in hauled) else sum(one or 0 for one in hauled)
    even = sums.profit / sums.direct if sums.direct else None
    return Over(terms.run_over, more, sums.profit - more, even, away)


def valid_until(date: str, days: int | None) -> str:
    """The last day on which the offer holds."""
    if not date or days is None:
        return ""
    return (read_date(date, "sheet.date") + timedelta(days=days)).isoformat()


def held_back(plan: Plan, lines: Sequence[CostLine]) -> Iterator[str]:
    """Why the client gets nothing yet."""
    stopped = {"all", "order-list"} & plan.withheld.keys()
    if plan.refused or stopped:
        reason = next((finding.text for finding, _ in plan.top), "the yard cannot be laid out")
        yield f"The plan says stop: {reason}"
    elif not lines:
        yield "Nothing is built, so there is nothing to offer."
    if any(line.key == AWAY and line.cents is None for line in lines):
        yield "Soil goes away and a load of it has no price (load_away): forgotten, it comes wholly out of the profit."


def before_sending(plan: Plan, missing: Missing) -> Iterator[str]:
    """What a careful person settles first."""
    offer, prices, sheet = plan.project.offer, plan.project.prices, plan.project.sheet
    if missing.names:
        yield f"{missing.words[0].upper()}{missing.words[1:]}: {'; '.join(missing.names)}."
    if missing.names and prices.left_out:
        rows = "; ".join(prices.left_out[:6]) + (" and others" if len(prices.left_out) > 6 else "")
        yield f"Rows of the price list that were not understood, and left out: {rows}. Is one of them meant for these?"
    said = (
        (offer.firm.name, "The firm has no name (firm.name)."),
        (offer.head.client, "The client has no name (quote.client)."),
        (sheet.date, "The quote has no date (sheet.date, or --date)."),
        (offer.terms.valid_days, "It is not said how long the offer holds (terms.valid_days)."),
        (offer.terms.stages, "No payments are agreed (terms.stages)."),
        (offer.terms.exclusions, "Nothing is said of what is not in the price (terms.exclusions)."),
        (prices.overhead, "There is no overhead in the price (prices.overhead)."),
        (prices.profit, "There is no profit in the price (prices.profit)."),
        (prices.currency, "The money has no currency (prices.currency)."),
    )
    yield from (text for value, text in said if not value)
    if not any("rock" in one.name.lower() or "ledge" in one.name.lower() for one in offer.allowances):
        yield "There is no price agreed for rock: the first thing builders and clients fall out over ([[allowance]])."
    for allowance in offer.allowances:
        if allowance.cost_money is None and allowance.price_money is None:
            yield f"{allowance.name}: no price agreed; the client's copy says so."
