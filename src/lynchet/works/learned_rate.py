"""What one's own finished jobs say about the next one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log, sqrt
from typing import Annotated, Any

from annotated_types import Gt, Len, Lt

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive

COVERAGE_PCT = 80.0


@dataclass(frozen=True)
class Job:
    """A finished job."""

    name: str
    quantity: Positive
    hours: Positive
    """Person hours."""
    difficulty: Positive = 1.0

    def size(self) -> float:
        """Quantity with its difficulty."""
        return self.quantity * self.difficulty


@dataclass(frozen=True)
class LearnedRate:
    """Rates of the jobs, together and for the next one."""

    hours_per_unit: list[float]
    pooled_hours_per_unit: float
    learned_hours_per_unit: float
    log_sd: float | None = None
    low_hours_per_unit: float | None = None
    high_hours_per_unit: float | None = None
    next_h: float | None = None
    next_low_h: float | None = None
    next_high_h: float | None = None


def log_spread(rates: list[float]) -> float:
    """Standard deviation (n - 1) of the logarithms of two or more rates."""
    logs = [log(rate) for rate in rates]
    mean = sum(logs) / len(logs)
    return sqrt(sum((value - mean) ** 2 for value in logs) / (len(logs) - 1))


def next_factor(rates: list[float], coverage_pct: float) -> float:
    """Factor by which the next rate may be higher or lower: exp(t x log sd x sqrt(1 + 1/n)), t two-sided Student."""
    from scipy.special import stdtrit

    t = float(stdtrit(len(rates) - 1, 0.5 + coverage_pct / 200.0))
    return exp(t * log_spread(rates) * sqrt(1.0 + 1.0 / len(rates)))


def _learned_steps(given: Mapping[str, Any], result: LearnedRate) -> list[Step]:
    steps = [
        Step(job.name, f"{job.hours:g}/({job.quantity:g} x {job.difficulty:g})", rate)
        for job, rate in zip(given["jobs"], result.hours_per_unit, strict=True)
    ]
    steps.append(Step("together", "sum of hours/sum of quantities", result.pooled_hours_per_unit))
    steps.append(Step("with the book as one more job", "hours and quantities added", result.learned_hours_per_unit))
    if result.low_hours_per_unit is not None and result.high_hours_per_unit is not None:
        how = f"learned x exp(-/+ t x {result.log_sd:.4g} x sqrt(1 + 1/n))"
        steps.append(Step("the next may be as low as", how, result.low_hours_per_unit))
        steps.append(Step("or as high as", how, result.high_hours_per_unit))
    return steps


@calculator(
    source="Prediction interval of one more observation; factor seen on talkstats.com, threads on prediction intervals",
    known="DERIVED",
    example={
        "jobs": [
            {"name": "Mill Lane", "quantity": 20, "hours": 40},
            {"name": "Hill Road", "quantity": 30, "hours": 90},
        ],
        "next_quantity": 12,
    },
    working=_learned_steps,
)
def learned_rate(
    *,
    jobs: Annotated[list[Job], Len(1)],
    book_hours_per_unit: Positive | None = None,
    book_quantity: Positive | None = None,
    coverage_pct: Annotated[float, Gt(0), Lt(100)] = COVERAGE_PCT,
    next_quantity: NotNegative | None = None,
    next_difficulty: Positive = 1.0,
) -> LearnedRate:
    """Hours per unit learned from one's own jobs, and the range for the next.

    Equation: learned = (sum of hours + book rate x book quantity)/(sum of quantity x difficulty + book quantity); low
    and high = learned x exp(-/+ t x log_sd x sqrt(1 + 1/n)).

    Symbols: difficulty, above 1 for hard ground; book, counts as one more job of that size; coverage_pct, how often
    the next job should fall within; t, two-sided Student for n - 1 degrees.

    Limits: the range is for the next job, not for the average; one job gives none, two or three a wide one.
    """
    refuse_if(
        (book_hours_per_unit is None) != (book_quantity is None), "book_hours_per_unit and book_quantity",
        "one figure of the book without the other", "both or neither",
    )  # fmt: skip
    rates = [job.hours / job.size() for job in jobs]
    hours, size = sum(job.hours for job in jobs), sum(job.size() for job in jobs)
    weight = book_quantity or 0.0
    learned = (hours + (book_hours_per_unit or 0.0) * weight) / (size + weight)
    work = None if next_quantity is None else next_quantity * next_difficulty
    factor = next_factor(rates, coverage_pct) if len(rates) > 1 else None
    return LearnedRate(
        hours_per_unit=rates,
        pooled_hours_per_unit=hours / size,
        learned_hours_per_unit=learned,
        log_sd=log_spread(rates) if len(rates) > 1 else None,
        low_hours_per_unit=None if factor is None else learned / factor,
        high_hours_per_unit=None if factor is None else learned * factor,
        next_h=None if work is None else learned * work,
        next_low_h=None if work is None or factor is None else learned / factor * work,
        next_high_h=None if work is None or factor is None else learned * factor * work,
    )
