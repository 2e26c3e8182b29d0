"""Laws of hours, hauling, prices, ranges, quotes, splits and loads, against independent solvers."""

from itertools import product
from math import isfinite

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import stats

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.works.break_even import break_even
from lynchet.works.delivery_loads import delivery_loads
from lynchet.works.earned_hours import earned_hours
from lynchet.works.haul_cycle import haul_cycle
from lynchet.works.issue_changes import issue_changes
from lynchet.works.learned_rate import learned_rate
from lynchet.works.load_packing import Pieces, _assigned, _generated, fewest_loads, first_fit, full_loads
from lynchet.works.price_range import price_range
from lynchet.works.price_rollup import price_rollup
from lynchet.works.quote_price import quote_price, staged
from lynchet.works.quote_split import quote_split
from lynchet.works.task_hours import learned_hours, task_hours

RNG = np.random.default_rng(42)


def test_learning_falls_as_it_says():
    """Unit form: each doubled piece takes the share of the one before; average form: each doubled average does."""
    for share in (70.0, 85.0, 100.0):
        last = [learned_hours(10.0, n, share, "unit")[1] for n in (1, 2, 4, 8)]
        assert np.divide(last[1:], last[:-1]) == pytest.approx([share / 100] * 3)
        mean = [learned_hours(10.0, n, share, "average")[0] / n for n in (1, 2, 4, 8)]
        assert np.divide(mean[1:], mean[:-1]) == pytest.approx([share / 100] * 3)
        for form in ("unit", "average"):
            lasts = [learned_hours(10.0, n, share, form)[1] for n in range(1, 13)]
            assert sum(lasts) == pytest.approx(learned_hours(10.0, 12, share, form)[0])


def test_hours_scale_and_are_billed_in_steps():
    """Twice the quantity takes twice the hours, twice the crew half the days; bills rise in whole steps."""
    task = {"name": "wall", "quantity": 9, "units_per_hour": 0.6, "difficulty": 1.3, "crew": 2}
    one = call(task_hours, {"tasks": [task], "efficiency": 0.75})
    assert one.person_h[0] == pytest.approx(9 / 0.6 * 1.3 / 0.75) and one.billed_day is None
    both = call(task_hours, {"tasks": [{**task, "quantity": 18}, {**task, "crew": 4}], "efficiency": 0.75})
    assert both.person_h == pytest.approx([2 * one.person_h[0], one.person_h[0]])
    assert both.crew_day[1] == pytest.approx(one.crew_day[0] / 2)
    assert both.total_crew_day == pytest.approx(sum(both.crew_day))
    exact = call(task_hours, {"tasks": [{"name": "a", "quantity": 12, "hours_per_unit": 1}], "bill_step_day": 0.5})
    assert exact.billed_day == pytest.approx(1.5)
    least = call(task_hours, {"tasks": [{"name": "a", "quantity": 1, "hours_per_unit": 1}], "minimum_day": 0.5})
    assert least.billed_day == pytest.approx(0.5)


def test_haul_moves_what_it_says():
    """Output times hours is the volume; a climb costs time and a fall gives none back."""
    keys = {"volume_m3": 5.0, "load_m3": 0.07, "distance_m": 25.0, "speed_out_m_min": 40.0, "speed_back_m_min": 55.0}
    flat = haul_cycle(**keys, load_min=2.0, tip_min=0.5, carriers=3, useful_min_per_h=50.0)
    assert flat.output_m3_per_h * flat.total_h == pytest.approx(5.0)
    assert flat.person_h == pytest.approx(3 * flat.total_h)
    assert flat.cycle_min == pytest.approx(2.0 + 25 / 40 + 0.5 + 25 / 55)
    up = haul_cycle(**keys, load_min=2.0, rise_m=2.0, level_per_rise=6.0, level_per_rise_back=4.0)
    down = haul_cycle(**keys, load_min=2.0, rise_m=-2.0, level_per_rise=6.0, level_per_rise_back=4.0)
    assert (up.out_min, up.back_min) == pytest.approx((37 / 40, 25 / 55))
    assert (down.out_min, down.back_min) == pytest.approx((25 / 40, 33 / 55))
    assert haul_cycle(**{**keys, "volume_m3": 0.7}, load_min=1.0).trips == 10


