"""Dates as text YYYY-MM-DD."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date

from lynchet.core.calculator import refuse

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_FORM = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def read_date(text: str, key: str) -> date:
    """A date in just the form YYYY-MM-DD.

    Raises:
        InputError: another form, or a day that does not exist.
    """
    try:
        if _FORM.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise refuse(key, f"{text!r} is no date", "a date as YYYY-MM-DD")


FIRST_DAY, LAST_DAY = date(1900, 1, 1), date(2999, 12, 31)
"""Days that a job may have; nothing counted from them leaves the calendar."""


def read_day(text: str, key: str) -> date:
    """A date that may be one of a job.

    Raises:
        InputError: no date, or one before 1900 or after 2999.
    """
    day = read_date(text, key)
    if not FIRST_DAY <= day <= LAST_DAY:
        raise refuse(key, f"{text} found", f"a day from {FIRST_DAY} to {LAST_DAY}")
    return day


def add_months(start: date, months: int) -> date:
    """The same day some months later, held to the last day of that month."""
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    return on_day(year, month + 1, start.day)


def on_day(year: int, month: int, day: int) -> date:
    """A day of a month, held to the last day of that month."""
    return date(year, month, min(day, monthrange(year, month)[1]))
