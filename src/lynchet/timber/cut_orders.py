"""An order of pieces and the sticks a yard sells, in whole hundredths of a millimetre."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, gcd
from typing import Annotated

from annotated_types import Ge, Le, Len

from lynchet.core.calculator import refuse_if
from lynchet.core.kinds import Count, NotNegative, Positive, Whole, Words

UNIT_M = 1e-5
"""Lengths are compared in 0.01 mm, rounded once on entry."""
PER_M = 100_000

Kerf = Annotated[float, Ge(0), Le(0.02)]


@dataclass(frozen=True)
class Stock:
    """A length the yard sells."""

    length_m: Annotated[Positive, Words("stock length")]
    price_money: NotNegative
    available: Annotated[Whole, Ge(0)] | None = None
    """Sticks on hand; None = as many as needed."""


@dataclass(frozen=True)
class Piece:
    """Pieces of one length."""

    length_m: Annotated[Positive, Words("piece length")]
    count: Count = 1


Stocks = Annotated[list[Stock], Len(1)]
Pieces = Annotated[list[Piece], Len(1)]


@dataclass(frozen=True)
class Sticks:
    """Stock as the solvers take it: every piece and every usable stick is lengthened by one kerf.

    Then a stick holds pieces when the sum of (length + kerf) is at most its room.
    """

    length: tuple[int, ...]
    """Nominal, bought."""
    room: tuple[int, ...]
    """Usable length + kerf."""
    price: tuple[float, ...]
    available: tuple[int | None, ...]
    kerf: int

    @property
    def longest(self) -> int:
        """Longest piece that any stick yields."""
        return max(self.room) - self.kerf

    @property
    def limited(self) -> bool:
        """Whether some stock may run out."""
        return any(count is not None for count in self.available)

    def unlimited(self) -> Sticks:
        """The same lengths with as many sticks as needed."""
        return Sticks(self.length, self.room, self.price, (None,) * len(self.price), self.kerf)

    def cheapest_for(self, load: int) -> int | None:
        """Cheapest stock that holds a load of (length + kerf); of equal prices the shorter; None when none does."""
        fitting = [s for s in range(len(self.room)) if self.room[s] >= load]
        return min(fitting, key=lambda s: (self.price[s], self.length[s])) if fitting else None

    def length_bound(self, total: int) -> float:
        """Least that pieces of this length in all, each with its kerf, can cost: at the least price per length."""
        rates = [price / room for price, room in zip(self.price, self.room, strict=True) if room > self.kerf]
        return total * min(rates)

    def cost(self, counts: Sequence[int]) -> float:
        """Price of these counts of each stock, summed in millionths so that cents stay cents."""
        return sum(count * round(price * 1e6) for count, price in zip(counts, self.price, strict=True)) / 1e6


def units(length_m: float) -> int:
    """Metres in hundredths of a millimetre."""
    return round(length_m * PER_M)


def metres(length: int) -> float:
    """Hundredths of a millimetre in metres."""
    return length / PER_M


def sticks_of(stock: Sequence[Stock], kerf_m: float, end_trim_m: float, over_length_m: float) -> Sticks:
    """The stock in whole units.

    Raises:
        InputError: the same length twice, or no stick of which anything is left after the trim.
    """
    lengths = [units(row.length_m) for row in stock]
    twice = sorted(metres(length) for length, count in Counter(lengths).items() if count > 1)
    refuse_if(bool(twice), "stock", f"duplicate stock length {twice[0] if twice else 0:g} m found", "each length once")
    kerf = units(kerf_m)
    spare = units(over_length_m) - units(end_trim_m)
    room = tuple(max(length + spare, 0) + kerf for length in lengths)
    refuse_if(
        max(room) <= kerf,
        "end_trim_m",
        "a trim that leaves nothing of any stock found: every piece is longer",
        "less than the stock",
    )
    return Sticks(
        tuple(lengths), room, tuple(row.price_money for row in stock), tuple(row.available for row in stock), kerf
    )


def demand_of(pieces: Iterable[Piece], sticks: Sticks, key: str = "pieces") -> dict[int, int]:
    """Counts by length, longest first.

    Raises:
        InputError: a piece is longer than any usable stock.
    """
    counts: Counter[int] = Counter()
    for piece in pieces:
        counts[units(piece.length_m)] += piece.count
    too_long = [length for length in counts if length > sticks.longest]
    refuse_if(
        bool(too_long),
        key,
        f"a piece of {metres(max(too_long, default=0)):g} m is longer than any usable stock",
        f"up to {metres(sticks.longest):g} m",
    )
    return dict(sorted(counts.items(), reverse=True))


def price_step(prices: Sequence[float]) -> float:
    """Greatest common measure of the prices; every cost is a multiple of it. 0 when none is found to a millionth."""
    for digits in range(7):
        scaled = [price * 10**digits for price in prices]
        whole = [round(price) for price in scaled]
        if all(abs(price - near) < _same(price) for price, near in zip(scaled, whole, strict=True)):
            return gcd(*whole) / float(10**digits)
    return 0.0


def _same(price: float) -> float:
    """What floats may add to a price in small money; never so much that any price would count as whole."""
    return min(1e-3, 1e-9 * max(1.0, abs(price)))


def raised(bound: float, step: float) -> float:
    """A lower bound lifted to the next multiple of the step; what rounding of floats may have added is taken off."""
    if step <= 0.0:
        return max(bound - 1e-9 * abs(bound), 0.0)
    steps = bound / step
    return round(ceil(steps - 1e-6 - 1e-9 * steps) * step, 6)
