"""Working days: which days are worked, and counting them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Annotated, Literal

from annotated_types import Ge, Len

from lynchet.core.calculator import calculator, refuse, refuse_if
from lynchet.core.kinds import ByValue, Whole
from lynchet.works.dates import WEEKDAYS, read_date

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class WorkingDays:
    """What was asked of a calendar."""

    first_day: str
    finish: str | None = None
    date: str | None = None
    weekday: str | None = None
    working_days: int | None = None
    calendar_days: int | None = None


@dataclass(frozen=True)
class Calendar:
    """A day is worked when it is an extra day, or a work day and no holiday."""

    weekdays: frozenset[int]
    holidays: frozenset[date]
    extra: frozenset[date]

    def worked(self, day: date) -> bool:
        """Whether a day is worked."""
        return day in self.extra or (day.weekday() in self.weekdays and day not in self.holidays)

    def step(self, day: date, count: int) -> date:
        """The count-th working day after a day (before it where the count is negative), the day itself not counted."""
        move = ONE_DAY if count > 0 else -ONE_DAY
        left = abs(count)
        while left:
            day += move
            left -= self.worked(day)
        return day

    def first(self, day: date) -> date:
        """First working day on or after a day."""
        return day if self.worked(day) else self.step(day, 1)

    def count(self, start: date, finish: date) -> int:
        """Working days from start to finish, both counted."""
        days = (finish - start).days
        return sum(self.worked(start + timedelta(days=number)) for number in range(days + 1))


@calculator(
    source="Working-day functions as documented by LibreOffice (WORKDAY) and NumPy (busday_offset)",
    known="SEEN",
    example={"start": "2026-04-02", "duration_day": 6, "holidays": ["2026-04-03", "2026-04-06"]},
)
def working_calendar(
    *,
    start: str,
    work_days: Annotated[list[Weekday], Len(1)] = ["mon", "tue", "wed", "thu", "fri"],  # noqa: B006 (never changed)
    holidays: list[str] = [],  # noqa: B006
    extra_days: list[str] = [],  # noqa: B006
    duration_day: Annotated[int, ByValue(), Ge(0)] | None = None,
    finish: str | None = None,
    shift_day: Whole | None = None,
) -> WorkingDays:
    """Working days: when a job ends, how many there are, or the day some days off.

    Equation: a day is worked when it is an extra day, or a work day and no holiday. With duration n the finish is the
    n-th working day, the first counted as 1; with shift k the k-th after (negative: before) start, start not counted.

    Symbols: start, finish, holidays, extra_days as YYYY-MM-DD; extra_days are worked although not a work day;
    calendar_days count both ends.

    Limits: exactly one of duration_day, finish and shift_day. A duration of 0 is a milestone on the first day; a shift
    of 0 gives the first day.
    """
    asked = sum(value is not None for value in (duration_day, finish, shift_day))
    refuse_if(
        asked != 1, "duration_day, finish, shift_day", f"{asked} of the three given: give one", "exactly one of them"
    )
    begin = read_date(start, "start")
    calendar = Calendar(
        frozenset(WEEKDAYS.index(day) for day in work_days),
        frozenset(read_date(day, f"holidays[{place}]") for place, day in enumerate(holidays)),
        frozenset(read_date(day, f"extra_days[{place}]") for place, day in enumerate(extra_days)),
    )
    both = sorted(calendar.holidays & calendar.extra)
    refuse_if(
        bool(both), "holidays", f"{both[0] if both else ''} is among the holidays and the extra days", "one of them"
    )
    try:
        return _asked(calendar, begin, duration_day, finish, shift_day)
    except OverflowError:
        raise refuse("start", "the count leaves the calendar", "a date between the years 1 and 9999") from None


def _asked(calendar: Calendar, begin: date, duration: int | None, finish: str | None, shift: int | None) -> WorkingDays:
    first = calendar.first(begin)
    if duration is not None:
        end = calendar.step(first, max(duration - 1, 0))
        return WorkingDays(
            first.isoformat(), finish=end.isoformat(), weekday=WEEKDAYS[end.weekday()],
            calendar_days=(end - first).days + 1,
        )  # fmt: skip
    if shift is not None:
        day = calendar.step(begin, shift) if shift else first
        return WorkingDays(first.isoformat(), date=day.isoformat(), weekday=WEEKDAYS[day.weekday()])
    end = read_date(finish or "", "finish")
    refuse_if(end < begin, "finish", f"the finish {end} lies before the start", f"{begin} or later")
    return WorkingDays(first.isoformat(), working_days=calendar.count(begin, end), calendar_days=(end - begin).days + 1)
