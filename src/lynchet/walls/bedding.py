"""What the lowest course lies on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lynchet.core.quick import quick
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

    @property
    def outline_m(self) -> tuple[Point, ...]:
        """As wide as the timber."""
        near, far = self.run.offset_m, self.run.offset_m + self.leg.thickness_m
        corners = ((self.start_m, near), (self.end_m, near), (self.end_m, far), (self.start_m, far))
        return tuple(self.leg.point_at(station, left) for station, left in corners)


def stone_beds(walls: Walls, leg: Leg) -> Iterator[StoneBed]:
    """Beds of one leg, segment by segment; none where a segment lies on a course below."""
    for number, segment in enumerate(leg.segments, start=1):
        for run in walls.runs_of(leg.id, segment.base):
            start, end = max(run.inner_m[0], segment.start_m), min(run.inner_m[1], segment.end_m)
            if end - start >= _SHORT_M:
                yield StoneBed(leg, number, run, start, end)
