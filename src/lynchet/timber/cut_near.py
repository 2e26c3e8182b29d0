"""Every pattern that can be part of a cutting cheaper than one known: few, once the linear bound is near.

The linear programme says what a piece of each length is worth. A pattern that costs more than its pieces are worth
loses the difference for good; a cutting loses the sum over its sticks, and that is its cost less the linear bound. So a
pattern that alone loses more than the best cutting known cannot be in a better one (reduced-cost fixing, as told by
Nemhauser and Wolsey 1988, II.5.2).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lynchet.timber.cut_programme import Pattern, Priced, Programme
from lynchet.timber.knapsack import fills

MOST_PATTERNS = 6000
"""With more the flow of cuts is the better model."""
_MOST_STEPS = 60_000
_SLACK = 1e-7


@dataclass(frozen=True)
class Worth:
    """What pieces are worth and sticks cost by the linear programme, so that no pattern is worth more than it costs."""

    piece: tuple[float, ...]
    """Of each length."""
    stick: tuple[float, ...]
    """Price of each stock with the toll on scarce ones."""
    bound: float
    """No cutting costs less."""


def worth_of(programme: Programme, priced: Priced) -> Worth:
    """The linear programme's values, made a little smaller where pricing was not taken to its end (Farley, 1990)."""
    sticks = programme.sticks
    stick = [price + toll for price, toll in zip(sticks.price, priced.toll.tolist(), strict=True)]
    weights = [length + sticks.kerf for length in programme.lengths]
    held = fills(weights, priced.values.tolist(), programme.limits(), max(sticks.room))
    most = [float(held.value[held.best(room)]) for room in sticks.room]
    over = max([1.0, *(value / cost for value, cost in zip(most, stick, strict=True) if cost > 0)])
    piece = tuple(float(value) / over for value in priced.values)
    rent = sum(toll * (count or 0) for toll, count in zip(priced.toll.tolist(), sticks.available, strict=True))
    bound = sum(value * count for value, count in zip(piece, programme.asked, strict=True)) - rent
    return Worth(piece, tuple(stick), bound)


def near_patterns(programme: Programme, worth: Worth, loss: float, most: int = MOST_PATTERNS) -> list[Pattern] | None:
    """Patterns that lose at most this much; None when there are too many to list.

    Args:
        programme: without choices, its patterns proper.
        worth: of pieces and sticks.
        loss: price of the stick less the worth of its pieces, at most.
        most: patterns listed.
    """
    sticks, count = programme.sticks, len(programme.lengths)
    weights, limits = [length + sticks.kerf for length in programme.lengths], programme.limits()
    rates = [value / weight for value, weight in zip(worth.piece, weights, strict=True)]
    rate = [0.0, *np.maximum.accumulate(rates[::-1]).tolist()][::-1]  # best worth of a length from each piece on
    rooms = sorted(zip(sticks.room, worth.stick, range(len(sticks.room)), strict=True))
    found: list[Pattern] = []
    stack: list[tuple[int, int, float, tuple[tuple[int, int], ...]]] = [(0, 0, 0.0, ())]
    steps = 0
    while stack:
        first, load, value, held = stack.pop()
        steps += 1
        if held:
            found += _patterns(rooms, (load, value, held), count, loss, sticks.limited)
        if len(found) > most or steps > _MOST_STEPS:
            return None
        for piece in range(first, count):
            for times in range(1, limits[piece] + 1):
                more, worthy = load + times * weights[piece], value + times * worth.piece[piece]
                if more > rooms[-1][0]:
                    break
                if any(room >= more and worthy + (room - more) * rate[piece + 1] >= cost - loss - _SLACK
                       for room, cost, _ in rooms):  # fmt: skip
                    stack.append((piece + 1, more, worthy, (*held, (piece, times))))
    return found


def _patterns(
    rooms: list[tuple[int, float, int]], what: tuple[int, float, tuple[tuple[int, int], ...]], count: int, loss: float,
    every: bool,
) -> list[Pattern]:  # fmt: skip
    """One load on the cheapest stick that holds it; where sticks may run out on every stick."""
    load, value, held = what
    fitting = [(cost, stock) for room, cost, stock in rooms if room >= load]
    fitting = fitting if every else [min(fitting)]
    stocks = [stock for cost, stock in fitting if cost - value <= loss + _SLACK]
    if not stocks:
        return []
    pieces = [0] * count
    for piece, times in held:
        pieces[piece] = times
    return [(stock, tuple(pieces)) for stock in stocks]
