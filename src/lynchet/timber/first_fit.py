"""The habit of the trade: longest piece first, each into the first stick that still takes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative
from lynchet.timber.cut_orders import Kerf, Pieces, Sticks, Stock, Stocks, demand_of, metres, sticks_of


def first_fit(sticks: Sticks, demand: Mapping[int, int], swap_down: bool = True) -> list[tuple[int, list[int]]]:
    """Stock and pieces of every stick opened, in order.

    Args:
        sticks: the stock; how many are on hand is not looked at.
        demand: counts by length, none longer than the longest usable stock.
        swap_down: let every stick become the cheapest stock that holds its load.
    """
    largest = max(range(len(sticks.room)), key=lambda s: sticks.room[s])
    loads: list[int] = []
    held: list[list[int]] = []
    for length in sorted(demand, reverse=True):
        need, place = length + sticks.kerf, 0
        for _ in range(demand[length]):
            while place < len(loads) and loads[place] + need > sticks.room[largest]:
                place += 1  # a stick that refused this length will refuse the next of the same length too
            if place == len(loads):
                loads.append(0)
                held.append([])
            loads[place] += need
            held[place].append(length)
    stock = [largest] * len(loads)
    if swap_down:
        cheapest = [sticks.cheapest_for(load) for load in loads]
        stock = [largest if found is None else found for found in cheapest]
    return list(zip(stock, held, strict=True))


def refuse_available(stock: list[Stock]) -> None:
    """Some calculators take sticks as needed and refuse a count of them."""
    given = [row.available for row in stock if row.available is not None]
    refuse_if(bool(given), "stock", f"available {given[0] if given else 0} found", "left out, sticks are not counted")


@dataclass(frozen=True)
class FirstFit:
    """Sticks of the habit."""

    cost_money: float
    sticks: list[int]
    """Count of each stock, in the order given."""
    sticks_total: int
    bought_m: float
    waste_m: float
    layout_m: list[list[float]]
    """Pieces of each stick."""


def _first_fit_steps(given: Mapping[str, Any], result: FirstFit) -> list[Step]:
    steps = [
        Step(f"stick {number}", "pieces in the order cut, m", " + ".join(f"{piece:g}" for piece in pieces))
        for number, pieces in enumerate(result.layout_m, start=1)
    ]
    return [*steps, Step("cost", "sum of the sticks' prices", result.cost_money, "money")]


@calculator(
    source="First-fit-decreasing, common practice; see Johnson, 1973",
    known="PRACTICE",
    example={
        "stock": [{"length_m": 2.4, "price_money": 20.0}, {"length_m": 4.8, "price_money": 43.5}],
        "pieces": [{"length_m": 1.8, "count": 2}, {"length_m": 1.3, "count": 3}],
        "kerf_m": 0.003,
    },
    working=_first_fit_steps,
)
def first_fit_cuts(
    *,
    stock: Stocks,
    pieces: Pieces,
    kerf_m: Kerf,
    end_trim_m: NotNegative = 0.0,
    over_length_m: NotNegative = 0.0,
    swap_down: bool = True,
) -> FirstFit:
    """Cut a list the way it is done on site, longest piece first.

    Equation: pieces longest first, each into the first opened stick that still takes it; a new stick is of the longest
    usable stock; then every stick becomes the cheapest stock that holds its load (of equal prices the shorter).

    Symbols: usable length = length + over_length - end_trim; n pieces fit when their sum + (n - 1) kerf is within it.

    Limits: sticks as many as needed. Not the least cost: see `cut_stock`.
    """
    refuse_available(stock)
    sticks = sticks_of(stock, kerf_m, end_trim_m, over_length_m)
    demand = demand_of(pieces, sticks)
    cut = first_fit(sticks, demand, swap_down)
    counts = [sum(1 for used, _ in cut if used == s) for s in range(len(stock))]
    bought = sum(count * length for count, length in zip(counts, sticks.length, strict=True))
    ordered = sum(length * count for length, count in demand.items())
    return FirstFit(
        cost_money=sticks.cost(counts),
        sticks=counts,
        sticks_total=len(cut),
        bought_m=metres(bought),
        waste_m=metres(bought - ordered),
        layout_m=[[metres(length) for length in held] for _, held in cut],
    )
