"""Level books: levels by height of collimation, page sums, and the sharing out of what does not close."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import sqrt
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Count, NotNegative, Positive

Array = NDArray[np.float64]
Spread = Literal["setups", "distance", "none"]
LimitBy = Literal["setups", "km"]
SLACK = 1e-9


@dataclass(frozen=True)
class LevelRow:
    """One row of a level book, in the order of booking."""

    point: str
    backsight_m: float | None = None
    intermediate_m: float | None = None
    foresight_m: float | None = None
    known_level_m: float | None = None
    leg_m: Positive | None = None
    """On a foresight row: length run since the previous turning point."""


@dataclass(frozen=True)
class LevelBook:
    """A reduced level book; what belongs to a closed book is None in an open one."""

    levels_m: list[float]
    collimation_m: list[float]
    rises_m: list[float]
    sum_backsight_m: float
    sum_foresight_m: float
    difference_m: float
    sum_rise_m: float
    sum_fall_m: float
    setups: int
    verdict: Literal["accept", "reject", "open"]
    length_m: float | None = None
    misclosure_m: float | None = None
    allowed_misclosure_m: float | None = None
    adjusted_levels_m: list[float] | None = None


@dataclass(frozen=True)
class MisclosureSpread:
    """A misclosure shared out over the parts of a line of levels."""

    corrections_m: list[float]
    allowed_misclosure_m: float
    verdict: Literal["accept", "reject"]


def book_levels(
    start_level_m: float,
    backsights_m: ArrayLike,
    turning_foresights_m: ArrayLike,
    readings_m: ArrayLike,
    setup: ArrayLike,
) -> tuple[Array, Array]:
    """Heights of collimation and levels of one book (kernel, nothing checked).

    Args:
        start_level_m: known level of the first point.
        backsights_m: (k,) one backsight per set-up.
        turning_foresights_m: (k - 1,) foresights at the turning points between the set-ups.
        readings_m: (n,) intermediate or foresight of every row after the first.
        setup: (n,) set-up, from 0, from which each reading was taken.

    Returns:
        (k,) heights of collimation and (n + 1,) levels, the first point's first.
    """
    back = np.asarray(backsights_m, dtype=float)
    collimation = start_level_m + np.cumsum(back)
    collimation[1:] -= np.cumsum(np.asarray(turning_foresights_m, dtype=float))
    levels = collimation[np.asarray(setup, dtype=int)] - np.asarray(readings_m, dtype=float)
    return collimation, np.concatenate(([start_level_m], levels))


def cumulative_shares(parts: ArrayLike) -> Array:
    """Share of a misclosure that has built up by the end of each part: (n,) lengths, or ones for set-ups."""
    run = np.cumsum(np.asarray(parts, dtype=float))
    return np.asarray(run / run[-1], dtype=float)


def adjusted_levels(levels_m: ArrayLike, misclosure_m: float, shares: ArrayLike) -> Array:
    """Levels less their share of the misclosure; the first level is never adjusted.

    Args:
        levels_m: (n + 1,) levels as computed.
        misclosure_m: computed less known closing level.
        shares: (n,) share built up by the end of the set-up of each reading.
    """
    adjusted = np.array(levels_m, dtype=float)
    adjusted[1:] -= misclosure_m * np.asarray(shares, dtype=float)
    return adjusted


def allowed_misclosure(coefficient_mm: float, measure: float) -> float:
    """Allowed misclosure in metres: coefficient times the root of the measure (set-ups, or length in km)."""
    return coefficient_mm / 1000.0 * sqrt(measure)


def _spread_steps(given: Mapping[str, Any], result: MisclosureSpread) -> list[Step]:
    coefficient = given.get("limit_coefficient_mm", 5.0)
    if "legs_m" in given:
        measure = f"sqrt({sum(given['legs_m']) / 1000:g} km)"
    else:
        measure = f"sqrt({given['setups']} set-ups)"
    misclosure = given["misclosure_m"]
    return [
        Step("correction at the last point", f"-({misclosure:g})", result.corrections_m[-1], "m"),
        Step("allowed misclosure", f"{coefficient:g} mm x {measure}", result.allowed_misclosure_m, "m"),
        Step("verdict", f"{abs(misclosure):g} against {result.allowed_misclosure_m:.4g}", result.verdict),
    ]


@calculator(
    source="US Navy, Engineering Aid training manual NAVEDTRA 14071, chapter 7 (differential leveling, adjusting)",
    known="SEEN",
    example={"misclosure_m": 0.008, "setups": 4},
    working=_spread_steps,
)
def misclosure_spread(
    *,
    misclosure_m: float,
    legs_m: Annotated[list[Positive], Len(1)] | None = None,
    setups: Count | None = None,
    limit_coefficient_mm: NotNegative = 5.0,
) -> MisclosureSpread:
    """Share a misclosure out over legs or set-ups and judge it.

    Equation: correction after part i = -misclosure x (sum of parts to i)/(sum of all parts); allowed misclosure =
    coefficient x sqrt(length in km) for legs, coefficient x sqrt(set-ups) for set-ups.

    Symbols: misclosure_m, computed less known level; legs_m, length of each leg; setups, number of instrument
    positions; limit_coefficient_mm, millimetres per root of the measure.

    Limits: legs or set-ups, one of them. The limit is included. Usual coefficients: 5 mm per root set-up, 12 and 24 mm
    per root kilometre. A rejected line is measured again, not shared out.
    """
    left_out = (legs_m is None) + (setups is None)
    found = "neither found" if left_out else "both found"
    refuse_if(left_out != 1, "legs_m or setups", found, "exactly one of the two")
    parts = [1.0] * setups if setups is not None else list(legs_m or [])
    measure = float(setups) if setups is not None else sum(parts) / 1000.0
    allowed = allowed_misclosure(limit_coefficient_mm, measure)
    return MisclosureSpread(
        corrections_m=(-misclosure_m * cumulative_shares(parts)).tolist(),
        allowed_misclosure_m=allowed,
        verdict="accept" if abs(misclosure_m) <= allowed + SLACK else "reject",
    )


def _book_steps(given: Mapping[str, Any], result: LevelBook) -> list[Step]:
    rows: list[LevelRow] = given["rows"]
    start = rows[0].known_level_m
    steps = [
        Step("first height of collimation", f"{start:g} + {rows[0].backsight_m:g}", result.collimation_m[0], "m"),
        Step("sum of backsights", "the column added", result.sum_backsight_m, "m"),
        Step("sum of foresights", "the column added", result.sum_foresight_m, "m"),
        Step(
            "backsights less foresights",
            f"{result.sum_backsight_m:.3f} - {result.sum_foresight_m:.3f}",
            result.difference_m,
            "m",
        ),
        Step("last level", f"{result.collimation_m[-1]:.3f} - last reading", result.levels_m[-1], "m"),
    ]
    if result.misclosure_m is not None and result.allowed_misclosure_m is not None:
        known = rows[-1].known_level_m
        steps.append(Step("misclosure", f"{result.levels_m[-1]:.3f} - {known:g}", result.misclosure_m, "m"))
        steps.append(Step("allowed misclosure", "coefficient x root of measure", result.allowed_misclosure_m, "m"))
    steps.append(Step("verdict", "misclosure against what is allowed", result.verdict))
    return steps


@calculator(
    source="Papua New Guinea University of Technology, Department of Surveying, Lecture Two: Level books and "
    "arithmetic checks; NPTEL course 105107122, Surveying, module 4",
    known="SEEN",
    example={
        "rows": [
            {"point": "mark", "known_level_m": 10.0, "backsight_m": 1.52},
            {"point": "bed", "intermediate_m": 1.21},
            {"point": "peg", "foresight_m": 0.84, "backsight_m": 1.33},
            {"point": "mark", "foresight_m": 2.006, "known_level_m": 10.0},
        ]
    },
    working=_book_steps,
)
def level_book(
    *,
    rows: list[LevelRow],
    spread: Spread = "setups",
    limit_coefficient_mm: NotNegative = 5.0,
    limit_by: LimitBy = "setups",
) -> LevelBook:
    """Reduce a level book by height of collimation, with page sums and closure.

    Equation: collimation = level + backsight; level = collimation - reading; misclosure = computed - known closing
    level; adjusted level = level - misclosure x share of the set-up; allowed = coefficient x sqrt(set-ups or km).

    Symbols: backsight, first reading of a set-up, on a known level; foresight, last reading of a set-up; intermediate,
    any reading between; collimation, level of the line of sight; leg, length run since the previous turning point.

    Limits: row 1 has the known level and a backsight; every later row has an intermediate or a foresight; a foresight
    before the last row is a turning point and has a backsight too. A negative reading is a staff upside down. The
    page sums prove the arithmetic, not the readings. Levels are adjusted also when the verdict is reject.
    """
    _refuse_rows(rows)
    setup = np.cumsum([0] + [int(row.foresight_m is not None) for row in rows[1:-1]])
    backsights = [row.backsight_m for row in rows if row.backsight_m is not None]
    foresights = [row.foresight_m for row in rows if row.foresight_m is not None]
    collimation, levels = book_levels(
        rows[0].known_level_m or 0.0,
        backsights,
        foresights[: len(backsights) - 1],
        [_reading(row) for row in rows[1:]],
        setup,
    )
    legs = [row.leg_m for row in rows if row.leg_m is not None]
    complete = bool(foresights) and len(legs) == len(foresights)
    rises = np.diff(levels)
    book = LevelBook(
        levels_m=levels.tolist(),
        collimation_m=collimation.tolist(),
        rises_m=rises.tolist(),
        sum_backsight_m=sum(backsights),
        sum_foresight_m=sum(foresights),
        difference_m=sum(backsights) - sum(foresights),
        sum_rise_m=float(rises[rises > 0].sum()),
        sum_fall_m=float(-rises[rises < 0].sum()),
        setups=len(backsights),
        verdict="open",
        length_m=sum(legs) if complete else None,
    )
    closing = rows[-1].known_level_m
    if closing is None:
        return book
    by_length = spread == "distance" or limit_by == "km"
    refuse_if(by_length and not complete, "rows", "a foresight row has no leg", "leg_m on every foresight row")
    share = np.zeros(book.setups)
    if spread != "none":
        share = cumulative_shares(legs if spread == "distance" else np.ones(book.setups))
    allowed = allowed_misclosure(limit_coefficient_mm, sum(legs) / 1000 if limit_by == "km" else book.setups)
    return _closed(book, closing, share[setup], allowed)


def _closed(book: LevelBook, closing_m: float, share: Array, allowed_m: float) -> LevelBook:
    """The book with its closure: misclosure shared out by the (n,) share of every reading."""
    levels = np.array(book.levels_m)
    misclosure = float(levels[-1] - closing_m)
    return replace(
        book,
        misclosure_m=misclosure,
        allowed_misclosure_m=allowed_m,
        adjusted_levels_m=adjusted_levels(levels, misclosure, share).tolist(),
        verdict="accept" if abs(misclosure) <= allowed_m + SLACK else "reject",
    )


def _reading(row: LevelRow) -> float:
    """The one reading of a checked row after the first."""
    return row.foresight_m if row.foresight_m is not None else row.intermediate_m or 0.0


def _refuse_rows(rows: list[LevelRow]) -> None:
    """Refuse a book whose rows cannot be reduced; the text names the row, counted from 1."""
    refuse_if(len(rows) < 2, "rows", f"{len(rows)} found", "two rows or more: a start and a reading")
    first, last = rows[0], len(rows) - 1
    refuse_if(first.known_level_m is None, "rows[0].known_level_m", "missing", "the known level the book starts from")
    refuse_if(first.backsight_m is None, "rows[0].backsight_m", "missing", "the backsight taken on the known level")
    both = first.intermediate_m is not None or first.foresight_m is not None
    refuse_if(both, "rows[0]", "a reading beside the backsight", "only the backsight in the first row")
    refuse_if(first.leg_m is not None, "rows[0].leg_m", "a leg on the first row", "legs stand on foresight rows")
    for number, row in enumerate(rows[1:], start=1):
        where = f"rows[{number}]"
        readings = (row.intermediate_m is not None) + (row.foresight_m is not None)
        found = "both an intermediate and a foresight" if readings == 2 else "no reading"
        refuse_if(readings != 1, where, found, "one reading, an intermediate or a foresight")
        seen_last = row.foresight_m is not None
        if number < last:
            refuse_if(row.known_level_m is not None, f"{where}.known_level_m", "on a middle row", "first or last row")
            missing = seen_last and row.backsight_m is None
            refuse_if(missing, f"{where}.backsight_m", "missing at a turning point", "a backsight after the foresight")
        else:
            refuse_if(row.backsight_m is not None, f"{where}.backsight_m", "on the last row", "none there")
            wrong = row.known_level_m is not None and not seen_last
            refuse_if(wrong, where, "a known level read as an intermediate", "a foresight on the closing point")
        refuse_if(
            row.backsight_m is not None and not seen_last, f"{where}.backsight_m", "beside an intermediate", "none"
        )
        refuse_if(row.leg_m is not None and not seen_last, f"{where}.leg_m", "no foresight here", "a foresight row")
