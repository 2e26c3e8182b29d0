"""How high drain stone and fill may rise on a day, wall by wall: never over the top course a wall has by then.

Drain stone ends under the soil over it, and fill under the soil of a bed: those levels are told too.
"""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.earth.finishes import lowered_m
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
    if share.task.kind != "stone":
        return found
    ends = {leg: _stone_top_m(plan, plan.walls.leg(leg), built, share.task.terrace) for leg in found}
    stony = {leg: min(found[leg], end) for leg, end in ends.items() if end is not None}
    return stony or found


def under_soil(plan: Plan, share: Share) -> dict[str, float]:
    """By bed the level under its soil, where fill may rise higher than that today: the soil needs the room over it."""
    if share.task.kind != "fill" or share.top_m is None or plan.project.bed_soil_m <= 0:
        return {}
    deep = lowered_m(plan.project) + plan.project.bed_soil_m
    beds = {face.id: face.level_m - deep for face in plan.terraces.beds if face.terrace == share.task.terrace}
    return {bed: level for bed, level in beds.items() if level < share.top_m - _SAME_M}


def _stone_top_m(plan: Plan, leg: Leg, built: BuiltWith, stage: int) -> float | None:
    """Top of the drain stone behind the stretches of a wall that hold the ground of a stage."""
    faces = {span.high_face for span in leg.spans if built.of(span.high_face, span.low_face) == stage}
    mine = [one for one in plan.water.stone if one.leg == leg.id and one.chain.partition("/")[0] in faces]
    return max((max(one.top_start_m, one.top_end_m) for one in mine), default=None)


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
