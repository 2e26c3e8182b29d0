"""Patterns near the linear bound: all of them and no others; the cutting they prove best is the flow model's."""

from __future__ import annotations

from itertools import product
from math import inf

import numpy as np
import pytest

from lynchet.timber import cut_plan
from lynchet.timber.cut_near import near_patterns, worth_of
from lynchet.timber.cut_orders import Sticks
from lynchet.timber.cut_plan import least_cost
from lynchet.timber.cut_programme import Programme, price_patterns

KERF = 300


def order(seed, limited=False):
    """Sticks of three lengths at prices in halves, and an order of some lengths."""
    rng = np.random.default_rng(seed)
    length = tuple(sorted(int(v) for v in rng.choice(np.arange(200_000, 520_000, 20_000), 3, replace=False)))
    price = tuple(float(np.round(2.0 * 20.0 * (v / 1e5) ** rng.uniform(0.9, 1.2)) / 2.0) for v in length)
    available = (int(rng.integers(1, 5)), None, None) if limited else (None, None, None)
    sticks = Sticks(length, tuple(v + KERF for v in length), price, available, KERF)
    lengths = rng.integers(30_000, max(length), int(rng.integers(4, 9)))
    return sticks, {int(v): int(rng.integers(1, 6)) for v in sorted(set(lengths.tolist()), reverse=True)}


def programme_of(sticks, demand):
    """The programme of an order, priced to the end."""
    return Programme(sticks, tuple(demand), tuple(demand.values()), proper=True, exact=True)


@pytest.mark.parametrize("seed", range(12))
def test_all_patterns_that_lose_little_are_listed(seed):
    """Every load of every stick is tried: those listed are those that lose no more than was said, none loses below 0,
    and what pieces are worth adds up to the linear bound."""
    sticks, demand = order(seed, limited=seed % 2 == 1)
    programme = programme_of(sticks, demand)
    priced = price_patterns(programme, inf)
    worth = worth_of(programme, priced)
    assert worth.bound == pytest.approx(priced.bound, rel=1e-9)
    loss = 0.3 * max(sticks.price)
    listed = near_patterns(programme, worth, loss, most=100_000)
    assert listed is not None and len(set(listed)) == len(listed)
    found = set()
    for held in product(*(range(most + 1) for most in programme.limits())):
        load = sum((length + KERF) * times for length, times in zip(demand, held, strict=True))
        worthy = sum(value * times for value, times in zip(worth.piece, held, strict=True))
        fitting = [stock for stock, room in enumerate(sticks.room) if room >= load > 0]
        if fitting and not sticks.limited:
            fitting = [min(fitting, key=lambda stock: worth.stick[stock])]
        for stock in fitting:
            lost = worth.stick[stock] - worthy
            assert lost > -1e-6
            if lost <= loss:
                found.add((stock, held))
    assert found == set(listed)


@pytest.mark.parametrize("seed", range(16))
def test_same_cost_as_the_flow_of_cuts(seed, monkeypatch):
    """A cutting proven best from listed patterns costs what the flow of cuts proves best, sticks on hand or not."""
    sticks, demand = order(100 + seed, limited=seed % 3 == 0)
    listed = least_cost(sticks, demand, inf)
    monkeypatch.setattr(cut_plan, "near_patterns", lambda *args: None)
    flowed = least_cost(sticks, demand, inf)
    assert (listed is None) == (flowed is None)
    if listed is not None and flowed is not None:
        assert listed.proven and flowed.proven and listed.cost == pytest.approx(flowed.cost, abs=1e-6)
        cut = [piece for _, held in listed.sticks for piece in held]
        assert sorted(cut) == sorted(length for length, count in demand.items() for _ in range(count))


def test_too_many_patterns_are_not_listed():
    """Past the number allowed nothing is given, so that the flow of cuts takes over."""
    sticks, demand = order(3)
    programme = programme_of(sticks, demand)
    assert near_patterns(programme, worth_of(programme, price_patterns(programme, inf)), 1e6, most=3) is None
