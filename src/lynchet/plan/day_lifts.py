"""How high drain stone and fill may rise on a day, wall by wall: never over the top course a wall has by then."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.plan.building_days import BuildingDays, days_of
from lynchet.plan.day_parts import Share
from lynchet.plan.model import Plan
from lynchet.terraces.built_with import BuiltWith
from lynchet.walls.model import Leg, Piece

_SAME_M = 1e-6
_LAP_M = 0.05
"""Timber that reaches less far than this behind a fill holds none of it."""


def lift_tops(plan: Plan, day: int, share: Share) -> dict[str, float]:
    """Levels by wall, in the order of the walls; empty where no timber stands before what is filled.

    Args:
        plan: with its days.
        day: from 1.
        share: of stone or fill, with the level to which it rises.
    """
    days, built, found = days_of(plan), BuiltWith(plan.terraces), dict[str, float]()
    most = share.top_m
    if most is None:
        return found
    for leg in plan.walls.legs:
        tops = [piece.top_m for piece in _before(plan, leg, built, share.task.terrace)
                if piece.top_m < most + _SAME_M and _there(days, piece, day)]  # fmt: skip
        if tops:
            found[leg.id] = max(tops)
    return found


def _before(plan: Plan, leg: Leg, built: BuiltWith, stage: int) -> Iterator[Piece]:
    """Timber of the stretches of a wall that hold the ground of a stage."""
    spans = [span for span in leg.spans if built.of(span.high_face, span.low_face) == stage]
    for piece in plan.pieces if spans else ():
        if piece.leg == leg.id:
            start, end = min(piece.start_m), max(piece.end_m)
            if any(min(end, span.end_m) - max(start, span.start_m) > _LAP_M for span in spans):
                yield piece


def _there(days: BuildingDays, piece: Piece, day: int) -> bool:
    """Whether a piece stands in the evening; what stands from the beginning has day 0."""
    return days.day_of(piece.id) <= day
