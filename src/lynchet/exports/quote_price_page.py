"""The first page of the quote's spreadsheet: from cost to price, what is left if the job runs over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lynchet.exports.xlsx_pages import FIRST
from lynchet.plan.model import Plan
from lynchet.quotes.model import Quote
from lynchet.quotes.own_copy import KINDS

HOUR = {"rate": "$B$4", "crew": "$B$5", "day": "$B$6", "step": "$B$7", "least": "$B$8"}
"""Cells of the hours' settings on this page."""
_CENT = 0.01
TIE = "0.0000000001"
"""Added before rounding: a half that binary numbers make a hair less still goes up, in every spreadsheet program."""
Cell = tuple[str, str, Any, str, str]
"""Name, label, number or formula (with the value it carries), look, remark."""


@dataclass(frozen=True)
class Rows:
    """Last rows of the pages the price reads."""

    cost: int
    task: int
    hours: int

    def of_kind(self, kind: str) -> str:
        """Money of one kind of cost line."""
        span = f"'Cost lines'!$A${FIRST}:$A${self.cost}"
        return f"SUMIF({span},\"{kind}\",'Cost lines'!$F${FIRST}:$F${self.cost})"

    def of_part(self, key: str) -> str:
        """Direct cost of one part of the work; ``key`` is the cell that names it."""
        cost = f"SUMIF('Cost lines'!$G${FIRST}:$G${self.cost},{key},'Cost lines'!$F${FIRST}:$F${self.cost})"
        return f"{cost}+SUMIF(Hours!$L${FIRST}:$L${self.hours},{key},Hours!$K${FIRST}:$K${self.hours})"

    @property
    def work(self) -> str:
        """Money of all hours."""
        return f"SUM(Hours!$K${FIRST}:$K${self.hours})"

    @property
    def unpriced(self) -> str:
        """Cost lines without a price."""
        return f"COUNTBLANK('Cost lines'!$E${FIRST}:$E${self.cost})"


def price_page(page: Any, plan: Plan, quote: Quote, given: tuple[Rows, dict[str, Any]]) -> dict[str, str]:
    """Write the page; gives the cells that other pages read, by name."""
    rows, looks = given
    at: dict[str, str] = {}
    row = FIRST
    for make in (_settings, _costs, _price, _after):
        for name, label, value, look, note in make(plan, quote, rows, at):
            at[name] = f"$B${row}"
            strong = looks["strong"] if look == "total" else None
            page.write(row - 1, 0, label, strong)
            if isinstance(value, tuple):
                page.write_formula(row - 1, 1, value[0], looks[look], value[1])
            elif value is None:
                page.write_blank(row - 1, 1, None, looks[look])
            else:
                page.write_number(row - 1, 1, value, looks[look])
            page.write(row - 1, 2, note, looks["remark"])
            row += 1
    return at


def _settings(plan: Plan, quote: Quote, rows: Rows, at: dict[str, str]) -> Iterator[Cell]:
    """Must stand first, in this order: ``HOUR`` says where."""
    terms, wish = plan.project.offer.terms, plan.project.works
    yield "rate", "Money for one hour of one person", plan.works.price.hour_money, "mine", "empty: no price for work"
    yield "crew", "People", float(wish.crew), "mine_count", "they work together"
    yield "day", "Hours in a day", wish.day_h, "mine", ""
    yield "step", "Crew days go to whole steps of", terms.bill_days, "mine", "empty: hours as they come"
    yield "least", "Fewest crew days charged", terms.minimum_days, "mine", ""