SOME = st.one_of(st.just(0.0), st.floats(0.01, 100))
"""Nothing, or a share or hours that someone could have written down."""


@given(st.lists(st.tuples(st.floats(1, 50), SOME, SOME, SOME), min_size=1, max_size=5))
def test_earned_hours_hold_together(tasks):
    """Forecast = spent + still to come; a task drawn as two equal halves changes nothing."""
    rows = [{"name": "t", "budget_h": b, "planned_pct": p, "done_pct": d, "spent_h": s} for b, p, d, s in tasks]
    for rule in ("same_rate", "as_planned", "both"):
        done = call(earned_hours, {"tasks": rows, "rule": rule})
        halves = [{**row, "budget_h": row["budget_h"] / 2, "spent_h": row["spent_h"] / 2} for row in rows for _ in "12"]
        split = call(earned_hours, {"tasks": halves, "rule": rule})
        assert split.earned_h == pytest.approx(done.earned_h) and split.spent_h == pytest.approx(done.spent_h)
        if done.eac_h is not None:
            assert done.etc_h + done.spent_h == pytest.approx(done.eac_h)
            assert done.vac_h == pytest.approx(done.budget_h - done.eac_h)
        assert (done.cpi is None) == (done.spent_h == 0)
        if done.tcpi is not None:
            assert done.tcpi * (done.budget_h - done.spent_h) == pytest.approx(done.budget_h - done.earned_h, abs=1e-6)


TINY = st.sampled_from([0.0, 5e-324, 1e-323, 3e-310, 1e-300, 1e-20, 0.5, 40.0, 100.0])


@given(TINY.filter(bool), TINY, TINY, TINY)
@example(0.5, 0.0, 40.0, 5e-324)
@example(1e-300, 0.0, 40.0, 1e-300)
@example(60.0, 0.0, 5e-324, 0.5)
def test_hours_at_the_end_are_spent_and_to_come_however_small(budget, planned, done, spent):
    """Hours spent and hours to come are exactly the hours at the end, or neither is told, down to the least number."""
    row = {"name": "t", "budget_h": budget, "planned_pct": planned, "done_pct": done, "spent_h": spent}
    for rule in ("same_rate", "as_planned", "both"):
        found = call(earned_hours, {"tasks": [row], "rule": rule})
        assert (found.eac_h is None) == (found.etc_h is None)
        if found.eac_h is not None:
            assert found.etc_h + found.spent_h == found.eac_h and isfinite(found.eac_h)


def test_rollup_adds_up():
    """The total is its parts; packs cover the need and one fewer does not; tax on the whole taxes all before it."""
    items = [
        {"name": "a", "quantity": 7.0, "waste_pct": 5, "pack": 2.0, "pack_price_money": 9.0, "discount_pct": 20},
        {"name": "b", "quantity": 3.0, "price_money": 4.0, "taxable": False},
    ]
    keys = {"items": items, "delivery_money": 30.0, "labour_h": 4, "labour_rate_money": 25, "overhead_pct": 10,
            "contingency_pct": 5, "tax_pct": 8}  # fmt: skip
    done = call(price_rollup, keys)
    assert done.packs[0] * 2.0 >= done.need[0] > (done.packs[0] - 1) * 2.0
    parts = done.net_money + done.overhead_money + done.contingency_money + done.tax_money
    assert done.total_money == pytest.approx(parts)
    assert done.net_money == pytest.approx(sum(done.item_money) + 30 + 100)
    assert done.tax_money == pytest.approx(0.08 * done.item_money[0])
    whole = call(price_rollup, {**keys, "tax_on": "whole"})
    assert whole.total_money == pytest.approx(1.08 * (parts - done.tax_money))
    assert call(price_rollup, {**keys, "delivery_taxed": True}).tax_money == pytest.approx(done.tax_money + 2.4)
    with pytest.raises(InputError, match="pack"):
        call(price_rollup, {"items": [{"name": "a", "quantity": 1, "pack_price_money": 2}]})


