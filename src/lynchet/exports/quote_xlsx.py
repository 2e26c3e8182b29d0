"""The quote as a spreadsheet: change a rate, an amount, an hour or a share, and cost, price and payments follow.

Yellow cells are for the user. Every formula also carries the value it has now. The sums are rounded to hundredths where
the quote rounds them, so that the spreadsheet and both copies show the same money to the last hundredth.
"""

from __future__ import annotations

from datetime import datetime
from io import BytesIO
from typing import Any

from lynchet.exports.quote_price_page import HOUR, TIE, Rows, price_page
from lynchet.exports.xlsx_pages import FIRST, amount_look, looks_of, new_page, write_words
from lynchet.plan.model import Plan
from lynchet.quotes.costs import MADE_UP
from lynchet.quotes.model import CostLine, HourLine, Quote
from lynchet.quotes.own_copy import KINDS

_MADE = datetime(2000, 1, 1)
"""Written as the day it was made, so that one plan gives one file, byte for byte."""
_COST = ("Kind", "What", "Amount", "Sold by", "Each", "Money", "Part")
_TASKS = ("Task", "Amount", "Measured in", "Hours for one, low", "Hours for one, expected", "Hours for one, high",
          "Low", "Expected", "High", "Charged", "Money", "Part")  # fmt: skip
_COST_WIDTHS = (18, 58, 12, 14, 12, 14, 10)
_TASK_WIDTHS = (58, 11, 13, 11, 13, 11, 9, 12, 9, 11, 12, 10)
_PART_WIDTHS = (44, 10, 16, 16)
_NAMES = dict(KINDS)


def quote_xlsx(plan: Plan, quote: Quote) -> bytes:
    """The spreadsheet: price, cost lines, hours, the client's parts, payments, unit prices.

    Args:
        plan: what is offered.
        quote: its quote.
    """
    import xlsxwriter

    stream = BytesIO()
    job = plan.project.name
    with xlsxwriter.Workbook(stream, {"in_memory": True}) as book:
        book.set_properties({"title": f"Quote: {job}", "comments": "Your own copy. Yellow cells are for you to change.",
                             "created": _MADE})  # fmt: skip
        looks = looks_of(book)
        said = quote.missing.words
        title = f"NOT COMPLETE: {said}" if said else "Your own copy, not for the client. Yellow cells are yours."
        heads = ("What", "Money, number or share", "How it is found")
        page = new_page(book, "Price", (f"Quote: {job}", title), heads, looks, (44, 18, 62))
        rows = Rows(_cost(book, quote, job, looks), *_hours(book, plan, quote, (job, looks)))
        at = price_page(page, plan, quote, (rows, looks))
        _parts(book, quote, job, (looks, at, rows))
        _payments(book, quote, job, (looks, at))
        _units(book, quote, job, (looks, at))
    return stream.getvalue()


def _cost(book: Any, quote: Quote, job: str, looks: dict[str, Any]) -> int:
    """Everything but hours; gives the last row."""
    money = quote.currency or "your own currency"
    said = f"Yellow cells are yours. Money in {money}; an empty price is counted on the first page."
    page = new_page(book, "Cost lines", (f"Cost: {job}", said), _COST, looks, _COST_WIDTHS)
    row = FIRST
    for row, line in enumerate((one for one in quote.lines if one.kind != "labour"), start=FIRST):
        _cost_row(page, row, line, looks)
    return row


def _cost_row(page: Any, row: int, line: CostLine, looks: dict[str, Any]) -> None:
    at = row - 1
    words = {0: _NAMES[line.kind], 1: line.name, 3: line.unit, 6: line.part}
    write_words(page, at, words, looks, _COST_WIDTHS)
    page.write_number(at, 2, line.quantity, amount_look(line.quantity, looks))
    if line.rate is None:
        page.write_blank(at, 4, None, looks["mine"])
    else:
        page.write_number(at, 4, line.rate, looks["mine"])
    value = "" if line.cents is None else line.cents / 100
    page.write_formula(at, 5, f'=IF(E{row}="","",ROUND(C{row}*E{row}+{TIE},2))', looks["money"], value)


def _hours(book: Any, plan: Plan, quote: Quote, named: tuple[str, dict[str, Any]]) -> tuple[int, int]:
    """Hours of every task and what makes them up to whole days; gives the last task's row and the last row."""
    job, looks = named
    said = "Hours of one person. Charged is the mean of low, expected and high: what such work takes on average."
    page = new_page(book, "Hours", (f"Hours: {job}", said), _TASKS, looks, _TASK_WIDTHS)
    work = [line for line in quote.lines if line.kind == "labour"]
    last = FIRST - 1
    for last, (line, hours) in enumerate(zip(work, quote.hours, strict=False), start=FIRST):
        _hours_row(page, last, (line, hours), looks)
    made_up = next((line for line in work if line.key == MADE_UP), None)
    words = {0: "made up to whole crew days, or to the fewest that are charged", 11: "ready"}
    write_words(page, last, words, looks, _TASK_WIDTHS)
    day = f"(Price!{HOUR['crew']}*Price!{HOUR['day']})"
    worked = f"SUM(J{FIRST}:J{last})"
    least = f"MAX({worked}/{day},Price!{HOUR['least']})"
    step = f"Price!{HOUR['step']}"
    billed = f'IF({step}="",{least},ROUNDUP(ROUND({least}/{step},9),0)*{step})'
    page.write_formula(last, 9, f"=IF({worked}>0,{billed}*{day}-{worked},0)", looks["money"],
                       0.0 if made_up is None else made_up.quantity)  # fmt: skip
    _money_of_hours(page, last + 1, 0 if made_up is None else made_up.cents, looks)
    return last, last + 1


