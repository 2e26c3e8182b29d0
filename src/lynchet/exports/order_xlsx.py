"""The order list as a spreadsheet whose totals live: change a price, a rate or an amount, and the sums follow.

Yellow cells are for the user. Every formula also carries the value it has now, so that a viewer that does not compute
shows the same figures.
"""

from __future__ import annotations

from datetime import datetime
from io import BytesIO
from typing import Any

from lynchet.exports.quote_price_page import TIE
from lynchet.exports.xlsx_days import days_page
from lynchet.exports.xlsx_pages import FIRST, amount_look, looks_of, new_page, write_words
from lynchet.exports.xlsx_plants import plants_page
from lynchet.planting.model import Planted
from lynchet.units.measures import System
from lynchet.works.items import told_amount
from lynchet.works.model import OrderLine, Task, Works
from lynchet.works.price import LABOUR, mean_hours
from lynchet.works.quote_price import to_hundredth

_MADE = datetime(2000, 1, 1)
"""Written as the day it was made, so that one plan gives one file, byte for byte."""
_HEADS = ("Key", "What", "For", "Amount to buy", "Sold by", "Price each", "Money", "Note")
_TASKS = ("Task", "What", "Amount", "Measured in", "Hours for one, low", "Hours for one, expected",
          "Hours for one, high", "Hours, low", "Hours, expected", "Hours, high", "Money")  # fmt: skip
_PRICE = ("What", "Money or share", "How it is found")
_ORDER_WIDTHS = (22, 44, 18, 12, 14, 12, 13, 44)
_TASK_WIDTHS = (18, 50, 11, 13, 12, 12, 12, 11, 11, 11, 12)
_RATE = "Price!$B$5"
"""Cell of the money for an hour."""


def order_xlsx(works: Works, job: str, planted: Planted | None = None, system: System = "metric") -> bytes:
    """The spreadsheet: order list, hours, price, days, plants.

    Args:
        works: what the works stage gives.
        job: name of the job, at the top of each page.
        planted: plants, for a page of their own; left out where there are none.
        system: what amounts of work and days are told in.
    """
    import xlsxwriter

    stream = BytesIO()
    with xlsxwriter.Workbook(stream, {"in_memory": True}) as book:
        book.set_properties({"title": f"Order list: {job}", "comments": "Yellow cells are for you to change.",
                             "created": _MADE})  # fmt: skip
        looks = looks_of(book)
        last = _order(book, works, job, looks)
        hours = _hours(book, works, job, looks, system)
        _price(book, works, job, looks, (last, hours))
        if works.days:
            days_page(book, works, job, looks, system)
        if planted is not None and planted.plantings:
            plants_page(book, planted, job, looks)
    return stream.getvalue()


def _order(book: Any, works: Works, job: str, looks: dict[str, Any]) -> int:
    """The order list; gives its last row."""
    currency = works.price.currency or "your own currency"
    said = f"Yellow cells are yours. Money in {currency}."
    page = new_page(book, "Order list", (f"Order list: {job}", said), _HEADS, looks, _ORDER_WIDTHS)
    row = FIRST - 1
    for row, line in enumerate(works.order, start=FIRST):
        _line(page, row, line, looks)
    page.write(row, 1, "All lines with a price", looks["strong"])
    money = f"G{FIRST}:G{max(row, FIRST)}"
    known = sum(line.money for line in works.order if line.money is not None)
    page.write_formula(row, 6, f"=SUM({money})" if works.order else "=0", looks["total"], known)
    page.write(row + 1, 1, "Lines without a price", looks["note"])
    page.write_formula(row + 1, 6, f"=COUNTBLANK(F{FIRST}:F{row})" if works.order else "=0", looks["note"],
                       sum(line.unit_price is None for line in works.order))  # fmt: skip
    return row


def _line(page: Any, row: int, line: OrderLine, looks: dict[str, Any]) -> None:
    at = row - 1
    words = {0: line.key, 1: line.name, 2: ", ".join(line.places), 4: line.unit, 7: line.note}
    write_words(page, at, words, looks, _ORDER_WIDTHS)
    page.write_number(at, 3, line.buy_units, amount_look(line.buy_units, looks))
    if line.unit_price is None:
        page.write_blank(at, 5, None, looks["mine"])
    else:
        page.write_number(at, 5, line.unit_price, looks["mine"])
    value = "" if line.money is None else line.money
    page.write_formula(at, 6, f'=IF(F{row}="","",ROUND(D{row}*F{row}+{TIE},2))', looks["money"], value)


def _hours(book: Any, works: Works, job: str, looks: dict[str, Any], system: System) -> int:
    """Hours of every task; gives the row of their sums."""
    said = "Person hours. Change an amount, or the hours for one of it where you know your own."
    page = new_page(book, "Hours", (f"Hours: {job}", said), _TASKS, looks, _TASK_WIDTHS)
    row, rate = FIRST - 1, works.price.hour_money
    for row, task in enumerate(works.tasks, start=FIRST):
        _task(page, row, task, looks, system)
        money = "" if rate is None else to_hundredth(mean_hours(task.hours) * rate)
        said = f'=IF({_RATE}="","",ROUND((H{row}+I{row}+J{row})/3*{_RATE}+{TIE},2))'
        page.write_formula(row - 1, 10, said, looks["money"], money)
    band, work = works.person_hours, _work(works)
    page.write(row, 1, "All tasks", looks["strong"])
    for letter, total in zip("HIJK", (band.low, band.likely, band.high, work), strict=True):
        total_of = f"=SUM({letter}{FIRST}:{letter}{row})" if works.tasks else "=0"
        page.write_formula(f"{letter}{row + 1}", total_of, looks["total"], total)
    return row + 1


