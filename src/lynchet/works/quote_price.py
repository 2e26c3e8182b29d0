"""The price of a quote: overhead, profit on cost or price, minimum, rounding, stages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import Annotated, Any, Literal

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive, Words

SLACK = 1e-9
CENTS = 100.0
CENT_SLACK = 1e-7
"""Slack of a sum in hundredths (1e-9 of money)."""


@dataclass(frozen=True)
class CostPart:
    """One part of the direct cost."""

    name: str
    cost_money: NotNegative


@dataclass(frozen=True)
class Allowance:
    """A unit cost quoted for what is not known yet."""

    name: str
    unit_cost_money: NotNegative


@dataclass(frozen=True)
class QuotePrice:
    """Price with its parts."""

    direct_money: float
    overhead_money: float
    cost_money: float
    profit_money: float
    price_money: float
    minimum_applied: bool
    tax_money: float
    total_money: float
    profit_pct: float | None = None
    markup_pct: float | None = None
    allowance_price_money: list[float] | None = None
    stage_money: list[float] | None = None


def profit_factor(profit_pct: float, on_price: bool) -> float:
    """Price over cost for a profit in percent of the price, or of the cost."""
    return 1.0 / (1.0 - profit_pct / 100.0) if on_price else 1.0 + profit_pct / 100.0


def rounded(price_money: float, step_money: float | None, up: bool) -> float:
    """Price in whole steps, nearest (halves up) or up."""
    if step_money is None:
        return price_money
    steps = price_money / step_money
    return (ceil(steps - SLACK) if up else floor(steps + 0.5 + SLACK)) * step_money


def to_hundredth(money: float) -> float:
    """A sum to the hundredth, halves up (half the other way below nothing)."""
    return round(rounded(abs(money), 1.0 / CENTS, up=False), 2) * (1 if money >= 0 else -1)


def staged(total_money: float, stages_pct: Sequence[float]) -> list[float]:
    """Payments: each but the last cut down to hundredths, the last the rest."""
    first = [floor(total_money * share / 100.0 * CENTS + CENT_SLACK) / CENTS for share in stages_pct[:-1]]
    return [*first, total_money - sum(first)]


def _quote_steps(given: Mapping[str, Any], result: QuotePrice) -> list[Step]:
    on = given.get("profit_on", "price")
    steps = [
        Step("direct cost", "given, or sum of the parts", result.direct_money, "money"),
        Step("overhead", f"{given.get('overhead_pct', 0):g} percent of it", result.overhead_money, "money"),
        Step("cost", "both", result.cost_money, "money"),
        Step("price before tax", f"profit {given.get('profit_pct', 0):g} percent on {on}, minimum, rounding",
             result.price_money, "money"),
        Step("profit", "price - cost", result.profit_money, "money"),
        Step("tax", f"{given.get('tax_pct', 0):g} percent of the price", result.tax_money, "money"),
        Step("total", "price + tax", result.total_money, "money"),
    ]  # fmt: skip
    if result.stage_money is not None:
        steps += [Step("stage", f"{share:g} percent", money, "money")
                  for share, money in zip(given["stages_pct"], result.stage_money, strict=True)]  # fmt: skip
    return steps


@calculator(
    source="Markup and gross profit: engineeringtoolbox.com; markup and margin: contractorcfo.org; order PRACTICE",
    known="SEEN",
    example={"direct_money": 19570, "overhead_pct": 18, "profit_pct": 10, "stages_pct": [30, 40, 30]},
    working=_quote_steps,
)
def quote_price(
    *,
    direct_money: Annotated[NotNegative | None, Words("direct cost")] = None,
    parts: list[CostPart] | None = None,
    overhead_pct: NotNegative = 0.0,
    profit_pct: NotNegative = 0.0,
    profit_on: Literal["price", "cost"] = "price",
    minimum_money: NotNegative = 0.0,
    round_to_money: Positive | None = None,
    rounding: Literal["nearest", "up"] = "nearest",
    tax_pct: NotNegative = 0.0,
    allowances: list[Allowance] = [],  # noqa: B006 (never changed)
    stages_pct: list[NotNegative] = [],  # noqa: B006
) -> QuotePrice:
    """Price to quote for a job, with overhead, profit, minimum and payments.

    Equation: cost = direct + overhead; price = cost/(1 - profit/100) on price, cost x (1 + profit/100) on cost, at
    least the minimum, in whole steps; tax of the price; stages of the total, cut down to hundredths, the last the rest.

    Symbols: profit_on, what the profit is a percent of (10 % of the price is 11.1 % on the cost); allowances, unit
    costs for extras, priced by the same factors and not rounded.

    Limits: a cost that was forgotten comes wholly out of the profit; contingency and waste belong into direct.
    """
    refuse_if(
        (direct_money is None) == (parts is None), "direct_money or parts",
        "neither is given: give one" if parts is None else "both are given: give one", "exactly one of the two",
    )  # fmt: skip
    refuse_if(parts is not None and not parts, "parts", "no parts", "one or more")
    refuse_if(
        profit_on == "price" and profit_pct >= 100, "profit_pct", f"a profit of {profit_pct:g} percent on the price",
        "below 100",
    )  # fmt: skip
    total_pct = sum(stages_pct)
    refuse_if(
        bool(stages_pct) and abs(total_pct - 100.0) > SLACK, "stages_pct", f"the stages add to {total_pct:g}", "100"
    )
    direct = direct_money if direct_money is not None else sum(part.cost_money for part in parts or [])
    factor = profit_factor(profit_pct, profit_on == "price")
    cost = direct * (1.0 + overhead_pct / 100.0)
    plain = cost * factor
    lifted = plain < minimum_money - SLACK
    price = rounded(max(plain, minimum_money), round_to_money, lifted or rounding == "up")
    tax = tax_pct / 100.0 * price
    units = [allowance.unit_cost_money * (1.0 + overhead_pct / 100.0) * factor for allowance in allowances]
    return QuotePrice(
        direct_money=direct,
        overhead_money=cost - direct,
        cost_money=cost,
        profit_money=price - cost,
        price_money=price,
        minimum_applied=lifted,
        tax_money=tax,
        total_money=price + tax,
        profit_pct=100.0 * (price - cost) / price if price > 0 else None,
        markup_pct=100.0 * (price / direct - 1.0) if direct > 0 else None,
        allowance_price_money=units or None,
        stage_money=staged(price + tax, stages_pct) if stages_pct else None,
    )
