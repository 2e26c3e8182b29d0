"""Levels of built work against the plan, from rod readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import Positive

Array = NDArray[np.float64]
SLACK_MM = 1e-6
CHECK_LIMIT_MM = 3.0


@dataclass(frozen=True)
class RodReading:
    """Rod reading on a point of the work."""

    point: str
    planned_level_m: float
    reading_m: float


@dataclass(frozen=True)
class AsBuiltLevel:
    """Levels, errors and what to do about them, in the order of the readings."""

    collimation_m: float
    expected_readings_m: list[float]
    levels_m: list[float]
    errors_mm: list[float]
    corrections_mm: list[float]
    verdicts: list[Literal["ok", "high", "low"]]
    worst_mm: float
    worst_point: str
    mean_mm: float
    spread_mm: float
    best_shift_mm: float
    verdict: Literal["ok", "out", "read again"]
    closing_mm: float | None = None
    steady: bool | None = None


def built_errors_mm(collimation_m: float, readings_m: ArrayLike, planned_m: ArrayLike) -> Array:
    """Built less planned level in mm, + high (shapes that go together)."""
    built = collimation_m - np.asarray(readings_m, dtype=float)
    return np.asarray(1000.0 * (built - np.asarray(planned_m, dtype=float)))


def first_worst(errors: ArrayLike, slack: float = SLACK_MM) -> int:
    """Place of the error of largest size, the first of equals."""
    size = np.abs(np.asarray(errors, dtype=float))
    return int(np.argmax(size >= size.max() - slack))


def _level_steps(given: Mapping[str, Any], result: AsBuiltLevel) -> list[Step]:
    steps = [
        Step("height of collimation", f"{given['benchmark_level_m']:g} + {given['benchmark_reading_m']:g}",
             result.collimation_m, "m"),
    ]  # fmt: skip
    for row, level, error in zip(given["readings"], result.levels_m, result.errors_mm, strict=True):
        how = f"{result.collimation_m:.4f} - {row.reading_m:g} = {level:.4f} m, planned {row.planned_level_m:g}"
        steps.append(Step(f"{row.point}: built less planned", how, error, "mm"))
    steps.append(Step("best shift of the plan", "(highest + lowest error)/2", result.best_shift_mm, "mm"))
    if result.closing_mm is not None:
        steps.append(Step("benchmark read again", "difference of the readings", result.closing_mm, "mm"))
    return steps


@calculator(
    source="Levelling practice (height of collimation), own arithmetic",
    known="DERIVED",
    example={
        "benchmark_level_m": 100.0, "benchmark_reading_m": 1.2, "tolerance_mm": 5,
        "readings": [{"point": "P1", "planned_level_m": 100.1, "reading_m": 1.103}],
    },
    working=_level_steps,
)  # fmt: skip
def as_built_level(
    *,
    benchmark_level_m: float,
    benchmark_reading_m: float,
    readings: Annotated[list[RodReading], Len(1)],
    tolerance_mm: Positive,
    check_reading_m: float | None = None,
    check_limit_mm: Positive = CHECK_LIMIT_MM,
) -> AsBuiltLevel:
    """Whether what was built stands at the planned levels, and how much to raise or lower.

    Equation: collimation = benchmark level + reading; level = collimation - reading; error = built - planned; best
    shift = (highest + lowest error)/2; closing = check reading - first reading.

    Symbols: corrections_mm, + shim or raise, - lower; best_shift_mm, moving the plan of this course by it makes the
    worst error smallest; check_reading_m, benchmark read again at the end.

    Limits: a closing beyond its limit gives "read again", whatever the levels say.
    """
    collimation = benchmark_level_m + benchmark_reading_m
    planned = [row.planned_level_m for row in readings]
    rods = [row.reading_m for row in readings]
    errors = built_errors_mm(collimation, rods, planned)
    fit = np.abs(errors) <= tolerance_mm + SLACK_MM
    closing = None if check_reading_m is None else 1000.0 * (check_reading_m - benchmark_reading_m)
    steady = None if closing is None else abs(closing) <= check_limit_mm + SLACK_MM
    worst = first_worst(errors)
    return AsBuiltLevel(
        collimation_m=collimation,
        expected_readings_m=[collimation - level for level in planned],
        levels_m=[collimation - rod for rod in rods],
        errors_mm=errors.tolist(),
        corrections_mm=(-errors).tolist(),
        verdicts=["ok" if good else "high" if error > 0 else "low" for good, error in zip(fit, errors, strict=True)],
        worst_mm=float(errors[worst]),
        worst_point=readings[worst].point,
        mean_mm=float(errors.mean()),
        spread_mm=float(errors.max() - errors.min()),
        best_shift_mm=float(errors.max() + errors.min()) / 2.0,
        verdict="read again" if steady is False else "ok" if fit.all() else "out",
        closing_mm=closing,
        steady=steady,
    )
