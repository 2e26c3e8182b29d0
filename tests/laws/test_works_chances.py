"""Chances of uncertain items against a library's distributions, small amounts of money among them."""

import numpy as np
import pytest
from scipy.stats import lognorm, norm

from lynchet.calculators.checked import call
from lynchet.works.likely_duration import pert_duration
from lynchet.works.line_deviation import line_deviation
from lynchet.works.resource_schedule import resource_schedule
from lynchet.works.sum_distribution import distribution_of_sum
from lynchet.works.uncertain_items import UncertainItem, lognormal_chance


@pytest.mark.parametrize("mean, sd", [(0.8, 0.5), (3.0, 4.0), (1200.0, 150.0)])
def test_lognormal_chance_by_a_library(mean, sd):
    """From far below one unit of money to far above the mean; nothing lies at or below zero."""
    square = np.log(1 + (sd / mean) ** 2)
    at = np.concatenate([[-2.0, 0.0], np.geomspace(0.05, 5.0, 30), mean * np.linspace(0.2, 4, 30)])
    wanted = lognorm(s=np.sqrt(square), scale=np.exp(np.log(mean) - square / 2)).cdf(at)
    assert lognormal_chance(at, (mean, sd)) == pytest.approx(wanted, abs=1e-12)


def test_spread_of_a_line_needs_three_points():
    """Off a least-squares line through three points one square is free; through two, none."""
    given = {"stations_m": [0.0, 1.0, 2.0], "offsets_mm": [0.0, 3.0, 0.0], "tolerance_mm": 5.0}
    found = call(line_deviation, {**given, "reference": "least_squares"})
    assert found.sd_mm == pytest.approx(np.sqrt(1.0 + 4.0 + 1.0))
    two = {"stations_m": [0.0, 1.0], "offsets_mm": [0.0, 3.0], "tolerance_mm": 5.0, "reference": "least_squares"}
    assert call(line_deviation, two).sd_mm is None


def test_a_plan_of_work_is_not_called_proven_before_its_longest_way():
    """Activities without a rival for the crew: the bound is the last finish of the longest way through."""
    activities = [{"name": "dig", "duration_day": 2, "demand": [1]},
                  {"name": "wall", "duration_day": 5, "demand": [0], "predecessors": ["dig"]},
                  {"name": "plant", "duration_day": 1, "demand": [1]}]  # fmt: skip
    found = call(resource_schedule, {"activities": activities, "resources": [{"name": "crew", "capacity": 1}]})
    assert (found.makespan_day, found.bound_day, found.proven) == (7, 7, True)


def test_the_spread_of_a_sum_keeps_its_mean():
    """The mean of the distribution on its grid is the sum of the items' means to a billionth, whatever their kinds."""
    items = [
        UncertainItem("soil", "triangular", low_money=300, likely_money=420, high_money=900),
        UncertainItem("walls", "pert", low_money=900, likely_money=1000, high_money=1600),
        UncertainItem("rock", "lognormal", mean_money=500, sd_money=300, probability=0.3),
        UncertainItem("plants", "uniform", low_money=110, high_money=173),
    ]
    means = [item.probability * item.moments()[0] for item in items]
    found = distribution_of_sum(items, 330.0)
    masses, middles = np.diff(found.below), (found.edges[1:] + found.edges[:-1]) / 2
    assert float(masses.sum()) + found.still == pytest.approx(1.0, abs=1e-9)
    assert float(masses @ middles) == pytest.approx(sum(means), rel=1e-6)


@pytest.mark.parametrize("pct", [1.0, 10.0, 50.0, 99.0])
def test_a_refund_has_its_percentiles_below_nothing(pct):
    """One item spread evenly from a refund to a price reaches each chance that share of the way along."""
    item = UncertainItem("refund", "uniform", low_money=-400.0, high_money=100.0)
    found = distribution_of_sum([item], float(np.sqrt(item.moments()[1])))
    assert found.percentile(pct) == pytest.approx(-400.0 + 5.0 * pct, abs=0.5)


@pytest.mark.parametrize("fixed", [-5000.0, 5000.0])
def test_a_fixed_refund_or_price_shifts_every_percentile(fixed):
    """A fixed item beside an even spread moves each percentile by its own value, far below nothing too."""
    items = [UncertainItem("fixed", "fixed", value_money=fixed),
             UncertainItem("spread", "uniform", low_money=-400.0, high_money=100.0)]  # fmt: skip
    found = distribution_of_sum(items, float(np.sqrt(items[1].moments()[1])))
    for pct in (1.0, 25.0, 99.0):
        assert found.percentile(pct) == pytest.approx(fixed - 400.0 + 5.0 * pct, abs=0.5)


