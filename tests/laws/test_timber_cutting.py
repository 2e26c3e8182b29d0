"""Cutting and laying: against brute force, a second model, and an independent test of every laying."""

from __future__ import annotations

import math
from functools import cache
from itertools import combinations, pairwise, product
from time import monotonic

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from lynchet.calculators.checked import call
from lynchet.timber.check_laying import check_laying
from lynchet.timber.cut_bounds import cut_bounds
from lynchet.timber.cut_orders import price_step, raised
from lynchet.timber.cut_stock import cut_stock
from lynchet.timber.first_fit import first_fit_cuts
from lynchet.timber.knapsack import fills
from lynchet.timber.lay_and_cut import lay_and_cut

STOCK = [(2.4, 20.0), (3.0, 25.5), (3.6, 31.5), (4.8, 43.5)]


def rows(stock):
    """Stock as the calculators take it."""
    return [dict(zip(("length_m", "price_money", "available"), row, strict=False)) for row in stock]


def hundredths(length_m):
    """0.01 mm."""
    return round(length_m * 1e5)


def brute_cost(pieces, stock, kerf):
    """Least cost over all ways to share pieces among sticks: the longest piece left, with every set that fits by it."""
    return _least(tuple(sorted(map(hundredths, pieces), reverse=True)), tuple(stock), hundredths(kerf))


@cache
def _least(left, stock, kerf):
    if not left:
        return 0.0
    best = math.inf
    for beside in _sets(left[1:], max(hundredths(length) for length, _ in stock) - left[0], kerf):
        need = left[0] + sum(beside) + kerf * len(beside)
        price = min((price for length, price in stock if hundredths(length) >= need), default=math.inf)
        rest = list(left[1:])
        for piece in beside:
            rest.remove(piece)
        best = min(best, price + _least(tuple(rest), stock, kerf)) if price < math.inf else best
    return best


def _sets(pieces, room, kerf):
    """All different sets of these pieces that fit into what is left of a stick, each behind a cut."""
    found = {()}
    for piece in pieces:
        found |= {(*one, piece) for one in found if sum(one) + piece + kerf * (len(one) + 1) <= room}
    return found


def random_pieces(rng, most=8):
    """A few pieces, often repeated, none longer than 4.8 m."""
    kinds = rng.choice(np.arange(4, 46), size=rng.integers(2, 5), replace=False) / 10.0
    return sorted(rng.choice(kinds, size=rng.integers(3, most + 1)).tolist(), reverse=True)


@pytest.mark.parametrize("seed", range(12))
def test_cutting_is_least_by_brute_force(seed):
    """Cost equals the least over all ways to share the pieces, is proven, and lies between bounds and first fit."""
    rng = np.random.default_rng(seed)
    pieces, kerf = random_pieces(rng), float(rng.choice([0.0, 0.003, 0.01]))
    listed = [{"length_m": piece} for piece in pieces]
    given = {"stock": rows(STOCK), "pieces": listed, "kerf_m": kerf}
    ours = call(cut_stock, given)
    assert ours.cost_money == pytest.approx(brute_cost(pieces, STOCK, kerf), abs=1e-9)
    assert ours.proven and ours.bound_money == pytest.approx(ours.cost_money) and ours.gap_pct == 0.0
    habit, bounds = call(first_fit_cuts, given), call(cut_bounds, given)
    assert bounds.length_bound_money <= bounds.pattern_bound_money + 1e-9 <= ours.cost_money + 2e-9
    assert ours.cost_money <= habit.cost_money and bounds.least_sticks <= ours.sticks_total
    assert sorted(p for stick in ours.cuts_m for p in stick) == pytest.approx(sorted(pieces))
    assert ours.waste_m == pytest.approx(ours.bought_m - sum(pieces))


