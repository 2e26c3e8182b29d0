"""The page of days in the spreadsheet: what is done on which day, how it must end."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from lynchet.book.day_lines import day_lines
from lynchet.book.texts import Words
from lynchet.exports.xlsx_pages import FIRST, new_page, write_words
from lynchet.units.measures import System
from lynchet.works.model import Works

_HEADS = ("Day", "Date", "What is done", "Hours used", "Look before going on", "How the place is left")
_WIDTHS = (7, 18, 60, 10, 44, 44)


def days_page(book: Any, works: Works, job: str, looks: dict[str, Any], system: System = "metric") -> None:
    """One row a day, each task of a day once; dates are real dates where the file names a start."""
    plan, words = works.programme, Words(unwalled=not any(task.legs for task in works.tasks))
    crew = "one person" if plan.crew == 1 else f"{plan.crew} people"
    said = f"{crew}, {plan.day_h:g} hours a day; {plan.days_low} to {plan.days_high} days as hours go."
    page = new_page(book, "Days", (f"Days: {job}", said), _HEADS, looks, _WIDTHS)
    for at, day in enumerate(works.days, start=FIRST - 1):
        lines = day_lines(works, day, words, system)
        page.write_number(at, 0, day.number, looks["count"])
        if day.date:
            page.write_datetime(at, 1, datetime.strptime(day.date, "%Y-%m-%d"), looks["date"])
        told = {2: "; ".join(lines.done), 4: " ".join(lines.looks), 5: "; ".join(lines.evening)}
        write_words(page, at, told, looks, _WIDTHS)
        page.write_number(at, 3, day.used_h, looks["amount"])
