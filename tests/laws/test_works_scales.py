"""Laws of scale: cents behave as hundreds do, grams as tonnes, an hour as a day; nothing is nothing."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.works.delivery_loads import delivery_loads
from lynchet.works.earned_hours import earned_hours
from lynchet.works.load_packing import Pieces
from lynchet.works.price_range import price_range
from lynchet.works.price_rollup import price_rollup
from lynchet.works.reading_uncertainty import reading_uncertainty
from lynchet.works.resource_schedule import resource_schedule


@pytest.mark.parametrize("method", ["normal", "lognormal", "convolution"])
def test_a_range_of_cents_is_that_of_hundreds(method):
    """Every figure in a thousandth of the money: shares and chance the same, all sums a thousandth."""
    items = [{"name": "a", "kind": "triangular", "low_money": 200, "likely_money": 300, "high_money": 500},
             {"name": "b", "kind": "uniform", "low_money": 100, "high_money": 260},
             {"name": "c", "kind": "fixed", "value_money": 40}]  # fmt: skip
    small = [{key: value / 1000 if isinstance(value, int) else value for key, value in item.items()} for item in items]
    large, cents = (call(price_range, {"items": rows, "method": method, "budget_money": budget})
                    for rows, budget in ((items, 600.0), (small, 0.6)))  # fmt: skip
    assert sum(large.share_pct) == pytest.approx(100.0)
    assert cents.share_pct == pytest.approx(large.share_pct)
    assert cents.within_budget == pytest.approx(large.within_budget, abs=1e-4)
    assert 1000 * np.array(cents.percentile_money) == pytest.approx(large.percentile_money, rel=1e-4)
    assert (1000 * cents.mean_money, 1000 * cents.sd_money) == pytest.approx((large.mean_money, large.sd_money))


def test_fixed_items_have_no_range():
    """Of amounts that are sure every percentile is their sum and no share is anyone's."""
    found = call(price_range, {"items": [{"name": n, "kind": "fixed", "value_money": 0.4} for n in "ab"]})
    assert found.sd_money == 0.0 and found.share_pct == [0.0, 0.0]
    assert found.percentile_money == pytest.approx([0.8] * 4)


def test_pieces_lighter_than_a_kilogram_are_weighed():
    """A thousand of half a kilogram make five loads of a hundred, by room as by weight."""
    item = {"name": "clip", "count": 1000, "each_kg": 0.5}
    assert call(delivery_loads, {"items": [item], "payload_kg": 100.0}).loads == 5
    light = {"name": "bale", "count": 40, "each_kg": 0.1, "each_m3": 0.5}
    assert call(delivery_loads, {"items": [light], "payload_kg": 100.0, "space_m3": 4.0}).loads == 5
    assert Pieces((9,), (0.5,), (0.0,), 2.0).more([1], 0) == 3
    assert Pieces((9,), (0.0,), (0.5,), 2.0, 2.0).more([1], 0) == 3
    assert Pieces((9,), (0.0,), (0.0,), 1.0).more([2], 0) == 7


def test_minutes_of_work_have_their_indices():
    """Half an hour spent on half an hour planned is on its plan; with none planned there is no index of it."""
    row = {"name": "t", "budget_h": 2.0, "planned_pct": 25.0, "done_pct": 25.0, "spent_h": 0.5}
    found = call(earned_hours, {"tasks": [row]})
    assert (found.cpi, found.spi) == (pytest.approx(1.0), pytest.approx(1.0))
    idle = call(earned_hours, {"tasks": [{**row, "planned_pct": 0.0, "spent_h": 0.0}]})
    assert idle.cpi is None and idle.spi is None


def test_packs_of_nothing():
    """What is not sold in packs has none, nothing needed is no pack, a little is one."""
    items = [{"name": "loose", "quantity": 3.0, "price_money": 2.0},
             {"name": "none", "quantity": 0.0, "pack": 2.0, "pack_price_money": 9.0},
             {"name": "some", "quantity": 0.1, "pack": 2.0, "pack_price_money": 9.0}]  # fmt: skip
    found = call(price_rollup, {"items": items})
    assert found.packs == [0, 0, 1]


def test_small_readings_share_their_uncertainty():
    """Parts of a thousandth of a millimetre share it as parts of a millimetre do; of none nothing is shared."""
    large, small, none = (
        call(reading_uncertainty, {"components": [{"name": "a", "standard": 3.0 * s, "degrees": 5},
                                                  {"name": "b", "standard": 4.0 * s}]})
        for s in (1.0, 1e-3, 0.0)
    )  # fmt: skip
    assert large.share_pct == pytest.approx([36.0, 64.0]) and small.share_pct == pytest.approx([36.0, 64.0])
    assert small.k == pytest.approx(large.k) and 1000 * small.combined_mm == pytest.approx(large.combined_mm) == 5.0
    assert none.combined_mm == 0.0 and none.share_pct == [0.0, 0.0]


def test_work_that_takes_no_time_ends_at_once():
    """Marks without a duration, whoever they would need: no day, no bound, nobody at work."""
    rows = [{"name": "a", "duration_day": 0, "demand": [1]},
            {"name": "b", "duration_day": 0, "demand": [0], "predecessors": ["a"]}]  # fmt: skip
    found = call(resource_schedule, {"activities": rows, "resources": [{"name": "crew", "capacity": 1}]})
    assert (found.makespan_day, found.bound_day, found.proven, found.peak) == (0, 0, True, [0])