@pytest.mark.parametrize("seed", range(4))
def test_cutting_agrees_with_a_second_model(seed):
    """Least cost of larger orders equals that of the textbook model: one 0-1 choice per stick, counts per stick."""
    rng = np.random.default_rng(100 + seed)
    kinds = rng.choice(np.arange(6, 40), size=4, replace=False) / 10.0
    counts = rng.integers(1, 4, size=4)
    stock = [(2.4, 20.0), (4.2, 34.0)]
    given = {
        "stock": rows(stock), "kerf_m": 0.003,
        "pieces": [{"length_m": float(k), "count": int(c)} for k, c in zip(kinds, counts, strict=True)],
    }  # fmt: skip
    sticks = [(length, price) for length, price in stock for _ in range(int(counts.sum()))]
    n, m = len(sticks), len(kinds)
    cost = np.concatenate([[price for _, price in sticks], np.zeros(n * m)])
    fit = np.zeros((n, n + n * m))
    make = np.zeros((m, n + n * m))
    for i, (length, _) in enumerate(sticks):
        fit[i, i] = -(length + 0.003)
        for j, kind in enumerate(kinds):
            fit[i, n + i * m + j] = kind + 0.003
            make[j, n + i * m + j] = 1.0
    limits = [LinearConstraint(fit, -np.inf, 1e-9), LinearConstraint(make, counts, np.inf)]
    bounds = Bounds(0, np.where(np.arange(len(cost)) < n, 1.0, np.inf))
    done = milp(cost, constraints=limits, integrality=np.ones(len(cost)), bounds=bounds, options={"time_limit": 20})
    ours = call(cut_stock, given)
    assert ours.proven
    if done.status == 0:
        assert ours.cost_money == pytest.approx(done.fun, abs=1e-6)
    assert done.mip_dual_bound <= ours.cost_money + 1e-6 <= done.fun + 2e-6


def test_cutting_ignores_the_order_of_words():
    """Shuffled stock, pieces split into single rows, and a dearer twin of no use leave the cost as it is."""
    pieces = [{"length_m": 1.1, "count": 4}, {"length_m": 0.7, "count": 3}, {"length_m": 2.0, "count": 2}]
    single = [{"length_m": row["length_m"]} for row in reversed(pieces) for _ in range(row["count"])]
    one = call(cut_stock, {"stock": rows(STOCK), "pieces": pieces, "kerf_m": 0.003})
    two = call(cut_stock, {"stock": rows(STOCK[::-1]), "pieces": single, "kerf_m": 0.003})
    three = call(cut_stock, {"stock": rows([*STOCK, (4.79, 99.0)]), "pieces": pieces, "kerf_m": 0.003})
    assert one.cost_money == two.cost_money == three.cost_money


def test_scarce_sticks_cost_more_and_run_out():
    """Fewer cheap sticks never make the order cheaper; none at all refuses it, naming the stock on hand."""
    pieces = [{"length_m": 1.1, "count": 6}]
    costs = []
    for held in (None, 3, 2, 1, 0):
        row = {"length_m": 2.4, "price_money": 20.0} | ({} if held is None else {"available": held})
        stock = [row, {"length_m": 3.6, "price_money": 34.0}]
        costs.append(call(cut_stock, {"stock": stock, "pieces": pieces, "kerf_m": 0.0}).cost_money)
    assert costs == sorted(costs) and costs[0] == 60.0 and costs[-1] == 68.0
    short = [{"length_m": 2.4, "price_money": 20.0, "available": 2}]
    with pytest.raises(ValueError, match="available"):
        call(cut_stock, {"stock": short, "pieces": pieces, "kerf_m": 0.0})


def test_time_limit_is_kept_and_told():
    """With hardly any time a hard order still comes back, whole, with an honest bound."""
    rng = np.random.default_rng(5)
    lengths = rng.integers(2000, 10000, 120) / 1e4
    given = {
        "stock": [{"length_m": 1.5, "price_money": 1.0}], "pieces": [{"length_m": float(x)} for x in lengths],
        "kerf_m": 0.0, "time_limit_s": 0.5,
    }  # fmt: skip
    start = monotonic()
    ours = call(cut_stock, given)
    assert monotonic() - start < 20.0
    assert math.ceil(lengths.sum() / 1.5 - 1e-9) <= ours.bound_money <= ours.cost_money
    assert sum(len(stick) for stick in ours.cuts_m) == 120
    assert ours.proven == (ours.bound_money == ours.cost_money)


