"""Prices of timber are the same wherever the file gives them: beside each length, or in the list of prices."""

from __future__ import annotations

from pathlib import Path

import pytest

from by_command import changed
from lynchet.plan.effort import FULL, LIVE, Effort
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load
from lynchet.project.read import checked

PLAIN = 'stock = ["8 ft", "12 ft"]'
# INVENTED: a 12 ft stick dear for its length, so that the cheapest is not the shortest.
EIGHT, TWELVE = 20, 55


def _plan(folder: Path, stock: str, prices: str, effort: Effort) -> Plan:
    file = changed(folder, "plain.toml", {PLAIN: stock}, f'\n[prices]\ncurrency = "USD"\n{prices}')
    return plan_project(checked(load(file), []), effort=effort)


def _listed(eight: float, twelve: float) -> str:
    return f"items = {{ timber_8_ft = {eight}, timber_12_ft = {twelve} }}\n"


@pytest.mark.parametrize("effort", [LIVE, FULL])
def test_the_same_prices_buy_the_same_either_way(tmp_path: Path, effort: Effort) -> None:
    """Beside the lengths or in the list: the same sticks for the same money, told as money."""
    beside = f'stock = [{{ length = "8 ft", price = {EIGHT} }}, {{ length = "12 ft", price = {TWELVE} }}]'
    one, other = _plan(tmp_path, beside, "", effort), _plan(tmp_path, PLAIN, _listed(EIGHT, TWELVE), effort)
    assert other.timber.sticks == one.timber.sticks and other.timber.price == one.timber.price
    assert one.timber.proof.measure == other.timber.proof.measure == "price"
    assert [line.money for line in one.works.order if line.group == "timber"] == [
        line.money for line in other.works.order if line.group == "timber"
    ]
    unused, weighed = (
        " ".join(one.text for one in other.works.findings if one.code == f"works.{what}_prices")
        for what in ("unused", "weighed")
    )
    for key, length_m in (("timber_8_ft", 2.4384), ("timber_12_ft", 3.6576)):
        bought = any(line.bought and abs(line.length_m - length_m) < 1e-6 for line in other.timber.stock)
        assert bought == (key not in weighed) and key not in unused


@pytest.mark.parametrize("effort", [LIVE, FULL])
def test_a_dearer_price_never_makes_a_cheaper_total(tmp_path: Path, effort: Effort) -> None:
    """Either length made dearer step by step in the list: what the timber costs never falls."""
    for prices in ([(8, 30), (20, 30), (35, 30)], [(20, 22), (20, 30), (20, 70)]):
        totals = [_plan(tmp_path, PLAIN, _listed(*pair), effort).timber.price or 0.0 for pair in prices]
        assert totals == sorted(totals) and totals[0] > 0.0
