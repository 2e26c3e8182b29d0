"""Laws of buying and cutting: what is cut fits, costs no less than the bound, and dearer sticks never cost less."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import count as counted
from itertools import product
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from lynchet.plan.effort import FULL
from lynchet.project.model import Stock, Timber
from lynchet.timber import cut_integer, cut_plan, cut_programme
from lynchet.timber.buying import Bought, buy

Rng = np.random.Generator
LENGTHS_M = (1.8, 2.4, 3.0, 3.6, 4.2, 4.8)


def _wood(rng: Rng, on_hand: bool, priced: bool = True) -> Timber:
    lengths = sorted(rng.choice(LENGTHS_M, int(rng.integers(1, 5)), replace=False).tolist())
    stock = tuple(
        Stock(length, round(float(length * rng.uniform(7, 11)), 2) if priced else None,
              int(rng.integers(0, 4)) if on_hand else 0)
        for length in lengths
    )  # fmt: skip
    kerf, trim, over = (float(rng.choice(values)) for values in ((0.0, 0.003, 0.006), (0.0, 0.02), (0.0, 0.01)))
    return Timber(0.15, 0.15, 7.85, stock=stock, kerf_m=kerf, end_trim_m=trim, over_length_m=over)


def _wanted(rng: Rng, wood: Timber, count: int) -> list[tuple[str, float]]:
    most = wood.longest_m or 4.8
    return [(f"p{number}", round(float(rng.uniform(0.3, most)), 2)) for number in range(count)]


def faults(wood: Timber, wanted: list[tuple[str, float]], bought: Bought) -> list[str]:
    """What is wrong with a cutting, by plain sums; knows nothing of how it was found."""
    wrong = []
    if sorted((n, round(x, 5)) for n, x in wanted) != sorted(
        (name, round(size, 5))
        for stick in bought.sticks
        for name, size in zip(stick.pieces, stick.lengths_m, strict=True)
    ):
        wrong.append("pieces cut are not the pieces wanted")
    own = {round(row.length_m, 5): row.on_hand for row in wood.stock}
    sold = {round(row.length_m, 5) for row in wood.stock if row.sold}
    for stick in bought.sticks:
        room = stick.stock_m + (0.0 if stick.source == "special" else wood.over_length_m) - wood.end_trim_m
        if sum(stick.lengths_m) + wood.kerf_m * (len(stick.lengths_m) - 1) > room + 1e-6:
            wrong.append(f"{stick.lengths_m} do not fit {stick.stock_m}")
        if stick.source != "special" and round(stick.stock_m, 5) not in (own if stick.source == "on hand" else sold):
            wrong.append(f"{stick.stock_m} is not sold")
    used = Counter(round(stick.stock_m, 5) for stick in bought.sticks if stick.source == "on hand")
    wrong += [f"{count} of {own[size]} on hand at {size}" for size, count in used.items() if count > own[size]]
    lines = {(round(line.length_m, 5), line.special): (line.bought + line.on_hand) for line in bought.lines}
    if sum(lines.values()) != len(bought.sticks):
        wrong.append("lines do not count the sticks")
    return wrong


def _price(wood: Timber, bought: Bought) -> float:
    price = {round(row.length_m, 5): row.price for row in wood.stock}
    return sum((price[round(s.stock_m, 5)] or 0.0) for s in bought.sticks if s.source == "bought")


@pytest.mark.parametrize("on_hand", [False, True])
def test_every_piece_is_cut_once_and_fits_its_stick(on_hand: bool) -> None:
    """A thousand random orders: each piece once, each stick long enough with its saw cuts and trim, as counted."""
    rng = np.random.default_rng(5 + on_hand)
    for _ in range(500):
        wood = _wood(rng, on_hand)
        wanted = _wanted(rng, wood, int(rng.integers(1, 40)))
        bought = buy(wood, wanted, 0)
        assert faults(wood, wanted, bought) == []
        assert bought.price == pytest.approx(_price(wood, bought), abs=1e-6)
        assert bought.proof.bound <= bought.proof.cost + 1e-9


@pytest.mark.parametrize("seed", range(24))
def test_exact_never_costs_more_than_the_habit_nor_less_than_any_bound(seed: int) -> None:
    """The exact cutting is legal, at most as dear as first-fit, and no bound lies above it; on hand or not, priced or
    not."""
    rng = np.random.default_rng([31, seed])
    wood = _wood(rng, on_hand=seed % 3 == 0, priced=seed % 4 != 1)
    wanted = _wanted(rng, wood, int(rng.integers(2, 25)))
    habit, exact = buy(wood, wanted, 0), buy(wood, wanted, FULL.cutting_work)
    assert faults(wood, wanted, exact) == []
    assert exact.proof.cost <= habit.proof.cost + 1e-9
    assert max(habit.proof.bound, exact.proof.bound) <= exact.proof.cost + 1e-9
    assert exact.proof.proven == (exact.proof.gap_pct == 0.0)
    assert exact.proof.measure == ("price" if seed % 4 != 1 else "length")


def test_the_sticks_hang_on_no_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a machine whose clock leaps by a day at every look, exact cutting finds the very same sticks and bound."""
    rng = np.random.default_rng([41, 15])
    wood = _wood(rng, on_hand=False, priced=True)
    wanted = _wanted(rng, wood, 24)
    found = buy(wood, wanted, FULL.cutting_work)
    assert found.proof.cost < buy(wood, wanted, 0).proof.cost  # so that there was something to look for
    days = counted(0.0, 86400.0)
    for module in (cut_integer, cut_plan, cut_programme):
        monkeypatch.setattr(module, "monotonic", lambda: next(days))
    again = buy(wood, wanted, FULL.cutting_work)
    assert again == found


