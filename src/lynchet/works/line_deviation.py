"""How straight a built line is: offsets from a string against a reference line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive
from lynchet.works.as_built import SLACK_MM, first_worst

Array = NDArray[np.float64]
Reference = Literal["string", "ends", "least_squares", "minimum_zone"]
SLACK_M = 1e-9


@dataclass(frozen=True)
class LineDeviation:
    """Deviations from the reference line, in the order of the stations."""

    slope_mm_per_m: float
    intercept_mm: float
    deviations_mm: list[float]
    worst_mm: float
    worst_at_m: float
    range_mm: float
    verdict: Literal["ok", "out"]
    sd_mm: float | None = None
    straightedge_mm: float | None = None


def least_squares_line(x: ArrayLike, y: ArrayLike) -> tuple[float, float]:
    """Slope and intercept of least squares (kernel; not all x equal)."""
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    from_mean = xs - xs.mean()
    slope = float(from_mean @ (ys - ys.mean()) / (from_mean @ from_mean))
    return slope, float(ys.mean()) - slope * float(xs.mean())


def minimum_zone_line(x: ArrayLike, y: ArrayLike) -> tuple[float, float]:
    """Slope and intercept of the line whose largest deviation is smallest (kernel: linear programme)."""
    from scipy.optimize import linprog

    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    ones = np.ones_like(xs)
    middle, level = xs.mean(), ys.mean()
    rows = np.concatenate([np.stack([xs - middle, ones, -ones], axis=1), np.stack([middle - xs, -ones, -ones], axis=1)])
    found = linprog((0.0, 0.0, 1.0), rows, np.concatenate([ys - level, level - ys]), bounds=[(None, None)] * 3)
    assert found.x is not None, found.message
    slope = float(found.x[0])
    return slope, float(found.x[1] + level - slope * middle)


def straightedge_gap_mm(x: ArrayLike, y: ArrayLike, length_m: float) -> float:
    """Largest distance of a point from the chord of two points not further apart than the straightedge (kernel)."""
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    largest = 0.0
    for first in range(len(xs)):
        for last in range(first + 2, len(xs)):
            if xs[last] - xs[first] > length_m + SLACK_M:
                break
            between = slice(first + 1, last)
            share = (xs[between] - xs[first]) / (xs[last] - xs[first])
            gap = ys[between] - ys[first] - share * (ys[last] - ys[first])
            largest = max(largest, float(np.abs(gap).max()))
    return largest


def _line(reference: Reference, x: Array, y: Array) -> tuple[float, float]:
    if reference == "ends":
        slope = float((y[-1] - y[0]) / (x[-1] - x[0]))
        return slope, float(y[0]) - slope * float(x[0])
    if reference == "least_squares":
        return least_squares_line(x, y)
    return minimum_zone_line(x, y) if reference == "minimum_zone" else (0.0, 0.0)


def _line_steps(given: Mapping[str, Any], result: LineDeviation) -> list[Step]:
    reference = given.get("reference", "string").replace("_", " ")
    steps = [
        Step("slope of the reference line", reference, result.slope_mm_per_m, "mm_per_m"),
        Step("its offset at station 0", reference, result.intercept_mm, "mm"),
        Step("worst deviation", f"at station {result.worst_at_m:g} m", result.worst_mm, "mm"),
    ]
    if result.straightedge_mm is not None:
        how = f"over chords up to {given['straightedge_m']:g} m"
        steps.append(Step("largest gap under a straightedge", how, result.straightedge_mm, "mm"))
    return steps


@calculator(
    source="Least squares as certified by the NIST Statistical Reference Datasets (Norris); minimum zone by programme",
    known="SEEN",
    example={"stations_m": [0, 1, 2, 3], "offsets_mm": [0, 3, -2, 1], "tolerance_mm": 6, "straightedge_m": 2},
    working=_line_steps,
)
def line_deviation(
    *,
    stations_m: list[float],
    offsets_mm: list[float],
    tolerance_mm: Positive,
    planned_mm: list[float] | None = None,
    reference: Reference = "string",
    straightedge_m: Positive | None = None,
) -> LineDeviation:
    """How far a built line strays from straight, or from its planned shape.

    Equation: deviation = (offset - planned) - (intercept + slope x station); sd = sqrt(sum of squares/(n - 2)).

    Symbols: offsets_mm, from a string to the face, + outward; reference, the string itself, the line through the ends,
    of least squares, or of smallest largest deviation; straightedge_mm, largest distance from the chord of two points
    not further apart than the straightedge.

    Limits: two points or more; stations rising for ends, minimum zone and straightedge.
    """
    counts = (len(stations_m), len(offsets_mm), len(stations_m if planned_mm is None else planned_mm))
    refuse_if(
        len(set(counts)) > 1, "stations_m, offsets_mm, planned_mm", f"lists of length {counts[0]}, {counts[1]}, "
        f"{counts[2]}", "lists of the same length",
    )  # fmt: skip
    refuse_if(counts[0] < 2, "stations_m", f"{counts[0]} points, fewer than two", "two or more")
    x = np.asarray(stations_m, dtype=float)
    y = np.asarray(offsets_mm, dtype=float) - np.asarray(planned_mm if planned_mm is not None else 0.0, dtype=float)
    ordered = reference in ("ends", "minimum_zone") or straightedge_m is not None
    refuse_if(bool(np.ptp(x) == 0), "stations_m", "the stations are all equal", "stations at different places")
    refuse_if(ordered and bool((np.diff(x) <= 0).any()), "stations_m", "the stations are not increasing", "rising ones")
    slope, intercept = _line(reference, x, y)
    off = y - (intercept + slope * x)
    worst = first_worst(off)
    spread = reference == "least_squares" and len(x) > 2
    return LineDeviation(
        slope_mm_per_m=slope,
        intercept_mm=intercept,
        deviations_mm=off.tolist(),
        worst_mm=float(off[worst]),
        worst_at_m=float(x[worst]),
        range_mm=float(np.ptp(off)),
        verdict="ok" if abs(off[worst]) <= tolerance_mm + SLACK_MM else "out",
        sd_mm=sqrt(float(off @ off) / (len(x) - 2)) if spread else None,
        straightedge_mm=None if straightedge_m is None else straightedge_gap_mm(x, y, straightedge_m),
    )
