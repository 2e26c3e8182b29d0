"""Lean of a wall from a plumb line, and whether it moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import atan, ceil, degrees
from typing import Any, Literal

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.works.dates import read_date
from lynchet.works.line_deviation import least_squares_line

SLACK = 1e-9
SLACK_MM = 1e-6
DAYS_PER_YEAR = 365.25
NOISE_MM = 3.0


@dataclass(frozen=True)
class PlumbReading:
    """Distance from a plumb line hung in front of the wall to its face."""

    height_m: float
    distance_mm: float


@dataclass(frozen=True)
class Movement:
    """Movement of the top against the base toward the low side."""

    earlier_lean_mm_per_m: float
    outward_mm: float
    days: int
    rate_mm_per_year: float
    movement: Literal["steady", "outward", "inward"]
    reached: bool | None = None
    limit_date: str | None = None


@dataclass(frozen=True)
class WallLean:
    """Lean of a wall, + back into the hill."""

    lean_mm_per_m: float
    lean_deg: float
    top_back_mm: float
    error_mm_per_m: float
    overhanging: bool
    one_in: float | None = None
    verdict: Literal["ok", "out"] | None = None
    earlier_lean_mm_per_m: float | None = None
    outward_mm: float | None = None
    days: int | None = None
    rate_mm_per_year: float | None = None
    movement: Literal["steady", "outward", "inward"] | None = None
    reached: bool | None = None
    limit_date: str | None = None


def _lean(readings: Sequence[PlumbReading], key: str) -> float:
    heights = [reading.height_m for reading in readings]
    refuse_if(len(set(heights)) < 2, key, "fewer than two different heights: height", "two heights at least")
    return least_squares_line(heights, [reading.distance_mm for reading in readings])[0]


def movement_between(
    leans: tuple[float, float], dates: tuple[date, date], height_m: float, noise_mm: float, limit_mm: float | None
) -> Movement:
    """What two leans, earlier and now, say of movement (kernel).

    Args:
        leans: earlier and present lean, mm per m.
        dates: their dates, in order.
        height_m: of the wall.
        noise_mm: movement that the readings cannot tell from none.
        limit_mm: movement at which something must be done, or None.
    """
    outward, days = (leans[0] - leans[1]) * height_m, (dates[1] - dates[0]).days
    movement: Literal["steady", "outward", "inward"] = "steady"
    if abs(outward) > noise_mm + SLACK_MM:
        movement = "outward" if outward > 0 else "inward"
    reached = None if limit_mm is None else outward >= limit_mm - SLACK_MM
    when = None
    if limit_mm is not None and movement == "outward" and not reached:
        try:
            when = dates[1] + timedelta(days=ceil((limit_mm - outward) / (outward / days) - 1e-6))
        except OverflowError:  # later than dates go
            when = None
    return Movement(
        leans[0], outward, days, outward / days * DAYS_PER_YEAR, movement, reached, when.isoformat() if when else None
    )


def _lean_steps(given: Mapping[str, Any], result: WallLean) -> list[Step]:
    steps = [
        Step("lean, + into the hill", "slope of distance on height", result.lean_mm_per_m, "mm_per_m"),
        Step("top back of the base", f"lean x {given['wall_height_m']:g}", result.top_back_mm, "mm"),
        Step("error", f"lean - planned {given.get('planned_lean_mm_per_m', 0.0):g}", result.error_mm_per_m, "mm_per_m"),
    ]
    if result.outward_mm is not None and result.rate_mm_per_year is not None:
        how = f"(earlier lean {result.earlier_lean_mm_per_m:.4g} - lean) x height"
        steps.append(Step("moved outward", how, result.outward_mm, "mm"))
        steps.append(Step("rate", f"over {result.days} days", result.rate_mm_per_year, "mm_per_year"))
    return steps


@calculator(
    source="Own arithmetic (least squares on plumb readings); limits PRACTICE",
    known="DERIVED",
    example={
        "readings": [{"height_m": 0, "distance_mm": 200}, {"height_m": 1, "distance_mm": 278}],
        "wall_height_m": 1.2, "planned_lean_mm_per_m": 83, "tolerance_mm_per_m": 10,
    },
    working=_lean_steps,
    caution="A wall that leans outward or keeps moving may fall: keep people away from its foot and ask an engineer. "
    "Sliding of the whole wall does not show here.",
)  # fmt: skip
def wall_lean(
    *,
    readings: list[PlumbReading],
    wall_height_m: Positive,
    planned_lean_mm_per_m: float = 0.0,
    tolerance_mm_per_m: Positive | None = None,
    earlier_readings: list[PlumbReading] | None = None,
    earlier_date: str | None = None,
    date: str | None = None,
    noise_mm: NotNegative = NOISE_MM,
    movement_limit_mm: Positive | None = None,
) -> WallLean:
    """Lean of a wall, and whether its top has moved since an earlier reading.

    Equation: lean = least-squares slope of distance on height; top back = lean x wall height; outward = (earlier lean -
    lean) x wall height; rate = outward/days x 365.25.

    Symbols: height_m on the wall; distance_mm from a plumb line hung in front of it to the face; lean + back into the
    hill; noise_mm, movement that counts as none; limit_date, when the limit would be reached at this rate.

    Limits: two different heights at least. A sliding of the whole wall does not show here.
    """
    lean = _lean(readings, "readings")
    moved = _movement(lean, earlier_readings, (earlier_date, date), (wall_height_m, noise_mm, movement_limit_mm))
    error = lean - planned_lean_mm_per_m
    verdict: Literal["ok", "out"] | None = None
    if tolerance_mm_per_m is not None:
        verdict = "ok" if abs(error) <= tolerance_mm_per_m + SLACK_MM else "out"
    return WallLean(
        lean_mm_per_m=lean,
        lean_deg=degrees(atan(lean / 1000.0)),
        top_back_mm=lean * wall_height_m,
        error_mm_per_m=error,
        overhanging=lean < -SLACK,
        one_in=1000.0 / lean if lean > SLACK else None,
        verdict=verdict,
        **(vars(moved) if moved is not None else {}),
    )


def _movement(
    lean: float,
    earlier: list[PlumbReading] | None,
    dates: tuple[str | None, str | None],
    limits: tuple[float, float, float | None],
) -> Movement | None:
    first, second = dates
    if earlier is None:
        refuse_if(
            first is not None or second is not None, "earlier_readings", "a date without earlier readings",
            "the earlier readings beside it",
        )  # fmt: skip
        return None
    if first is None or second is None:
        raise refuse("earlier_date and date", "a date missing beside the earlier readings", "both, as YYYY-MM-DD")
    days = (read_date(first, "earlier_date"), read_date(second, "date"))
    refuse_if(days[1] <= days[0], "date", f"the date {days[1]} is not after the earlier one", f"later than {days[0]}")
    height, noise, limit = limits
    return movement_between((_lean(earlier, "earlier_readings"), lean), days, height, noise, limit)