def _cheapest(wood: Timber, sizes: list[float]) -> float:
    """Least price by trying every way to share pieces among sticks (set partitions) and every stick for each share."""
    best = float("inf")

    def room(row: Stock) -> float:
        return row.length_m + wood.over_length_m - wood.end_trim_m

    def priced(shares: list[list[float]]) -> float:
        loads = [sum(share) + wood.kerf_m * (len(share) - 1) for share in shares]
        least = float("inf")
        for rows in product(range(len(wood.stock)), repeat=len(shares)):
            if all(load <= room(wood.stock[row]) + 1e-9 for load, row in zip(loads, rows, strict=True)):
                taken = Counter(rows)
                cost = sum((wood.stock[row].price or 0.0) * max(count - wood.stock[row].on_hand, 0)
                           for row, count in taken.items())  # fmt: skip
                least = min(least, cost)
        return least

    def share(left: list[float], shares: list[list[float]]) -> None:
        nonlocal best
        if not left:
            best = min(best, priced(shares))
            return
        for one in shares:
            one.append(left[0])
            share(left[1:], shares)
            one.pop()
        share(left[1:], [*shares, [left[0]]])

    share(sizes, [])
    return best


@pytest.mark.parametrize("seed", range(12))
def test_exact_is_the_least_of_all_ways(seed: int) -> None:
    """Five pieces or fewer, with sticks on hand: proven, and equal to the least over every way to share them out."""
    rng = np.random.default_rng([77, seed])
    wood = _wood(rng, on_hand=True)
    wood = replace(wood, stock=wood.stock[:3])
    wanted = _wanted(rng, wood, int(rng.integers(1, 6)))
    exact = buy(wood, wanted, FULL.cutting_work)
    least = _cheapest(wood, [size for _, size in wanted])
    assert exact.proof.proven and exact.proof.cost == pytest.approx(least, abs=1e-6)


@pytest.mark.parametrize("work", [0, FULL.cutting_work])
def test_a_dearer_stick_never_makes_it_cheaper(work: int) -> None:
    """One length dearer, all else alike: the total never falls, by the habit and (where proven) exactly."""
    rng = np.random.default_rng(8)
    for _ in range(200 if work == 0 else 8):
        wood = _wood(rng, on_hand=bool(rng.random() < 0.5))
        wanted = _wanted(rng, wood, int(rng.integers(1, 20)))
        number = int(rng.integers(len(wood.stock)))
        dearer = tuple(replace(row, price=(row.price or 0.0) + (5.0 if i == number else 0.0))
                       for i, row in enumerate(wood.stock))  # fmt: skip
        before, after = buy(wood, wanted, work), buy(replace(wood, stock=dearer), wanted, work)
        if work == 0 or (before.proof.proven and after.proof.proven):
            assert after.proof.cost >= before.proof.cost - 1e-9