@given(
    st.floats(1, 1e5), st.floats(0, 60), st.floats(0, 80), st.sampled_from(["price", "cost"]),
    st.sampled_from([None, 1.0, 50.0]), st.floats(0, 2e3),
)  # fmt: skip
@settings(max_examples=60)
def test_quotes_hold_together(direct, overhead, profit, basis, step, minimum):
    """Price = cost + profit, never under the minimum when that lifted it, in whole steps; stages add to the total."""
    keys = {"direct_money": direct, "overhead_pct": overhead, "profit_pct": profit, "profit_on": basis,
            "minimum_money": minimum, "tax_pct": 7.0, "stages_pct": [30.0, 30.0, 40.0],
            "allowances": [{"name": "x", "unit_cost_money": 10.0}]}  # fmt: skip
    done = call(quote_price, keys if step is None else {**keys, "round_to_money": step})
    assert done.price_money == pytest.approx(done.cost_money + done.profit_money)
    assert sum(done.stage_money) == pytest.approx(done.total_money, abs=1e-6)
    assert all(abs(100 * stage - round(100 * stage)) < 1e-6 for stage in done.stage_money[:-1])
    if step is None and not done.minimum_applied:
        of = done.price_money if basis == "price" else done.cost_money
        assert done.profit_money == pytest.approx(of * profit / 100, rel=1e-9, abs=1e-6)
        assert done.allowance_price_money[0] == pytest.approx(10.0 * done.price_money / direct)
    if done.minimum_applied:
        assert done.price_money >= minimum - 1e-6
    if step is not None:
        assert done.price_money / step == pytest.approx(round(done.price_money / step), abs=1e-6)


def test_quote_edges():
    """Half steps round up, "up" always rises, a profit of the whole price is refused, free work has no percentages."""
    assert call(quote_price, {"direct_money": 125.0, "round_to_money": 50}).price_money == 150
    assert call(quote_price, {"direct_money": 101.0, "round_to_money": 50}).price_money == 100
    assert call(quote_price, {"direct_money": 101.0, "round_to_money": 50, "rounding": "up"}).price_money == 150
    with pytest.raises(InputError, match="profit"):
        call(quote_price, {"direct_money": 1.0, "profit_pct": 100})
    assert call(quote_price, {"direct_money": 1.0, "profit_pct": 100, "profit_on": "cost"}).price_money == 2
    nothing = call(quote_price, {"direct_money": 0.0})
    assert nothing.profit_pct is None and nothing.markup_pct is None and nothing.stage_money is None
    assert call(quote_price, {"direct_money": 0.5, "profit_pct": 50}).markup_pct == pytest.approx(100)
    with pytest.raises(InputError, match="parts"):
        call(quote_price, {"parts": []})


def test_next_job_falls_into_the_range_as_often_as_said():
    """Of many lognormal jobs, the share of next ones inside the range is the coverage."""
    inside, trials = 0, 1500
    for _ in range(trials):
        rates = np.exp(RNG.normal(0.5, 0.3, 5))
        jobs = [{"name": str(n), "quantity": 1.0, "hours": float(rate)} for n, rate in enumerate(rates[:4])]
        done = call(learned_rate, {"jobs": jobs, "coverage_pct": 80.0})
        middle = float(np.exp(np.log(rates[:4]).mean()))  # the range is centred on the pooled rate: shift it back
        low = done.low_hours_per_unit * middle / done.learned_hours_per_unit
        high = done.high_hours_per_unit * middle / done.learned_hours_per_unit
        inside += low <= rates[4] <= high
    assert inside / trials == pytest.approx(0.80, abs=0.04)


