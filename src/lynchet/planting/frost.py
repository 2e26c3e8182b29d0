"""Frost dates: reading a station's table of freeze probabilities both ways."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date as calendar
from itertools import pairwise
from math import ceil, floor
from typing import Annotated, Any, Literal

from annotated_types import Ge, Le, Len

from lynchet.core.calculator import Step, calculator, refuse, refuse_if

Season = Literal["spring", "autumn"]
Percent = Annotated[float, Ge(0), Le(100)]
SLACK = 1e-9
SAME_THRESHOLD_C = 0.005 + SLACK
_YEAR = 365


@dataclass(frozen=True)
class FrostRow:
    """Dates of one threshold, one for each probability."""

    threshold_c: float
    dates: list[str]


@dataclass(frozen=True)
class FrostDate:
    """A date for a risk, or a risk for a date."""

    date: str | None = None
    risk_pct: float | None = None


def day_number(text: str, season: Season, key: str) -> int:
    """Day of a year of 365 days written MM-DD; spring takes July on as the year before, autumn June back as after."""
    wanted = "MM-DD, a day that every year has"
    if re.fullmatch(r"\d{2}-\d{2}", text, re.ASCII) is None:
        raise refuse(key, f"date {text!r} found", wanted)
    month, day = int(text[:2]), int(text[3:])
    try:
        number = calendar(2001, month, day).timetuple().tm_yday  # 2001 has no 29 February
    except ValueError:
        raise refuse(key, f"date {text!r} found", wanted) from None
    if season == "spring":
        return number - _YEAR if month >= 7 else number
    return number + _YEAR if month <= 6 else number


def day_text(number: int) -> str:
    """MM-DD of a day number."""
    day = calendar.fromordinal(calendar(2001, 1, 1).toordinal() + (number - 1) % _YEAR)
    return f"{day.month:02d}-{day.day:02d}"


def day_of_risk(probability_pct: Sequence[float], days: Sequence[int], risk_pct: float) -> float | None:
    """Day, not whole, for a risk by straight lines between the columns; None beyond them."""
    for probability, day in zip(probability_pct, days, strict=True):
        if abs(probability - risk_pct) <= SLACK:
            return float(day)
    for (p0, p1), (d0, d1) in zip(pairwise(probability_pct), pairwise(days), strict=True):
        if p0 < risk_pct < p1:
            return d0 + (d1 - d0) * (risk_pct - p0) / (p1 - p0)
    return None


def risk_of_day(probability_pct: Sequence[float], days: Sequence[int], day: int) -> float | None:
    """Risk for a day, the larger one on a run of equal dates; None beyond the columns."""
    equal = [probability for probability, other in zip(probability_pct, days, strict=True) if other == day]
    if equal:
        return equal[-1]
    for (p0, p1), (d0, d1) in zip(pairwise(probability_pct), pairwise(days), strict=True):
        if min(d0, d1) < day < max(d0, d1):
            return p0 + (p1 - p0) * (day - d0) / (d1 - d0)
    return None


def _frost_steps(given: Mapping[str, Any], result: FrostDate) -> list[Step]:
    safe = "later" if given["season"] == "spring" else "earlier"
    if result.date is not None:
        how = f"{given['risk_pct']:g} % read between the columns, to the {safe} whole day"
        return [Step("date", how, result.date)]
    return [Step("risk", f"{given['date']} read between the columns", result.risk_pct or 0.0, "pct")]


@calculator(
    source="NCEI freeze probability tables, definition as explained by the Minnesota DNR",
    known="SEEN",
    example={
        "season": "spring",
        "threshold_c": 0.0,
        "risk_pct": 20,
        "probability_pct": [10, 50, 90],
        "dates_by_threshold": [{"threshold_c": 0.0, "dates": ["05-10", "04-24", "04-07"]}],
    },
    working=_frost_steps,
)
def frost_date(
    *,
    season: Season,
    probability_pct: Annotated[list[Percent], Len(1)],
    dates_by_threshold: Annotated[list[FrostRow], Len(1)],
    threshold_c: float,
    risk_pct: float | None = None,
    date: str | None = None,
) -> FrostDate:
    """Date of the last or first frost for a risk, or the risk left at a date.

    Equation: straight lines between the columns in days of a year of 365; a date is taken to the safe side, later in
    spring, earlier in autumn.

    Symbols: spring, the p % date is the one after which that temperature comes in p % of years; autumn, before which it
    comes in p % of years; threshold_c, the temperature of the row.

    Limits: no reading beyond the columns, none between thresholds (0.005 C). Every row is checked. 29 February is
    refused. Equal neighbours are allowed; a date on them has the larger risk.
    """
    rising = all(before < after for before, after in pairwise(probability_pct))
    refuse_if(not rising, "probability_pct", "order not rising", "rising probabilities")
    every = [_checked_row(row, number, season, len(probability_pct)) for number, row in enumerate(dates_by_threshold)]
    both = (risk_pct is not None) + (date is not None)
    refuse_if(both != 1, "risk_pct or date", "both found" if both else "neither found", "a risk or a date, one of them")
    near = SAME_THRESHOLD_C
    rows = [number for number, row in enumerate(dates_by_threshold) if abs(row.threshold_c - threshold_c) <= near]
    found = f"threshold {threshold_c:g} stands in {len(rows)} rows"
    refuse_if(len(rows) != 1, "threshold_c", found, "a threshold of exactly one row")
    days = every[rows[0]]
    if risk_pct is not None:
        day = day_of_risk(probability_pct, days, risk_pct)
        if day is None:
            beyond = f"{probability_pct[0]:g} to {probability_pct[-1]:g}, as in the table"
            raise refuse("risk_pct", f"risk {risk_pct:g} found", beyond)
        return FrostDate(date=day_text(ceil(day - SLACK) if season == "spring" else floor(day + SLACK)))
    risk = risk_of_day(probability_pct, days, day_number(date or "", season, "date"))
    if risk is None:
        accepted = f"{day_text(min(days))} to {day_text(max(days))}, as in the table"
        raise refuse("date", f"date {date!r} found", accepted)
    return FrostDate(risk_pct=risk)


def _checked_row(row: FrostRow, number: int, season: Season, count: int) -> list[int]:
    """Day numbers of a row, in the order of the season."""
    where = f"dates_by_threshold[{number}].dates"
    refuse_if(len(row.dates) != count, where, f"{len(row.dates)} dates found", f"{count}, one for each probability")
    days = [day_number(text, season, where) for text in row.dates]
    sign = -1 if season == "spring" else 1
    wrong = any(sign * (after - before) < 0 for before, after in pairwise(days))
    way = "earlier" if season == "spring" else "later"
    refuse_if(wrong, where, "order of the dates runs the wrong way", f"dates that get {way} as the risk grows")
    return days