def test_best_fill_of_a_stick_by_brute_force():
    """The dominance lists find the best value for every room that trying all counts finds."""
    rng = np.random.default_rng(8)
    for _ in range(15):
        weights = rng.integers(5, 30, 4).tolist()
        values = rng.uniform(0.1, 5.0, 4).tolist()
        limits = rng.integers(0, 4, 4).tolist()
        held = fills(weights, values, limits, 60)
        for room in (0, 17, 33, 60):
            options = [
                sum(c * v for c, v in zip(counts, values, strict=True))
                for counts in product(*(range(limit + 1) for limit in limits))
                if sum(c * w for c, w in zip(counts, weights, strict=True)) <= room
            ]
            index = held.best(room)
            items = held.items(index)
            assert held.value[index] == pytest.approx(max(options))
            assert sum(weights[i] * n for i, n in items.items()) == held.weight[index] <= room
            assert all(n <= limits[i] for i, n in items.items())


def test_bounds_are_lifted_to_the_price_step():
    """Prices in cents, halves and dollars give their common step; a bound is lifted to it and no farther."""
    assert (
        price_step([20.0, 25.5, 43.5]) == 0.5 and price_step([20.57, 29.97]) == 0.01 and price_step([3.0, 9.0]) == 3.0
    )
    assert price_step([math.pi, 1.0]) == 0.0
    assert raised(57.51, 0.5) == 58.0 and raised(57.5, 0.5) == 57.5 and raised(57.5 + 1e-10, 0.5) == 57.5


def random_walls(rng):
    """One or two short walls whose courses end a little apart."""
    walls = []
    shapes = [[1], [2], [3], [1, 1], [2, 1]]
    for count in shapes[rng.integers(len(shapes))]:
        length = float(rng.choice([3.6, 4.2, 4.65]))
        courses = [
            {"from_m": 0.15 if c % 2 else 0.0, "to_m": length, "forbidden": [[1.1, 1.9]] if rng.random() < 0.3 else []}
            for c in range(count)
        ]
        walls.append({"courses": courses})
    return walls


def legal_rows(course, rules):
    """All sets of joints of one course that obey its own rules, in 0.01 mm."""
    start, end = hundredths(course["from_m"]), hundredths(course["to_m"])
    grid = [g for g in range(0, end, rules["grid"]) if start < g < end]
    grid = [g for g in grid if g - start >= rules["clear"] and end - g >= rules["clear"]]
    grid = [g for g in grid if not any(hundredths(a) < g < hundredths(b) for a, b in course["forbidden"])]
    for many in range(len(grid) + 1):
        for joints in combinations(grid, many):
            ends = [start, *joints, end]
            if all(rules["short"] <= b - a <= rules["long"] for a, b in pairwise(ends)):
                yield joints


def brute_laying(walls, stock, rules, kerf):
    """Least cost over all layings and all ways of cutting; None where no laying is legal."""
    per_wall = []
    for wall in walls:
        options = [list(legal_rows(course, rules)) for course in wall["courses"]]
        found = set()
        for rowset in product(*options):
            apart = all(abs(x - y) >= rules["offset"] for a, b in pairwise(rowset) for x in a for y in b)
            if apart:
                lengths = []
                for course, joints in zip(wall["courses"], rowset, strict=True):
                    ends = [hundredths(course["from_m"]), *joints, hundredths(course["to_m"])]
                    lengths += [b - a for a, b in pairwise(ends)]
                found.add(tuple(sorted(lengths)))
        per_wall.append(found)
    orders = {tuple(sorted(sum(parts, ()))) for parts in product(*per_wall)}
    return min((brute_cost([length / 1e5 for length in order], stock, kerf) for order in orders), default=None)


