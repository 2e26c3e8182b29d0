"""Which supplier gets which line of an order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from annotated_types import Len
from numpy.typing import NDArray

from lynchet.core.calculator import calculator, refuse, refuse_if
from lynchet.core.kinds import Count, NotNegative, Words

Array = NDArray[np.float64]
SLACK = 1e-9


@dataclass(frozen=True)
class QuoteItem:
    """One line of the order."""

    name: str
    quantity: NotNegative = 1.0


@dataclass(frozen=True)
class Supplier:
    """One supplier's answer."""

    name: str
    prices_money: list[float]
    """Unit price of each item; a negative one is not sold."""
    delivery_money: NotNegative = 0.0
    free_from_money: Annotated[NotNegative | None, Words("free delivery from")] = None
    minimum_money: Annotated[NotNegative, Words("smallest order for a delivery")] = 0.0


@dataclass(frozen=True)
class QuoteSplit:
    """The cheapest split."""

    cost_money: float
    goods_money: float
    delivery_money: float
    supplier_of: list[str]
    suppliers_used: int
    single_money: list[float]
    """All from one supplier, -1 where that is not possible."""
    saving_money: float | None = None


@dataclass(frozen=True)
class Offers:
    """Prices of whole lines: (items, suppliers), infinite where not sold; charges by supplier."""

    line_money: Array
    delivery: Array
    free_from: Array
    """Infinite where delivery is never free."""
    minimum: Array

    def charges(self, chosen: Sequence[int]) -> tuple[float, float] | None:
        """Goods and delivery of a split (supplier of each line); None where an order is under its minimum."""
        goods = np.zeros(len(self.delivery))
        for item, supplier in enumerate(chosen):
            goods[supplier] += self.line_money[item, supplier]
        used = np.isin(np.arange(len(goods)), list(chosen))
        if bool((used & (goods < self.minimum - SLACK)).any()) or not np.isfinite(goods).all():
            return None
        paid = used & (goods < self.free_from - SLACK)
        return float(goods.sum()), float(self.delivery[paid].sum())


def cheapest_split(offers: Offers, most_suppliers: int) -> list[int] | None:
    """Supplier of each line at least cost (kernel: integer programme); None where no split is allowed.

    A split that the solver's tolerances let through but that breaks a limit, or misses a free delivery, is cut off
    and the programme solved again.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    items, suppliers = offers.line_money.shape
    cost, rows, low, high = _programme(offers, most_suppliers)
    ceiling = np.ones(len(cost))
    ceiling[: items * suppliers] = np.isfinite(offers.line_money).ravel()
    ceiling[items * suppliers + suppliers :] = np.isfinite(offers.free_from)
    best: list[int] | None = None
    best_cost = np.inf
    for _ in range(200):
        found = milp(
            cost, integrality=np.ones(len(cost)), bounds=Bounds(0, ceiling),
            constraints=LinearConstraint(rows, low, high), options={"mip_rel_gap": 0.0},
        )  # fmt: skip
        if found.x is None or found.fun >= best_cost - SLACK:
            return best
        taken = found.x[: items * suppliers].reshape(items, suppliers)
        chosen = [int(place) for place in taken.argmax(axis=1)]
        charges = offers.charges(chosen)
        if charges is not None and sum(charges) < best_cost:
            best, best_cost = chosen, sum(charges)
        cut = np.zeros((1, len(cost)))
        cut[0, [item * suppliers + place for item, place in enumerate(chosen)]] = 1.0
        rows = np.concatenate([rows, cut])
        low, high = np.append(low, -np.inf), np.append(high, items - 1.0)
        if charges is not None and found.fun >= best_cost - 1e-6 - 1e-9 * abs(best_cost):
            return best
    return best


def _programme(offers: Offers, most: int) -> tuple[Array, Array, Array, Array]:
    """Cost, rows and their limits. Columns: line by supplier, supplier used, supplier's delivery free."""
    items, suppliers = offers.line_money.shape
    price = np.where(np.isfinite(offers.line_money), offers.line_money, 0.0)
    count = items * suppliers
    cost = np.concatenate([price.ravel(), offers.delivery, -offers.delivery])
    rows, low, high = [], [], []

    def add(places: Sequence[int], values: Sequence[float], least: float, most_: float) -> None:
        row = np.zeros(len(cost))
        row[list(places)] = values
        rows.append(row)
        low.append(least)
        high.append(most_)

    for item in range(items):
        line = range(item * suppliers, (item + 1) * suppliers)
        add(line, [1.0] * suppliers, 1.0, 1.0)
        for supplier in range(suppliers):
            add([item * suppliers + supplier, count + supplier], [1.0, -1.0], -np.inf, 0.0)
    for supplier in range(suppliers):
        column = [item * suppliers + supplier for item in range(items)]
        used, free = count + supplier, count + suppliers + supplier
        add([free, used], [1.0, -1.0], -np.inf, 0.0)
        add([*column, used], [*price[:, supplier], -offers.minimum[supplier]], 0.0, np.inf)
        if np.isfinite(offers.free_from[supplier]):
            add([*column, free], [*price[:, supplier], -offers.free_from[supplier]], 0.0, np.inf)
    add(range(count, count + suppliers), [1.0] * suppliers, -np.inf, float(min(most, suppliers)))
    return cost, np.array(rows), np.array(low), np.array(high)


