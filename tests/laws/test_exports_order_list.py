"""The spreadsheet of the order list: formulas cover every line, and the values they carry are what they compute."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from typing import Any

import pytest
from openpyxl import load_workbook

from lynchet.exports.order_xlsx import order_xlsx
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.money import ItemPrice, Prices
from lynchet.works.model import Works
from random_yards import realistic


@pytest.fixture(scope="module")
def works() -> Works:
    """A random yard with some prices known (invented figures)."""
    project, _ = realistic(4)
    prices = Prices(
        "EUR", (ItemPrice("timber", 31.5), ItemPrice("stone", 52.0), ItemPrice("labour", 40.0)), 0.12, 0.08, 0.2
    )
    return plan_project(replace(project, prices=prices), effort=LIVE).works


def _computed(formula: Any, page: str, cell: str) -> float:
    """What the formula in a cell gives, computed by an evaluator of its own for the four kinds used."""
    found = formula[page][cell].value
    if not (isinstance(found, str) and found.startswith("=")):
        return float(found or 0.0)
    total = re.fullmatch(r"=SUM\((\w)(\d+):\w(\d+)\)", found)
    if total:
        column, first, last = total[1], int(total[2]), int(total[3])
        return sum(_computed(formula, page, f"{column}{row}") for row in range(first, last + 1))
    product = re.fullmatch(r'=IF\((F\d+)="","",(D\d+)\*F\d+\)', found)
    if product:
        price = formula[page][product[1]].value
        return 0.0 if price is None else float(formula[page][product[2]].value) * float(price)
    other = re.fullmatch(r"='?([A-Za-z ]+)'?!(\w+)", found)
    if other:
        return _computed(formula, other[1], other[2])
    names = set(re.findall(r"(?:Hours!)?\b[A-J]\d+\b", found))
    said = found[1:]
    for name in sorted(names, key=len, reverse=True):
        sheet, _, inner = name.rpartition("!")
        said = said.replace(name, repr(_computed(formula, sheet or page, inner)))
    assert re.fullmatch(r"[\d.e+\-*/() ]+", said), found
    return float(eval(said))


def test_every_formula_carries_what_it_computes(works: Works) -> None:
    """A viewer that does not compute shows the same figures as one that does."""
    data = order_xlsx(works, "Test yard")
    formula, values = load_workbook(BytesIO(data)), load_workbook(BytesIO(data), data_only=True)
    checked = 0
    for page in formula:
        for row in page.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("=") and "COUNTBLANK" not in cell.value:
                    carried = values[page.title][cell.coordinate].value or 0.0
                    expected = _computed(formula, page.title, cell.coordinate)
                    assert float(carried) == pytest.approx(expected, rel=1e-9, abs=1e-9), (page.title, cell.coordinate)
                    checked += 1
    assert checked > len(works.order)


def test_totals_cover_every_line_once(works: Works) -> None:
    """The sum runs over all lines; the money of the sheet is the money of the plan."""
    data = order_xlsx(works, "Test yard")
    page = load_workbook(BytesIO(data), data_only=True)["Order list"]
    keys = [row[0].value for row in page.iter_rows(min_row=4) if row[0].value]
    assert keys == [line.key for line in works.order]
    last = 3 + len(works.order)
    known = sum(line.money for line in works.order if line.money is not None)
    assert page[f"G{last + 1}"].value == pytest.approx(known)
    assert page[f"G{last + 2}"].value == sum(line.unit_price is None for line in works.order)
    assert load_workbook(BytesIO(data))["Order list"][f"G{last + 1}"].value == f"=SUM(G4:G{last})"
