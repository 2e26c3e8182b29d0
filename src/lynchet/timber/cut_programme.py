"""The linear programme behind cutting: patterns priced as they are needed, with a proven lower bound.

Least sum of price x sticks, so that the patterns yield every length asked for. What is asked for may itself hang on
choices (where the joints of a wall lie); those stand beside as ``Choices``. Gilmore and Gomory, 1961.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf
from time import monotonic
from typing import Any

import numpy as np

from lynchet.timber.cut_orders import Sticks, price_step, raised
from lynchet.timber.knapsack import fills
from lynchet.timber.values import Array


@dataclass(frozen=True, eq=False)
class Choices:
    """Choices that decide which pieces are needed: 0 or 1 each, under linear rules (sparse rows)."""

    count: int
    equal: Any
    """Rows that must meet ``equal_to``."""
    equal_to: Array
    below: Any
    """Rows that must not pass 1."""
    use: Any
    """Pieces of each length (rows) that a choice (column) needs."""


@dataclass(frozen=True, eq=False)
class Programme:
    """What to cut from which sticks."""

    sticks: Sticks
    lengths: tuple[int, ...]
    """Longest first."""
    asked: tuple[int, ...]
    """Pieces of each length whatever is chosen."""
    choices: Choices | None = None
    proper: bool = False
    """Patterns hold no more of a length than is asked."""
    exact: bool = False
    """Price to the end; otherwise only until the bound is settled to a price step."""

    @property
    def step(self) -> float:
        """Every cost is a multiple of it; 0 when unknown."""
        return price_step(self.sticks.price)

    def limits(self) -> list[int]:
        """Most pieces of each length in one pattern."""
        room = max(self.sticks.room)
        most = [room // (length + self.sticks.kerf) for length in self.lengths]
        if not self.proper:
            return most
        return [min(m, asked) for m, asked in zip(most, self.asked, strict=True)]


Pattern = tuple[int, tuple[int, ...]]
"""Stock, and pieces of each length of the programme."""


@dataclass(eq=False)
class Priced:
    """Outcome of the linear programme."""

    bound: float
    """Valid lower bound, not yet lifted to a price step; 0 when nothing was proven in time."""
    feasible: bool
    patterns: list[Pattern] = field(default_factory=list)
    values: Array = field(default_factory=lambda: np.zeros(0))
    """What a piece of each length is worth to it."""
    toll: Array = field(default_factory=lambda: np.zeros(0))
    """What one stick more of each stock would save: 0 but for scarce ones."""


def price_patterns(programme: Programme, until: float, patterns: Sequence[Pattern] = (), rounds: float = inf) -> Priced:
    """Price patterns until no better one exists, or until the clock (``time.monotonic``) says so.

    Args:
        programme: what to cut.
        until: the clock's limit.
        patterns: known from before.
        rounds: of pricing, at most.
    """
    patterns = list(dict.fromkeys([*_first_patterns(programme), *patterns]))
    known = set(patterns)
    best, turn = 0.0, 0
    while True:
        turn += 1
        solved = _solve(programme, patterns, until)
        if solved is None:
            late = monotonic() > until
            return Priced(best, late, patterns, np.zeros(len(programme.lengths)), np.zeros(len(programme.sticks.price)))
        cost, short, duals, scarce = solved
        toll = _toll(programme.sticks, scarce)
        bound, found = _better(programme, duals, toll, cost)
        best = max(best, bound)
        fresh = [pattern for pattern in found if pattern not in known]
        settled = (
            not programme.exact
            and raised(best, programme.step) >= raised(cost, programme.step) - 1e-9
            and programme.step > 0
        )
        if not fresh or (settled and not short) or turn >= rounds or monotonic() > until:
            feasible = not short or bool(fresh)  # pieces missing for good: the sticks on hand do not do
            return Priced(best, feasible, patterns, duals, toll)
        patterns += fresh
        known.update(fresh)


def _first_patterns(programme: Programme) -> list[Pattern]:
    """For each stock and length as many of it as fit, filled up with shorter ones."""
    sticks, patterns = programme.sticks, []
    limits = programme.limits()
    for stock, room in enumerate(sticks.room):
        for first in range(len(programme.lengths)):
            held, left = [0] * len(programme.lengths), room
            for i in range(first, len(programme.lengths)):
                need = programme.lengths[i] + sticks.kerf
                held[i] = min(left // need, limits[i])
                left -= held[i] * need
            if held[first]:
                patterns.append((stock, tuple(held)))
    return list(dict.fromkeys(patterns))


def columns(programme: Programme, patterns: Sequence[Pattern]) -> Any:
    """Pieces of each length (rows) that the patterns (columns) yield, sparse."""
    from scipy.sparse import csr_array

    return csr_array(_made(programme, patterns))


def _made(programme: Programme, patterns: Sequence[Pattern]) -> Array:
    """The same, full."""
    return np.array([held for _, held in patterns], float).T.reshape(len(programme.lengths), len(patterns))


def stock_rows(programme: Programme, stocks: Sequence[int]) -> tuple[Any, Array]:
    """Sparse rows that count the sticks of each limited stock, and how many there are."""
    from scipy.sparse import csr_array

    rows, available = _stock_rows(programme, stocks)
    return csr_array(rows), available


def _stock_rows(programme: Programme, stocks: Sequence[int]) -> tuple[Array, Array]:
    """The same, full."""
    limited = [s for s, count in enumerate(programme.sticks.available) if count is not None]
    rows = np.array([[float(stock == s) for stock in stocks] for s in limited]).reshape(len(limited), len(stocks))
    return rows, np.array([float(programme.sticks.available[s] or 0) for s in limited])


def _solve(programme: Programme, patterns: list[Pattern], until: float) -> tuple[float, bool, Array, Array] | None:
    """Cost, whether pieces are missing, duals of the lengths, duals of scarce stock."""
    from scipy.optimize import linprog
    from scipy.sparse import block_array, csr_array

    choices, n = programme.choices, len(patterns)
    price = np.array([programme.sticks.price[stock] for stock, _ in patterns])
    limited, available = _stock_rows(programme, [stock for stock, _ in patterns])
    rows = len(programme.lengths)
    dear = 1000.0 * (1.0 + max(programme.sticks.price))  # pieces from nowhere, so that a start always exists
    count = choices.count if choices is not None else 0
    cost = np.concatenate([price, np.full(rows, dear), np.zeros(count)])
    # Full, as the solver's own front takes long over sparse ones: a few dozen lengths, a few hundred patterns.
    above: Any = np.zeros((rows + len(limited), n + rows))
    above[:rows, :n] = -_made(programme, patterns)
    above[:rows, n:] = -np.eye(rows)
    above[rows:, :n] = limited
    limits = [-np.array(programme.asked, float), available]
    equal = equal_to = None
    if choices is not None:
        use = block_array([[choices.use], [csr_array((len(limited), count))]])
        above = block_array(
            [[csr_array(above), use], [csr_array((choices.below.shape[0], n + rows)), choices.below]], format="csr"
        )
        limits.append(np.ones(choices.below.shape[0]))
        equal = block_array([[csr_array((choices.equal.shape[0], n + rows)), choices.equal]], format="csr")
        equal_to = choices.equal_to
    done = linprog(cost, A_ub=above, b_ub=np.concatenate(limits), A_eq=equal, b_eq=equal_to, options=_time_left(until))
    if done.x is None:
        return None
    duals = -np.asarray(done.ineqlin.marginals)
    short = bool(done.x[n : n + rows].sum() > 1e-7)
    lengths, scarce = np.maximum(duals[:rows], 0.0), np.maximum(duals[rows : rows + len(limited)], 0.0)
    return float(done.fun), short, lengths, scarce


def _time_left(until: float) -> dict[str, float]:
    left = until - monotonic()
    return {"time_limit": max(left, 0.1)} if np.isfinite(left) else {}


def _toll(sticks: Sticks, scarce: Array) -> Array:
    """Duals of the limited stocks, of all stocks."""
    toll = np.zeros(len(sticks.price))
    toll[[s for s, count in enumerate(sticks.available) if count is not None]] = scarce
    return toll


def _better(programme: Programme, duals: Array, toll: Array, cost: float) -> tuple[float, list[Pattern]]:
    """A lower bound from these duals (Farley, 1990) and the patterns that would lower the cost."""
    sticks = programme.sticks
    held = fills(
        [length + sticks.kerf for length in programme.lengths], duals.tolist(), programme.limits(), max(sticks.room)
    )
    worst, found = 1.0, []
    for stock, room in enumerate(sticks.room):
        index = held.best(room)
        value, price = float(held.value[index]), sticks.price[stock] + float(toll[stock])
        if value > price + 1e-9:
            worst = max(worst, value / price if price > 0 else float("inf"))
            items = held.items(index)
            found.append((stock, tuple(items[i] for i in range(len(programme.lengths)))))
    rent = sum(float(toll[s]) * (count or 0) for s, count in enumerate(sticks.available))
    return (cost + rent) / worst - rent, found
