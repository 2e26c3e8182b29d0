"""Where the pins go that hold courses together or to the ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Len

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Count, NotNegative, Positive
from lynchet.timber.values import NEAR, Array, Values


def pin_count(length_m: Values, spacing_m: Values, end_distance_m: Values, least_gap_m: Values = 0.1) -> Array:
    """Pins in a piece: one at the middle of a short piece, else evenly within the ends (whole numbers as floats)."""
    between = np.asarray(length_m, float) - 2.0 * np.asarray(end_distance_m, float)
    short = (between <= NEAR) | (between < np.asarray(least_gap_m) - NEAR)
    return np.where(short, 1.0, np.ceil(between / spacing_m - NEAR) + 1.0)


def pin_positions_m(length_m: float, count: int, end_distance_m: float) -> list[float]:
    """Stations of the pins from the start of a piece."""
    if count == 1:
        return [length_m / 2.0]
    step = (length_m - 2.0 * end_distance_m) / (count - 1)
    return [end_distance_m + step * number for number in range(count)]


@dataclass(frozen=True)
class PinLayout:
    """Pins of a list of pieces."""

    count: int
    counts: list[int]
    """One for each piece."""
    positions_m: list[list[float]]
    """From each piece's start."""
    pin_length_m: float
    hole_length_m: float


def _pin_steps(given: Mapping[str, Any], result: PinLayout) -> list[Step]:
    courses, height = given.get("courses_joined", 2), given["timber_height_m"]
    end, spacing = given["end_distance_m"], given["spacing_m"]
    steps = []
    for length, count in zip(given["piece_lengths_m"], result.counts, strict=True):
        how = (
            f"({length:g} - 2 x {end:g}) / {spacing:g}, rounded up, + 1"
            if count > 1
            else "a short piece, at its middle"
        )
        steps.append(Step(f"pins in a piece of {length:g} m", how, count))
    ground, recess = given.get("into_ground_m", 0.0), given.get("recess_m", 0.0)
    how = f"{courses} x {height:g} + {ground:g} - {recess:g}"
    return [*steps, Step("pin length", how, result.pin_length_m, "m")]


@calculator(
    source="Arithmetic; largest spacing and end distance as given",
    known="PRACTICE",
    example={"piece_lengths_m": [2.4, 1.2], "spacing_m": 1.2, "end_distance_m": 0.3, "timber_height_m": 0.1397},
    working=_pin_steps,
    caution="Have buried pipes and cables located before you drive pins into the ground.",
)
def pin_layout(
    *,
    piece_lengths_m: Annotated[list[Positive], Len(1)],
    spacing_m: Positive,
    end_distance_m: Positive,
    timber_height_m: Positive,
    courses_joined: Count = 2,
    into_ground_m: NotNegative = 0.0,
    recess_m: NotNegative = 0.0,
    least_gap_m: NotNegative = 0.1,
) -> PinLayout:
    """Number, places and length of the pins in a list of pieces.

    Equation: a piece up to 2e, or longer by less than the least gap: one pin at its middle; else
    n = ceil((L - 2e)/spacing) + 1, evenly from e to L - e. Pin length = courses x height + into ground - recess; hole =
    courses x height.

    Symbols: L piece length, e end distance.

    Limits: one course is pinned to the ground only; recess below the timber height.
    """
    refuse_if(
        courses_joined == 1 and into_ground_m == 0,
        "into_ground_m",
        "one course and nothing into the ground found",
        "a length into the ground, or more courses",
    )
    refuse_if(
        recess_m >= timber_height_m,
        "recess_m",
        f"recess {recess_m:g} m found",
        f"below the timber height, {timber_height_m:g} m",
    )
    counts = [int(n) for n in pin_count(np.array(piece_lengths_m), spacing_m, end_distance_m, least_gap_m)]
    pieces = zip(piece_lengths_m, counts, strict=True)
    hole = courses_joined * timber_height_m
    return PinLayout(
        count=sum(counts),
        counts=counts,
        positions_m=[pin_positions_m(length, count, end_distance_m) for length, count in pieces],
        pin_length_m=hole + into_ground_m - recess_m,
        hole_length_m=hole,
    )