def test_book_counts_as_a_job():
    """A book rate weighs as one more job of its size; it leaves the pooled rate alone."""
    jobs = [{"name": "a", "quantity": 10, "hours": 30, "difficulty": 1.5}, {"name": "b", "quantity": 20, "hours": 40}]
    done = call(learned_rate, {"jobs": jobs, "book_hours_per_unit": 1.0, "book_quantity": 7, "next_quantity": 3})
    more = call(learned_rate, {"jobs": [*jobs, {"name": "book", "quantity": 7, "hours": 7}]})
    assert done.learned_hours_per_unit == pytest.approx(more.pooled_hours_per_unit)
    assert done.pooled_hours_per_unit == pytest.approx(70 / 35)
    assert done.next_h == pytest.approx(3 * done.learned_hours_per_unit)
    assert done.low_hours_per_unit * done.high_hours_per_unit == pytest.approx(done.learned_hours_per_unit**2)


@given(st.lists(st.tuples(st.floats(0, 50), st.floats(0, 90), st.floats(0, 50), st.floats(0, 90)), max_size=6))
def test_changes_add_up_and_turn_round(lines):
    """Line changes add to the change of the total; the way back is the way there with the sign changed."""
    first = [{"name": str(n), "quantity": q, "price_money": p} for n, (q, p, _, _) in enumerate(lines) if n != 1]
    second = [{"name": str(n), "quantity": q, "price_money": p} for n, (_, _, q, p) in enumerate(lines) if n != 2]
    there, back = (call(issue_changes, {"before": a, "after": b}) for a, b in ((first, second), (second, first)))
    assert sum(there.money_change) == pytest.approx(there.change_money, abs=1e-6)
    assert there.quantity_part_money + there.price_part_money == pytest.approx(there.change_money, abs=1e-6)
    assert back.change_money == pytest.approx(-there.change_money, abs=1e-6)
    swapped = {"gone": "new", "new": "gone"}
    pairs = dict(zip(there.names, there.changes, strict=True))
    assert {n: swapped.get(c, c) for n, c in zip(back.names, back.changes, strict=True)} == pairs


def test_break_even_is_the_least_of_all_lines():
    """At every quantity the way told is a cheapest one, and the crossings are where the least line changes."""
    for _ in range(30):
        ways = [
            {"name": str(n), "fixed_money": float(RNG.integers(0, 9)), "per_unit_money": float(RNG.integers(0, 9))}
            for n in range(5)
        ]
        if len({(w["fixed_money"], w["per_unit_money"]) for w in ways}) < 5:
            continue
        done = call(break_even, {"ways": ways, "quantity": 3.0})
        assert np.all(np.diff(done.crossover) > 0) and len(done.best) == len(done.crossover) + 1
        for number, name in enumerate(done.best):
            left = 0.0 if number == 0 else done.crossover[number - 1]
            right = left + 10 if number == len(done.crossover) else done.crossover[number]
            way = ways[int(name)]
            for quantity in (left, (left + right) / 2, right):
                cost = way["fixed_money"] + way["per_unit_money"] * quantity
                assert cost <= min(w["fixed_money"] + w["per_unit_money"] * quantity for w in ways) + 1e-9
        assert done.cost_money[int(done.cheapest)] == pytest.approx(min(done.cost_money))
    with pytest.raises(InputError, match="two"):
        call(break_even, {"ways": ways[:1]})


def sampled(items, count):
    """Random totals of independent items by NumPy's and SciPy's own generators."""
    total = np.zeros(count)
    for item in items:
        kind = item["kind"]
        if kind == "fixed":
            value = np.full(count, item["value_money"])
        elif kind == "uniform":
            value = RNG.uniform(item["low_money"], item["high_money"], count)
        elif kind == "triangular":
            value = RNG.triangular(item["low_money"], item["likely_money"], item["high_money"], count)
        elif kind == "pert":
            low, likely, high = item["low_money"], item["likely_money"], item["high_money"]
            a, b = 1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low)
            value = low + (high - low) * RNG.beta(a, b, count)
        elif kind == "normal":
            value = RNG.normal(item["mean_money"], item["sd_money"], count)
        else:
            square = np.log(1 + (item["sd_money"] / item["mean_money"]) ** 2)
            value = RNG.lognormal(np.log(item["mean_money"]) - square / 2, np.sqrt(square), count)
        total += value * (RNG.random(count) < item.get("probability", 1.0))
    return total


