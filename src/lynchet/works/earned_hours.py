"""Hours earned against hours spent: where a running job stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Annotated, Any, Literal

from annotated_types import Ge, Le, Len

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive

Percent = Annotated[float, Ge(0), Le(100)]
Rule = Literal["same_rate", "as_planned", "both"]


@dataclass(frozen=True)
class Task:
    """One task with what is due, done and spent."""

    name: str
    budget_h: Positive
    planned_pct: Percent
    """Due by now."""
    done_pct: Percent
    spent_h: NotNegative


@dataclass(frozen=True)
class EarnedHours:
    """State of the job and its forecast; what has no meaning yet is None."""

    budget_h: float
    planned_h: float
    earned_h: float
    spent_h: float
    done_pct: float
    cost_variance_h: float
    schedule_variance_h: float
    cpi: float | None = None
    spi: float | None = None
    eac_h: float | None = None
    etc_h: float | None = None
    vac_h: float | None = None
    tcpi: float | None = None


def hours_to_come(rule: Rule, rest_h: float, indices: tuple[float | None, float | None]) -> float | None:
    """Hours forecast for what is not earned yet; None where a divisor is zero, missing or next to zero.

    The hours at the end are these and those spent: so the two add up however small they are, which the budget over
    the index less the hours spent does not where an index has lost its figures.

    Args:
        rule: the rest at the same rate, as planned, or at both indices together.
        rest_h: budget not earned yet.
        indices: cost and schedule index.
    """
    cpi, spi = indices
    if rule == "as_planned":
        return rest_h
    if not cpi or (rule == "both" and not spi):
        return None
    found = rest_h / cpi if rule == "same_rate" or not spi else rest_h / cpi / spi
    return found if isfinite(found) else None


def _earned_steps(given: Mapping[str, Any], result: EarnedHours) -> list[Step]:
    steps = [
        Step("earned", "sum of budget x done", result.earned_h, "h"),
        Step("ahead of the spending", f"{result.earned_h:g} - {result.spent_h:g}", result.cost_variance_h, "h"),
        Step("ahead of the plan", f"{result.earned_h:g} - {result.planned_h:g}", result.schedule_variance_h, "h"),
    ]
    for what, how, value in (
        ("cost index", "earned/spent", result.cpi),
        ("schedule index", "earned/planned", result.spi),
        ("hours at the end", f"rule {given.get('rule', 'same_rate')}", result.eac_h),
    ):
        if value is not None:
            steps.append(Step(what, how, value))
    return steps


@calculator(
    source="Earned value: Govan, Project Risk Analysis, chapter 5; Gray and Larson, homework",
    known="SEEN",
    example={"tasks": [{"name": "walls", "budget_h": 60, "planned_pct": 50, "done_pct": 40, "spent_h": 29}]},
    working=_earned_steps,
)
def earned_hours(
    *, tasks: Annotated[list[Task], Len(1)], rule: Rule = "same_rate", target_h: float | None = None
) -> EarnedHours:
    """Hours earned against hours spent, and the hours at the end.

    Equation: earned = sum of budget x done; cpi = earned/spent; spi = earned/planned; etc = (budget - earned)/cpi
    (same_rate), budget - earned (as_planned), (budget - earned)/(cpi spi) (both); eac = spent + etc, which at the same
    rate is budget/cpi; vac = budget - eac; tcpi = (budget - earned)/(target - spent).

    Symbols: planned_pct, due by now; cost and schedule variance, earned less spent and less planned (negative is bad);
    target_h, hours wished for the whole job (the budget by default).

    Limits: what would divide by zero is left out.
    """
    budget, spent = sum(task.budget_h for task in tasks), sum(task.spent_h for task in tasks)
    planned = sum(task.budget_h * task.planned_pct / 100.0 for task in tasks)
    earned = sum(task.budget_h * task.done_pct / 100.0 for task in tasks)
    cpi = earned / spent if spent > 0 else None
    spi = earned / planned if planned > 0 else None
    to_come = hours_to_come(rule, budget - earned, (cpi, spi))
    whole = None if to_come is None else spent + to_come
    target = budget if target_h is None else target_h
    return EarnedHours(
        budget_h=budget,
        planned_h=planned,
        earned_h=earned,
        spent_h=spent,
        done_pct=100.0 * earned / budget,
        cost_variance_h=earned - spent,
        schedule_variance_h=earned - planned,
        cpi=cpi,
        spi=spi,
        eac_h=whole,
        etc_h=to_come,
        vac_h=None if whole is None else budget - whole,
        tcpi=(budget - earned) / (target - spent) if target > spent else None,
    )