def _costs(plan: Plan, quote: Quote, rows: Rows, at: dict[str, str]) -> Iterator[Cell]:
    first = FIRST + len(HOUR)
    for kind, name in KINDS:
        value = sum(line.cents or 0 for line in quote.lines if line.kind == kind) / 100
        formula = rows.work if kind == "labour" else rows.of_kind(name)
        note = "sum of the page Hours" if kind == "labour" else "sum of its lines on the page Cost lines"
        yield kind, name, (f"={formula}", value), "money", note
    yield ("direct", "Direct cost", (f"=SUM(B{first}:B{first + len(KINDS) - 1})", quote.sums.direct / 100), "total",
           "all of these")  # fmt: skip
    unpriced = sum(line.cents is None for line in quote.lines if line.kind != "labour")
    work = int(any(line.cents is None for line in quote.lines if line.kind == "labour"))
    missing = f'={rows.unpriced}+IF({at["rate"]}="",1,0)'
    yield "unpriced", "Lines without a price", (missing, unpriced + work), "count", "none of the sums below hides them"
    said = "NOT COMPLETE" if unpriced + work else "complete"
    yield ("complete", "So these sums are", (f'=IF({at["unpriced"]}>0,"NOT COMPLETE","complete")', said),
           "note", "")  # fmt: skip


def _price(plan: Plan, quote: Quote, rows: Rows, at: dict[str, str]) -> Iterator[Cell]:
    prices, terms, sums = plan.project.prices, plan.project.offer.terms, quote.sums
    direct = at["direct"]
    yield "overhead share", "Overhead, share of the direct cost", prices.overhead, "share", "office, vehicles, tools"
    overhead = f"=ROUND({direct}*{at['overhead share']}+{TIE},2)"
    yield "overhead", "Overhead", (overhead, sums.overhead / 100), "money", ""
    yield "profit share", "Profit, share of the price", prices.profit, "share", "what is left when all is paid"
    yield "least job", "Smallest job", terms.minimum_money, "mine", "the price goes up to it"
    step = terms.round_to_money or _CENT
    yield "round", "The price goes to whole steps of", step, "mine", ""
    up = float(terms.rounding == "up")
    yield (
        "up",
        "1: always up; 0: to the nearest step",
        up,
        "mine_count",
        "up where the nearest is under the smallest",
    )
    plain_now = sums.direct / 100 * (1 + prices.overhead) / (1 - prices.profit)
    plain = f"={direct}*(1+{at['overhead share']})/(1-{at['profit share']})"
    yield "plain", "Before smallest job and steps", (plain, plain_now), "money", "direct cost, overhead and profit"
    steps = f"{at['plain']}/{at['round']}"
    near = f"IF({at['up']}=1,ROUNDUP(ROUND({steps},9),0),ROUND({steps}+{TIE},0))*{at['round']}"
    lifted = f"ROUNDUP(ROUND(MAX({at['plain']},{at['least job']})/{at['round']},9),0)*{at['round']}"
    price = f"=ROUND(IF({near}<{at['least job']},{lifted},{near}),2)"
    yield "price", "Price before tax", (price, sums.price / 100), "total", ""
    profit = f"={at['price']}-{direct}-{at['overhead']}"
    yield "profit", "Profit", (profit, sums.profit / 100), "money", "price less direct cost and overhead"


def _after(plan: Plan, quote: Quote, rows: Rows, at: dict[str, str]) -> Iterator[Cell]:
    prices, terms, sums, over = plan.project.prices, plan.project.offer.terms, quote.sums, quote.over
    yield "tax share", "Tax, share of the price", prices.tax, "share", "as your place asks"
    yield "tax", "Tax", (f"=ROUND({at['price']}*{at['tax share']}+{TIE},2)", sums.tax / 100), "money", ""
    yield "total", "Total", (f"={at['price']}+{at['tax']}", sums.total / 100), "total", ""
    yield "over", "What if it runs over by, share of the direct cost", terms.run_over, "share", ""
    more = f"=ROUND({at['direct']}*{at['over']}+{TIE},2)"
    yield "more", "Then it costs more", (more, over.more / 100), "money", ""
    left = f"={at['profit']}-{at['more']}"
    yield "left", "And of the profit is left", (left, over.profit / 100), "money", "below nothing: a loss"