def test_sticks_on_hand_never_make_it_dearer() -> None:
    """With any number of sticks on hand the habit buys for no more money than without."""
    rng = np.random.default_rng(9)
    for _ in range(200):
        wood = _wood(rng, on_hand=True)
        wanted = _wanted(rng, wood, int(rng.integers(1, 20)))
        bare = replace(wood, stock=tuple(replace(row, on_hand=0) for row in wood.stock))
        assert buy(wood, wanted, 0).proof.cost <= buy(bare, wanted, 0).proof.cost + 1e-9


@pytest.mark.parametrize("work", [0, FULL.cutting_work])
def test_a_length_nobody_sells_is_never_bought(work: int) -> None:
    """Lengths that are on hand only are used up to their number and never bought, priced or not; all pieces are cut.

    Without a price of its own such a length leaves the others' prices the measure.
    """
    rng = np.random.default_rng(11)
    used = 0
    for trial in range(60 if work == 0 else 12):
        wood = _wood(rng, on_hand=True, priced=trial % 3 > 0)
        held = (Stock(1.2, None, int(rng.integers(1, 4)), sold=False), Stock(4.5, None, 2, sold=False))
        wood = replace(wood, stock=(*wood.stock, *held))
        wanted = _wanted(rng, wood, int(rng.integers(1, 20)))
        bought = buy(wood, wanted, work)
        assert not faults(wood, wanted, bought)
        assert bought.proof.measure == ("price" if trial % 3 else "length")
        used += sum(line.on_hand for line in bought.lines if round(line.length_m, 5) in (1.2, 4.5))
    assert used > 10


def test_a_price_of_nothing_is_no_measure() -> None:
    """With a length priced at nothing sticks are bought by length: by price they would be bought without end."""
    wood = Timber(0.15, 0.15, 7.85, stock=(Stock(2.4, 20.0), Stock(4.8, 0.0)), kerf_m=0.003)
    bought = buy(wood, [("a", 1.0), ("b", 1.0)], FULL.cutting_work)
    assert bought.proof.measure == "length" and [stick.stock_m for stick in bought.sticks] == [2.4]


def test_a_piece_longer_than_any_stock_is_a_special_stick() -> None:
    """It is bought at its own length, without a price, and the rest is cut as if it were not there."""
    wood = Timber(0.15, 0.15, 7.85, stock=(Stock(2.4, 20.0), Stock(3.6, 31.0)), kerf_m=0.003)
    rest = [("a", 1.2), ("b", 3.6)]
    bought, plain = buy(wood, [*rest, ("long", 5.0)], 0), buy(wood, rest, 0)
    special = [stick for stick in bought.sticks if stick.source == "special"]
    assert [(stick.stock_m, stick.pieces) for stick in special] == [(5.0, ("long",))]
    assert bought.price is None and bought.proof == plain.proof and faults(wood, [*rest, ("long", 5.0)], bought) == []


def test_special_lengths_are_whole_marks_of_a_tape() -> None:
    """Nobody asks a yard for a tenth of a millimetre: lengths go up to the next mark, an eighth of an inch or a
    millimetre, never below the piece, and pieces of one mark are one line of the order."""
    wood = Timber(0.14, 0.14, 7.85, stock=(Stock(2.4, 20.0),))
    inch = 0.0254
    wanted = [("a", 150.2 * inch), ("b", 150.24 * inch), ("c", 150.25 * inch), ("d", 150.26 * inch)]
    by_eighths, by_millimetres = buy(wood, wanted, 0, inch / 8), buy(wood, wanted, 0)
    assert [(round(row.length_m / inch, 3), row.bought) for row in by_eighths.lines if row.special] == [
        (150.25, 3), (150.375, 1)
    ]  # fmt: skip
    for bought in (by_eighths, by_millimetres):
        assert all(stick.stock_m >= max(stick.lengths_m) - 1e-5 for stick in bought.sticks)
    assert [row.length_m for row in by_millimetres.lines if row.special] == [3.816, 3.817]


