"""The least-cost cutting of an order: linear bound, patterns, and the full model where those leave a gap."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf
from time import monotonic

from lynchet.timber.cut_integer import Whole, Window, flow_of, over_flow, over_patterns
from lynchet.timber.cut_near import near_patterns, worth_of
from lynchet.timber.cut_orders import Sticks, raised
from lynchet.timber.cut_programme import Priced, Programme, price_patterns
from lynchet.timber.cut_work import Work
from lynchet.timber.first_fit import first_fit

_OF_FIRST, _OF_FLOW = 0.3, 0.15
"""Shares of the work for patterns at hand, and for the flow of cuts: most of it goes into proof from all patterns that
may be in something cheaper, which finds more than either."""
_FEW = 300
"""Patterns among which the best is looked for first, at least."""


@dataclass(frozen=True)
class CutPlan:
    """Sticks with their pieces, the cost, and the bound below which no cutting can go."""

    cost: float
    counts: tuple[int, ...]
    """Of each stock."""
    sticks: tuple[tuple[int, tuple[int, ...]], ...]
    """Stock and pieces (0.01 mm) of each."""
    bound: float

    @property
    def proven(self) -> bool:
        """Whether nothing cheaper exists."""
        return self.bound >= self.cost - 1e-9

    @property
    def gap_pct(self) -> float:
        """How far below the cost the bound lies."""
        return 100.0 * max(self.cost - self.bound, 0.0) / self.cost if self.cost > 0 else 0.0


def trimmed(sticks: Sticks, cut: list[tuple[int, list[int]]], demand: Mapping[int, int]) -> CutPlan:
    """A cutting without pieces that nobody asked for, its bound still 0."""
    left = Counter(dict(demand))
    kept = []
    for stock, pieces in cut:
        held = []
        for length in sorted(pieces, reverse=True):
            if left[length] > 0:
                left[length] -= 1
                held.append(length)
        if held:
            kept.append((_smaller(sticks, stock, held), tuple(held)))
    counts = tuple(sum(1 for stock, _ in kept if stock == s) for s in range(len(sticks.price)))
    return CutPlan(sticks.cost(counts), counts, tuple(kept), 0.0)


def _smaller(sticks: Sticks, stock: int, held: list[int]) -> int:
    """With sticks enough, the cheapest stock that holds what is left on a stick."""
    if sticks.limited:
        return stock
    found = sticks.cheapest_for(sum(held) + sticks.kerf * len(held))
    return stock if found is None or sticks.price[found] >= sticks.price[stock] else found


def least_cost(
    sticks: Sticks,
    demand: Mapping[int, int],
    until: float,
    low: float = 0.0,
    start: CutPlan | None = None,
    work: Work | None = None,
) -> CutPlan | None:
    """The cheapest cutting found, with its bound.

    Args:
        sticks: the stock.
        demand: pieces by length, none longer than the longest usable stock.
        until: clock (``time.monotonic``) at which to stop.
        low: a bound known from elsewhere.
        start: a cutting known from elsewhere.
        work: how much to look at; None: the clock alone stops it.

    Returns:
        None when the sticks on hand do not hold the order (or no cutting was found in time).
    """
    lengths = tuple(sorted(demand, reverse=True))
    programme = Programme(sticks, lengths, tuple(demand[length] for length in lengths), proper=True)
    best = start
    if not sticks.limited:
        habit = trimmed(sticks, first_fit(sticks, demand), demand)
        best = habit if best is None or habit.cost < best.cost else best
    priced = price_patterns(programme, until, rounds=_rounds(programme, work))
    if not priced.feasible and start is None:
        return None
    total = sum(count * (length + sticks.kerf) for length, count in demand.items())
    low = max(low, raised(priced.bound, programme.step), raised(sticks.length_bound(total), programme.step))
    if best is None or best.cost > low + 1e-9:
        window = _window(low, best, (until, 0.5), work and work.part(_OF_FIRST))
        whole = over_patterns(programme, priced.patterns, window)
        best, low = _taken(programme, demand, best, low, replace(whole, bound=0.0, impossible=False))
    listed = False
    if best is not None and best.cost > low + 1e-9 and programme.step > 0:
        best, low, listed = _closed(programme, demand, (best, low), priced, (until, work))
    if best is None or (best.cost > low + 1e-9 and not (listed and work is not None)):
        flow = flow_of(programme) if work is None else flow_of(programme, work.arcs)
        if flow is not None and (work is None or len(flow.cuts) + len(flow.ends) <= work.arcs):
            window = _window(low, best, (until, 1.0), work and work.part(_OF_FLOW))
            whole = over_flow(programme, flow, window)
            best, low = _taken(programme, demand, best, low, whole)
    return None if best is None else replace(best, bound=min(low, best.cost))


def _closed(
    programme: Programme,
    demand: Mapping[int, int],
    known: tuple[CutPlan, float],
    priced: Priced,
    limit: tuple[float, Work | None],
) -> tuple[CutPlan, float, bool]:
    """The best cutting from all patterns that a cheaper one may hold, its bound, and whether they could be listed.

    First from those that lose little, which seldom miss the best; then from all that may be in anything cheaper still:
    what is not found there does not exist.
    """
    (best, low), (until, work) = known, limit
    exact = replace(programme, exact=True)
    worth = worth_of(
        programme, price_patterns(exact, until, priced.patterns, _rounds(programme, work and work.part(0.3)))
    )
    loss, few = 2.0 * programme.step, near_patterns(programme, worth, 2.0 * programme.step)
    while few is not None and len(few) < _FEW and loss < best.cost - worth.bound:
        loss *= 2.0
        few = near_patterns(programme, worth, loss)
    patterns = list(dict.fromkeys([*(few or []), *priced.patterns]))
    if work is None or len(patterns) > len(priced.patterns):  # else so much work has been spent on the very same
        window = _window(low, best, (until, 0.4), work and work.part(_OF_FIRST))
        whole = over_patterns(programme, patterns, window)
        found, low = _taken(programme, demand, best, low, replace(whole, bound=0.0, impossible=False))
        best = found if found is not None else best
    left = work
    while best.cost > low + 1e-9:
        below = best.cost - programme.step
        every = near_patterns(programme, worth, below - worth.bound)
        if every is None:
            return best, low, False
        if not every:  # nothing a step cheaper holds any cutting at all
            return best, best.cost, True
        whole = over_patterns(programme, every, replace(_window(low, best, (until, 0.7), left), below=below))
        left = left and left.part(0.5)  # each look for something cheaper still: all together spend no more than twice
        if whole.sticks is None:
            return best, best.cost if whole.impossible else low, True
        found = trimmed(programme.sticks, whole.sticks, demand)
        best = found if found.cost < best.cost else best
    return best, low, True


def _window(low: float, best: CutPlan | None, limit: tuple[float, float], work: Work | None) -> Window:
    """Look for something cheaper within a share of the time left, or of the work."""
    now, (until, share) = monotonic(), limit
    part = None if work is None else work.part(share)
    return Window(low, inf if best is None else best.cost, now + share * (until - now), part)


def _rounds(programme: Programme, work: Work | None) -> float:
    return inf if work is None else work.rounds(len(programme.lengths))


def _taken(
    programme: Programme, demand: Mapping[int, int], best: CutPlan | None, low: float, whole: Whole
) -> tuple[CutPlan | None, float]:
    """The better of two plans and what is now proven."""
    if whole.sticks is not None:
        found = trimmed(programme.sticks, whole.sticks, demand)
        best = found if best is None or found.cost < best.cost - 1e-9 else best
    if best is None:
        return None, low
    low = max(low, raised(whole.bound, programme.step))
    return best, best.cost if best.cost - low <= 1e-6 * max(best.cost, 1.0) and programme.step == 0 else low
