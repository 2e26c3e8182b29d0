"""Quotes for tests: the side yard under an invented firm, planned once, priced in many ways."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from demo_plans import demo
from lynchet.plan.model import Plan
from lynchet.project.firm import AllowedFor, Offer, OfferOption, OwnCost, Stage, Terms
from lynchet.project.money import ItemPrice, Prices
from lynchet.project.sheet_block import SheetBlock
from lynchet.works.items import items
from lynchet.works.job import Job
from lynchet.works.stage import works

TERMS = Terms(
    valid_days=14,
    stages=(Stage("at signing", 0.3), Stage("walls up", 0.45), Stage("hand-over", 0.25)),
    exclusions=("engineer's fees",),
    travel_day_money=35.0,
    travel_once_money=110.0,
    bill_days=0.5,
    minimum_days=1.0,
)
"""INVENTED."""
OFFER = Offer(
    terms=TERMS,
    allowances=(AllowedFor("rock", "m3", cost_money=160.0), AllowedFor("root", "each", price_money=60.0)),
    costs=(OwnCost("digger", 2.0, "day", 420.0),),
    options=(OfferOption("seat cap", "a board", 12.0, "ft", cost_money=18.0),),
)


@cache
def every_price(times: float = 1.0) -> tuple[ItemPrice, ...]:
    """A price for everything an order list can hold, sticks by length. INVENTED: 7.77 each, work 41.30 an hour."""
    named = dict.fromkeys(items("metric"), 7.77) | {"labour": 41.3, "load_away": 310.0, "plant": 4.1}
    return (*(ItemPrice(key, times * money) for key, money in named.items()), ItemPrice("timber", times * 9.5, "m"))


def prices(**changed: Any) -> Prices:
    """All prices, with an overhead of 18 %, a profit of 10 % and a tax of 6.5 %."""
    return replace(Prices("USD", every_price(), 0.18, 0.10, 0.065), **changed)


def without(*gone: str) -> Prices:
    """The same with some prices left out."""
    return prices(items=tuple(one for one in every_price() if one.item not in gone))


def planned(money: Prices | None = None, offer: Offer = OFFER, name: str = "side_yard") -> Plan:
    """A demo planned with other money: only its last stage turns on it, so only that one runs again."""
    base = demo(name)
    sheet = SheetBlock(date="2027-03-12")
    project = replace(base.project, prices=money or prices(), offer=offer, sheet=sheet)
    job = Job(project, base.terraces, base.walls, base.water, base.stability, base.pieces, base.earth, base.timber,
              base.planted)  # fmt: skip
    return replace(base, project=project, works=works(job, full=False))