RANGES = [
    [{"name": "a", "kind": "uniform", "low_money": 0, "high_money": 10}, {"name": "b", "kind": "pert", "low_money": 3,
      "likely_money": 4, "high_money": 20}, {"name": "c", "kind": "fixed", "value_money": 8, "probability": 0.3}],
    [{"name": "a", "kind": "lognormal", "mean_money": 1000, "sd_money": 700}, {"name": "b", "kind": "normal",
      "mean_money": 5000, "sd_money": 300}, {"name": "c", "kind": "triangular", "low_money": 100, "likely_money": 100,
      "high_money": 900, "probability": 0.5}],
    [{"name": str(n), "kind": "triangular", "low_money": 90, "likely_money": 100, "high_money": 160,
      "probability": 0.2} for n in range(4)],
    [{"name": str(n), "kind": "fixed", "value_money": 37.0 + n * n, "probability": 0.35} for n in range(14)],
]  # fmt: skip


@pytest.mark.parametrize("items", RANGES)
def test_range_is_that_of_random_totals(items):
    """Percentiles and chances of the convolution are those of a million random totals, within their own scatter."""
    totals = sampled(items, 1_000_000)
    budget = float(np.quantile(totals, 0.7)) + 0.123
    percentiles = [5, 25, 50, 80, 95, 99]
    done = call(price_range, {"items": items, "percentiles": percentiles, "budget_money": budget})
    assert done.mean_money == pytest.approx(totals.mean(), abs=6e-3 * done.sd_money)
    assert done.sd_money == pytest.approx(totals.std(), rel=0.02)
    assert done.within_budget == pytest.approx((totals <= budget).mean(), abs=0.003)
    for percentile, value in zip(percentiles, done.percentile_money, strict=True):
        slack = 0.01 * done.sd_money
        below, above = (totals <= value - slack).mean(), (totals <= value + slack).mean()
        assert below - 0.002 <= percentile / 100 <= above + 0.002
    assert sum(done.share_pct) == pytest.approx(100)


def test_range_of_normal_items_is_normal():
    """A sum of normal items by convolution is the normal distribution of SciPy, to a thousandth of its spread."""
    items = [{"name": str(n), "kind": "normal", "mean_money": 10.0 * n, "sd_money": 1.0 + n} for n in range(5)]
    percentiles = [1, 10, 50, 90, 99]
    done = call(price_range, {"items": items, "percentiles": percentiles, "budget_money": 104.0})
    exact = stats.norm(100.0, np.sqrt(55.0))
    assert done.percentile_money == pytest.approx(exact.ppf(np.array(percentiles) / 100), abs=2e-3 * 55**0.5)
    assert done.within_budget == pytest.approx(exact.cdf(104.0), abs=5e-4)
    same = call(price_range, {"items": items, "percentiles": percentiles, "method": "normal"})
    assert same.percentile_money == pytest.approx(exact.ppf(np.array(percentiles) / 100))


def test_lognormal_method_keeps_mean_and_spread():
    """The lognormal of method lognormal has the mean and standard deviation of the total."""
    items = [{"name": "a", "kind": "uniform", "low_money": 10, "high_money": 50}]
    done = call(price_range, {"items": items, "method": "lognormal", "percentiles": [20.0, 60.0], "budget_money": 31.0})
    square = np.log(1 + (done.sd_money / done.mean_money) ** 2)
    other = stats.lognorm(s=np.sqrt(square), scale=done.mean_money * np.exp(-square / 2))
    assert other.mean() == pytest.approx(30.0) and other.std() == pytest.approx(done.sd_money)
    assert done.percentile_money == pytest.approx(other.ppf([0.2, 0.6]))
    assert done.within_budget == pytest.approx(other.cdf(31.0))


