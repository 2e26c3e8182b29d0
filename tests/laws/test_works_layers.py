"""The search by layers taken apart: each of its rules against its definition counted out, its answer by every order."""

from itertools import permutations
from math import inf

import numpy as np
import pytest

from lynchet.works.layered_search import LayeredSearch, State, _hold, _nowhere_later, _undominated
from lynchet.works.redundant_resources import cliques, incompatible, redundant_resources
from lynchet.works.resource_problem import ResourceProblem


def problem_of(durations, demands, capacities, gaps, own=None):
    """A problem with its heads and tails, the activities numbered in an order of their links; ``own`` is the least
    tail of each, where something that needs nobody hangs on it."""
    heads, tails = [0] * len(durations), list(own or durations)
    for before, after, gap in sorted(gaps, key=lambda link: link[1]):
        heads[after] = max(heads[after], heads[before] + gap)
    for before, after, gap in sorted(gaps, key=lambda link: -link[0]):
        tails[before] = max(tails[before], gap + tails[after])
    return ResourceProblem(tuple(durations), tuple(demands), tuple(capacities), tuple(gaps), tuple(heads), tuple(tails))


def random_problem(seed, count=6):
    """Some activities on scarce resources of very different size, with waits between starts."""
    rng = np.random.default_rng(seed)
    capacities = [int(rng.integers(1, 4)), int(rng.integers(3, 14))][: 1 + seed % 2]
    durations = rng.integers(1, 6, count).tolist()
    demands = [tuple(int(rng.integers(0, room + 1)) for room in capacities) for _ in range(count)]
    demands = [demand if any(demand) else (1, *demand[1:]) for demand in demands]
    gaps = [(a, b, int(durations[a] + rng.integers(0, 3)) if rng.random() < 0.6 else int(rng.integers(0, 8)))
            for b in range(count) for a in range(b) if rng.random() < 0.3]  # fmt: skip
    own = [days + int(rng.choice([0, 0, 4, 9])) for days in durations] if seed % 3 == 2 else None
    return problem_of(durations, demands, capacities, gaps, own)


def in_order(problem, order):
    """Earliest starts by a calendar of days, the activities taken in this order."""
    used = np.zeros((200, len(problem.capacities)), int)
    starts = {}
    for place in order:
        start = max([problem.heads[place], *(starts[a] + gap for a, b, gap in problem.gaps if b == place)])
        days, demand = problem.durations[place], np.array(problem.demands[place])
        while (used[start : start + days] + demand > problem.capacities).any():
            start += 1
        used[start : start + days] += demand
        starts[place] = start
    return [starts[place] for place in range(len(problem.durations))]


def brute_length(problem):
    """Shortest length over every order that keeps the links."""
    ends = []
    for order in permutations(range(len(problem.durations))):
        at = {place: i for i, place in enumerate(order)}
        if all(at[a] < at[b] for a, b, _ in problem.gaps):
            starts = in_order(problem, order)
            ends.append(max(s + tail for s, tail in zip(starts, problem.tails, strict=True)))
    return min(ends)


@pytest.mark.parametrize("seed", range(24))
def test_the_search_finds_the_shortest_of_all_orders(seed):
    """Within the shortest length of all, and within more, a plan of that length is found that keeps every link and
    every resource; within one day less there is none, and the search says that it looked everywhere."""
    problem = random_problem(seed, 5 + seed % 2)
    best = brute_length(problem)
    for limit, wanted in ((best, best), (best + 4, best), (best - 1, None)):
        search = LayeredSearch(problem, limit)
        found = search.run(inf)
        assert found.complete and (found.starts is not None) == (wanted is not None)
        assert wanted is None or search.possible()
        if found.starts is not None:
            assert problem.length(found.starts) == wanted == max(
                s + tail for s, tail in zip(found.starts, problem.tails, strict=True))  # fmt: skip
            assert all(found.starts[b] - found.starts[a] >= gap for a, b, gap in problem.gaps)
            for day in range(wanted):
                busy = [d for s, t, d in zip(found.starts, problem.durations, problem.demands, strict=True)
                        if s <= day < s + t]  # fmt: skip
                assert all(sum(d[k] for d in busy) <= room for k, room in enumerate(problem.capacities))


