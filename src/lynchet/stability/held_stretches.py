"""Stretches of a leg that hold ground, on which base, top, faces and water keep their kind."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from lynchet.terraces.model import HOUSE
from lynchet.walls.model import Leg, Segment, Span
from lynchet.water.model import Water, WaterLevel


class HeldStretch(NamedTuple):
    """One stretch, with what stands there and lies on its sides."""

    start_m: float
    end_m: float
    segment: Segment
    span: Span
    water: WaterLevel | None
    """None where no water is looked for."""
    held: int
    """Of the span: +1 where the timber side is the high one."""


def held_stretches(leg: Leg, water: Water) -> list[HeldStretch]:
    """The stretches of one leg, in order along it."""
    cuts = {s for segment in leg.segments for s in (segment.start_m, segment.end_m)}
    cuts |= {s for span in leg.spans for s in (span.start_m, span.end_m)}
    cuts |= {s for row in water.levels_of(leg.id) for s in (row.start_m, row.end_m)}
    stations = sorted(cuts)
    found = []
    for start, end in pairwise(stations):
        middle = 0.5 * (start + end)
        segment = leg.segment_at(middle)
        if end - start < 1e-3 or segment is None:
            continue
        span = leg.span_at(middle)
        held = span.held
        if held == 0 or (span.left if held > 0 else span.right) == HOUSE:
            continue
        level = water.level_at(leg.id, middle)
        found.append(HeldStretch(start, end, segment, span, level if level and level.held == held else None, held))
    return found