@pytest.mark.parametrize("seed", range(10))
def test_laying_is_least_by_brute_force(seed):
    """Cost equals the least over all layings with exact cutting; the laying passes the independent check."""
    rng = np.random.default_rng(300 + seed)
    walls = random_walls(rng)
    offset, shortest, clear = (
        float(rng.choice([0.0, 0.6, 1.2])),
        float(rng.choice([0.6, 1.2])),
        float(rng.choice([0, 0.6])),
    )
    kerf, stock = 0.003, [(2.4, 20.0), (3.0, 26.0), (3.6, 31.5)]
    rules = {
        "grid": 60000, "clear": hundredths(clear), "short": hundredths(shortest), "long": 360000,
        "offset": hundredths(offset),
    }  # fmt: skip
    best = brute_laying(walls, stock, rules, kerf)
    given = {
        "walls": walls, "stock": rows(stock), "kerf_m": kerf, "offset_m": offset, "shortest_m": shortest,
        "grid_m": 0.6, "end_clear_m": clear,
    }  # fmt: skip
    if best is None:
        with pytest.raises(ValueError, match="no laying is possible"):
            call(lay_and_cut, given)
        return
    ours = call(lay_and_cut, given)
    assert ours.cost_money == pytest.approx(best, abs=1e-9) and ours.proven
    assert_legal(given, ours)


def assert_legal(given, ours):
    """Rules L1 to L8 of the contract, counted here anew."""
    longest = max(row["length_m"] for row in given["stock"]) + given.get("over_length_m", 0.0)
    checked = call(
        check_laying,
        {
            "walls": given["walls"], "joints_m": ours.joints_m, "offset_m": given["offset_m"],
            "shortest_m": given["shortest_m"], "longest_m": longest, "end_clear_m": given.get("end_clear_m", 0.0),
        },
    )  # fmt: skip
    assert checked.legal, checked
    grid = hundredths(given["grid_m"])
    assert all(hundredths(at) % grid == 0 for wall in ours.joints_m for row in wall for at in row)
    needed = [hundredths(x["length_m"]) for x in given.get("extras", []) for _ in range(x.get("count", 1))]
    for wall, laid in zip(given["walls"], ours.joints_m, strict=True):
        for course, row in zip(wall["courses"], laid, strict=True):
            ends = [hundredths(v) for v in (course["from_m"], *row, course["to_m"])]
            needed += [b - a for a, b in pairwise(ends)]
    cut = sorted(hundredths(piece) for stick in ours.cuts for piece in stick.pieces)
    assert cut == sorted(needed) and ours.pieces_total == len(needed)
    kerf, over = hundredths(given["kerf_m"]), hundredths(given.get("over_length_m", 0.0))
    for stick in ours.cuts:
        usable = hundredths(given["stock"][stick.stock]["length_m"]) + over
        assert sum(map(hundredths, stick.pieces)) + kerf * (len(stick.pieces) - 1) <= usable
    counts = [sum(1 for stick in ours.cuts if stick.stock == s) for s in range(len(given["stock"]))]
    assert counts == ours.sticks and sum(counts) == ours.sticks_total
    assert all(n <= row.get("available", n) for n, row in zip(counts, given["stock"], strict=True))
    cost = sum(n * row["price_money"] for n, row in zip(counts, given["stock"], strict=True))
    assert ours.cost_money == pytest.approx(cost) and ours.bound_money <= cost + 1e-9
    assert ours.proven == (abs(ours.bound_money - cost) < 1e-9)


@pytest.mark.parametrize("over", [0.0, 0.01])
def test_large_laying_is_legal_within_its_time(over):
    """A job too large to prove in the time still comes back legal, with its bound below its cost."""
    courses = [{"from_m": 0.15 if c % 2 else 0.0, "to_m": 9.05} for c in range(4)]
    given = {
        "walls": [{"courses": courses}, {"courses": [{"from_m": 0.0, "to_m": 7.4}] * 4}], "stock": rows(STOCK),
        "kerf_m": 0.003, "over_length_m": over, "offset_m": 0.6, "shortest_m": 0.6, "grid_m": 0.3, "end_clear_m": 0.6,
        "extras": [{"length_m": 0.9, "count": 6}], "time_limit_s": 4.0,
    }  # fmt: skip
    start = monotonic()
    ours = call(lay_and_cut, given)
    assert monotonic() - start < 30.0
    assert_legal(given, ours)
    assert ours.gap_pct < 12.0  # a busy machine gets less far; alone it stays below 2


