"""What the lowest course lies on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from lynchet.core.quick import quick
from lynchet.core.same import Same
from lynchet.walls.model import Leg, Point, Run, Walls

STONE_BED_M = 0.15
"""Compacted stone under the lowest course. PRACTICE (6 in)."""
_SHORT_M = 0.01
"""Beds shorter than this are none."""


@quick
@dataclass(frozen=True)
class StoneBed:
    """Stone under the lowest course of one segment."""

    leg: Leg
    number: int
    """Of the segment, from 1."""
    run: Run
    start_m: float
    end_m: float

    @cached_property
    def outline_m(self) -> tuple[Point, ...]:
        """As wide as the timber."""
        near, far = self.run.offset_m, self.run.offset_m + self.leg.thickness_m
        corners = ((self.start_m, near), (self.end_m, near), (self.end_m, far), (self.start_m, far))
        return tuple(self.leg.point_at(station, left) for station, left in corners)


def stone_beds(walls: Walls, leg: Leg) -> Sequence[StoneBed]:
    """Beds of one leg, segment by segment; none where a segment lies on a course below."""
    return _stone_beds(Same(walls), Same(leg))


@lru_cache(maxsize=128)
def _stone_beds(walls: Same[Walls], leg: Same[Leg]) -> tuple[StoneBed, ...]:
    """Kept, for soil, order list, stages and what is placed ask for the same."""
    found = []
    for number, segment in enumerate(leg.thing.segments, start=1):
        for run in walls.thing.runs_of(leg.thing.id, segment.base):
            start, end = max(run.inner_m[0], segment.start_m), min(run.inner_m[1], segment.end_m)
            if end - start >= _SHORT_M:
                found.append(StoneBed(leg.thing, number, run, start, end))
    return tuple(found)
