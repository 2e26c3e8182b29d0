"""What no cutting can go below: every bound by pricing, by length and by courses held to loads tried one by one."""

from collections import Counter
from dataclasses import replace
from itertools import product
from math import ceil, inf

import numpy as np
import pytest
from scipy.optimize import linprog

from lynchet.timber.courses import Rules, Span
from lynchet.timber.cut_near import worth_of
from lynchet.timber.cut_orders import Sticks
from lynchet.timber.cut_plan import least_cost
from lynchet.timber.cut_programme import Priced, Programme, _better, _first_patterns, _solve, price_patterns, stock_rows
from lynchet.timber.laying_plan import Job, _cover_bound, lay_least

KERF = 400


def programme(seed, proper=True):
    """A few sticks, some scarce, one maybe for nothing, and a short order."""
    rng = np.random.default_rng(seed)
    length = tuple(sorted(rng.choice(np.arange(180_000, 500_000, 10_000), 3, replace=False).tolist()))
    price = tuple((np.round(np.array(length) / 1e4 * rng.uniform(0.8, 1.3, 3)) / 2.0).tolist())
    available = tuple(int(rng.integers(1, 4)) if rng.random() < 0.5 else None for _ in length)
    sticks = Sticks(length, tuple(v + KERF for v in length), price, available, KERF)
    pieces = sorted(rng.choice(np.arange(50_000, length[-1], 7_000), 4, replace=False).tolist(), reverse=True)
    return Programme(sticks, tuple(pieces), tuple(rng.integers(1, 5, 4).tolist()), proper=proper, exact=True)