def test_one_item_has_its_own_distribution():
    """The convolution of one item is that item: SciPy's beta for the pert shape, shifted by a fixed sum."""
    items = [{"name": "a", "kind": "pert", "low_money": 100, "likely_money": 160, "high_money": 400},
             {"name": "b", "kind": "fixed", "value_money": 1000.0}]  # fmt: skip
    done = call(price_range, {"items": items, "percentiles": [10, 50, 90]})
    own = stats.beta(1 + 4 * 60 / 300, 1 + 4 * 240 / 300, loc=1100, scale=300)
    assert done.percentile_money == pytest.approx(own.ppf([0.1, 0.5, 0.9]), abs=0.003 * done.sd_money)
    assert done.sd_money == pytest.approx(np.sqrt(90 * 210 / 7))


@pytest.mark.parametrize(
    ("item", "word"),
    [
        ({"kind": "uniform", "low_money": 1}, "high_money"),
        ({"kind": "uniform", "low_money": 1, "high_money": 2, "sd_money": 3}, "sd_money"),
        ({"kind": "fixed", "value_money": 1, "probability": 1.1}, "probability"),
        ({"kind": "odd", "value_money": 1}, "kind"),
    ],
)
def test_items_take_the_figures_of_their_kind(item, word):
    """A figure missing, or one of another kind, is refused by name."""
    with pytest.raises(InputError, match=word):
        call(price_range, {"items": [{"name": "a", **item}]})


def test_correlation_needs_a_method_that_knows_it():
    """No correlation at all passes the convolution in both forms; any other does not."""
    items = [{"name": n, "kind": "uniform", "low_money": 1, "high_money": 2} for n in "ab"]
    assert call(price_range, {"items": items, "correlation": 0.0}).sd_money > 0
    assert call(price_range, {"items": items, "correlations": [[1, 0], [0, 1]]}).sd_money > 0
    with pytest.raises(InputError, match="correlation"):
        call(price_range, {"items": items, "correlations": [[1, 0.1], [0.1, 1]]})
    with pytest.raises(InputError, match="correlation"):
        call(price_range, {"items": items, "correlations": [[1, 0.1]], "method": "normal"})
    full = call(price_range, {"items": items, "correlation": 1.0, "method": "normal"})
    assert full.sd_money == pytest.approx(sum(full.item_sd_money))


def test_split_is_the_cheapest_of_all():
    """Of all ways to split an order, tried one by one, none allowed is cheaper."""
    for _ in range(20):
        items, suppliers = 4, 3
        prices = RNG.integers(5, 60, (suppliers, items)).astype(float)
        prices[RNG.random((suppliers, items)) < 0.2] = -1
        prices[0] = np.abs(prices[0])
        amounts = RNG.integers(0, 4, items).astype(float)
        rows = [
            {"name": f"s{n}", "prices_money": prices[n].tolist(), "delivery_money": float(RNG.integers(0, 40)),
             "free_from_money": float(RNG.integers(20, 150)), "minimum_money": float(RNG.choice([0, 0, 60]))}
            for n in range(suppliers)
        ]  # fmt: skip
        most = int(RNG.integers(1, 4))
        best = np.inf
        for way in product(range(suppliers), repeat=items):
            used = set(way)
            goods = {s: sum(prices[s][i] * amounts[i] for i in range(items) if way[i] == s) for s in used}
            if len(used) > most or any(prices[way[i]][i] < 0 for i in range(items)):
                continue
            if any(goods[s] < rows[s]["minimum_money"] for s in used):
                continue
            free = {s: goods[s] >= rows[s]["free_from_money"] for s in used}
            best = min(best, sum(goods.values()) + sum(rows[s]["delivery_money"] for s in used if not free[s]))
        keys = {"items": [{"name": str(i), "quantity": a} for i, a in enumerate(amounts)], "suppliers": rows,
                "max_suppliers": most}  # fmt: skip
        if best == np.inf:
            with pytest.raises(InputError, match="minimum"):
                call(quote_split, keys)
        else:
            done = call(quote_split, keys)
            assert done.cost_money == pytest.approx(best) and done.suppliers_used <= most
            singles = [money for money in done.single_money if money >= 0]
            assert (done.saving_money is None) == (not singles)


