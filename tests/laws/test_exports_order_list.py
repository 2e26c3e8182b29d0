"""The spreadsheet of the order list: formulas cover every line, and the values they carry are what they compute."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from demo_plans import DEMOS, demo
from lynchet.book.blocks import Table
from lynchet.book.parts.order_pages import order_pages
from lynchet.book.texts import Words
from lynchet.exports.order_xlsx import order_xlsx
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.money import ItemPrice, Prices, WorksWish
from lynchet.works.model import Day, Task, Works
from office_plan import office
from random_yards import realistic
from recalculated import carried, changed, recalculated


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A random yard with some prices known and a start (invented figures)."""
    project, _ = realistic(4)
    prices = Prices(
        "EUR", (ItemPrice("timber", 31.5), ItemPrice("stone", 52.0), ItemPrice("labour", 40.0)), 0.12, 0.08, 0.2
    )
    wish = WorksWish(crew=2, day_h=7.0, start="2027-03-15")
    return plan_project(replace(project, prices=prices, works=wish), effort=LIVE)


@pytest.fixture(scope="module")
def works(plan: Plan) -> Works:
    """What its works stage gives."""
    return plan.works


def _computed(formula: Any, page: str, cell: str) -> float:
    """What the formula in a cell gives, computed by an evaluator of its own for the five kinds used."""
    found = formula[page][cell].value
    if not (isinstance(found, str) and found.startswith("=")):
        return float(found or 0.0)
    total = re.fullmatch(r"=SUM\((\w)(\d+):\w(\d+)\)", found)
    if total:
        column, first, last = total[1], int(total[2]), int(total[3])
        return sum(_computed(formula, page, f"{column}{row}") for row in range(first, last + 1))
    choice = re.fullmatch(r'=IF\((?:(\w+)!)?(\$?[A-Z]\$?\d+)="","",(.+)\)', found)
    if choice:
        price = formula[choice[1] or page][choice[2].replace("$", "")].value
        return 0.0 if price is None else _sum(formula, page, choice[3])
    other = re.fullmatch(r"='?([A-Za-z ]+)'?!(\w+)", found)
    if other:
        return _computed(formula, other[1], other[2])
    return _sum(formula, page, found[1:])


def _sum(formula: Any, page: str, said: str) -> float:
    """Plain arithmetic with names of cells, its ``ROUND`` to the hundredth."""
    said = said.replace("$", "")
    names = set(re.findall(r"(?:(?:Hours|Price)!)?\b[A-K]\d+\b", said))
    for name in sorted(names, key=len, reverse=True):
        sheet, _, inner = name.rpartition("!")
        said = said.replace(name, repr(_computed(formula, sheet or page, inner)))
    assert re.fullmatch(r"(?:ROUND\(|,2\)|[\d.e+\-*/() ])+", said), said
    return float(eval(said, {"ROUND": round}))


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


def test_an_amount_or_an_hour_changed_changes_the_hours(works: Works) -> None:
    """Hours of a task are its amount times the yellow hours for one of it; all three columns are summed."""
    page = load_workbook(BytesIO(order_xlsx(works, "Test yard")))["Hours"]
    for row, task in enumerate(works.tasks, start=4):
        assert [page[f"{letter}{row}"].value for letter in "HIJ"] == [f"=C{row}*{letter}{row}" for letter in "EFG"]
        assert page[f"C{row}"].value * page[f"F{row}"].value == pytest.approx(task.hours.likely)
        for letter in "CEFG":
            assert page[f"{letter}{row}"].fill.fgColor.rgb == "FFFFF4C2"
    feet = load_workbook(BytesIO(order_xlsx(works, "Test yard", system="us")))["Hours"]
    per = {"m": (1 / 0.3048, "ft"), "m3": (1 / 0.3048**3 / 27, "yd3")}  # the foot's definition; 27 cu ft a cubic yard
    seen = set()
    for row, task in enumerate(works.tasks, start=4):
        size, measure = per.get(task.measure, (1.0, task.measure))
        if task.quantity > 0:
            assert feet[f"C{row}"].value == pytest.approx(size * task.quantity) and feet[f"D{row}"].value == measure
        assert feet[f"C{row}"].value * feet[f"F{row}"].value == pytest.approx(task.hours.likely)
        seen.add(feet[f"D{row}"].value)
    assert {"ft", "yd3"} <= seen and not {"m", "m3"} & seen
    price = load_workbook(BytesIO(order_xlsx(works, "Test yard")))["Price"]
    last = 4 + len(works.tasks)
    assert price["B6"].value == f"=Hours!K{last}" and page[f"K{last}"].value == f"=SUM(K4:K{last - 1})"
    for row in range(4, last):
        mean = f"(H{row}+I{row}+J{row})/3*Price!$B$5"
        assert page[f"K{row}"].value == f'=IF(Price!$B$5="","",ROUND({mean}+0.0000000001,2))'
    assert page[f"I{last}"].value == f"=SUM(I4:I{last - 1})"


