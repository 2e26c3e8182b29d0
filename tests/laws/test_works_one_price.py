"""Law: order list, spreadsheet, plan and quote come to one price, to the last hundredth."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from io import BytesIO

import pytest
from openpyxl import load_workbook

from demo_plans import demo
from lynchet.exports.order_xlsx import order_xlsx
from lynchet.plan.model import Plan
from lynchet.project.firm import Offer
from lynchet.quotes.making import quote_of
from quoted import planned, prices

_CENT = Decimal("0.01")


def _cut(money: float) -> Decimal:
    """To the hundredth, halves up; figures are near a tie by chance alone, so nine places stand for the number."""
    return Decimal(f"{money:.9f}").quantize(_CENT, ROUND_HALF_UP)


def _by_hand(plan: Plan) -> Decimal:
    """As with paper and pencil: each line to the hundredth, the sum of them, overhead, profit on the price."""
    works = plan.works
    lines = [line.buy_units * line.unit_price for line in works.order if line.unit_price is not None]
    lines += [
        one.loads * one.unit_price for one in works.deliveries if one.unit_price is not None and one.name != "soil away"
    ]
    hour = works.price.hour_money or 0.0
    lines += [(task.hours.low + task.hours.likely + task.hours.high) / 3 * hour for task in works.tasks]
    direct = sum(map(_cut, lines), Decimal(0))
    return _cut(float(direct) * (1 + works.price.overhead) / (1 - works.price.profit))


PLANS = {
    "l_garden": lambda: demo("l_garden"),
    "side_yard": lambda: demo("side_yard"),
    "all priced": lambda: planned(offer=Offer()),
    "an odd price": lambda: planned(prices(overhead=0.137, profit=0.083, tax=0.0), Offer()),
}


@pytest.mark.parametrize("name", PLANS)
def test_plan_spreadsheet_and_quote_name_one_price(name: str) -> None:
    """What the lines come to by hand is the expected price of the plan, the spreadsheet's and the quote's."""
    plan = PLANS[name]()
    price, wanted = plan.works.price, _by_hand(plan)
    assert price.total is not None and wanted > 0
    assert price.total.low <= price.total.likely <= price.total.high
    assert price.total.likely == pytest.approx(float(wanted), abs=1e-6)
    page = load_workbook(BytesIO(order_xlsx(plan.works, "Test yard")), data_only=True)["Price"]
    assert page["A12"].value == "Price before tax"
    assert page["B12"].value == pytest.approx(float(wanted), abs=1e-6)
    assert page["B13"].value == pytest.approx(price.total.likely + price.tax_money, abs=1e-6)
    bare = quote_of(replace(plan, project=replace(plan.project, offer=Offer())))
    assert bare.sums.price == round(100 * wanted)
    assert bare.sums.tax == pytest.approx(100 * price.tax_money, abs=1e-4)
    assert sum((part.money.likely for part in price.parts), 0.0) == pytest.approx(bare.sums.direct / 100, abs=1e-6)