def test_big_split_is_proven():
    """An order of forty lines at twelve yards is split no dearer than by trying to move each line elsewhere."""
    prices = RNG.uniform(10, 100, (12, 40))
    rows = [{"name": f"s{n}", "prices_money": prices[n].tolist(), "delivery_money": 60.0} for n in range(12)]
    done = call(quote_split, {"items": [{"name": str(n)} for n in range(40)], "suppliers": rows})
    of = [int(name[1:]) for name in done.supplier_of]
    for item, other in product(range(40), range(12)):
        moved = [*of[:item], other, *of[item + 1 :]]
        assert sum(prices[s][i] for i, s in enumerate(moved)) + 60 * len(set(moved)) >= done.cost_money - 1e-6


@pytest.mark.parametrize("short", [0.0, 4e-7])
def test_free_delivery_and_minimum_are_met_to_the_cent(short):
    """An order just at the sum for a free delivery, or at the smallest order, has it; what is short of it by less than
    the solver looks has not, and the next best is found."""
    goods = 700.0 - short
    rows = [{"name": "a", "prices_money": [goods], "delivery_money": 45.0, "free_from_money": 700.0},
            {"name": "b", "prices_money": [720.0], "delivery_money": 10.0},
            {"name": "c", "prices_money": [goods - 1.0], "minimum_money": 699.0, "delivery_money": 3.0}]  # fmt: skip
    free = call(quote_split, {"items": [{"name": "stone"}], "suppliers": rows[:2]})
    assert (free.supplier_of, free.cost_money) == ((["b"], 730.0) if short else (["a"], 700.0))
    least = call(quote_split, {"items": [{"name": "stone"}], "suppliers": rows[1:]})
    assert (least.supplier_of, least.cost_money) == ((["b"], 730.0) if short else (["c"], 702.0))
    assert least.single_money == [730.0, -1.0 if short else 702.0]


@pytest.mark.parametrize("suppliers", [2, 3])
def test_near_prices_are_not_worth_a_second_delivery(suppliers):
    """Each yard a cent dearer or cheaper than the next, line by line, and free delivery out of reach: a second delivery
    of 45 never pays, so all comes from the yard that is cheapest alone."""
    prices = [[10.0 + 0.01 * ((line + yard) % 3) for line in range(20)] for yard in range(suppliers)]
    rows = [{"name": str(yard), "prices_money": one, "delivery_money": 45.0, "free_from_money": 1e5}
            for yard, one in enumerate(prices)]  # fmt: skip
    done = call(quote_split, {"items": [{"name": str(line)} for line in range(20)], "suppliers": rows})
    alone = min(sum(one) for one in prices) + 45.0
    assert alone < sum(map(min, *prices)) + 90.0
    assert (done.cost_money, done.suppliers_used) == (pytest.approx(alone), 1)


def test_a_gift_saves_nothing_over_itself():
    """All given away by one yard: the order costs nothing, and from that yard alone too, so nothing is saved."""
    rows = [{"name": "a", "prices_money": [0.0, 0.0]}, {"name": "b", "prices_money": [4.0, 6.0]}]
    gift = call(quote_split, {"items": [{"name": "soil"}, {"name": "turf"}], "suppliers": rows})
    assert (gift.cost_money, gift.single_money, gift.saving_money) == (0.0, [0.0, 10.0], 0.0)


