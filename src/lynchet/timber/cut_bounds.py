"""What no cutting can go below: by sheer length, and by patterns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, inf

from lynchet.core.calculator import calculator
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


@calculator(
    source="Gilmore and Gomory, 1961",
    known="SEEN",
    example={
        "stock": [{"length_m": 2.4, "price_money": 20.0}, {"length_m": 4.8, "price_money": 38.0}],
        "pieces": [{"length_m": 1.6, "count": 4}, {"length_m": 1.1, "count": 3}],
        "kerf_m": 0.005,
    },
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