def states_of(problem, rng):
    """Partial schedules as the search makes them: some activities by the calendar, in order of time."""
    for _ in range(6):
        key = rng.random(len(problem.durations))
        order, left = [], set(range(len(problem.durations)))
        while left:
            free = [p for p in left if not any(b == p and a in left for a, b, _ in problem.gaps)]
            order.append(min(free, key=lambda p: key[p]))
            left.discard(order[-1])
        starts = in_order(problem, order)
        by_time = sorted(order, key=lambda p: (starts[p], order.index(p)))
        for many in range(len(by_time)):
            begun = by_time[:many]
            time = starts[begun[-1]] if begun else 0
            running = sorted(
                (starts[p] + problem.durations[p], p) for p in begun if starts[p] + problem.durations[p] > time
            )
            ready = [max([problem.heads[p], *(starts[a] + gap for a, b, gap in problem.gaps if b == p and a in begun)])
                     for p in range(len(starts))]  # fmt: skip
            yield sum(1 << p for p in begun), State(time, {}, running, ready, None, 0)


def earliest_by_days(problem, done, state, limit):
    """Each start counted up day by day: after the last start, the links and as much room as is running allows."""
    found = {}
    for place in range(len(problem.durations)):
        if done >> place & 1:
            continue
        links = [found[a] + gap for a, b, gap in problem.gaps if b == place and a in found]
        day = max([state.time, state.ready[place], *links])
        while any(sum(problem.demands[p][k] for end, p in state.running if end > day) + problem.demands[place][k] > room
                  for k, room in enumerate(problem.capacities)):  # fmt: skip
            day += 1
        found[place] = day
    late = any(day + problem.tails[place] > limit for place, day in found.items())
    return None if late else found


@pytest.mark.parametrize("seed", range(20))
def test_rules_that_drop_a_state_are_what_they_say(seed):
    """Earliest starts are those counted day by day. The work left before a deadline, and the work that cannot begin
    before a time, are added up anew for every resource: a state is dropped just where they do not fit."""
    rng = np.random.default_rng(1000 + seed)
    problem = random_problem(seed)
    dropped = {True: 0, False: 0}
    for limit in (max(problem.length(in_order(problem, range(6))), 1) - 4, problem.length(in_order(problem, range(6)))):
        search = LayeredSearch(problem, limit)
        deadline = [limit - tail + days for tail, days in zip(problem.tails, problem.durations, strict=True)]
        more = redundant_resources(problem)
        for done, state in states_of(problem, rng):
            starts = search._earliest(done, state)
            assert starts == earliest_by_days(problem, done, state, limit)
            if starts is None:
                continue
            left = [p for p in range(6) if not done >> p & 1]
            work = [[problem.durations[p] * each.demands[p] for p in range(6)] for each in more]
            before = all(
                sum(amount[p] for p in left if deadline[p] <= day)
                + sum(min(end - state.time, day - state.time) * each.demands[p] for end, p in state.running)
                <= each.capacity * (day - state.time)
                for each, amount in zip(more, work, strict=True) for day in {deadline[p] for p in left}
            )  # fmt: skip
            assert search._room_before(done, state) == before
            after = all(
                sum(amount[p] for p in left if starts[p] >= day)
                <= each.capacity * (max(deadline[p] for p in left if starts[p] >= day) - day)
                for each, amount in zip(more, work, strict=True) for day in {starts[p] for p in left}
            )  # fmt: skip
            assert search._room_after(starts) == after
            dropped[before and after] += 1
            layer = {}
            search._expand(done, state, layer)
            wanted = max(starts[place] + problem.tails[place] for place in left) if left else 0
            assert all(new.bound == wanted for kept in layer.values() for new in kept)
    assert dropped[True]


def test_room_of_redundant_resources_drops_states():
    """Three of two on a crew of three cannot stand side by side: six days of work do not fit into five."""
    problem = problem_of([2, 2, 2], [(2,), (2,), (2,)], [3], [])
    assert not LayeredSearch(problem, 5).possible() and LayeredSearch(problem, 6).possible()


