"""How far grown a plant is some years after planting. PRACTICE: gardens differ by half and more."""

from __future__ import annotations

from lynchet.planting.care import FIRST_YEAR

_AT_ONCE = frozenset({"annual", "vegetable"})
_SLOW = frozenset({"shrub", "small fruit", "vine"})
GROWN_YEARS = 3.0
"""Perennials, grasses and ground covers planted from pots fill their place in the third year. PRACTICE."""
SLOW_YEARS = 8.0
"""Shrubs, small fruit and climbers. PRACTICE."""


def grown_share(kind: str, years: float) -> float:
    """Height and spread over those of the grown plant.

    Args:
        kind: type of the plant as in the plant table: annual, perennial, shrub.
        years: since planting, 1 or more; between the first year and the last the share rises evenly.
    """
    if kind in _AT_ONCE:
        return 1.0
    last = SLOW_YEARS if kind in _SLOW else GROWN_YEARS
    share = FIRST_YEAR + (1.0 - FIRST_YEAR) * (years - 1.0) / (last - 1.0)
    return min(1.0, max(FIRST_YEAR, share))
