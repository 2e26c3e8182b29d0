"""Laws at the edges of cutting: nothing to pay, sticks exactly full, the cheapest stick for what is left on one."""

from math import inf

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.timber.cut_bounds import cut_bounds, least_sticks, pattern_bound
from lynchet.timber.cut_orders import Stock, price_step, sticks_of
from lynchet.timber.cut_plan import CutPlan, least_cost, trimmed
from lynchet.timber.first_fit import first_fit

STOCKS = [Stock(2.4, 20.0), Stock(3.6, 45.0), Stock(4.8, 38.0)]


def sticks(*stocks, kerf_m=0.0):
    """Stock in whole units, without trim."""
    return sticks_of(list(stocks), kerf_m, 0.0, 0.0)


def test_a_cutting_that_costs_nothing_has_no_gap():
    """Of sticks that cost nothing the plan is proven and its gap is 0."""
    free = least_cost(sticks(Stock(2.4, 0.0)), {100_000: 3}, inf)
    assert (free.cost, free.proven, free.gap_pct) == (0.0, True, 0.0)


@pytest.mark.parametrize("cost, bound, gap", [(200.0, 150.0, 25.0), (0.5, 0.25, 50.0), (80.0, 80.0, 0.0)])
def test_gap_is_the_share_of_the_cost_not_proven(cost, bound, gap):
    """Cost less bound over cost; a plan is proven where they meet."""
    plan = CutPlan(cost, (1,), (), bound)
    assert plan.gap_pct == pytest.approx(gap) and plan.proven == (gap == 0.0)


@pytest.mark.parametrize("count", range(1, 9))
def test_least_sticks_by_halves_of_the_longest(count):
    """Pieces of 2.4 m without a cut lost: two to a stick of 4.8 m, the odd one on one more, whatever else is sold."""
    assert least_sticks(sticks(*STOCKS), {240_000: count}) == (count + 1) // 2
    given = {"stock": [{"length_m": s.length_m, "price_money": s.price_money} for s in STOCKS], "kerf_m": 0.0,
             "pieces": [{"length_m": 2.4, "count": count}]}  # fmt: skip
    assert call(cut_bounds, given).least_sticks == (count + 1) // 2


def test_what_is_left_on_a_stick_comes_from_the_cheapest_that_holds_it():
    """Pieces nobody asked for are left off, and the stick becomes the cheapest that holds the rest; of scarce sticks
    none is changed."""
    cut = [(1, [180_000, 60_000]), (1, [360_000]), (0, [240_000]), (2, [100_000])]
    demand = {180_000: 1, 360_000: 1, 240_000: 1}
    plan = trimmed(sticks(*STOCKS), cut, demand)
    assert plan.sticks == ((0, (180_000,)), (2, (360_000,)), (0, (240_000,)))
    assert plan.counts == (2, 0, 1) and plan.cost == pytest.approx(78.0)
    scarce = sticks(*STOCKS[:2], Stock(4.8, 38.0, available=1))
    assert [stock for stock, _ in trimmed(scarce, cut, demand).sticks] == [1, 1, 0]


