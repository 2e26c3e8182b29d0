"""The shortest schedule by layers: every set of activities that can have been started first, best states kept.

Activities are started in order of time. After any number of them, two states that started the same set are compared:
one that is nowhere later makes the other needless. A state from which the wished length cannot be reached (longest
path, or work left over room left) is dropped. With the layers cut to a width the search is quick and only good.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from time import monotonic
from typing import NamedTuple

from lynchet.works.redundant_resources import redundant_resources
from lynchet.works.resource_problem import ResourceProblem


class State(NamedTuple):
    """A partial schedule."""

    time: int
    """Start of the last activity."""
    reach: dict[int, int]
    """When each started activity that still matters lets go of its resources and followers."""
    running: list[tuple[int, int]]
    """(end, activity) of those running after the time, by end."""
    ready: list[int]
    """Earliest start of every activity by those started."""
    chain: tuple[int, int, object] | None
    """(activity, start, chain before)."""
    bound: int
    """Length that no schedule from here can be below."""


Layer = dict[int, list[State]]
"""States by the set of started activities, as bits."""


@dataclass(frozen=True)
class Found:
    """What a search came to."""

    starts: list[int] | None
    """A schedule of the limit or shorter, the shortest found; None where none was."""
    complete: bool
    """Whether nothing was left out, so that the shortest within the limit is the shortest there is."""


class LayeredSearch:
    """Search for a schedule no longer than a limit, for a problem whose gaps all run forward."""

    def __init__(self, problem: ResourceProblem, limit: int) -> None:
        self.problem = problem
        self.limit = limit
        self.needs = [sum(1 << other for other, _ in before) for before in problem.before]
        self.holds = [_hold(problem, place) for place in range(len(problem.durations))]
        # amounts of all resources stand side by side in one whole number, each with a guard bit above it: one
        # subtraction compares them all
        field = max(1, (2 * max(problem.capacities)).bit_length())
        self.guards = sum(1 << (field * (k + 1) - 1) for k in range(len(problem.capacities)))
        self.capacity = _packed(problem.capacities, field)
        self.demand = [_packed(demand, field) for demand in problem.demands]
        deadlines = [limit - tail + duration for tail, duration in zip(problem.tails, problem.durations, strict=True)]
        more = redundant_resources(problem)
        works = [sum(d * t for d, t in zip(each.demands, problem.durations, strict=True)) for each in more]
        rooms = [each.capacity * limit for each in more]
        wide = max(1, (2 * max(*works, *rooms)).bit_length())
        self.more_guards = sum(1 << (wide * (k + 1) - 1) for k in range(len(more)))
        self.more_capacity = _packed([each.capacity for each in more], wide)
        self.more_demand = [_packed([each.demands[place] for each in more], wide) for place in range(len(deadlines))]
        self.work = [
            (duration * demand, deadline)
            for duration, demand, deadline in zip(problem.durations, self.more_demand, deadlines, strict=True)
        ]
        self.by_deadline = sorted(range(len(deadlines)), key=lambda place: deadlines[place])

    def possible(self) -> bool:
        """Whether nothing speaks against the limit before the search."""
        start = self._first()
        starts = self._earliest(0, start)
        return starts is not None and self._room_before(0, start) and self._room_after(starts)

    def _first(self) -> State:
        return State(0, {}, [], list(self.problem.heads), None, 0)

    def run(self, stop_at: float, width: int | None = None, most: float = inf) -> Found:
        """Search all layers, each cut to a width if one is given.

        Args:
            stop_at: moment of the monotonic clock at which to give up.
            width: states kept of a layer.
            most: states looked at before giving up: the same on every machine.
        """
        layer: Layer = {0: [self._first()]}
        complete, seen = True, 0
        for _ in self.problem.durations:
            states = [(done, state) for done, kept in layer.items() for state in kept]
            if width is not None and len(states) > width:
                states = sorted(states, key=lambda pair: (pair[1].bound, pair[1].time))[:width]
                complete = False
            layer, seen = {}, seen + len(states)
            if seen > most:
                return Found(None, False)
            for number, (done, state) in enumerate(states):
                if number % 64 == 0 and monotonic() > stop_at:
                    return Found(None, False)
                self._expand(done, state, layer)
        ends = [state for kept in layer.values() for state in kept]
        schedules = [_starts(state, len(self.problem.durations)) for state in ends]
        return Found(min(schedules, key=self.problem.length, default=None), complete)

    def _expand(self, done: int, state: State, layer: Layer) -> None:
        """Put every state that starts one activity more into the next layer."""
        starts = self._earliest(done, state)
        if starts is None or not self._room_before(done, state) or not self._room_after(starts):
            return
        durations, tails = self.problem.durations, self.problem.tails
        bound = max(start + tails[place] for place, start in starts.items())
        open_now = [(start, place) for place, start in starts.items() if self.needs[place] & ~done == 0]
        # one of them could be finished before any later start: only what begins before its end is worth beginning
        soonest_end = min(start + durations[place] for start, place in open_now)
        for start, place in open_now:
            if start < soonest_end:
                self._begin(done, state, (start, place, bound), layer)

    def _begin(self, done: int, state: State, choice: tuple[int, int, int], layer: Layer) -> None:
        start, place, bound = choice
        reach = {other: until for other, until in state.reach.items() if until > start}
        reach[place] = start + self.holds[place]
        kept = _undominated(layer.get(done | 1 << place, ()), start, reach)
        if kept is None:
            return
        running = [pair for pair in state.running if pair[0] > start]
        insort(running, (start + self.problem.durations[place], place))
        ready = list(state.ready)
        for other, gap in self.problem.after[place]:
            if start + gap > ready[other]:
                ready[other] = start + gap
        kept.append(State(start, reach, running, ready, (place, start, state.chain), bound))
        layer[done | 1 << place] = kept

    def _earliest(self, done: int, state: State) -> dict[int, int] | None:
        """Earliest start of each activity not started, by time, links and room; None where the limit is missed."""
        tails, limit, guards, demands = self.problem.tails, self.limit, self.guards, self.demand
        running, ready = state.running, state.ready
        free = self.capacity + guards - sum(demands[other] for _, other in running)
        found: dict[int, int] = {}
        for place in self.problem.order:
            if done >> place & 1:
                continue
            start = ready[place] if ready[place] > state.time else state.time
            for other, gap in self.problem.before[place]:
                if other in found and found[other] + gap > start:
                    start = found[other] + gap
            room = free - demands[place]
            for end, other in running:  # those running let go one by one
                if end > start:
                    if room & guards == guards:
                        break
                    start = end
                room += demands[other]
            if start + tails[place] > limit:
                return None
            found[place] = start
        return found

    def _room_before(self, done: int, state: State) -> bool:
        """Whether the work left before each deadline fits into what is left of every resource."""
        time, guards, demands, capacity = state.time, self.more_guards, self.more_demand, self.more_capacity
        started = sum((end - time) * demands[other] for end, other in state.running)
        work = 0
        for place in self.by_deadline:
            if done >> place & 1:
                continue
            amount, deadline = self.work[place]
            work += amount
            spare = capacity * (deadline - time) + guards - work
            if (spare - started) & guards != guards:
                until = sum((min(end, deadline) - time) * demands[other] for end, other in state.running)
                if (spare - until) & guards != guards:
                    return False
        return True

    def _room_after(self, starts: dict[int, int]) -> bool:
        """Whether the work that cannot begin before each time fits between it and its latest deadline."""
        guards, capacity, work, latest = self.more_guards, self.more_capacity, 0, 0
        for place in sorted(starts, key=starts.__getitem__, reverse=True):
            amount, deadline = self.work[place]
            work += amount
            latest = max(latest, deadline)
            if (capacity * (latest - starts[place]) + guards - work) & guards != guards:
                return False
        return True


def _packed(amounts: Sequence[int], field: int) -> int:
    return sum(amount << (field * k) for k, amount in enumerate(amounts))


def _hold(problem: ResourceProblem, place: int) -> int:
    """Time from its start until an activity no longer matters: to those after it, or to the end by its own tail."""
    passed_on = max((gap + problem.tails[other] for other, gap in problem.after[place]), default=0)
    tail = problem.tails[place]
    return max([problem.durations[place], tail if tail > passed_on else 0, *(gap for _, gap in problem.after[place])])


def _undominated(kept: list[State] | tuple[State, ...], time: int, reach: dict[int, int]) -> list[State] | None:
    """States of the same set that stay beside a new one; None where one of them makes the new one needless."""
    for old in kept:
        if old.time <= time and _nowhere_later(old.reach, reach, time):
            return None
    return [old for old in kept if time > old.time or not _nowhere_later(reach, old.reach, old.time)]


def _nowhere_later(first: dict[int, int], second: dict[int, int], time: int) -> bool:
    """Whether everything of the first lets go no later than in the second, as seen from the second's time."""
    for place, until in first.items():  # noqa: SIM110 (a loop is twice as fast here)
        if until > time and until > second.get(place, 0):
            return False
    return True


def _starts(state: State, count: int) -> list[int]:
    starts, chain = [0] * count, state.chain
    while chain is not None:
        place, start, before = chain
        starts[place] = start
        chain = before  # type: ignore[assignment]
    return starts