def _hours_row(page: Any, row: int, found: tuple[CostLine, HourLine], looks: dict[str, Any]) -> None:
    line, hours = found
    at, amount = row - 1, hours.quantity if hours.quantity > 0 else 1.0
    words = {0: hours.name, 2: hours.measure if hours.quantity > 0 else "job", 11: line.part}
    write_words(page, at, words, looks, _TASK_WIDTHS)
    page.write_number(at, 1, amount, looks["mine"])
    for column, one in enumerate((hours.low, hours.likely, hours.high)):
        page.write_number(at, 3 + column, one / amount, looks["rate"])
        page.write_formula(at, 6 + column, f"=B{row}*{'DEF'[column]}{row}", looks["money"], one)
    page.write_formula(at, 9, f"=(G{row}+H{row}+I{row})/3", looks["money"], hours.charged)
    _money_of_hours(page, row, line.cents, looks)


def _money_of_hours(page: Any, row: int, cents: int | None, looks: dict[str, Any]) -> None:
    rate = f"Price!{HOUR['rate']}"
    value = "" if cents is None else cents / 100
    page.write_formula(row - 1, 10, f'=IF({rate}="","",ROUND(J{row}*{rate}+{TIE},2))', looks["money"], value)


def _parts(book: Any, quote: Quote, job: str, given: tuple[dict[str, Any], dict[str, str], Rows]) -> None:
    """The price shared out over the parts: sums from the first part on are rounded, so that they make the price."""
    looks, at, rows = given
    said = "The client reads the last column. A part's share of the price is its share of the direct cost."
    heads = ("Part", "Key", "Direct cost", "On the client's copy")
    page = new_page(book, "Parts", (f"Parts: {job}", said), heads, looks, _PART_WIDTHS)
    last = FIRST
    for last, part in enumerate(quote.parts, start=FIRST):
        direct = sum(line.cents or 0 for line in quote.lines if line.part == part.part) / 100
        write_words(page, last - 1, {0: part.name, 1: part.part}, looks, _PART_WIDTHS)
        page.write_formula(last - 1, 2, f"={rows.of_part(f'B{last}')}", looks["money"], direct)
        share = f"ROUND(Price!{at['price']}*SUM(C${FIRST}:C{last})/Price!{at['direct']}+{TIE},2)"
        above = f"-SUM(D${FIRST}:D{last - 1})" if last > FIRST else ""
        first = f"Price!{at['price']}" if last == FIRST else "0"
        page.write_formula(last - 1, 3, f"=IF(Price!{at['direct']}>0,{share}{above},{first})", looks["money"],
                           part.cents / 100)  # fmt: skip
    page.write(last, 0, "Together", looks["strong"])
    for letter, value in (("C", quote.sums.direct), ("D", quote.sums.price)):
        page.write_formula(f"{letter}{last + 1}", f"=SUM({letter}{FIRST}:{letter}{last})", looks["total"], value / 100)


def _payments(book: Any, quote: Quote, job: str, given: tuple[dict[str, Any], dict[str, str]]) -> None:
    """Each but the last cut down to hundredths, the last the rest."""
    looks, at = given
    if not quote.payments:
        return
    said, heads = "Shares must make 100 %.", ("When", "Share", "Money")
    page = new_page(book, "Payments", (f"Payments: {job}", said), heads, looks, (44, 12, 16, 30))
    end = FIRST + len(quote.payments) - 1
    for row, one in enumerate(quote.payments, start=FIRST):
        write_words(page, row - 1, {0: one.name}, looks, _PART_WIDTHS)
        page.write_number(row - 1, 1, one.share, looks["share"])
        cut = f"=ROUNDDOWN(Price!{at['total']}*B{row}+0.000000001,2)"
        rest = f"=Price!{at['total']}" + (f"-SUM(C{FIRST}:C{row - 1})" if row > FIRST else "")
        page.write_formula(row - 1, 2, rest if row == end else cut, looks["money"], one.cents / 100)
    page.write(end, 0, "Together", looks["strong"])
    page.write_formula(end, 1, f"=SUM(B{FIRST}:B{end})", looks["total_share"], sum(one.share for one in quote.payments))
    page.write_formula(end, 2, f"=SUM(C{FIRST}:C{end})", looks["total"], quote.sums.total / 100)
    page.write_formula(end, 3, f'=IF(ABS(B{end + 1}-1)<0.000001,"","the shares do not make 100 %")', looks["note"], "")


def _units(book: Any, quote: Quote, job: str, given: tuple[dict[str, Any], dict[str, str]]) -> None:
    """Agreed unit prices: cost with overhead and profit laid on, or a price as it was written."""
    looks, at = given
    if not quote.allowances:
        return
    said = "Paid only where it is met. A cost of yours carries the overhead and profit of the first page."
    heads = ("If met", "For each", "Costs you", "Client pays")
    page = new_page(book, "If met", (f"Agreed unit prices: {job}", said), heads, looks, (44, 10, 14, 16))
    for row, one in enumerate(quote.allowances, start=FIRST):
        write_words(page, row - 1, {0: one.name, 1: one.unit}, looks, _PART_WIDTHS)
        value = "" if one.price_cents is None else one.price_cents / 100
        if one.cost_money is not None:
            page.write_number(row - 1, 2, one.cost_money, looks["mine"])
            laid = f"=ROUND(C{row}*(1+Price!{at['overhead share']})/(1-Price!{at['profit share']})+{TIE},2)"
            page.write_formula(row - 1, 3, laid, looks["money"], value)
        elif one.price_cents is not None:
            page.write_number(row - 1, 3, value, looks["mine"])
        else:
            page.write_blank(row - 1, 3, None, looks["mine"])
