"""Joints and sticks chosen together at least cost."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from time import monotonic

from lynchet.core.calculator import refuse
from lynchet.core.errors import InputError
from lynchet.timber.courses import Rules, Span, Spans
from lynchet.timber.cut_integer import Whole, Window, flow_of, over_flow, over_patterns
from lynchet.timber.cut_orders import Sticks, metres, price_step, raised
from lynchet.timber.cut_plan import CutPlan, least_cost, trimmed
from lynchet.timber.cut_programme import Pattern, Programme, price_patterns
from lynchet.timber.first_fit import first_fit
from lynchet.timber.laying_choices import Laying, can_be_laid, demand_of_joints, joints_of, laying_of, quick_laying
from lynchet.timber.values import Array

Joints = list[list[list[int]]]
MOST_ENTRIES = 4e6


@dataclass(frozen=True)
class Job:
    """What is to be laid and cut."""

    spans: Spans
    rules: Rules
    sticks: Sticks
    extras: Counter[int]
    until: float
    """Clock (``time.monotonic``) at which to stop."""


@dataclass(frozen=True)
class LaidPlan:
    """A legal laying with its sticks."""

    joints: Joints
    demand: dict[int, int]
    plan: CutPlan


@dataclass
class _Search:
    """The best so far and what is proven; grows better step by step within one call."""

    job: Job
    best: LaidPlan | None = None
    low: float = 0.0

    @property
    def open(self) -> bool:
        """Whether something cheaper may exist."""
        return self.best is None or self.best.plan.cost > self.low + 1e-9

    def window(self, share: float) -> Window:
        """Look for something cheaper, within a share of the time left."""
        now = monotonic()
        high = float("inf") if self.best is None else self.best.plan.cost
        return Window(self.low, high, now + share * (self.job.until - now))

    def take(self, laying: Laying, whole: Whole) -> None:
        """Keep an outcome when it is cheaper."""
        if whole.sticks is not None:
            joints = joints_of(laying, self.job.spans, whole.chosen)
            demand = demand_of_joints(self.job.spans, joints, self.job.extras)
            self.keep(joints, demand, trimmed(self.job.sticks, whole.sticks, demand))

    def keep(self, joints: Joints, demand: dict[int, int], plan: CutPlan) -> None:
        """Keep a plan when it is cheaper."""
        if self.best is None or plan.cost < self.best.plan.cost - 1e-9:
            self.best = LaidPlan(joints, demand, plan)


def lay_least(job: Job) -> LaidPlan:
    """The cheapest laying found, with its bound.

    A grid so fine that the model would not fit is searched on its own multiples, coarsest first; joints there are
    joints of the fine grid too, and the bound by length holds for any grid.

    Raises:
        InputError: no laying exists, naming the rule that stands in the way; or none was found in the time given.
    """
    times = 1
    while _size(job, times) > MOST_ENTRIES:
        times *= 2
    while times > 1:
        try:
            found = _least(replace(job, rules=replace(job.rules, grid=times * job.rules.grid)))
        except InputError:
            times //= 2
        else:
            low = raised(_cover_bound(job), price_step(job.sticks.price))
            return replace(found, plan=replace(found.plan, bound=min(low, found.plan.cost)))
    return _least(job)


def _size(job: Job, times: int) -> float:
    """Roughly how many entries the rules between neighbours take on a multiple of the grid."""
    grid, rules = times * job.rules.grid, job.rules
    stations = [(span.end - span.start) / grid for wall in job.spans for span in wall]
    reach = max(rules.longest - rules.shortest, grid) / grid
    return sum(n * min(n, reach) * max(2.0 * rules.offset / grid, 1.0) for n in stations)


def _least(job: Job) -> LaidPlan:
    alike, full, first = _start(job)
    search = _Search(job)
    joints = joints_of(alike, job.spans, first)
    demand = demand_of_joints(job.spans, joints, job.extras)
    if not job.sticks.limited:
        search.keep(joints, demand, trimmed(job.sticks, first_fit(job.sticks, demand), demand))
    programme = _programme(job, alike)
    priced = price_patterns(programme, job.until)
    if not priced.feasible:
        raise _not_enough(job)
    search.low = max(raised(priced.bound, programme.step), raised(_cover_bound(job), programme.step))
    _by_patterns(search, alike, priced.patterns, 0.4)
    if search.best is None or search.best.plan.cost > 1.02 * search.low:
        _by_values(search, alike, priced.values)
    if search.open and full is not alike:
        _by_patterns(search, full, _onto(priced.patterns, alike, full), 0.3)
    if search.open:
        _by_flow(search, full)
    if search.best is None:
        raise refuse("time_limit_s", "no laying found in the time given", "more time, or fewer limits on the stock")
    plan = replace(search.best.plan, bound=min(search.low, search.best.plan.cost))
    return replace(search.best, plan=plan)


def _start(job: Job) -> tuple[Laying, Laying, Array]:
    """Choices with every other course alike, all choices, and some legal laying of the former."""
    extras = list(job.extras)
    alike = laying_of(job.spans, job.rules, extras, alike=True)
    full = alike
    if any(len(group.courses) > 1 for group in alike.groups):
        full = laying_of(job.spans, job.rules, extras, alike=False)
    first = quick_laying(alike, job.rules.offset, _alone(job.sticks, alike))
    if first is None:
        first = can_be_laid(alike.choices)
    if first is None:  # two neighbours of any legal laying, over and over, would be one with courses alike
        raise _why_not(job)
    return alike, full, first


def _alone(sticks: Sticks, laying: Laying) -> list[float]:
    """Price of each choice's pieces if sticks were cut into that length alone."""
    price = {
        length: min(
            price / (room // (length + sticks.kerf))
            for price, room in zip(sticks.price, sticks.room, strict=True)
            if room >= length + sticks.kerf
        )
        for length in laying.lengths
    }
    return [price[end - start] * len(laying.groups[g].courses) for g, start, end in laying.pieces]


def _programme(job: Job, laying: Laying) -> Programme:
    asked = tuple(job.extras.get(length, 0) for length in laying.lengths)
    return Programme(job.sticks, laying.lengths, asked, laying.choices)


def _onto(patterns: list[Pattern], from_laying: Laying, to_laying: Laying) -> list[Pattern]:
    """Patterns over one list of lengths, over another that holds them all."""
    place = {length: i for i, length in enumerate(to_laying.lengths)}
    found = []
    for stock, held in patterns:
        moved = [0] * len(place)
        for length, count in zip(from_laying.lengths, held, strict=True):
            moved[place[length]] = count
        found.append((stock, tuple(moved)))
    return found


def _cover_bound(job: Job) -> float:
    """All courses in as few pieces as can be, each with its kerf, at the least price per length."""
    sizes = [span.end - span.start for wall in job.spans for span in wall]
    fewest = sum(-(-size // job.rules.longest) for size in sizes)
    extras = sum(count * (length + job.sticks.kerf) for length, count in job.extras.items())
    return job.sticks.length_bound(sum(sizes) + fewest * job.sticks.kerf + extras)


def _by_values(search: _Search, laying: Laying, values: Array) -> None:
    """Lay the pieces that are worth least in the linear programme, then cut them at least cost."""
    if not search.open:
        return
    left = search.job.until - monotonic()
    chosen = can_be_laid(laying.choices, values @ laying.choices.use, 0.1 * left)
    if chosen is not None:
        joints = joints_of(laying, search.job.spans, chosen)
        demand = demand_of_joints(search.job.spans, joints, search.job.extras)
        plan = least_cost(search.job.sticks, demand, monotonic() + min(2.0, 0.2 * left), search.low)
        if plan is not None:
            search.keep(joints, demand, plan)


def _by_patterns(search: _Search, laying: Laying, patterns: list[Pattern], share: float) -> None:
    if not search.open:
        return
    programme = _programme(search.job, laying)
    search.take(laying, over_patterns(programme, patterns, search.window(share)))
    if search.open and search.best is not None:  # the pieces found may be cut cheaper than by these patterns
        until = monotonic() + min(2.0, 0.1 * (search.job.until - monotonic()))
        again = least_cost(search.job.sticks, search.best.demand, until, search.low)
        if again is not None:
            search.keep(search.best.joints, search.best.demand, again)


def _by_flow(search: _Search, laying: Laying) -> None:
    """The whole model: every laying and every way to cut."""
    programme = _programme(search.job, laying)
    flow = flow_of(programme)
    if flow is None:
        return
    whole = over_flow(programme, flow, search.window(1.0))
    search.take(laying, whole)
    if whole.impossible:
        raise _not_enough(search.job)
    search.low = max(search.low, raised(whole.bound, programme.step))


def _not_enough(job: Job) -> Exception:
    counts = ", ".join("any" if count is None else str(count) for count in job.sticks.available)
    return refuse(
        "stock", f"available sticks ({counts}) are not enough, more would make a laying possible", "more sticks"
    )


def _why_not(job: Job) -> Exception:
    """The first rule whose relaxing alone would make a laying possible."""
    rules, bare = job.rules, tuple(tuple(Span(s.start, s.end) for s in wall) for wall in job.spans)
    tries = (
        ("offset_m", "the joint offset", job.spans, replace(rules, offset=0)),
        ("forbidden", "the forbidden stretches", bare, rules),
        ("end_clear_m", "the end clear of joints", job.spans, replace(rules, end_clear=0)),
        ("shortest_m", "the shortest piece", job.spans, replace(rules, shortest=1)),
    )
    for key, words, spans, relaxed in tries:
        if _possible(spans, relaxed):
            return refuse(key, f"no laying is possible: {words} stands in the way", "a weaker rule, or other stock")
    longest = metres(rules.longest)
    return refuse(
        "stock", f"no laying is possible from stock of {longest:g} m", "longer stock, or a finer grid of joints"
    )


def _possible(spans: Spans, rules: Rules) -> bool:
    # where some laying is legal, two neighbours of it laid over and over are: every other course alike is no limit
    return can_be_laid(laying_of(spans, rules, [], alike=True).choices) is not None