def test_rare_and_small_spreads_are_counted():
    """A spread item that comes once in twenty is there once in twenty; one of a few cents has its own median."""
    rare = UncertainItem("rare", "uniform", low_money=100.0, high_money=300.0, probability=0.05)
    found = distribution_of_sum([rare], float(np.sqrt(rare.own_moments()[1])))
    assert found.chance_below(50.0) == pytest.approx(0.95) and found.chance_below(200.0) == pytest.approx(
        0.975, abs=1e-3
    )
    for pct, wanted in ((90.0, 0.0), (96.0, 140.0), (99.0, 260.0)):
        assert found.percentile(pct) == pytest.approx(wanted, abs=0.5)
    small = UncertainItem("small", "uniform", low_money=0.0, high_money=0.5)
    assert distribution_of_sum([small], small.moments()[1] ** 0.5).percentile(50.0) == pytest.approx(0.25, abs=1e-3)


@pytest.mark.parametrize("low, high", [(110.0, 173.0), (-40.0, -3.3), (-0.21, 0.34)])
def test_the_cells_of_a_spread_end_where_it_ends(low, high):
    """All of an even spread lies on its cells, which go on for two and a half past either end at most: no chance, and
    so no percentile however near 0 or 100, can lie further out."""
    found = distribution_of_sum(
        [UncertainItem("one", "uniform", low_money=low, high_money=high)], (high - low) / 12**0.5
    )
    cell = float(found.edges[1] - found.edges[0])
    past = np.array([low - found.edges[0], found.edges[-1] - high]) / cell
    assert (past >= 0.0).all() and (past <= 2.5 + 1e-6).all()


def test_many_unequal_refunds_and_prices_keep_their_chances():
    """Sixteen fixed items that come or not, no two alike: every one of the 65,536 sums by counting, its percentiles
    within a thousandth of the standard deviation, mean and spread kept."""
    rng = np.random.default_rng(7)
    values, chances = rng.uniform(-90, 200, 16), rng.uniform(0.2, 0.8, 16)
    chances[3], values[3] = 0.004, 4000.0  # rare and dear
    there = (np.arange(2**16)[:, None] >> np.arange(16)) & 1
    sums, odds = there @ values, np.where(there, chances, 1 - chances).prod(axis=1)
    sd = float(np.sqrt((values**2 * chances * (1 - chances)).sum()))
    found = distribution_of_sum([UncertainItem(f"n{i}", "fixed", value_money=float(v), probability=float(p))
                                 for i, (v, p) in enumerate(zip(values, chances, strict=True))], sd)  # fmt: skip
    order = np.argsort(sums)
    reached = np.cumsum(odds[order])
    for pct in (0.5, 5.0, 31.0, 50.0, 77.0, 95.0, 99.0, 99.9):
        wanted = sums[order][np.searchsorted(reached, pct / 100.0)]
        assert found.percentile(pct) == pytest.approx(wanted, abs=1e-3 * sd)
    mean = float(found.jumps @ found.chances)
    assert mean == pytest.approx(float(values @ chances), rel=1e-9)
    assert float(((found.jumps - mean) ** 2) @ found.chances) == pytest.approx(sd**2, rel=1e-6)
    assert found.chances.sum() == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_cents_that_may_stay_away(sign):
    """A spread of a few cents, paid or given back every other time: nothing half of the time, else evenly spread."""
    low, high = sorted((0.2 * sign, 0.5 * sign))
    item = UncertainItem("cents", "uniform", low_money=low, high_money=high, probability=0.5)
    found = distribution_of_sum([item], float(np.sqrt(item.own_moments()[1])))
    assert found.still == pytest.approx(0.5)
    for value in (-0.35, -0.1, 0.1, 0.35, 0.45, 0.6):
        own = min(max((value - low) / (high - low), 0.0), 1.0)
        assert found.chance_below(value) == pytest.approx(0.5 * (value >= 0) + 0.5 * own, abs=2e-3)
    other = UncertainItem("more", "uniform", low_money=min(2.0 * sign, 2.4 * sign),
                          high_money=max(2.0 * sign, 2.4 * sign), probability=0.5)  # fmt: skip
    both = distribution_of_sum([item, other], 1.2)  # nothing, the cents, the others, all: a quarter each
    reached = [both.chance_below(sign * value) for value in (0.1, 1.0, 2.1, 2.6, 3.0)]
    together = float((np.add.outer(np.linspace(0.2, 0.5, 2001), np.linspace(2.0, 2.4, 2001)) < 2.6).mean())
    wanted = [0.25, 0.5, 0.5 + 0.25 * 0.25, 0.75 + 0.25 * together, 1.0]
    assert reached == pytest.approx(wanted if sign > 0 else [1.0 - share for share in wanted], abs=4e-3)


