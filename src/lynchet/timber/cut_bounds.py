"""What no cutting can go below: by sheer length, and by patterns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, inf
from typing import Any

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative
from lynchet.timber.cut_orders import Kerf, Pieces, Sticks, Stocks, demand_of, sticks_of
from lynchet.timber.cut_programme import Programme, price_patterns
from lynchet.timber.first_fit import refuse_available


def length_bound(sticks: Sticks, demand: Mapping[int, int]) -> float:
    """All pieces with their kerf at the least price per length of stick."""
    return sticks.length_bound(sum(count * (length + sticks.kerf) for length, count in demand.items()))


def least_sticks(sticks: Sticks, demand: Mapping[int, int]) -> int:
    """All pieces with their kerf over the longest stick."""
    total = sum(count * (length + sticks.kerf) for length, count in demand.items())
    return ceil(total / max(sticks.room)) if total % max(sticks.room) else total // max(sticks.room)


def pattern_bound(sticks: Sticks, demand: Mapping[int, int], until: float = inf) -> float:
    """Optimum of the linear programme over every pattern of every stock."""
    lengths = tuple(sorted(demand, reverse=True))
    programme = Programme(sticks.unlimited(), lengths, tuple(demand[length] for length in lengths), exact=True)
    return price_patterns(programme, until).bound


@dataclass(frozen=True)
class CutBounds:
    """Lower bounds of a cutting."""

    length_bound_money: float
    pattern_bound_money: float
    least_sticks: int


def _bounds_steps(given: Mapping[str, Any], result: CutBounds) -> list[Step]:
    kerf, pieces, stock = given["kerf_m"], given["pieces"], given["stock"]
    spare = given.get("over_length_m", 0.0) - given.get("end_trim_m", 0.0)
    total = sum(piece.count * (piece.length_m + kerf) for piece in pieces)
    usable = [row for row in stock if row.length_m + spare > 0]
    best = min(usable, key=lambda row: row.price_money / (row.length_m + spare + kerf))
    longest = max(row.length_m for row in stock) + spare + kerf
    rate = f"{best.price_money:g}/({best.length_m + spare:g} + {kerf:g})"
    return [
        Step("all pieces, each with its saw cut", f"sum of count x (length + {kerf:g})", total, "m"),
        Step("cost by length alone", f"{total:.4g} x {rate}, the cheapest length", result.length_bound_money, "money"),
        Step("least sticks", f"{total:.4g}/{longest:.4g}, rounded up", result.least_sticks),
        Step("cost by every way to fill a stick", "parts of sticks allowed", result.pattern_bound_money, "money"),
    ]


@calculator(
    source="Gilmore and Gomory, 1961",
    known="SEEN",
    example={
        "stock": [{"length_m": 2.4, "price_money": 20.0}, {"length_m": 4.8, "price_money": 38.0}],
        "pieces": [{"length_m": 1.6, "count": 4}, {"length_m": 1.1, "count": 3}],
        "kerf_m": 0.005,
    },
    working=_bounds_steps,
)
def cut_bounds(
    *,
    stock: Stocks,
    pieces: Pieces,
    kerf_m: Kerf,
    end_trim_m: NotNegative = 0.0,
    over_length_m: NotNegative = 0.0,
) -> CutBounds:
    """Least that any cutting of a list can cost, and the least sticks.

    Equation: length bound = Σ count (p + k) x least price/(u + k); least sticks = Σ count (p + k)/(largest u + k),
    rounded up; pattern bound = optimum of the linear programme over all cutting patterns (a pattern may hold more of a
    piece than is asked), demand at least the count.

    Symbols: p piece, k kerf, u usable length of a stick.

    Limits: bounds for sticks as many as needed.
    """
    refuse_available(stock)
    sticks = sticks_of(stock, kerf_m, end_trim_m, over_length_m)
    demand = demand_of(pieces, sticks)
    return CutBounds(length_bound(sticks, demand), pattern_bound(sticks, demand), least_sticks(sticks, demand))
