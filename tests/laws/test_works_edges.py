"""Laws at edges of the works formulas: resources of very different size, the spread of a few jobs."""

import itertools

import numpy as np
import pytest
from scipy.stats import t as student

from lynchet.calculators.checked import call
from lynchet.works.learned_rate import learned_rate
from lynchet.works.links import Network, Tie
from lynchet.works.resource_problem import ResourceProblem, reduced
from lynchet.works.resource_schedule import resource_schedule


def _shortest(days, demands, capacities):
    """Shortest length of tasks without order between them, every start tried from the left in every order."""
    best = sum(days)
    for order in itertools.permutations(range(len(days))):
        used = np.zeros((sum(days) + 1, len(capacities)), int)
        for task in order:
            start = next(s for s in range(sum(days)) if (used[s : s + days[task]] + demands[task] <= capacities).all())
            used[start : start + days[task]] += demands[task]
        best = min(best, int(np.flatnonzero(used.sum(axis=1)).max()) + 1)
    return best


@pytest.mark.parametrize("seed", range(8))
def test_one_man_and_a_large_crew_are_each_kept_within_their_number(seed):
    """Resources of 1 and of 9 to 40: the shortest schedule is that of trying every order, and nobody is used twice."""
    rng = np.random.default_rng(seed)
    capacities = np.array([1, int(rng.integers(9, 41)), 3])
    days = rng.integers(1, 4, 5).tolist()
    demands = np.stack([rng.integers(0, 2, 5), rng.integers(1, capacities[1] + 1, 5), rng.integers(0, 4, 5)], axis=1)
    found = call(resource_schedule, {
        "resources": [{"name": str(k), "capacity": int(c)} for k, c in enumerate(capacities)],
        "activities": [{"name": str(i), "duration_day": days[i], "demand": demands[i].tolist()} for i in range(5)],
    })  # fmt: skip
    assert found.proven and found.makespan_day == _shortest(days, demands, capacities)
    for day in range(found.makespan_day):
        busy = [i for i in range(5) if found.start_day[i] <= day < found.start_day[i] + days[i]]
        assert (demands[busy].sum(axis=0) <= capacities).all()


def test_the_spread_of_jobs_is_that_of_their_logarithms():
    """Two jobs or more have the sample spread of the logarithms of their rates; one job has none."""
    rng = np.random.default_rng(4)
    for count in (2, 3, 7):
        quantity, hours = rng.uniform(5.0, 50.0, count), rng.uniform(10.0, 90.0, count)
        jobs = [{"name": str(i), "quantity": float(quantity[i]), "hours": float(hours[i])} for i in range(count)]
        found = call(learned_rate, {"jobs": jobs})
        assert found.log_sd == pytest.approx(np.std(np.log(hours / quantity), ddof=1))
        reach = student(count - 1).ppf(0.95) * found.log_sd * np.sqrt(1.0 + 1.0 / count)
        ninety = call(learned_rate, {"jobs": jobs, "coverage_pct": 90.0})
        assert np.log(ninety.high_hours_per_unit / found.learned_hours_per_unit) == pytest.approx(reach)
        assert np.log(ninety.low_hours_per_unit / found.learned_hours_per_unit) == pytest.approx(-reach)
        one = call(learned_rate, {"jobs": jobs[:1]})
        assert one.log_sd is None and one.low_hours_per_unit is None


@pytest.mark.parametrize("durations, demands, gaps, wanted", [
    ((4, 3, 2), ((1,), (1,), (1,)), (), 9),  # one after the other on a crew of one
    ((4, 3, 2), ((0,), (0,), (1,)), ((0, 1, 4),), 7),  # the longest way
    ((4, 3, 2), ((1,), (1,), (1,)), ((0, 1, 4), (1, 2, 9)), 15),  # a way with a wait in it
])  # fmt: skip
def test_no_plan_of_work_is_shorter_than_its_longest_way_or_its_work(durations, demands, gaps, wanted):
    """The first bound is the larger of the longest way through and a resource's work over its capacity, by hand."""
    heads, tails = [0, 0, 0], list(durations)
    for before, after, gap in gaps:
        heads[after] = heads[before] + gap
    for before, after, gap in reversed(gaps):
        tails[before] = max(tails[before], gap + tails[after])
    problem = ResourceProblem(durations, demands, (1,), gaps, tuple(heads), tuple(tails))
    assert problem.bound == wanted


@pytest.mark.parametrize("seed", range(12))
def test_gaps_left_out_are_made_up_by_those_kept(seed):
    """Activities tied start to start, waits below 0 among them: the longest ways between all pairs over the gaps
    kept are those over all ties."""
    rng = np.random.default_rng(seed)
    count = 7
    pairs = [(a, b) for a in range(count) for b in range(a + 1, count) if rng.random() < 0.6]
    ties = tuple(Tie(a, b, "ss", float(rng.integers(-3, 6))) for a, b in pairs)
    net = Network(tuple(f"a{n}" for n in range(count)), ties, tuple(range(count)))
    problem, places = reduced(net, [2] * count, [[1]] * count, [3])
    assert places == list(range(count))

    def longest(gaps):
        ways = np.full((count, count), -np.inf)
        for a, b, gap in gaps:
            ways[a, b] = max(ways[a, b], gap)
        for m in range(count):
            ways = np.maximum(ways, ways[:, [m]] + ways[[m], :])
        return ways

    assert np.array_equal(longest(problem.gaps), longest([(t.before, t.after, t.lag_day) for t in ties]))