def loads(programme):
    """Every load of every stick, by brute force: (stock, pieces of each length)."""
    sticks = programme.sticks
    most = [max(sticks.room) // (length + KERF) for length in programme.lengths]
    if programme.proper:
        most = [min(m, asked) for m, asked in zip(most, programme.asked, strict=True)]
    return [(stock, held) for held in product(*(range(m + 1) for m in most)) if any(held)
            for stock, room in enumerate(sticks.room)
            if sum(n * (length + KERF) for n, length in zip(held, programme.lengths, strict=True)) <= room]  # fmt: skip


def linear_bound(programme):
    """Optimum of the linear programme over all loads, handed to the solver whole; None where sticks run out."""
    every, count = loads(programme), len(programme.lengths)
    cost = [programme.sticks.price[stock] for stock, _ in every]
    rows = [-np.array([held[i] for _, held in every], float) for i in range(count)]
    limits = [-float(asked) for asked in programme.asked]
    for stock, held in enumerate(programme.sticks.available):
        if held is not None:
            rows.append(np.array([float(one == stock) for one, _ in every]))
            limits.append(float(held))
    done = linprog(cost, A_ub=np.array(rows), b_ub=limits)
    return float(done.fun) if done.status == 0 else None


def scaled(programme, values, toll):
    """By how much values are too large: the largest worth of a load over its stick's price and toll, 1 at least."""
    worths = [(sum(n * v for n, v in zip(held, values, strict=True)), programme.sticks.price[s] + toll[s])
              for s, held in loads(programme)]  # fmt: skip
    return max([1.0, *(worth / cost for worth, cost in worths if cost > 0)])


@pytest.mark.parametrize("seed", range(20))
def test_any_values_of_pieces_give_a_bound(seed):
    """Whatever pieces are said to be worth: cut down until no load is worth more than its stick with its toll, what is
    asked for is worth that less the tolls of all scarce sticks, and nothing can be cheaper than that."""
    rng = np.random.default_rng(50 + seed)
    given = programme(seed, proper=seed % 3 > 0)
    values = np.array(given.lengths) / 1e4 * rng.uniform(0.2, 0.9, 4)
    toll = np.array([rng.uniform(0.0, 6.0) if held is not None else 0.0 for held in given.sticks.available])
    over = scaled(given, values, toll)
    rent = sum(t * held for t, held in zip(toll, given.sticks.available, strict=True) if held is not None)
    asked = float(values @ np.array(given.asked))
    worth = worth_of(given, Priced(0.0, True, [], values, toll))
    assert worth.piece == pytest.approx(values / over)
    assert worth.stick == pytest.approx(np.array(given.sticks.price) + toll)
    assert worth.bound == pytest.approx(asked / over - rent)
    bound, found = _better(given, values, toll, asked - rent)
    assert bound == pytest.approx(asked / over - rent)
    least = linear_bound(given)
    assert least is None or bound <= least + 1e-6
    best = {}
    for stock, held in loads(given):
        worthy = sum(n * v for n, v in zip(held, values, strict=True))
        best[stock] = max(best.get(stock, 0.0), worthy)
    dear = {stock for stock, most in best.items() if most > given.sticks.price[stock] + toll[stock] + 1e-9}
    assert {stock for stock, _ in found} == dear and set(found) <= set(loads(given))
    for stock, held in found:
        assert sum(n * v for n, v in zip(held, values, strict=True)) == pytest.approx(best[stock])


@pytest.mark.parametrize("seed", range(20))
def test_pricing_ends_at_the_linear_programme_over_all_loads(seed):
    """The bound is the optimum over every load listed; the values and tolls prove it: no load is worth more than its
    stick, and what is asked for is worth the bound. Where sticks run out it says so."""
    given = programme(seed, proper=seed % 2 == 0)
    priced = price_patterns(given, inf)
    least = linear_bound(given)
    assert priced.feasible == (least is not None)
    if least is None:
        return
    assert priced.bound == pytest.approx(least, rel=1e-7)
    assert scaled(given, priced.values, priced.toll) == pytest.approx(1.0, abs=1e-7)
    rent = sum(t * (held or 0) for t, held in zip(priced.toll, given.sticks.available, strict=True))
    assert float(priced.values @ np.array(given.asked)) - rent == pytest.approx(least, rel=1e-7)
    assert all(t == 0.0 for t, held in zip(priced.toll, given.sticks.available, strict=True) if held is None)
    assert set(priced.patterns) <= set(loads(given))
    again = price_patterns(given, inf, priced.patterns)
    assert again.bound == pytest.approx(least, rel=1e-7)
    quick = price_patterns(replace(given, exact=False), inf)
    assert quick.bound <= least + 1e-9
    if given.step:  # it may end before the optimum, but lifted to a price that exists the bound is the same
        assert ceil(quick.bound / given.step - 1e-6) == ceil(least / given.step - 1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_scarce_sticks_are_counted(seed):
    """One row for every stock that may run out, 1 where a load is cut from it, and how many there are."""
    given = programme(seed)
    stocks = [stock for stock, _ in loads(given)]
    rows, held = stock_rows(given, stocks)
    limited = [s for s, count in enumerate(given.sticks.available) if count is not None]
    assert held.tolist() == [given.sticks.available[s] for s in limited]
    assert rows.shape == (len(limited), len(stocks))
    assert rows.toarray().tolist() == [[float(stock == s) for stock in stocks] for s in limited]


@pytest.mark.parametrize("seed", range(6))
def test_pieces_from_nowhere_are_told(seed):
    """Of loads without the longest piece the programme says that pieces are missing; with it they are not."""
    given = programme(seed)
    free = replace(given, sticks=given.sticks.unlimited())
    first = _first_patterns(free)
    assert set(first) <= set(loads(free)) and len(set(first)) == len(first)
    without = [(stock, held) for stock, held in first if not held[0]]
    assert _solve(free, first, inf)[1] is False
    assert not without or _solve(free, without, inf)[1] is True


@pytest.mark.parametrize("extras", [{}, {120_000: 4}, {120_000: 3, 80_000: 5}])
@pytest.mark.parametrize("courses", [((0, 480_000),), ((0, 480_000), (15_000, 500_000), (0, 961_000))])
def test_courses_cost_at_least_their_length_and_cuts(courses, extras):
    """Every course in as few pieces as the longest allows, each with one cut, and the extras, at the best price of a
    length; of courses just as long as sticks the laying costs just that."""
    sticks = Sticks((240_000, 480_000), (240_000 + KERF, 480_000 + KERF), (21.0, 38.0), (None, None), KERF)
    rules = Rules(0, 60_000, 480_000, 0, 60_000)
    spans = (tuple(Span(low, high) for low, high in courses), (Span(0, 240_000),))
    job = Job(spans, rules, sticks, Counter(extras), inf)
    metres = pieces = 0
    for low, high in (*courses, (0, 240_000)):
        many = next(n for n in range(1, 9) if n * 480_000 >= high - low)
        metres, pieces = metres + high - low, pieces + many
    for length, count in extras.items():
        metres, pieces = metres + length * count, pieces + count
    rate = min(21.0 / (240_000 + KERF), 38.0 / (480_000 + KERF))
    assert _cover_bound(job) == pytest.approx((metres + pieces * KERF) * rate)


def test_courses_just_as_long_as_sticks_cost_their_sticks():
    """Two courses of one stick each, no other length sold: bound and cost are two sticks; a laying is found even where
    the first plan is already the best."""
    sticks = Sticks((480_000,), (480_000 + KERF,), (38.0,), (None,), KERF)
    spans = ((Span(0, 480_000), Span(0, 480_000)),)
    job = Job(spans, Rules(0, 60_000, 480_000, 0, 60_000), sticks, Counter(), inf)
    assert _cover_bound(job) == pytest.approx(76.0)
    laid = lay_least(job)
    assert laid.plan.cost == laid.plan.bound == 76.0 and laid.joints == [[[], []]]


@pytest.mark.parametrize("seed", range(10))
def test_least_cost_lies_at_or_above_every_bound(seed):
    """The cost proven least is no lower than the linear bound, nor the pieces with their cuts at the best price of a
    length; a bound given from elsewhere is kept where it is the better one."""
    given = programme(seed)
    demand = dict(zip(given.lengths, given.asked, strict=True))
    found = least_cost(given.sticks, demand, inf)
    least = linear_bound(given)
    if found is None:
        return
    total = sum(count * (length + KERF) for length, count in demand.items())
    rate = min(price / room for price, room in zip(given.sticks.price, given.sticks.room, strict=True))
    assert given.sticks.length_bound(total) == pytest.approx(total * rate)
    assert found.proven and found.cost >= max(least, total * rate) - 1e-6
    again = least_cost(given.sticks, demand, inf, low=found.cost)
    assert again.cost == pytest.approx(found.cost) and again.proven
    started = least_cost(given.sticks, demand, inf, start=found)
    assert started.cost == pytest.approx(found.cost) and started.proven
