"""When a built wall, drain or planting is due to be looked at again."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Annotated, Literal

from lynchet.core.calculator import calculator, refuse, refuse_if
from lynchet.core.errors import InputError
from lynchet.core.kinds import Count, NotNegative, Positive, Words
from lynchet.works.dates import add_months, on_day, read_date

SLACK = 1e-9
STORM_MM = 50.0
_MONTH_DAY = re.compile(r"([0-9]{2})-([0-9]{2})")


@dataclass(frozen=True)
class Inspected:
    """One thing to look at, by exactly one kind of interval."""

    name: str
    every_days: Annotated[Count | None, Words("interval in days")] = None
    every_months: Annotated[Count | None, Words("interval in months")] = None
    every_years: Annotated[Count | None, Words("interval in years")] = None
    on: list[str] | None = None
    """Days of the year as MM-DD."""
    last_done: str | None = None
    after_storm: bool = False


@dataclass(frozen=True)
class Storm:
    """Rain of one day."""

    date: str
    rain_mm: NotNegative


@dataclass(frozen=True)
class InspectionsDue:
    """Due dates in the order of the items."""

    due: list[str]
    days_left: list[int]
    reason: list[Literal["interval", "storm"]]
    overdue: list[str]
    next: str


def interval_due(item: Inspected, anchor: date, key: str) -> date:
    """The next date by the item's own interval after the anchor.

    Raises:
        InputError: none or several intervals, or a day of the year that is none.
    """
    given = [item.every_days, item.every_months, item.every_years, item.on]
    count = sum(value is not None for value in given)
    refuse_if(count != 1, key, f"{count} kinds of interval", "exactly one of every_days, every_months, every_years, on")
    try:
        if item.every_days is not None:
            return anchor + timedelta(days=item.every_days)
        if item.on is not None:
            return _on_due(item.on, anchor, f"{key}.on")
        return add_months(anchor, item.every_months or 12 * (item.every_years or 0))
    except InputError:
        raise
    except (OverflowError, ValueError):  # a year that dates cannot hold
        raise refuse(key, "the interval leaves the calendar", "a due date before the year 10000") from None


def _on_due(days: Sequence[str], anchor: date, key: str) -> date:
    """First of the days of the year strictly after the anchor; 02-29 counts as 02-28 in other years."""
    refuse_if(not days, key, "an empty list", "days of the year as MM-DD")
    months_days = [_month_day(text, key) for text in days]
    years = (anchor.year, anchor.year + 1)
    return min(day for year in years for day in (on_day(year, m, d) for m, d in months_days) if day > anchor)


def _month_day(text: str, key: str) -> tuple[int, int]:
    found = _MONTH_DAY.fullmatch(text)
    if found:
        try:
            leap = date(2000, int(found[1]), int(found[2]))
        except ValueError:
            pass
        else:
            return leap.month, leap.day
    raise refuse(key, f"{text!r} is no day of the year", "MM-DD")


@calculator(
    source="Month ends as in the dateutil documentation; 50 mm of rain in a day PRACTICE",
    known="SEEN",
    example={"built": "2025-04-01", "as_of": "2026-01-25", "items": [{"name": "outlets", "every_months": 6}]},
)
def inspection_due(
    *,
    built: str,
    as_of: str,
    items: list[Inspected],
    storms: list[Storm] = [],  # noqa: B006 (never changed)
    storm_rain_mm: Positive = STORM_MM,
) -> InspectionsDue:
    """When each part is next to be looked at, and what is overdue.

    Equation: due = last_done, else built, + the interval, months held to the last day of that month; or the first of
    the days of the year strictly after it. The first storm after it brings an item marked
    after_storm to the next day, when that is earlier.

    Symbols: built, as_of, last_done and storm dates as YYYY-MM-DD; on, days of the year as MM-DD; days_left, due less
    as_of, negative when late.

    Limits: a storm counts from storm_rain_mm in a day; later than as_of it does not count.
    """
    start, today = read_date(built, "built"), read_date(as_of, "as_of")
    refuse_if(today < start, "as_of", f"as_of {today} lies before built", f"{start} or later")
    refuse_if(not items, "items", "no items", "one or more")
    wet = sorted(
        day
        for place, storm in enumerate(storms)
        if (day := read_date(storm.date, f"storms[{place}].date")) <= today and storm.rain_mm >= storm_rain_mm - SLACK
    )
    found = [_due(item, f"items[{place}]", (start, today), wet) for place, item in enumerate(items)]
    days = [day for day, _ in found]
    late = sorted((day, place) for place, day in enumerate(days) if day < today)
    return InspectionsDue(
        due=[day.isoformat() for day in days],
        days_left=[(day - today).days for day in days],
        reason=["storm" if by_storm else "interval" for _, by_storm in found],
        overdue=[items[place].name for _, place in late],
        next=items[days.index(min(days))].name,
    )


def _due(item: Inspected, key: str, span: tuple[date, date], wet: Sequence[date]) -> tuple[date, bool]:
    """Due date of one item, and whether a storm set it."""
    built, today = span
    anchor = built if item.last_done is None else read_date(item.last_done, f"{key}.last_done")
    refuse_if(
        not built <= anchor <= today, f"{key}.last_done", f"last_done {anchor} outside the time from built to as_of",
        f"{built} to {today}",
    )  # fmt: skip
    due = interval_due(item, anchor, key)
    storm = next((day for day in wet if day > anchor), None) if item.after_storm else None
    if storm is not None and storm + timedelta(days=1) < due:
        return storm + timedelta(days=1), True
    return due, False
