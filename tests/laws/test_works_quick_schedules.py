"""Laws of the quick schedules: each step against its definition, none longer than the one before."""

from random import Random

import numpy as np
import pytest

from lynchet.works import serial_schedule
from lynchet.works.resource_problem import ResourceProblem
from lynchet.works.serial_schedule import feasible_order, good_schedule, placed, pushed
from lynchet.works.timed_programme import shortest_by_programme


def problem_and_mirror(seed, count=8):
    """Activities on one scarce crew, linked forward, and the same with time run backward."""
    rng = np.random.default_rng(seed)
    durations = tuple(rng.integers(1, 6, count).tolist())
    demands = tuple((int(d),) for d in rng.integers(1, 4, count))
    gaps = tuple((a, b, durations[a]) for b in range(count) for a in range(b) if rng.random() < 0.2)
    heads, tails = [0] * count, list(durations)
    for a, b, gap in gaps:
        heads[b] = max(heads[b], heads[a] + gap)
    for a, b, gap in sorted(gaps, reverse=True):
        tails[a] = max(tails[a], gap + tails[b])
    problem = ResourceProblem(durations, demands, (4,), gaps, tuple(heads), tuple(tails))
    return problem, problem.mirrored([tail - days for tail, days in zip(tails, durations, strict=True)])


def keeps_all(problem, starts):
    """Whether links, heads and the crew are kept."""
    linked = all(starts[b] - starts[a] >= gap for a, b, gap in problem.gaps)
    heads = all(start >= head for start, head in zip(starts, problem.heads, strict=True))
    for day in range(max(starts) + max(problem.durations)):
        busy = sum(demand[0] for start, days, demand in zip(starts, problem.durations, problem.demands, strict=True)
                   if start <= day < start + days)  # fmt: skip
        if busy > problem.capacities[0]:
            return False
    return linked and heads


def by_key(problem, key):
    """Again and again the least key of those with nothing before them left."""
    order = []
    while len(order) < len(key):
        free = [p for p in range(len(key)) if p not in order and all(a in order for a, b, _ in problem.gaps if b == p)]
        order.append(min(free, key=lambda p: (key[p], p)))
    return order


@pytest.mark.parametrize("seed", range(10))
def test_an_order_goes_by_key_but_after_those_before(seed):
    """The place of the least key comes first among those whose forerunners are all placed, the lower place of two."""
    problem, mirror = problem_and_mirror(seed)
    rng = np.random.default_rng(seed)
    for one in (problem, mirror):
        for _ in range(5):
            key = rng.integers(0, 4, 8).tolist()
            assert feasible_order(one, key) == by_key(one, key)


@pytest.mark.parametrize("seed", range(20))
def test_pushing_late_and_early_never_lengthens(seed):
    """Placed by latest end against the end of the work and by latest end again from the start (in mirrored time), up to
    three times and as long as that shortens: the links, the crew and the length are kept."""
    problem, mirror = problem_and_mirror(seed)
    start = placed(problem, list(range(8)))
    best = start
    for _ in range(3):
        ends = np.add(best, problem.durations)
        late = placed(mirror, by_key(mirror, (-ends).tolist()))
        early = placed(problem, by_key(problem, (-np.add(late, problem.durations)).tolist()))
        if problem.length(early) >= problem.length(best):
            break
        best = early
    found = pushed(problem, mirror, start)
    assert found == best and keeps_all(problem, found) and problem.length(found) <= problem.length(start)


def test_more_tries_find_no_longer_schedule(monkeypatch):
    """One try is the schedule by longest tail; of more tries, bent by chance (the same every time), the shortest is
    kept, and there is none after one that meets the bound."""
    shorter = 0
    for seed in range(30):
        problem, mirror = problem_and_mirror(seed)
        lengths = []
        for tries in (1, 2, 5, 15):
            monkeypatch.setattr(serial_schedule, "TRIES", tries)
            found = good_schedule(problem, mirror)
            assert keeps_all(problem, found)
            lengths.append(problem.length(found))
        by_tail = by_key(problem, [-tail for tail in problem.tails])
        assert lengths[0] == problem.length(pushed(problem, mirror, placed(problem, by_tail)))
        assert lengths == sorted(lengths, reverse=True)
        chance, tried = Random(1), []
        for number in range(15):
            bent = [-tail - (chance.expovariate(1 / 3) if number else 0.0) for tail in problem.tails]
            tried.append(problem.length(pushed(problem, mirror, placed(problem, by_key(problem, bent)))))
        assert lengths[-1] == min(tried)
        shorter += lengths[-1] < lengths[0]
    assert shorter


def test_no_try_after_the_bound_is_met(monkeypatch):
    """A schedule as short as the bound is the first try's; nothing is drawn after it."""
    problem = ResourceProblem((2, 3), ((1,), (1,)), (1,), (), (0, 0), (2, 3))
    mirror = problem.mirrored([0, 0])
    calls = []
    monkeypatch.setattr(serial_schedule, "pushed", lambda *given: calls.append(0) or pushed(*given))
    assert problem.length(good_schedule(problem, mirror)) == problem.bound == 5 and len(calls) == 1


def test_long_waits_are_kept_to_the_day():
    """By the programme over days the second of two begins the whole wait after the first, not a day sooner, and the end
    is its end; a wait counted backward holds likewise."""
    problem = ResourceProblem((1, 2), ((1,), (1,)), (1,), ((0, 1, 25), (1, 0, -40)), (0, 0), (27, 2))
    starts, bound = shortest_by_programme(problem, 40, 20.0)
    assert starts[1] - starts[0] >= 25 and max(starts[0] + 27, starts[1] + 2) == bound == 27
    links = ((0, 1, 12), (1, 0, -12), (0, 2, 1))
    tied = ResourceProblem((1, 1, 3), ((1,), (1,), (1,)), (1,), links, (0, 0, 0), (13, 1, 3))
    starts, bound = shortest_by_programme(tied, 40, 20.0)
    assert starts[1] - starts[0] == 12 and bound == 13
