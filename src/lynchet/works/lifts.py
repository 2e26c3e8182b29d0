"""How a stage of walls goes up: a course is laid, then drain stone and fill follow behind it as one lift.

No lift is higher than the course laid before it, nor reaches the next course, so that neither stone nor fill ever
leans on timber that is not there.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from lynchet.core.quick import quick
from lynchet.water.model import Stone
from lynchet.works.wall_parts import Item, WallPart

_THIN_M3 = 1e-9
_SHORT_M = 1e-6


@quick
@dataclass(frozen=True)
class Lift:
    """One course of the lattice in one stage, with what follows it."""

    course: int | None
    """None where no course is laid above the lowest."""
    top_m: float
    """Level to which stone and fill may rise behind it."""
    courses: float
    """Share of the timber of the higher courses; of the fill too, whose wedge is not measured course by course."""
    stone: float
    """Share of the drain stone, by its own volume."""
    items: tuple[Item, ...] = ()
    """Pieces and ties of the course, in the order they are laid."""


def lifts_of(part: WallPart) -> tuple[Lift, ...]:
    """Lifts of one stage from below; a single one where no course is laid above the lowest.

    Args:
        part: the walls of the stage.

    Returns:
        Shares add up to 1; levels rise.
    """
    courses = [course for course in sorted(part.rows) if part.rows[course].metres > _SHORT_M]
    rows = [part.rows[course] for course in courses]
    whole = sum(row.metres for row in rows)
    if whole <= 0.0:
        return (Lift(None, part.top_m, 1.0, 1.0),)
    tops = [min(row.top_m, *(later.bottom_m for later in rows[place + 1 :])) for place, row in enumerate(rows[:-1])]
    tops.append(part.top_m)
    below = [0.0, *(_share_below(part.stones, top) for top in tops[:-1]), 1.0]
    return tuple(
        Lift(course, top, row.metres / whole, high - low, tuple(row.items))
        for course, top, row, (low, high) in zip(courses, tops, rows, pairwise(below), strict=True)
    )


def _share_below(stones: list[Stone], level_m: float) -> float:
    """Share of the drain stone that lies below a level."""
    whole = sum(stone.volume_m3 for stone in stones)
    if whole <= _THIN_M3:
        return 0.0
    return sum(stone.volume_m3 * _below(stone, level_m) for stone in stones) / whole


def _below(stone: Stone, level_m: float) -> float:
    """Share of one stretch of stone below a level; its top slopes evenly."""
    high, low = (max(top - stone.bottom_m, 0.0) for top in _ends(stone))
    deep = level_m - stone.bottom_m
    if deep <= 0.0 or high <= 0.0:
        return 0.0
    if deep >= high:
        return 1.0
    if deep <= low:
        return deep / (0.5 * (high + low))
    # Past the low end: the level cuts off a triangle at the high one.
    return 1.0 - (high - deep) ** 2 / (high - low) / (high + low)


def _ends(stone: Stone) -> tuple[float, float]:
    return max(stone.top_start_m, stone.top_end_m), min(stone.top_start_m, stone.top_end_m)