def test_a_state_goes_only_where_another_is_nowhere_later():
    """Two plans of the same activities: the new one goes where an old one came to its last start no later and lets go
    of everything no later; an old one goes where that holds the other way round."""
    rng = np.random.default_rng(6)
    seen = set()
    for _ in range(3000):
        times = rng.integers(0, 4, 2).tolist()
        new, old = ({k: int(rng.integers(1, 6)) for k in range(3) if rng.random() < 0.7} for _ in range(2))

        def no_later(first, second, time):
            return all(max(first.get(k, 0), time) <= max(second.get(k, 0), time) for k in range(3))

        assert _nowhere_later(new, old, times[1]) == no_later(new, old, times[1])
        kept = [State(times[1], old, [], [], None, 0)]
        left = _undominated(kept, times[0], new)
        if times[1] <= times[0] and no_later(old, new, times[0]):
            wanted = None
        elif times[0] <= times[1] and no_later(new, old, times[1]):
            wanted = []
        else:
            wanted = kept
        assert left == wanted
        seen.add(None if left is None else len(left))
    assert seen == {None, 0, 1}


@pytest.mark.parametrize("seed", range(12))
def test_an_activity_matters_until_nothing_hangs_on_it(seed):
    """It lets go when its days are over, when all that wait for its start may begin, and, where no follower carries its
    tail on, when the tail is over."""
    problem = random_problem(seed)
    for place, days in enumerate(problem.durations):
        after = [(gap, problem.tails[b]) for a, b, gap in problem.gaps if a == place]
        own = not any(gap + tail >= problem.tails[place] for gap, tail in after)
        wanted = [days, *(gap for gap, _ in after), *([problem.tails[place]] if own else [])]
        assert _hold(problem, place) == max(wanted)


@pytest.mark.parametrize("seed", range(16))
def test_pairs_that_never_run_together(seed):
    """Two are apart where one can only begin when the other is over, by the longest way, or where they need more of
    something than there is; every clique is a set of such pairs that none can be added to, every pair is in one."""
    problem = random_problem(seed, 7)
    count = 7
    way = np.full((count, count), -1000)
    for a, b, gap in problem.gaps:
        way[a, b] = max(way[a, b], gap)
    for m in range(count):
        way = np.maximum(way, np.where((way[:, [m]] >= 0) & (way[[m]] >= 0), way[:, [m]] + way[[m]], -1000))
    rooms, days = np.array(problem.capacities), problem.durations
    over = [[bool((np.add(one, two) > rooms).any()) for two in problem.demands] for one in problem.demands]
    apart = [[a != b and bool(way[a, b] >= days[a] or way[b, a] >= days[b] or over[a][b]) for b in range(count)]
             for a in range(count)]  # fmt: skip
    bits = incompatible(problem)
    assert [[bool(bits[a] >> b & 1) for b in range(count)] for a in range(count)] == apart
    sets = [{p for p in range(count) if one >> p & 1} for one in cliques(bits)]
    assert all(apart[a][b] for one in sets for a in one for b in one if a != b)
    assert all(any({a, b} <= one for one in sets) for a in range(count) for b in range(a) if apart[a][b])
    assert not any(all(apart[p][a] for a in one) for one in sets for p in set(range(count)) - one)


def test_demands_made_over_are_those_of_their_definition():
    """Capacity 10: below each least demand up to half of it nothing counts and above ten less it the whole; demands as
    shares count how many of 1/(n + 1), 2/(n + 1) ... of the capacity they pass."""
    demands = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10)
    problem = problem_of([1] * 10, [(d,) for d in demands], [10], [])
    made = {(each.demands, each.capacity) for each in redundant_resources(problem)}
    wanted = {(demands, 10)}
    for least in range(1, 6):
        wanted.add((tuple(10 if d > 10 - least else 0 if d < least else d for d in demands), 10))
    for shares in range(1, 7):
        wanted.add((tuple(sum(d * (shares + 1) > 10 * j for j in range(1, shares + 1)) for d in demands), shares))
    single = {pair for pair in made if set(pair[0]) <= {0, 1} and pair[1] == 1}  # cliques are looked at above
    assert wanted <= made and made - wanted <= single


def test_a_resource_that_only_some_need_counts():
    """Of two resources the second is needed by two of three activities: both are among the resources kept, and those
    two, which need all of it, cannot stand side by side."""
    problem = problem_of([3, 3, 3], [(1, 4), (1, 4), (1, 0)], [3, 4], [])
    kept = {(each.demands, each.capacity) for each in redundant_resources(problem)}
    assert {((1, 1, 1), 3), ((4, 4, 0), 4), ((1, 1, 0), 1)} <= kept
    assert not LayeredSearch(problem, 5).possible() and LayeredSearch(problem, 6).run(inf).starts is not None