@pytest.mark.parametrize("value", [700.0, -700.0])
def test_what_never_comes_adds_nothing_and_what_surely_comes_all(value):
    """A fixed item of chance 0 moves no percentile, one of chance 1 moves each by its value; with and without a
    spread beside it."""
    other = UncertainItem("maybe", "fixed", value_money=50.0, probability=0.5)
    spread = UncertainItem("spread", "uniform", low_money=0.0, high_money=100.0)
    for beside, wanted in ((other, 50.0), (spread, 90.0)):
        for chance in (0.0, 1.0):
            item = UncertainItem("fixed", "fixed", value_money=value, probability=chance)
            found = distribution_of_sum([item, beside], 25.0)
            assert found.percentile(90.0) == pytest.approx(wanted + chance * value, abs=0.2)


@pytest.mark.parametrize("chances", [(0.8, 0.75), (0.99, 0.5, 0.9), (0.3, 0.2)])
def test_two_spreads_that_may_both_stay_away(chances):
    """Beside all that may come there is the chance that nothing does, a jump at nothing: the chance below is that of
    every choice of who comes, by sums drawn from each, and all chances add up to one."""
    rng = np.random.default_rng(3)
    items = [UncertainItem(f"n{k}", "uniform", low_money=100.0 + 40 * k, high_money=300.0, probability=p)
             for k, p in enumerate(chances)]  # fmt: skip
    sd = float(np.sqrt(sum(item.own_moments()[1] for item in items)))
    found = distribution_of_sum(items, sd)
    none = float(np.prod([1.0 - p for p in chances]))
    assert found.still == pytest.approx(none) and found.chance_below(1e6) == pytest.approx(1.0, abs=1e-9)
    assert found.chance_below(-1.0) == pytest.approx(0.0, abs=1e-9)
    assert [found.chance_below(value) for value in (0.0, 60.0)] == pytest.approx([none, none], abs=1e-9)
    drawn = sum(np.where(rng.random(400_000) < p, rng.uniform(100.0 + 40 * k, 300.0, 400_000), 0.0)
                for k, p in enumerate(chances))  # fmt: skip
    for value in (120.0, 200.0, 320.0, 450.0):
        assert found.chance_below(value) == pytest.approx(float((drawn <= value).mean()), abs=4e-3)
    if none >= 0.01:
        assert found.percentile(50.0 * none) == pytest.approx(0.0, abs=1e-6)


def test_a_jump_at_a_value_counts_there():
    """Two fixed items beside one another: chances rise at each sum of them, at it and not before."""
    items = [UncertainItem("a", "fixed", value_money=100.0, probability=0.25),
             UncertainItem("b", "fixed", value_money=-40.0, probability=0.5)]  # fmt: skip
    found = distribution_of_sum(items, 45.0)
    steps = ((-40.0, 0.375), (0.0, 0.75), (60.0, 0.875), (100.0, 1.0))
    before = 0.0
    for value, chance in steps:
        assert found.chance_below(value - 0.01) == pytest.approx(before)
        assert found.chance_below(value) == pytest.approx(chance)
        assert found.percentile(100.0 * chance) == value
        if chance < 1.0:
            assert found.percentile(100.0 * chance + 0.01) > value
        before = chance


@pytest.mark.parametrize("mean, sd", [(0.5, 0.2), (900.0, 40.0)])
def test_a_normal_item_keeps_its_far_percentiles(mean, sd):
    """From one in a thousand below to one in a thousand above, by a library, for cents as for hundreds."""
    item = UncertainItem("n", "normal", mean_money=mean, sd_money=sd)
    found = distribution_of_sum([item, UncertainItem("small", "uniform", low_money=0.0, high_money=sd / 100)], sd)
    for pct in (0.1, 2.0, 50.0, 98.0, 99.9):
        assert found.percentile(pct) == pytest.approx(norm(mean + sd / 200, sd).ppf(pct / 100), abs=0.01 * sd)


def test_of_paths_equally_long_the_least_certain_counts():
    """Two ways of the same expected length between the same two: whichever is written first, the path and its spread
    are those of the way that may vary more."""
    sure = {"name": "sure", "optimistic_day": 4, "likely_day": 4, "pessimistic_day": 4}
    loose = {"name": "loose", "optimistic_day": 1, "likely_day": 4, "pessimistic_day": 7}
    last = {"name": "end", "optimistic_day": 1, "likely_day": 1, "pessimistic_day": 1}
    for order in ([sure, loose], [loose, sure]):
        for names in (["sure", "loose"], ["loose", "sure"]):
            rows = [{**row, "predecessors": ["begin"]} for row in order]
            begin = {**last, "name": "begin"}
            found = call(pert_duration, {"activities": [begin, *rows, {**last, "predecessors": names}]})
            assert found.path_sd_day == pytest.approx(1.0) and found.path == ["begin", "loose", "end"]