def test_saw_cuts_by_hand() -> None:
    """3.6 m less 2 cm trim, 1.2 and 1.1 m, 3 mm kerf: cuts at trim, between, behind; 1.271 m left."""
    wood = Timber(0.15, 0.15, 7.85, stock=(Stock(3.6, 31.0),), kerf_m=0.003, end_trim_m=0.02)
    stick = buy(wood, [("a", 1.2), ("b", 1.1)], 0).sticks[0]
    assert stick.saw_cuts == 3 and stick.offcut_m == pytest.approx(3.6 - 0.02 - 2.3 - 0.006)


def _by_sticks(wood: Timber, wanted: list[tuple[str, float]]) -> float:
    """Least price by the textbook model: a row for every stick that may be used, those on hand free."""
    sizes = [size for _, size in wanted]
    sticks = [(row.length_m, 0.0) for row in wood.stock for _ in range(row.on_hand)]
    sticks += [(row.length_m, row.price or 0.0) for row in wood.stock for _ in sizes]
    n, m = len(sticks), len(sizes)
    fit, once = np.zeros((n, n + n * m)), np.zeros((m, n + n * m))
    for i, (long, _) in enumerate(sticks):
        fit[i, i] = -(long + wood.over_length_m - wood.end_trim_m + wood.kerf_m + 1e-7)
        fit[i, n + i * m : n + (i + 1) * m] = [size + wood.kerf_m for size in sizes]
        once[range(m), range(n + i * m, n + (i + 1) * m)] = 1.0
    cost = np.concatenate([[price for _, price in sticks], np.zeros(n * m)])
    rows = [LinearConstraint(fit, -np.inf, 0.0), LinearConstraint(once, 1.0, 1.0)]
    done = milp(cost, constraints=rows, integrality=np.ones(len(cost)), bounds=Bounds(0, 1),
                options={"time_limit": 20, "mip_rel_gap": 0.0})  # fmt: skip
    assert done.status == 0
    return float(done.fun)


@pytest.mark.parametrize("seed", range(8))
def test_with_sticks_on_hand_what_is_proven_is_the_least(seed: int) -> None:
    """Orders of seven pieces with sticks on hand against the textbook model handed to a general solver (HiGHS): what is
    proven costs as much, and no bound lies above it."""
    rng = np.random.default_rng([81, seed])
    wood = _wood(rng, on_hand=True)
    wood = replace(wood, stock=(replace(wood.stock[0], on_hand=2), *wood.stock[1:]))
    wanted = _wanted(rng, wood, 7)
    wanted = [(name, min(size, wood.longest_m or size)) for name, size in wanted]
    exact, least = buy(wood, wanted, FULL.cutting_work), _by_sticks(wood, wanted)
    assert faults(wood, wanted, exact) == []
    assert exact.proof.bound <= least + 1e-6 and exact.proof.cost >= least - 1e-6
    assert not exact.proof.proven or exact.proof.cost == pytest.approx(least, abs=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_with_sticks_on_hand_the_work_is_bounded(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Large orders with sticks on hand: nodes looked at times entries stay within twice the work given, and the solver
    does nothing that is not counted: no search within the search, no taking apart of patterns."""
    spent = [0]

    def counted_milp(cost: Any, **given: Any) -> Any:
        options = given["options"]
        assert not any(options[name] for name in options if name.startswith("mip_heuristic"))
        nodes, entries = options["node_limit"], max(rows.A.nnz for rows in given["constraints"])
        done = milp(cost, **given)
        spent[0] += min(nodes, done.mip_node_count or nodes) * entries
        return done

    monkeypatch.setattr("scipy.optimize.milp", counted_milp)
    rng = np.random.default_rng([82, seed])
    wood = _wood(rng, on_hand=True)
    wood = replace(
        wood, stock=tuple(replace(row, price=float(round(row.price or 0.0)), on_hand=2) for row in wood.stock)
    )
    wanted = _wanted(rng, wood, 40)
    habit, exact = buy(wood, wanted, 0), buy(wood, wanted, FULL.cutting_work)
    assert faults(wood, wanted, exact) == []
    assert exact.proof.bound <= exact.proof.cost + 1e-9 <= habit.proof.cost + 2e-9
    assert exact.proof.proven == (exact.proof.gap_pct == 0.0) and exact.proof.gap_pct < 3.0
    assert spent[0] <= 2 * FULL.cutting_work
