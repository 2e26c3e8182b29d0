"""Hours of work for a list of tasks, with crews, hard ground and learning."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, log
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le, Len

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Count, NotNegative, Positive, Words

SLACK = 1e-9
SHIFT_H = 8.0


@dataclass(frozen=True)
class HourTask:
    """One task; the rate is that of one person."""

    name: str
    quantity: NotNegative
    hours_per_unit: Annotated[Positive | None, Words("rate, hours per unit")] = None
    units_per_hour: Annotated[Positive | None, Words("rate, units per hour")] = None
    difficulty: Positive = 1.0
    crew: Count = 1
    repeats: Count = 1
    learning_pct: Annotated[float, Ge(50), Le(100)] = 100.0
    learning_form: Literal["unit", "average"] = "unit"


@dataclass(frozen=True)
class TaskHours:
    """Hours by task, in the order of the list, and in all."""

    person_h: list[float]
    crew_h: list[float]
    crew_day: list[float]
    last_person_h: list[float]
    total_person_h: float
    total_crew_day: float
    billed_day: float | None = None


def learned_hours(base_h: float, repeats: int, learning_pct: float, form: str) -> tuple[float, float]:
    """Hours of all repeats and of the last one.

    Args:
        base_h: hours of the first.
        repeats: how many.
        learning_pct: percent of the hours that remain at each doubling, 100 for none.
        form: "unit" where the hours of the doubled unit fall, "average" where the average of all does.
    """
    slope = log(learning_pct / 100.0) / log(2.0)
    if form == "unit":
        powers = np.arange(1, repeats + 1, dtype=float) ** slope
        return base_h * float(powers.sum()), base_h * float(powers[-1])
    total = base_h * repeats ** (1.0 + slope)
    before = base_h * (repeats - 1) ** (1.0 + slope) if repeats > 1 else 0.0
    return total, total - before


def billed_days(days: float, step_day: float | None, minimum_day: float) -> float:
    """Days to bill: at least the minimum, raised to whole steps; none where there is no work."""
    if days <= 0:
        return 0.0
    least = max(days, minimum_day)
    return least if step_day is None else ceil(least / step_day - SLACK) * step_day


def _hours_steps(given: Mapping[str, Any], result: TaskHours) -> list[Step]:
    steps = [
        Step(f"{task.name}: person hours", _how(task, given.get("efficiency", 1.0)), hours, "h")
        for task, hours in zip(given["tasks"], result.person_h, strict=True)
    ]
    steps.append(Step("crew days, one task after another", "hours/crew/shift", result.total_crew_day, "day"))
    if result.billed_day is not None:
        steps.append(Step("billed", "at least the minimum, in whole steps", result.billed_day, "day"))
    return steps


def _how(task: HourTask, efficiency: float) -> str:
    rate = f"x {task.hours_per_unit:g}" if task.hours_per_unit is not None else f"/{task.units_per_hour:g}"
    more = f" over {task.repeats} repeats at {task.learning_pct:g} percent" if task.repeats > 1 else ""
    return f"{task.quantity:g} {rate} x {task.difficulty:g}/{efficiency:g}{more}"


@calculator(
    source="Learning curves as in CIMA-style tables and a solutions manual; labour rates of public price books",
    known="SEEN",
    example={"tasks": [{"name": "walling", "quantity": 12, "hours_per_unit": 2.0, "crew": 2}], "bill_step_day": 0.5},
    working=_hours_steps,
)
def task_hours(
    *,
    tasks: Annotated[list[HourTask], Len(1)],
    shift_h: Positive = SHIFT_H,
    efficiency: Annotated[float, Gt(0), Le(1)] = 1.0,
    bill_step_day: Positive | None = None,
    minimum_day: NotNegative = 0.0,
) -> TaskHours:
    """Hours and days of work for a list of tasks.

    Equation: base = quantity x hours per unit x difficulty/efficiency; s = ln(learning/100)/ln 2; unit form: total =
    base x sum of i^s, last = base n^s; average form: total = base n^(1 + s), last = total - base (n - 1)^(1 + s).

    Symbols: hours_per_unit or units_per_hour of one person; repeats, n of the same piece; learning_pct, hours left at
    each doubling; crew_day = crew hours/shift_h; billed_day, at least minimum_day, in whole steps.

    Limits: exactly one form of rate for each task; crews work without waiting.
    """
    people, crews, lasts = [], [], []
    for place, task in enumerate(tasks):
        rates = (task.hours_per_unit is not None) + (task.units_per_hour is not None)
        refuse_if(
            rates != 1, f"tasks[{place}]", "no rate" if rates == 0 else "both forms of rate",
            "exactly one of hours_per_unit and units_per_hour",
        )  # fmt: skip
        per_unit = task.hours_per_unit if task.hours_per_unit is not None else 1.0 / (task.units_per_hour or 1.0)
        base = task.quantity * per_unit * task.difficulty / efficiency
        hours, last = learned_hours(base, task.repeats, task.learning_pct, task.learning_form)
        people.append(hours)
        crews.append(hours / task.crew)
        lasts.append(last)
    days = [hours / shift_h for hours in crews]
    asked = bill_step_day is not None or minimum_day > 0
    return TaskHours(
        person_h=people,
        crew_h=crews,
        crew_day=days,
        last_person_h=lasts,
        total_person_h=sum(people),
        total_crew_day=sum(days),
        billed_day=billed_days(sum(days), bill_step_day, minimum_day) if asked else None,
    )
