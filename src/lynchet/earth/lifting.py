"""Benches up by whole courses: how many, and which, so that soil left over stays in the yard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lynchet.earth.columns import Columns
from lynchet.earth.finishes import Finish
from lynchet.earth.rows import Array, Flags, Index

MOST_COURSES = 1
"""All benches are lifted by so many at most, and upper ones by one more: beyond that another scheme is wanted.
PRACTICE."""
_LEAST_GAIN = 0.3
"""Share of the soil left over that a lift must save to be worth a course of timber. PRACTICE."""


@dataclass(frozen=True)
class Lift:
    """Benches lifted by whole courses."""

    courses: tuple[int, ...]
    """Of each terrace, never falling upward, so that every wall keeps its courses or gets one more."""
    stays_m3: float
    """Soil that stays in the yard because of it, bank measure."""


def best_lift(
    columns: Columns, finishes: Sequence[Finish], terraces: int, course_m: float, over_m3: float, compacted: float
) -> Lift | None:
    """The lift after which least is left over and nothing short; None where none is worth it.

    Args:
        columns: under the yard.
        finishes: what the columns refer to.
        terraces: how many there are.
        course_m: height of a course.
        over_m3: soil left over, bank measure.
        compacted: compacted per bank volume.
    """
    in_bed = columns.face >= 0
    terrace = np.array([one.terrace for one in finishes])[columns.face[in_bed]]
    gains = [_gain(columns, in_bed, terrace, k * course_m, compacted, terraces) for k in range(MOST_COURSES + 2)]
    best: Lift | None = None
    for every in range(MOST_COURSES + 1):
        for lowest in range(terraces, 0, -1):  # terraces from this one up get one course more
            courses = tuple(every + (k >= lowest) for k in range(1, terraces + 1))
            stays = float(sum(gains[n][k] for k, n in enumerate(courses)))
            if stays <= over_m3 and (best is None or stays > best.stays_m3 + 1e-9):
                best = Lift(courses, stays)
    return best if best is not None and best.stays_m3 >= _LEAST_GAIN * over_m3 else None


def _gain(columns: Columns, in_bed: Flags, terrace: Index, lift_m: float, compacted: float, terraces: int) -> Array:
    """(terraces,) soil that stays when beds are so much higher: less is cut, more is filled."""
    ground, level = columns.ground_m[in_bed], columns.face_m[in_bed]
    uncut = np.minimum(ground, level + lift_m) - np.minimum(ground, level)
    stays = columns.area_m2[in_bed] * (uncut + (lift_m - uncut) / compacted)
    return np.asarray(np.bincount(terrace - 1, stays, terraces), dtype=float)