def fits_into(pieces, loads):
    """Whether single pieces fit into so many loads, by trying every place for each (depth first)."""
    rooms = [[pieces.payload_kg, pieces.space_m3] for _ in range(loads)]
    single = [(kg, m3) for n, kg, m3 in zip(pieces.count, pieces.kg, pieces.m3, strict=True) for _ in range(n)]

    def place(number):
        if number == len(single):
            return True
        tried = set()
        for room in rooms:
            if tuple(room) in tried or room[0] < single[number][0] - 1e-9 or room[1] < single[number][1] - 1e-9:
                continue
            tried.add(tuple(room))
            room[0] -= single[number][0]
            room[1] -= single[number][1]
            if place(number + 1):
                return True
            room[0] += single[number][0]
            room[1] += single[number][1]
        return False

    return place(0)


def test_loads_are_the_fewest_by_trying():
    """Depth-first trying finds a packing into as many loads, and none into one fewer; every way of solving agrees."""
    from time import monotonic

    for _ in range(15):
        kinds = 4
        pieces = Pieces(
            tuple(int(n) for n in RNG.integers(1, 4, kinds)),
            tuple(float(n) for n in RNG.integers(20, 70, kinds)),
            tuple(float(n) for n in RNG.integers(1, 7, kinds)),
            100.0, 10.0,
        )  # fmt: skip
        loads = fewest_loads(pieces, 20.0)
        assert np.sum(loads, axis=0).tolist() == list(pieces.count)
        assert all(np.dot(load, pieces.kg) <= 100 + 1e-6 and np.dot(load, pieces.m3) <= 10 + 1e-6 for load in loads)
        assert fits_into(pieces, len(loads)) and not fits_into(pieces, len(loads) - 1)
        first = first_fit(pieces, lambda kind, p=pieces: p.kg[kind])
        _, least = _generated(pieces, first, monotonic() + 20)
        assert pieces.bound() <= least <= len(loads) <= len(first)
        assert len(_assigned(pieces, first, monotonic() + 20)) == len(loads)


def test_every_full_load_is_full():
    """Into no load of the list does a further piece fit, and none is over its limits."""
    pieces = Pieces((5, 4, 9), (30.0, 41.0, 7.0), (1.0, 0.5, 2.0), 100.0, 9.0)
    found = full_loads(pieces)
    assert len(set(found)) == len(found)
    for load in found:
        assert np.dot(load, pieces.kg) <= 100 + 1e-9 and np.dot(load, pieces.m3) <= 9 + 1e-9
        assert not any(pieces.more(load, kind) for kind in range(3))


def test_many_kinds_are_packed_with_proof():
    """Thirty kinds at once: the packing carries all and meets its proven bound or the bound of the whole."""
    items = [
        {"name": str(n), "count": int(c), "each_kg": float(kg)}
        for n, (c, kg) in enumerate(zip(RNG.integers(1, 5, 30), RNG.integers(11, 60, 30), strict=True))
    ]
    done = call(delivery_loads, {"items": items, "payload_kg": 150.0})
    assert np.sum(done.packing, axis=0).tolist() == [item["count"] for item in items]
    assert done.bound <= done.loads <= done.bound + 1


def test_weightless_pieces_need_one_load():
    """Nothing to weigh still needs a trip; a thousand light pieces are packed at once."""
    assert call(delivery_loads, {"items": [{"name": "a", "each_kg": 0}], "payload_kg": 10}).loads == 1
    many = call(delivery_loads, {"items": [{"name": "brick", "count": 1000, "each_kg": 2.5}], "payload_kg": 600})
    assert many.loads == many.bound == 5


@pytest.mark.parametrize("share", range(1, 100))
def test_a_stage_of_whole_hundredths_is_paid_in_full(share):
    """Of 1.00 a stage of 29 % is 0.29, though floats put it just below: no hundredth is lost by cutting down."""
    assert staged(1.0, [share, 100 - share])[0] == share / 100
