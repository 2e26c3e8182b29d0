"""The true distribution of a sum of independent items, some of which jump and some of which spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from lynchet.works.uncertain_items import UncertainItem

Array = NDArray[np.float64]
SLACK = 1e-9
CELLS_PER_SD = 1000
MOST_CELLS = 2**21
MOST_ATOMS = 4096
HEAVY = 1e-4
"""An atom of this chance or more is never merged with another."""
NEAR_SD = 2e-4
"""Light atoms within this share of the standard deviation are merged when there are too many."""


@dataclass(frozen=True)
class SumDistribution:
    """Distribution of the sum: jumps of the items that come or not, and a spread on a grid beside them."""

    jumps: Array
    """Values of the jumping part, rising."""
    chances: Array
    """Chance of each."""
    still: float
    """Chance that none of the spreading items comes."""
    edges: Array
    """Edges of the cells of the spreading part."""
    below: Array
    """Chance that some of it comes and it lies below each edge."""

    def chance_below(self, value: float) -> float:
        """Chance that the sum is at or below a value, a jump at the value counted (slack 1e-9)."""
        rest = value + SLACK - self.jumps
        spread = np.interp(rest, self.edges, self.below) if self.edges.size else 0.0
        return float((self.chances * (self.still * (rest >= 0.0) + spread)).sum())

    def percentile(self, pct: float) -> float:
        """Smallest value whose chance reaches a percentage (slack 1e-9 of the chance)."""
        wanted = pct / 100.0 - SLACK
        if self.still >= 1.0:
            place = int(np.searchsorted(np.cumsum(self.chances), wanted))
            return float(self.jumps[min(place, len(self.jumps) - 1)])
        low = self.jumps[0] + min(self.edges[0], 0.0) - 1.0
        high = self.jumps[-1] + max(self.edges[-1], 0.0)
        for _ in range(200):
            middle = 0.5 * (low + high)
            if middle in (low, high):
                break
            low, high = (low, middle) if self.chance_below(middle) >= wanted else (middle, high)
        return float(high)


def distribution_of_sum(items: Sequence[UncertainItem], sd_money: float) -> SumDistribution:
    """The distribution of the sum of independent items (kernel).

    Args:
        items: checked items.
        sd_money: standard deviation of the sum, above zero.
    """
    flat = [item for item in items if item.moments()[1] == 0.0]
    spreading = [item for item in items if item.moments()[1] > 0.0 and item.probability > 0.0]
    jumps, chances = _jumping_part(flat, sd_money)
    still, edges, below = _spreading_part(spreading, sd_money)
    return SumDistribution(jumps, chances, still, edges, below)


def _jumping_part(items: Sequence[UncertainItem], sd_money: float) -> tuple[Array, Array]:
    """Every sum of items that come or not, with its chance."""
    values, chances = np.zeros(1), np.ones(1)
    for item in items:
        value, p = item.moments()[0], item.probability
        if p in (0.0, 1.0):
            values = values + value * p
            continue
        values, chances = _merged(
            np.concatenate([values, values + value]), np.concatenate([chances * (1.0 - p), chances * p]), sd_money
        )
    return values, chances


def _merged(values: Array, chances: Array, sd_money: float) -> tuple[Array, Array]:
    """Atoms in rising order, equal ones put together; light near ones too when there are too many."""
    order = np.argsort(values, kind="stable")
    values, chances = values[order], chances[order]
    group = np.concatenate([[0], np.cumsum(np.diff(values) > SLACK)])
    if group[-1] >= MOST_ATOMS:
        heavy = np.cumsum(chances >= HEAVY)
        cell = np.floor(values / (NEAR_SD * sd_money))
        apart = (np.diff(cell) > 0) | (np.diff(heavy) > 0) | (chances[:-1] >= HEAVY)
        group = np.concatenate([[0], np.cumsum(apart)])
    together = np.asarray(np.bincount(group, chances), dtype=float)
    return np.bincount(group, chances * values) / np.maximum(together, 1e-300), together


def _spreading_part(items: Sequence[UncertainItem], sd_money: float) -> tuple[float, Array, Array]:
    """Chance that none comes, and the sum of those that do on a grid: edges of its cells, chance below each."""
    if not items:
        return 1.0, np.empty(0), np.empty(0)
    from scipy.fft import irfft, next_fast_len, rfft

    spans = [item.spread() if item.probability == 1.0 else _with_zero(item) for item in items]
    width = sum(high - low for low, high in spans)
    cell = max(sd_money / CELLS_PER_SD, width / MOST_CELLS)
    grids = [_on_grid(item, span, cell) for item, span in zip(items, spans, strict=True)]
    length = sum(len(masses) for _, masses in grids)
    size = next_fast_len(length, real=True)
    product = np.ones(size // 2 + 1, dtype=complex)
    for _, masses in grids:
        product *= rfft(masses, size)
    masses = np.maximum(irfft(product, size)[:length], 0.0)
    first = sum(start for start, _ in grids)
    still = float(np.prod([1.0 - item.probability for item in items]))
    if still > 0.0:  # nothing comes: a jump at zero, which lies on the grid
        masses[round(-first / cell)] -= still
    edges: Array = first + cell * (np.arange(length + 1, dtype=float) - 0.5)
    return still, edges, np.concatenate([[0.0], np.cumsum(np.maximum(masses, 0.0))])


def _with_zero(item: UncertainItem) -> tuple[float, float]:
    low, _, high = sorted((*item.spread(), 0.0))
    return low, high


def _on_grid(item: UncertainItem, span: tuple[float, float], cell: float) -> tuple[float, Array]:
    """Chance of an item in the cells of a grid with its mean kept: value of the first cell, chances.

    An item that always comes has a grid of its own; one that may not come has a cell at zero.
    """
    mean, _ = item.moments()
    origin = mean if item.probability == 1.0 else 0.0
    first, last = floor((span[0] - origin) / cell) - 1, ceil((span[1] - origin) / cell) + 1
    edges: Array = origin + cell * (np.arange(first, last + 2, dtype=float) - 0.5)
    below = item.chance_below(edges)
    below[0], below[-1] = 0.0, 1.0
    masses = np.diff(below)
    shift = (mean - float(masses @ (edges[:-1] + 0.5 * cell))) / cell
    moved = np.roll(masses, 1 if shift > 0 else -1)
    masses = (1.0 - abs(shift)) * masses + abs(shift) * moved if abs(shift) < 1.0 else masses
    masses = item.probability * masses
    masses[-first] += 1.0 - item.probability
    return origin + first * cell, masses