def test_fine_grid_is_searched_on_its_multiples():
    """A grid too fine for the model still gives a legal laying on that grid, no cheaper than its bound says."""
    given = {
        "walls": [{"courses": [{"from_m": 0.0, "to_m": 6.0}] * 3}], "stock": rows([(2.4, 20.0), (3.6, 31.0)]),
        "kerf_m": 0.003, "offset_m": 0.6, "shortest_m": 1.2, "grid_m": 0.002, "time_limit_s": 2.0,
    }  # fmt: skip
    ours = call(lay_and_cut, given)
    assert_legal(given, ours)
    coarse = call(lay_and_cut, given | {"grid_m": 0.3})
    assert ours.bound_money <= coarse.cost_money


def naive_faults(walls, joints, offset, shortest, longest, clear):
    """The rules of T5 written out once more, on floats that are whole centimetres."""
    faults = dict.fromkeys(("order", "long", "short", "end", "forbidden", "offset"), 0)
    pieces = 0
    for wall, laid in zip(walls, joints, strict=True):
        for c, (course, row) in enumerate(zip(wall["courses"], laid, strict=True)):
            line = [course["from_m"], *row, course["to_m"]]
            if sorted(set(line)) != line:
                faults["order"] += 1
                continue
            for i in range(len(line) - 1):
                pieces += 1
                size = round(line[i + 1] - line[i], 6)
                faults["long"] += size > longest
                faults["short"] += size < shortest
            for at in row:
                faults["end"] += round(min(at - line[0], line[-1] - at), 6) < clear
                faults["forbidden"] += any(a < at < b for a, b in course["forbidden"])
                if c:
                    faults["offset"] += sum(round(abs(at - x), 6) < offset for x in laid[c - 1])
    return {name: count for name, count in faults.items() if count}, pieces


def test_laying_check_agrees_with_a_plain_reading():
    """Faults of random layings, good and bad, are those that a second writing of the rules counts."""
    rng = np.random.default_rng(77)
    seen = set()
    for _ in range(400):
        walls, joints = [], []
        for _ in range(rng.integers(1, 3)):
            count = int(rng.integers(1, 4))
            walls.append({"courses": [{"from_m": 0.0, "to_m": 6.0, "forbidden": [[1.1, 1.9]]} for _ in range(count)]})
            joints.append([])
            for _ in range(count):
                row = np.round(rng.uniform(0.1, 5.9, rng.integers(0, 4)), 1).tolist()
                joints[-1].append(row if rng.random() < 0.1 else sorted(row))
        given = {
            "walls": walls, "joints_m": joints, "offset_m": 0.6, "shortest_m": 0.9, "longest_m": 3.6, "end_clear_m": 1.0
        }  # fmt: skip
        ours = call(check_laying, given)
        wanted, pieces = naive_faults(walls, joints, 0.6, 0.9, 3.6, 1.0)
        assert dict(zip(ours.faults, ours.fault_counts, strict=True)) == wanted
        assert ours.pieces == pieces and ours.legal == (not wanted)
        seen |= set(wanted)
    assert seen == {"order", "long", "short", "end", "forbidden", "offset"}


def test_each_rule_in_the_way_is_named():
    """When one rule alone makes a laying impossible, the error names that rule, in the contract's order."""
    base = {
        "walls": [{"courses": [{"from_m": 0.0, "to_m": 4.8, "forbidden": []}] * 2}], "stock": rows([(2.4, 20.0)]),
        "kerf_m": 0.0, "offset_m": 0.0, "shortest_m": 1.2, "grid_m": 0.6,
    }  # fmt: skip
    assert call(lay_and_cut, base).cost_money == 80.0
    for change, word in (
        ({"offset_m": 1.5}, "offset"),
        ({"walls": [{"courses": [{"from_m": 0.0, "to_m": 4.8, "forbidden": [[1.1, 3.7]]}]}]}, "forbidden"),
        ({"end_clear_m": 2.5}, "end clear"),
        ({"shortest_m": 2.5}, "shortest"),
        ({"grid_m": 4.8}, "stock"),
        ({"stock": [{"length_m": 2.4, "price_money": 20.0, "available": 3}]}, "available"),
    ):
        with pytest.raises(ValueError, match=word):
            call(lay_and_cut, base | change)