def test_the_sheet_and_the_book_name_one_price(works: Works) -> None:
    """Before tax the sheet gives the plan's expected price, to the hundredth."""
    price = load_workbook(BytesIO(order_xlsx(works, "Test yard")), data_only=True)["Price"]
    assert price["A12"].value == "Price before tax" and works.price.total is not None
    assert price["B12"].value == pytest.approx(works.price.total.likely, abs=1e-6)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_line_on_missing_prices_is_counted_anew(name: str, units: str, tmp_path: Path) -> None:
    """As written it is the plan's own; with every yellow price filled in it says that none is missing. Nothing
    without a price stands as nought, the trucks included. Computed by an engine that is not ours."""
    works = office(name, units).works
    first, filled = tmp_path / "first.xlsx", tmp_path / "filled.xlsx"
    first.write_bytes(order_xlsx(works, "Test yard", system=units))
    said = str(recalculated(first)["Price", "A2"])
    assert said == carried(first)["Price", "A2"]
    plan_words = works.price.words
    assert said == plan_words or (said.startswith(plan_words) and works.price.direct is None)
    price = load_workbook(first)["Price"]
    assert (price["B7"].value is None) == ("deliveries by truck" in works.price.missing)
    orders = load_workbook(first)["Order list"]
    rows = [row for row in range(4, 4 + len(works.order)) if orders[f"F{row}"].value is None]
    wanted = {("Order list", f"F{row}"): 2.5 for row in rows} | {("Price", "B5"): 30.0, ("Price", "B7"): 120.0}
    told = str(recalculated(changed(first, wanted, filled))["Price", "A2"])
    assert told == f"all {works.price.lines} lines have a price"


def test_days_have_real_dates(works: Works) -> None:
    """The date cell is a date, the same as the plan's; every task of the day is told, each in one line, in
    two exactly where stone or fill is left over from the evening before and walls go up on top of it."""
    page = load_workbook(BytesIO(order_xlsx(works, "Test yard")))["Days"]
    for row, day in enumerate(works.days, start=4):
        assert page[f"A{row}"].value == day.number
        found = page[f"B{row}"].value
        assert isinstance(found, datetime) and found.date().isoformat() == day.date != ""
        told = page[f"C{row}"].value
        for task in {works.task(step.task) for step in day.steps}:
            assert told.count(task.name) == _lines(works, day, task), (day.number, task.id)
        assert all(f"parts {n} to {n} " not in told for n in range(1, 9))
    assert works.days


def _lines(works: Works, day: Day, task: Task) -> int:
    """How many lines a task has on a day: two where the first course of the day comes between its steps, else one."""
    courses = f"{task.terrace}/courses"
    steps = [step.task for step in day.steps]
    if task.kind not in ("stone", "fill") or courses not in steps:
        return 1
    at = [place for place, name in enumerate(steps) if name == task.id]
    return 2 if at[0] < steps.index(courses) < at[-1] else 1


def test_pages_print_on_one_width_with_their_heads(plan: Plan) -> None:
    """Landscape, one page wide, heads repeated, panes frozen under them, no column too narrow for a number."""
    book = load_workbook(BytesIO(order_xlsx(plan.works, "Test yard", demo("l_garden").planted)))
    assert book.sheetnames == ["Order list", "Hours", "Price", "Days", "Plants"]
    for page in book:
        assert page.page_setup.orientation == "landscape"
        assert page.sheet_properties.pageSetUpPr.fitToPage and page.page_setup.fitToHeight == 0
        assert page.print_title_rows == "$3:$3" and page.freeze_panes == "A4"
        for row in page.iter_rows(min_row=4):
            for cell in row:
                if isinstance(cell.value, float | int):
                    width = page.column_dimensions[cell.column_letter].width
                    assert len(f"{cell.value:,.2f}") + 1 <= width + 3, (page.title, cell.coordinate)


def test_plants_have_a_page_of_their_own(works: Works) -> None:
    """One row for each planting with its count, the sum under them; no page where nothing is planted."""
    planted = demo("l_garden").planted
    data = order_xlsx(works, "Test yard", planted)
    page, values = load_workbook(BytesIO(data))["Plants"], load_workbook(BytesIO(data), data_only=True)["Plants"]
    counts = [page[f"E{row}"].value for row in range(4, 4 + len(planted.plantings))]
    assert counts == [one.count for one in planted.plantings] and counts
    last = 4 + len(planted.plantings)
    assert page[f"E{last}"].value == f"=SUM(E4:E{last - 1})" and values[f"E{last}"].value == sum(counts)
    bare = order_xlsx(works, "Test yard", replace(planted, plantings=()))
    assert "Plants" not in load_workbook(BytesIO(bare)).sheetnames


def test_an_empty_plan_still_gives_a_sheet_that_adds_up(works: Works) -> None:
    """No lines and no tasks: totals are nought, no formula runs over heads."""
    empty = replace(works, order=(), tasks=(), days=())
    book = load_workbook(BytesIO(order_xlsx(empty, "=Yard")))
    assert book["Order list"]["G4"].value == "=0" and book["Hours"]["I4"].value == "=0"
    assert book["Order list"]["A1"].data_type == "s" and book["Order list"]["A1"].value == "Order list: =Yard"


def test_what_the_book_prices_adds_up(works: Works) -> None:
    """Parts, overhead and profit make the total beside them, to the unit, and hours times their rate what they cost."""
    tables = [block for block in order_pages(works, "us", False, Words()) if isinstance(block, Table)]
    (price,) = (table for table in tables if table.heads[0] == "Part")
    (beside,) = (table for table in tables if table.heads[0] == "Priced beside the list")
    money = {row[0]: float(re.sub(r"[^\d.]", "", row[2])) for row in price.rows}
    *rest, total = money.items()
    together = sum(value for name, value in rest if name != "all of these")
    assert works.price.overhead > 0 and works.price.profit > 0
    assert together == pytest.approx(total[1], abs=len(money)) and total[0] == "Total before tax"
    (hours,) = (row for row in beside.rows if row[0].startswith("hours"))
    rate = works.price.hour_money or 0.0
    assert float(hours[1]) * rate == pytest.approx(float(re.sub(r"[^\d.]", "", hours[2])), abs=rate / 2 + 1)