@calculator(
    source="Facility location without capacities as in the OR-Library (cap71), integer programme; enumeration",
    known="SEEN",
    example={
        "items": [{"name": "timber"}, {"name": "stone"}],
        "suppliers": [
            {"name": "Yard A", "prices_money": [620, 155], "delivery_money": 45},
            {"name": "Yard B", "prices_money": [655, 130], "delivery_money": 30, "free_from_money": 700},
        ],
    },
)
def quote_split(
    *,
    items: Annotated[list[QuoteItem], Len(1)],
    suppliers: Annotated[list[Supplier], Len(1)],
    max_suppliers: Count | None = None,
) -> QuoteSplit:
    """Which supplier should deliver which item, at least cost with delivery.

    Equation: least sum of quantity x price plus the delivery of each supplier used.

    Symbols: prices_money, a unit price for each item, negative where not sold; free_from_money, goods total from which
    delivery is free; minimum_money, smallest order; single_money, all from one supplier, -1 where impossible.

    Limits: each item wholly from one supplier; a price of 0 is a gift. Proven least; of equal splits any.
    """
    for place, supplier in enumerate(suppliers):
        refuse_if(
            len(supplier.prices_money) != len(items), f"suppliers[{place}].prices_money",
            f"{len(supplier.prices_money)} prices for {len(items)} items", "one for each item",
        )  # fmt: skip
    unit = np.array([supplier.prices_money for supplier in suppliers], dtype=float).T
    for item, prices in zip(items, unit, strict=True):
        refuse_if(bool((prices < 0).all()), "suppliers", f"{item.name!r} is sold by nobody", "one price at least")
    amounts = np.array([item.quantity for item in items])[:, None]
    offers = Offers(
        np.where(unit < 0, np.inf, unit * amounts),
        np.array([supplier.delivery_money for supplier in suppliers], dtype=float),
        np.array([np.inf if s.free_from_money is None else s.free_from_money for s in suppliers], dtype=float),
        np.array([supplier.minimum_money for supplier in suppliers], dtype=float),
    )
    chosen = cheapest_split(offers, len(suppliers) if max_suppliers is None else max_suppliers)
    charges = None if chosen is None else offers.charges(chosen)
    if chosen is None or charges is None:
        raise refuse("suppliers", "no split keeps every minimum and max_suppliers", "smaller minimum orders, or more")
    singles = [offers.charges([place] * len(items)) for place in range(len(suppliers))]
    single = [-1.0 if money is None else sum(money) for money in singles]
    alone = [money for money in single if money >= 0]
    return QuoteSplit(
        cost_money=sum(charges),
        goods_money=charges[0],
        delivery_money=charges[1],
        supplier_of=[suppliers[place].name for place in chosen],
        suppliers_used=len(set(chosen)),
        single_money=single,
        saving_money=min(alone) - sum(charges) if alone else None,
    )