def _task(page: Any, row: int, task: Task, looks: dict[str, Any], system: System) -> None:
    """Amount times hours for one of it; a task without an amount counts as one."""
    at = row - 1
    amount, measure = told_amount(task.quantity, task.measure, system) if task.quantity > 0 else (1.0, "job")
    words = {0: task.id, 1: task.name, 3: measure}
    write_words(page, at, words, looks, _TASK_WIDTHS)
    page.write_number(at, 2, amount, looks["mine"])
    bands = (task.hours.low, task.hours.likely, task.hours.high)
    for column, hours in enumerate(bands):
        page.write_number(at, 4 + column, hours / amount, looks["rate"])
        page.write_formula(at, 7 + column, f"=C{row}*{'EFG'[column]}{row}", looks["money"], hours)


def _price(book: Any, works: Works, job: str, looks: dict[str, Any], rows: tuple[int, int]) -> None:
    """Material from the first page, labour from the second, shares the user can change."""
    last, hours = rows
    page = new_page(book, "Price", (f"Price: {job}", works.price.words), _PRICE, looks, (44, 16, 60))
    price = works.price
    labour = price.hour_money
    material = sum(line.money for line in works.order if line.money is not None)
    work = _work(works)
    direct = material + _deliveries(page, works, looks) + work
    _missing(page, works, last, looks)
    before = to_hundredth(direct * (1 + price.overhead) / (1 - price.profit))
    page.write(3, 0, "Material and loads with a price")
    page.write_formula(3, 1, f"='Order list'!G{last + 1}", looks["money"], material)
    page.write(3, 2, "sum of the order list", looks["remark"])
    page.write(4, 0, "Money for one hour of one person")
    if labour is None:
        page.write_blank(4, 1, None, looks["mine"])
    else:
        page.write_number(4, 1, labour, looks["mine"])
    page.write(4, 2, "empty: labour is not counted", looks["remark"])
    page.write(5, 0, "Labour")
    page.write_formula(5, 1, f"=Hours!K{hours}", looks["money"], work)
    page.write(5, 2, "mean of low, expected and high hours: what such jobs take on average", looks["remark"])
    page.write(7, 0, "Direct cost")
    page.write_formula(7, 1, "=B4+B6+B7", looks["money"], direct)
    for at, (name, share, how) in enumerate((
        ("Overhead, share of the direct cost", price.overhead, "office, vehicles, tools"),
        ("Profit, share of the price", price.profit, "what is left when all is paid"),
        ("Tax, share of the price", price.tax, "as your place asks"),
    ), start=8):  # fmt: skip
        page.write(at, 0, name)
        page.write_number(at, 1, share, looks["share"])
        page.write(at, 2, how, looks["remark"])
    page.write(11, 0, "Price before tax", looks["strong"])
    page.write_formula(11, 1, f"=ROUND(B8*(1+B9)/(1-B10)+{TIE},2)", looks["total"], before)
    page.write(12, 0, "Price with tax", looks["strong"])
    page.write_formula(12, 1, f"=B12+ROUND(B12*B11+{TIE},2)", looks["total"],
                       before + to_hundredth(before * price.tax))  # fmt: skip


def _deliveries(page: Any, works: Works, looks: dict[str, Any]) -> float:
    """Money of the trucks that bring material; an empty cell where they have no price."""
    brought = [one.money for one in works.deliveries if one.name != "soil away"]
    sent = sum(money for money in brought if money is not None)
    page.write(6, 0, "Deliveries")
    if brought and all(money is None for money in brought):
        page.write_blank(6, 1, None, looks["mine"])
    else:
        page.write_number(6, 1, sent, looks["mine"])
    page.write(6, 2, "trucks that bring material; empty: not counted", looks["remark"])
    return sent


def _missing(page: Any, works: Works, last: int, looks: dict[str, Any]) -> None:
    """The line under the title: how many lines have no price, counted anew as prices are filled in."""
    trucks = [one for one in works.deliveries if one.name != "soil away"]
    beside = [said for there, said in ((trucks, "the trucks"), (works.tasks, "the hours")) if there]
    lines = len(works.order) + len(beside)
    if not lines:
        return
    which = f" ({', '.join([f'{len(works.order)} to buy', *beside])})" if beside and works.order else ""
    counts = [f"COUNTBLANK('Order list'!F{FIRST}:F{last})"] if works.order else []
    counts += ['IF(B7="",1,0)'] if trucks else []
    counts += ['IF(B5="",1,0)'] if works.tasks else []
    none = sum(line.unit_price is None for line in works.order)
    none += bool(trucks) and not any(one.money is not None for one in trucks)
    none += bool(works.tasks) and works.price.hour_money is None
    missing, hours = "+".join(counts), f'IF(B5="","; {LABOUR} is not in it","")' if works.tasks else '""'
    word = f"{lines} line{'' if lines == 1 else 's'}"
    formula = f'=IF({missing}=0,"all {word} have a price","no price for "&({missing})&" of {word}{which}")&{hours}'
    value = f"no price for {none} of {word}{which}" if none else f"all {word} have a price"
    value += f"; {LABOUR} is not in it" if works.tasks and works.price.hour_money is None else ""
    page.write_formula(1, 0, formula, looks["note"], value)


def _work(works: Works) -> float:
    """Money of all hours, each task to the hundredth."""
    return sum(to_hundredth(mean_hours(task.hours) * (works.price.hour_money or 0.0)) for task in works.tasks)