@pytest.mark.parametrize("kerf_m, fits", [(0.0, 2), (0.004, 1)])
def test_a_cut_takes_its_width(kerf_m, fits):
    """Two halves come from one stick only where the cut between them takes nothing."""
    found = least_cost(sticks(Stock(4.8, 38.0), kerf_m=kerf_m), {240_000: 4}, inf)
    assert found.counts == (4 // fits,) and found.cost == pytest.approx(38.0 * 4 / fits)


def test_a_piece_as_long_as_the_stick_is_cut_from_it():
    """A piece of the longest stick's own length takes one; a hundredth of a millimetre more is refused."""
    from lynchet.core.errors import InputError
    from lynchet.timber.cut_orders import Piece, demand_of

    held = sticks(*STOCKS, kerf_m=0.003)
    assert demand_of([Piece(4.8, 2)], held) == {480_000: 2}
    assert least_cost(held, {480_000: 2}, inf).counts == (0, 0, 2)
    with pytest.raises(InputError, match="longer"):
        demand_of([Piece(4.80001, 1)], held)


def test_a_bound_above_the_cost_by_rounding_leaves_no_gap():
    """Nothing is left to prove where the bound has reached the cost; a cutting by itself proves nothing."""
    assert CutPlan(80.0, (1,), (), 80.0 + 1e-12).gap_pct == 0.0 and CutPlan(0.0, (1,), (), 0.0).gap_pct == 0.0
    assert trimmed(sticks(*STOCKS), [(2, [240_000])], {240_000: 1}).bound == 0.0


@pytest.mark.parametrize("share", [1.0, 1e-3, 1e-4])
def test_cheap_orders_are_cut_as_well_as_dear_ones(share):
    """The habit of the trade wastes a stick here; the least cost is found though all sticks cost next to nothing."""
    stock = sticks(Stock(3.0, 30.0 * share))
    demand = {160_000: 1, 110_000: 1, 100_000: 1, 90_000: 1, 60_000: 1, 40_000: 2}  # 16 + 10 + 4 and 11 + 9 + 6 + 4
    habit = trimmed(stock, first_fit(stock, demand), demand)
    found = least_cost(stock, demand, inf)
    assert habit.counts == (3,) and found.counts == (2,) and found.proven
    assert found.cost == pytest.approx(60.0 * share)


@pytest.mark.parametrize("share", [0.001, 0.02, 50.0])
def test_bounds_go_with_the_currency(share):
    """Prices in another currency: the bound of the linear programme and the least cost change as the prices do, far
    below one unit of money too, and no bound is above the cost."""
    pieces = {131_000: 7, 97_000: 5, 83_500: 6, 61_000: 9}
    stocks = [(2.4, 20.0), (3.0, 25.5), (3.6, 31.5), (4.8, 43.5)]
    one, other = (sticks(*(Stock(length, price * factor) for length, price in stocks), kerf_m=0.004)
                  for factor in (1.0, share))  # fmt: skip
    assert pattern_bound(other, pieces) == pytest.approx(share * pattern_bound(one, pieces), rel=1e-6)
    best, same = least_cost(one, pieces, inf), least_cost(other, pieces, inf)
    assert same.cost == pytest.approx(share * best.cost, rel=1e-6) and best.proven
    assert pattern_bound(one, pieces) <= best.bound + 1e-9 <= best.cost + 2e-9


@pytest.mark.parametrize("seed", range(12))
def test_the_habit_of_the_trade_by_hand(seed):
    """Longest first, each into the first stick that still takes it, just full allowed; counted once more by hand over
    pieces in halves and quarters of the longest stick, which often fill it to the last hundredth."""
    rng = np.random.default_rng(seed)
    stock = sticks(Stock(2.4, 21.0), Stock(4.8, 38.0), kerf_m=0.004 * (seed % 2))
    kerf = stock.kerf
    full = 480_000 + kerf
    sizes = [full // share - kerf for share in (1, 2, 3, 4, 6, 8)]
    demand = {size: int(rng.integers(0, 4)) for size in sizes}
    left, held = [], []
    for size in sizes:
        for _ in range(demand[size]):
            at = next((i for i, room in enumerate(left) if room >= size + kerf), len(left))
            if at == len(left):
                left.append(full)
                held.append([])
            left[at] -= size + kerf
            held[at].append(size)
    wanted = [(0 if sum(one) + kerf * len(one) <= 240_000 + kerf else 1, one) for one in held]
    assert first_fit(stock, demand) == wanted
    assert first_fit(stock, demand, swap_down=False) == [(1, one) for one in held]


@pytest.mark.parametrize("seed", range(8))
def test_prices_without_a_common_step_are_proven_too(seed):
    """Two or three lengths, prices that run on past the millionth: the cost is that of the best way to share the pieces
    out, tried over all subsets, and the plan is told to be proven."""
    rng = np.random.default_rng(seed)
    lengths = np.array([2.4, 3.6, 4.8])
    prices = (lengths + rng.uniform(0, 0.4, 3)) / 2
    stock = sticks(*(Stock(float(m), float(p)) for m, p in zip(lengths, prices, strict=True)), kerf_m=0.003)
    assert price_step(stock.price) == 0.0
    pieces = np.repeat(rng.integers(500, 2300, 3) * 100, rng.integers(2, 4, 3))
    sets = (np.arange(2 ** len(pieces))[:, None] >> np.arange(len(pieces))) & 1
    full = sets @ (pieces + 300)
    alone = [min((p for m, p in zip(lengths, prices, strict=True) if m * 1e5 + 300.5 >= load), default=inf)
             for load in full]  # fmt: skip
    least = [0.0] * len(sets)
    for whole in range(1, len(sets)):
        first, part = whole & -whole, whole
        least[whole] = inf
        while part:
            if part & first:
                least[whole] = min(least[whole], alone[part] + least[whole ^ part])
            part = (part - 1) & whole
    demand = {int(piece): int((pieces == piece).sum()) for piece in pieces}
    found = least_cost(stock, demand, inf)
    assert found.cost == pytest.approx(least[-1], rel=1e-6) and found.proven


@pytest.mark.parametrize("price", [21.0175411, 187.12345678])
def test_a_price_of_many_digits_has_no_common_step_and_is_cut_all_the_same(price):
    """One stock: the least cost is the price times the fewest sticks, counted by hand; no step is read into it."""
    pieces = {1.285: 2, 1.748: 2, 1.053: 3, 0.569: 1, 0.958: 2}
    stock = sticks(Stock(2.4, price), kerf_m=0.003)
    assert price_step(stock.price) == 0.0
    found = least_cost(stock, {round(m * 1e5): n for m, n in pieces.items()}, inf)
    # 1.748 goes with 0.569 only; of the other seven none of 1.285 fits with 1.285, and no three share a stick.
    alone_or_two = 1 + 1 + 4
    assert found.proven and found.cost == pytest.approx(alone_or_two * price, rel=1e-6)


@pytest.mark.parametrize(("prices", "step"), [((5.20, 3.90), 1.30), ((0.1 + 0.2, 1.2), 0.3), ((1e5, 12.345678), 2e-6)])
def test_common_steps_of_ordinary_prices(prices, step):
    """Whole cents have their greatest common measure, whatever floats add."""
    assert price_step(prices) == pytest.approx(step, rel=1e-9)
