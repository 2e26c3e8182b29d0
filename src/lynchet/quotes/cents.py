"""Money in whole hundredths, so that what stands on a page adds up to the last of them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

from lynchet.works.quote_price import CENTS, to_hundredth

CENT = 1.0 / CENTS


def cents(money: float) -> int:
    """A sum in whole hundredths, halves up (half the other way below nothing)."""
    return round(to_hundredth(money) * CENTS)


def money_of(hundredths: int) -> float:
    """Whole hundredths as money."""
    return hundredths / CENTS


def shared_out(total: int, weights: Sequence[int]) -> list[int]:
    """A sum in hundredths shared out by weights: the parts make the whole, each less than one away from its share.

    Sums from the first part on are rounded, halves up; a part is what its sum has more than the one before. So a
    spreadsheet can do the same with one formula a row.

    Args:
        total: not negative.
        weights: not negative; all nothing gives all of it to the first.
    """
    whole = sum(weights)
    if whole <= 0:
        return [total, *[0] * (len(weights) - 1)] if weights else []
    sums = [(2 * total * sofar + whole) // (2 * whole) for sofar in accumulate(weights)]
    return [after - before for before, after in pairwise([0, *sums])]
