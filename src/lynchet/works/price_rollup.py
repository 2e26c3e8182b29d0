"""From quantities to a price: waste, packs, discounts, labour, overhead, contingency, tax."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from typing import Annotated, Any, Literal

from annotated_types import Ge, Le, Len

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive, Words

SLACK = 1e-9
Sum = Annotated[NotNegative, Words("percent, hours or sum of money")]


@dataclass(frozen=True)
class PricedItem:
    """One line of an order."""

    name: str
    quantity: NotNegative
    waste_pct: NotNegative = 0.0
    pack: Positive | None = None
    price_money: NotNegative | None = None
    """Per unit."""
    pack_price_money: NotNegative | None = None
    discount_pct: Annotated[float, Ge(0), Le(100)] = 0.0
    taxable: bool = True


@dataclass(frozen=True)
class PriceRollup:
    """Amounts by line and in all."""

    need: list[float]
    packs: list[int]
    bought: list[float]
    item_money: list[float]
    materials_money: float
    labour_money: float
    net_money: float
    overhead_money: float
    contingency_money: float
    tax_money: float
    total_money: float


def whole_packs(need: float, pack: float) -> int:
    """Packs that cover a need."""
    return max(ceil(need / pack - SLACK), 0)


def line_amounts(item: PricedItem) -> tuple[float, int, float, float]:
    """Need, packs, amount bought and price of one line."""
    need = item.quantity * (1.0 + item.waste_pct / 100.0)
    packs = 0 if item.pack is None else whole_packs(need, item.pack)
    bought = need if item.pack is None else packs * item.pack
    full = bought * item.price_money if item.price_money is not None else packs * (item.pack_price_money or 0.0)
    return need, packs, bought, full * (1.0 - item.discount_pct / 100.0)


def _rollup_steps(given: Mapping[str, Any], result: PriceRollup) -> list[Step]:
    steps = [
        Step(item.name, f"need {need:.4g}, bought {bought:.4g}", money, "money")
        for item, need, bought, money in zip(given["items"], result.need, result.bought, result.item_money, strict=True)
    ]
    return [
        *steps,
        Step("materials", "sum", result.materials_money, "money"),
        Step("labour", "hours x rate", result.labour_money, "money"),
        Step("net", "materials, delivery, labour", result.net_money, "money"),
        Step("overhead", f"{given.get('overhead_pct', 0):g} percent of net", result.overhead_money, "money"),
        Step("contingency", f"{given.get('contingency_pct', 0):g} percent of both", result.contingency_money, "money"),
        Step("tax", f"{given.get('tax_pct', 0):g} percent of {given.get('tax_on', 'materials')}", result.tax_money,
             "money"),
        Step("total", "sum", result.total_money, "money"),
    ]  # fmt: skip


@calculator(
    source="Estimating example on a public page; order of the steps PRACTICE",
    known="SEEN",
    example={
        "items": [
            {"name": "timber 2.4 m", "quantity": 38, "waste_pct": 5, "price_money": 14.5},
            {"name": "screws", "quantity": 410, "waste_pct": 10, "pack": 50, "pack_price_money": 11.9},
        ],
        "labour_h": 26, "labour_rate_money": 32, "contingency_pct": 10, "tax_pct": 7,
    },
    working=_rollup_steps,
)  # fmt: skip
def price_rollup(
    *,
    items: Annotated[list[PricedItem], Len(1)],
    delivery_money: Sum = 0.0,
    labour_h: Sum = 0.0,
    labour_rate_money: Sum = 0.0,
    overhead_pct: NotNegative = 0.0,
    contingency_pct: NotNegative = 0.0,
    tax_pct: NotNegative = 0.0,
    tax_on: Literal["materials", "whole"] = "materials",
    delivery_taxed: bool = False,
) -> PriceRollup:
    """Price of an order list with waste, packs, labour, overhead and tax.

    Equation: need = quantity x (1 + waste/100); packs rounded up; item = bought x price x (1 - discount/100); net =
    materials + delivery + labour; overhead of net; contingency of net + overhead; tax of the taxable items (and
    delivery if delivery_taxed), or of the whole; total = their sum.

    Symbols: price_money, per unit, or pack_price_money, per pack; tax_on "materials" for sales tax, "whole" for
    value-added tax.

    Limits: exactly one form of price for each item; a pack price needs its pack.
    """
    for place, item in enumerate(items):
        key = f"items[{place}]"
        prices = (item.price_money is not None) + (item.pack_price_money is not None)
        refuse_if(
            prices != 1, key, "no price" if prices == 0 else "both forms of price",
            "exactly one of price_money and pack_price_money",
        )  # fmt: skip
        refuse_if(
            item.pack_price_money is not None and item.pack is None, f"{key}.pack", "a price per pack without the pack",
            "how much a pack holds",
        )  # fmt: skip
    lines = [line_amounts(item) for item in items]
    money = [line[3] for line in lines]
    materials, labour = sum(money), labour_h * labour_rate_money
    net = materials + delivery_money + labour
    overhead = overhead_pct / 100.0 * net
    contingency = contingency_pct / 100.0 * (net + overhead)
    taxed = sum(amount for item, amount in zip(items, money, strict=True) if item.taxable)
    base = taxed + delivery_money * delivery_taxed if tax_on == "materials" else net + overhead + contingency
    tax = tax_pct / 100.0 * base
    return PriceRollup(
        need=[line[0] for line in lines],
        packs=[line[1] for line in lines],
        bought=[line[2] for line in lines],
        item_money=money,
        materials_money=materials,
        labour_money=labour,
        net_money=net,
        overhead_money=overhead,
        contingency_money=contingency,
        tax_money=tax,
        total_money=net + overhead + contingency + tax,
    )
