"""Weep holes as they are bored: by the piece they go through, and in rows of one height from the wall's left end."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from math import dist
from typing import NamedTuple

from lynchet.core.frame import Point
from lynchet.plan.model import Plan
from lynchet.stability.model import Weep
from lynchet.walls.model import Piece
from lynchet.walls.seen import all_seen


class WeepRow(NamedTuple):
    """Holes of one course of one wall at one height."""

    leg: str
    row: int
    """Its course, from the lowest of the wall, 1 first."""
    up_m: float
    """Middle of the bore over the underside of the timber, at the front."""
    from_left_m: tuple[float, ...]
    """Places in order from the left end of the wall's timber."""


def pieces_of_holes(plan: Plan) -> Mapping[str, str]:
    """The piece each hole is bored through."""
    rows: dict[tuple[str, int], list[Piece]] = defaultdict(list)
    for piece in plan.pieces if plan.stability.weeps else ():
        rows[piece.leg, piece.course].append(piece)
    return {
        hole.id: piece.id
        for hole in plan.stability.weeps
        for piece in rows[hole.leg, hole.course]
        if max(piece.start_m) < hole.station_m < min(piece.end_m)
    }


def bore_of(hole: Weep) -> tuple[Point, Point]:
    """The mouth of a hole at the front of its timber and its end at the back, in plan."""
    ends = [_middle(hole.outline_m[a], hole.outline_m[b]) for a, b in ((0, 1), (2, 3))]
    back = max(ends, key=lambda end: dist(end, hole.point_m))
    return hole.point_m, back


def _middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0


def weep_rows(plan: Plan, holes: Iterable[Weep]) -> tuple[WeepRow, ...]:
    """Holes by wall, course and height, the lowest first."""
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    rows = {(run.leg, run.course): run.row for run in plan.walls.runs}
    order = {leg.id: n for n, leg in enumerate(plan.walls.legs)}
    found: dict[tuple[int, str, int, float], list[float]] = defaultdict(list)
    for hole in holes:
        key = order[hole.leg], hole.leg, rows[hole.leg, hole.course], round(hole.up_m, 4)
        found[key].append(seen[hole.leg].along(hole.station_m))
    return tuple(WeepRow(leg, row, up, tuple(sorted(at))) for (_, leg, row, up), at in sorted(found.items()))
