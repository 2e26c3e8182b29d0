"""Grain sizes read from a sieve curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

import numpy as np
from annotated_types import Ge, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import calculator, refuse_if
from lynchet.core.kinds import Positive

Array = NDArray[np.float64]
Percent = Annotated[float, Ge(0), Le(100)]


@dataclass(frozen=True)
class Sieve:
    """One point of a grading."""

    size_mm: Positive
    passing_pct: Percent


@dataclass(frozen=True)
class GrainSize:
    """A grain size."""

    size_mm: float


def size_at_mm(sizes_mm: ArrayLike, passing_pct: ArrayLike, asked_pct: ArrayLike) -> Array:
    """Grain size at a percent passing: linear in percent, logarithmic in size (kernel, nothing checked).

    Args:
        sizes_mm: (n,) rising.
        passing_pct: (n,) never falling.
        asked_pct: any shape, within the percents of the grading.

    Returns:
        Sizes in mm; at a point of the grading that point's size exactly, the smallest of several with the same percent.
    """
    size, passing = np.asarray(sizes_mm, dtype=float), np.asarray(passing_pct, dtype=float)
    asked = np.asarray(asked_pct, dtype=float)
    above = np.searchsorted(passing, asked, side="left")
    below = np.maximum(above - 1, 0)
    exact = passing[above] == asked
    width = np.where(exact, 1.0, passing[above] - passing[below])
    share = (asked - passing[below]) / width
    between = size[below] * (size[above] / size[below]) ** share
    return np.asarray(np.where(exact, size[above], between))


def sorted_grading(gradation: Sequence[Sieve], key: str) -> tuple[list[float], list[float]]:
    """Sizes rising and their percents; refuses a grading that is none.

    Raises:
        InputError: fewer than two points, a size twice, or a percent that falls as size grows.
    """
    name = f"the gradation in {key}"
    refuse_if(len(gradation) < 2, key, f"{name} has {len(gradation)} points", "two or more")
    points = sorted((point.size_mm, point.passing_pct) for point in gradation)
    for (size, passing), (next_size, next_passing) in pairwise(points):
        refuse_if(size == next_size, key, f"{name} holds the size {size:g} mm twice", "sizes all different")
        refuse_if(
            next_passing < passing, key, f"{name} falls from {passing:g} to {next_passing:g} percent as size grows",
            "a percent that never falls as size grows",
        )  # fmt: skip
    return [size for size, _ in points], [passing for _, passing in points]


def grain_size(gradation: Sequence[Sieve], asked_pct: float, key: str) -> float:
    """Size at a percent of a grading given as rows.

    Raises:
        InputError: the grading is none, or does not reach the percent.
    """
    sizes, passing = sorted_grading(gradation, key)
    refuse_if(
        not passing[0] <= asked_pct <= passing[-1], key, f"{asked_pct:g} percent lies outside the range of {key}",
        f"{passing[0]:g} to {passing[-1]:g} percent",
    )  # fmt: skip
    return float(size_at_mm(sizes, passing, asked_pct))


@calculator(
    source="Straight line on a plot of percent against the logarithm of size (common practice)",
    known="PRACTICE",
    example={
        "gradation": [
            {"size_mm": 25.0, "passing_pct": 95.0},
            {"size_mm": 12.5, "passing_pct": 25.0},
            {"size_mm": 4.75, "passing_pct": 0.0},
        ],
        "passing_pct": 15.0,
    },
)
def grain_size_at(*, gradation: list[Sieve], passing_pct: Percent) -> GrainSize:
    """Grain size at a percent passing, from a sieve curve.

    Equation: ln d = ln d1 + ln(d2/d1)(p - p1)/(p2 - p1) between neighbouring points.

    Symbols: gradation, sizes with the percent that passes them, in any order; passing_pct, p.

    Limits: never beyond the grading; at a point of it that point's size, the smallest where several share the percent.
    """
    return GrainSize(grain_size(gradation, passing_pct, "gradation"))
