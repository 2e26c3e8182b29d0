"""Courses of timber to be divided into pieces, and the rules for their joints, in hundredths of a millimetre."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Annotated

from annotated_types import Len

from lynchet.core.calculator import refuse_if
from lynchet.core.kinds import XY
from lynchet.timber.cut_orders import units


@dataclass(frozen=True)
class Course:
    """A course by stations along its wall; joints may not lie strictly inside a forbidden stretch."""

    from_m: float
    to_m: float
    forbidden: list[XY] = field(default_factory=list)


@dataclass(frozen=True)
class Wall:
    """A wall's courses from the bottom up; station 0 is common to them."""

    courses: Annotated[list[Course], Len(1)]


Walls = Annotated[list[Wall], Len(1)]


@dataclass(frozen=True)
class Span:
    """A course in whole units."""

    start: int
    end: int
    forbidden: tuple[tuple[int, int], ...] = ()

    def forbids(self, station: int) -> bool:
        """Whether a joint here lies strictly inside a forbidden stretch."""
        return any(low < station < high for low, high in self.forbidden)


@dataclass(frozen=True)
class Rules:
    """Rules for joints and pieces."""

    offset: int
    shortest: int
    longest: int
    end_clear: int
    grid: int = 1


Spans = tuple[tuple[Span, ...], ...]
"""Walls, each with its courses from the bottom up."""


def spans_of(walls: Sequence[Wall]) -> Spans:
    """Walls in whole units.

    Raises:
        InputError: a course does not run forward, or a forbidden stretch runs backward.
    """
    return tuple(tuple(_span(w, c, row) for c, row in enumerate(wall.courses)) for w, wall in enumerate(walls))


def _span(wall: int, course: int, row: Course) -> Span:
    start, end = units(row.from_m), units(row.to_m)
    key = f"walls[{wall}].courses[{course}]"
    refuse_if(end <= start, key, f"a course from {row.from_m:g} to {row.to_m:g} m found", "a course that runs forward")
    stretches = tuple((units(low), units(high)) for low, high in row.forbidden)
    backward = [stretch for stretch in row.forbidden if stretch[1] < stretch[0]]
    refuse_if(bool(backward), f"{key}.forbidden", "a forbidden stretch that runs backward found", "[from, to]")
    return Span(start, end, stretches)


def stations(span: Span, rules: Rules) -> list[int]:
    """Where joints may lie: on the grid, clear of the ends and of forbidden stretches."""
    first = span.start // rules.grid + 1
    last = -(-span.end // rules.grid) - 1
    on_grid = (number * rules.grid for number in range(first, last + 1))
    low, high = span.start + rules.end_clear, span.end - rules.end_clear
    return [at for at in on_grid if low <= at <= high and not span.forbids(at)]


def pieces(span: Span, rules: Rules) -> list[tuple[int, int]]:
    """Every piece a course may be made of, as (from, to)."""
    nodes = [span.start, *stations(span, rules), span.end]
    found = []
    for i, start in enumerate(nodes[:-1]):
        low = bisect_left(nodes, start + rules.shortest, i + 1)
        high = bisect_right(nodes, start + rules.longest, i + 1)
        found += [(start, end) for end in nodes[low:high]]
    return found


def cliques(lower: Sequence[int], upper: Sequence[int], rules: Rules) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Joints of two neighbouring courses of which at most one may exist, so that none are nearer than the offset.

    Where pieces are never shorter than the offset, all joints of both courses in a stretch shorter than the offset
    exclude each other; otherwise each joint stands against the other course's joints in a stretch shorter than the
    shortest piece.
    """
    if rules.offset <= 0:
        return []
    found: set[tuple[tuple[int, ...], tuple[int, ...]]] = set()
    if rules.shortest >= rules.offset:
        for at in sorted({*lower, *upper}):
            found.add((_within(lower, at, at + rules.offset), _within(upper, at, at + rules.offset)))
    else:
        for at in lower:
            found |= {((at,), near) for near in _near(at, upper, rules)}
        for at in upper:
            found |= {(near, (at,)) for near in _near(at, lower, rules)}
    return sorted(pair for pair in found if pair[0] and pair[1])


def _within(row: Sequence[int], low: int, high: int) -> tuple[int, ...]:
    """Stations from low, before high."""
    return tuple(row[bisect_left(row, low) : bisect_left(row, high)])


def _near(at: int, row: Sequence[int], rules: Rules) -> list[tuple[int, ...]]:
    """Stretches of the other course, each shorter than the shortest piece, that cover all joints too near to one."""
    close = _within(row, at - rules.offset + 1, at + rules.offset)
    found = [_within(close, first, first + rules.shortest) for first in close]
    return [one for i, one in enumerate(found) if i == 0 or one[-1] > found[i - 1][-1]]
