"""Good schedules quickly: activities placed one by one, then pushed late and early again."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from lynchet.works.resource_problem import ResourceProblem

TRIES = 40
ROUNDS = 3
SPREAD_DAYS = 3.0
"""How far chance may bend the priorities."""


def placed(problem: ResourceProblem, order: Sequence[int]) -> list[int]:
    """Earliest starts when the activities are placed in this order (each after those before it; kernel)."""
    starts = list(problem.heads)
    use: list[list[int]] = []
    for place in order:
        start = max([starts[place], *(starts[other] + gap for other, gap in problem.before[place])])
        duration, demand = problem.durations[place], problem.demands[place]
        day = start
        while day < start + duration:
            while len(use) <= day:
                use.append(list(problem.capacities))
            if any(need > free for need, free in zip(demand, use[day], strict=True)):
                start = day + 1
            day += 1
        starts[place] = start
        for day in range(start, start + duration):
            use[day] = [free - need for need, free in zip(demand, use[day], strict=True)]
    return starts


def feasible_order(problem: ResourceProblem, key: Sequence[float]) -> list[int]:
    """Places by rising key, but every one after those before it."""
    waiting = [len(before) for before in problem.before]
    ready = [place for place, count in enumerate(waiting) if count == 0]
    order = []
    while ready:
        place = min(ready, key=lambda place: (key[place], place))
        ready.remove(place)
        order.append(place)
        for other, _ in problem.after[place]:
            waiting[other] -= 1
            if waiting[other] == 0:
                ready.append(other)
    return order


def pushed(problem: ResourceProblem, mirror: ResourceProblem, starts: Sequence[int]) -> list[int]:
    """The schedule pushed late in the mirrored problem, then early again, as long as that helps."""
    best = list(starts)
    for _ in range(ROUNDS):
        ends = [start + duration for start, duration in zip(best, problem.durations, strict=True)]
        late = placed(mirror, feasible_order(mirror, [-end for end in ends]))
        ends = [start + duration for start, duration in zip(late, problem.durations, strict=True)]
        early = placed(problem, feasible_order(problem, [-end for end in ends]))
        if problem.length(early) >= problem.length(best):
            break
        best = early
    return best


def good_schedule(problem: ResourceProblem, mirror: ResourceProblem) -> list[int]:
    """Best of some schedules by longest tail first, with a little chance (always the same)."""
    chance = Random(1)
    best: list[int] | None = None
    for number in range(TRIES):
        bent = [-tail - (chance.expovariate(1.0 / SPREAD_DAYS) if number else 0.0) for tail in problem.tails]
        starts = pushed(problem, mirror, placed(problem, feasible_order(problem, bent)))
        if best is None or problem.length(starts) < problem.length(best):
            best = starts
        if problem.length(best) <= problem.bound:
            break
    return best or []
