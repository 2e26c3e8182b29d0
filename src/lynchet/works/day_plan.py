"""Steps of work laid into days that end safe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from annotated_types import Len

from lynchet.core.calculator import calculator, refuse
from lynchet.core.kinds import NotNegative, Positive, Words

SLACK = 1e-9


@dataclass(frozen=True)
class WorkStep:
    """One step, in order."""

    name: str
    crew_h: Annotated[NotNegative, Words("hours of the whole crew")]
    safe_end: bool = True
    """The work may be left so overnight."""


@dataclass(frozen=True)
class DayPlan:
    """Steps by day."""

    days: int
    day_of: list[int]
    used_h: list[float]
    idle_h: list[float]
    last_of_day: list[str]


def day_ends(hours: Sequence[float], safe: Sequence[bool], day_h: float) -> list[int] | None:
    """Last step of each day (kernel): the most steps that fit and end in a safe one; None where none can be reached."""
    ends: list[int] = []
    first = 0
    while first < len(hours):
        used, end = 0.0, -1
        for place in range(first, len(hours)):
            used += hours[place]
            if used > day_h + SLACK:
                break
            if safe[place]:
                end = place
        if end < 0:
            return None
        ends.append(end)
        first = end + 1
    return ends


@calculator(
    source="Greedy filling of days, which needs the fewest",
    known="DERIVED",
    example={
        "steps": [
            {"name": "trench", "crew_h": 3, "safe_end": False},
            {"name": "base", "crew_h": 3},
            {"name": "first course", "crew_h": 3},
        ],
        "day_h": 8,
    },
    caution="An open trench or bank left overnight can fall in or be fallen into: end each day where the plan says.",
)
def day_plan(*, steps: Annotated[list[WorkStep], Len(1)], day_h: Positive) -> DayPlan:
    """Which steps of work go into which day, so that every day ends safe.

    Equation: each day takes the most steps that fit and end in a safe one; no plan needs fewer days.

    Symbols: crew_h, hours of the whole crew; safe_end, the work may be left so overnight; day_h, hours of a day.

    Limits: steps are kept in order and not split; the last step must be safe.
    """
    hours, safe = [step.crew_h for step in steps], [step.safe_end for step in steps]
    if not safe[-1]:
        raise refuse(f"steps[{len(steps) - 1}]", f"the last step, {steps[-1].name!r}, is not safe", "a safe last step")
    ends = day_ends(hours, safe, day_h)
    if ends is None:
        raise refuse("steps", f"no safe end can be reached within a day of {day_h:g} h", "shorter steps, or a safe end")
    firsts = [0, *(end + 1 for end in ends[:-1])]
    used = [sum(hours[first : end + 1]) for first, end in zip(firsts, ends, strict=True)]
    return DayPlan(
        days=len(ends),
        day_of=[
            day + 1 for day, (first, end) in enumerate(zip(firsts, ends, strict=True)) for _ in range(first, end + 1)
        ],
        used_h=used,
        idle_h=[day_h - hour for hour in used],
        last_of_day=[steps[end].name for end in ends],
    )
