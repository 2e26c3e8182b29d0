"""Laws of the price: dearer never cheaper, units agree, what is not priced stays out, shares as the trade reckons."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lynchet.project.money import ItemPrice, OwnJob, OwnRate, Prices
from lynchet.works.items import items
from lynchet.works.price import LESS, MORE, TENTH_SD, TOGETHER, sd_together
from lynchet.works.price_range import price_range
from lynchet.works.uncertain_items import UncertainItem
from worked import SEEDS, crew, plan_of, priced, worked

RNG = np.random.default_rng(20270311)
KEYS = ("drain_stone", "base_stone", "fabric", "drain_pipe", "solid_pipe", "fittings", "cleanout", "screen", "screws",
        "pins", "end_preservative", "load_away", "bed_soil", "mulch", "labour", "delivery")  # fmt: skip


def _random_prices() -> Prices:
    some = [key for key in KEYS if RNG.random() < 0.7]
    prices: dict[str, float | tuple[float, str]] = {key: float(RNG.uniform(1, 400)) for key in some}
    return priced({**prices, "timber": (float(RNG.uniform(2, 20)), "m")}, overhead=0.18, profit=0.1)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_dearer_price_never_gives_a_cheaper_total(seed: int) -> None:
    """Any price raised, little or much: the low, the expected and the high total all stay or rise."""
    plan = plan_of(seed)
    for _ in range(4):
        prices = _random_prices()
        before = worked(plan, prices=prices).price.total
        assert before is not None and before.low <= before.likely <= before.high
        for place in RNG.choice(len(prices.items), 5, replace=False):
            dearer = list(prices.items)
            dearer[place] = replace(dearer[place], money=dearer[place].money * float(RNG.uniform(1.01, 5)))
            after = worked(plan, prices=replace(prices, items=tuple(dearer))).price.total
            assert after is not None
            for name in ("low", "likely", "high"):
                assert getattr(after, name) >= getattr(before, name) - 1e-9, (name, dearer[place])


def test_a_wide_band_of_hours_keeps_the_rule() -> None:
    """The same where the hours come from two own jobs that differ tenfold, the widest band there is."""
    jobs = (OwnJob("a", 10.0, 2.0), OwnJob("b", 10.0, 20.0))
    wish = replace(crew(2), rates=tuple(OwnRate(task, None, jobs) for task in ("courses", "stone", "trench", "fill")))
    plan = plan_of(SEEDS[1])
    totals = [
        worked(plan, wish=wish, prices=priced({"labour": hour, "stone": 40.0})).price.total for hour in (20, 21, 60)
    ]
    for name in ("low", "likely", "high"):
        values = [getattr(total, name) for total in totals]
        assert values == sorted(values)


@pytest.mark.parametrize("seed", SEEDS[:3])
def test_the_expected_price_is_what_the_lists_come_to(seed: int) -> None:
    """Goods and loads, loose ones too, at their money on the list, hours at the mean of low, expected and high; then
    overhead on the direct cost and profit as a share of the price. The band holds the expected price, and loose goods
    widen it."""
    plan = plan_of(seed)
    prices = _random_prices()
    found = worked(plan, prices=prices)
    hour = next((one.money for one in prices.items if one.item == "labour"), 0.0)
    price, goods = found.price, sum(line.money or 0.0 for line in found.order)
    goods += sum(sent.money for sent in found.deliveries if sent.money and sent.name != "soil away")
    hours = sum((task.hours.low + task.hours.likely + task.hours.high) / 3 for task in found.tasks)
    assert price.direct is not None and price.total is not None
    assert price.direct.likely == pytest.approx(goods + hours * hour, abs=0.005 * len(found.tasks) + 1e-6)
    cost = price.direct.likely * 1.18
    assert price.total.likely - cost == pytest.approx(0.1 * price.total.likely, abs=0.01)
    loose = sum(line.money or 0.0 for line in found.order if line.measure == "m3" or line.key == "load_away")
    assert LESS < 1 < MORE and (price.direct.low < price.direct.likely < price.direct.high) == (loose + hour > 0)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_a_price_by_weight_is_a_price_by_volume(system: str) -> None:
    """Stone at 42 a tonne costs what it does at 42 times its bulk weight a cubic metre, in both systems of units, and a
    price without a unit is for the unit the list shows."""
    plan = plan_of(SEEDS[0])
    plan = replace(plan, project=replace(plan.project, units=system))
    item = items(system)["drain_stone"]  # type: ignore[arg-type]
    ways = [(42.0, "t"), (42.0 * item.kg / 1000, "m3"), (42.0 * item.kg / 1000 * 0.9144**3, "cu yd"),
            (42.0 * 0.90718474, "ton")]  # fmt: skip
    lines = [
        next(one for one in worked(plan, prices=priced({"drain_stone": way})).order if one.key == "drain_stone")
        for way in ways
    ]
    assert [line.money for line in lines] == pytest.approx([lines[0].money] * 4, rel=1e-9)
    plain = worked(plan, prices=priced({"drain_stone": lines[0].unit_price or 0.0})).order
    assert next(line for line in plain if line.key == "drain_stone").money == pytest.approx(lines[0].money)
    assert lines[0].unit == ("yd3" if system == "us" else "m3")


def test_packs_and_metres_agree() -> None:
    """Screws by the box of fifty or by the piece, timber by the metre or by the foot: the same money."""
    plan = plan_of(SEEDS[0])

    def money(key: str, price: tuple[float, str], start: str) -> float:
        lines = worked(plan, prices=priced({key: price})).order
        return sum(line.money or 0.0 for line in lines if line.key.startswith(start))

    assert money("screw", (50.0, "pack"), "screw") == pytest.approx(money("screw", (1.0, "each"), "screw"))
    by_foot = money("timber", (3.0, "ft"), "timber")
    assert by_foot == pytest.approx(money("timber", (3.0 / 0.3048, "m"), "timber")) and by_foot > 0


def test_one_price_serves_several_items_and_its_own_goes_before() -> None:
    """ "stone" prices both kinds of stone; a price of one kind goes before it."""
    plan = plan_of(SEEDS[0])
    both = {line.key: line.unit_price for line in worked(plan, prices=priced({"stone": 40.0})).order}
    assert both["drain_stone"] == both["base_stone"] == 40.0
    own = {line.key: line.unit_price for line in worked(plan, prices=priced({"stone": 40.0, "base_stone": 30.0})).order}
    assert (own["drain_stone"], own["base_stone"]) == (40.0, 30.0)


def test_prices_no_line_wants_are_told() -> None:
    """A price for a length of stick the plan does not buy is named in a finding, and money does not change."""
    plan = plan_of(SEEDS[0])
    odd = worked(plan, prices=Prices("", (ItemPrice("timber_9.1_m", 99.0), ItemPrice("stone", 40.0))))
    assert any("timber_9.1_m" in finding.text for finding in odd.findings if finding.code == "works.unused_prices")
    plain = worked(plan, prices=priced({"stone": 40.0}))
    assert odd.price.total == plain.price.total


def test_own_jobs_set_the_hours() -> None:
    """Two finished jobs give the rate of their sums and a range for the next job; a written rate is taken as it is."""
    plan = plan_of(SEEDS[0])
    jobs = (OwnJob("first", 40.0, 20.0), OwnJob("second", 60.0, 40.0))
    learned = worked(plan, wish=replace(crew(2), rates=(OwnRate("courses", None, jobs), OwnRate("stone", 2.0))))
    courses = [task for task in learned.tasks if task.kind == "courses"]
    assert courses and all(task.rate_h == pytest.approx(0.6) for task in courses)
    assert all(task.hours.low < task.hours.likely < task.hours.high for task in courses)
    assert all("your own 2 jobs" in task.origin for task in courses)
    assert all(task.rate_h == pytest.approx(2.0) for task in learned.tasks if task.kind == "stone")


def test_bands_are_those_of_the_price_range() -> None:
    """The band of many parts that lean one way is that of the calculator with its matrix of correlations."""
    rows = [
        UncertainItem(f"t{n}", "triangular", low_money=low, likely_money=1.3 * low, high_money=3 * low)
        for n, low in enumerate(RNG.uniform(1, 900, 12))
    ]
    rows.append(UncertainItem("fixed", "fixed", value_money=250.0))
    wanted = price_range(items=rows, correlation=TOGETHER, method="normal", percentiles=[10.0, 90.0])
    sd = sd_together([row.own_moments()[1] for row in rows], TOGETHER)
    assert sd == pytest.approx(wanted.sd_money, rel=1e-12)
    low, high = wanted.percentile_money
    assert (wanted.mean_money - TENTH_SD * sd, wanted.mean_money + TENTH_SD * sd) == pytest.approx(
        (low, high), rel=1e-9
    )
