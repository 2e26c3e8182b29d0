"""What a sheet says of a wall in figures, read from its runs, spans and segments: lengths, heights, piece marks."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from lynchet.core.intervals import joined
from lynchet.drawings.source import Planned
from lynchet.stability.places import base_and_top
from lynchet.walls.model import Leg
from lynchet.walls.piece_marks import piece_marks as marks_of

_JOINT_M = 1e-3
"""Timber no further apart stands end to end."""


@dataclass(frozen=True)
class Height:
    """Heights of a wall at one station, both ways of counting."""

    station_m: float
    seen_m: float
    """Lower ground to the top of the timber."""
    with_buried_m: float
    """Underside of the lowest timber to the top."""


def standing(plan: Planned) -> tuple[Leg, ...]:
    """Legs on which a wall stands."""
    built = {run.leg for run in plan.walls.runs}
    return tuple(leg for leg in plan.walls.legs if leg.id in built)


def outer(plan: Planned, leg: Leg) -> tuple[float, float]:
    """Stations of the first and last timber of a leg."""
    ends = [run.outer_m for run in plan.walls.runs if run.leg == leg.id]
    return min(start for start, _ in ends), max(end for _, end in ends)


def built_m(plan: Planned, leg: Leg) -> float:
    """Length of wall to build on a leg: from its first timber to its last, less where none stands between."""
    return sum(end - start for start, end in joined((r.outer_m for r in plan.walls.runs if r.leg == leg.id), _JOINT_M))


def top_and_base(plan: Planned, leg: Leg, station_m: float) -> tuple[float, float] | None:
    """Levels of the top and the underside of the timber at a station, or None where none stands."""
    runs = [r for r in plan.walls.runs if r.leg == leg.id and r.outer_m[0] - 1e-6 <= station_m <= r.outer_m[1] + 1e-6]
    return (max(run.top_m for run in runs), min(run.bottom_m for run in runs)) if runs else None


def heights(plan: Planned, leg: Leg) -> tuple[Height, ...]:
    """Heights at every station where the ground or the timber changes, in order.

    A course that stops short at a wall it meets counts to the corner: there the end of the other's timber shows.
    """
    found = []
    laid = {run.course for run in plan.walls.runs if run.leg == leg.id}
    for segment in leg.segments:
        marks = {segment.start_m, segment.end_m}
        marks |= {s for span in leg.spans for s in (span.start_m, span.end_m) if segment.start_m < s < segment.end_m}
        if segment.top not in laid or segment.base not in laid:
            continue
        base, top = base_and_top(plan.walls, leg, segment, (segment.start_m + segment.end_m) / 2)
        for station in sorted(marks):
            inner = min(max(station, segment.start_m + 1e-4), segment.end_m - 1e-4)
            low = min(leg.span_at(inner).levels_at(inner))
            found.append(Height(station, top - low, top - base))
    return tuple(found)


def greatest_m(plan: Planned, leg: Leg) -> tuple[float, float]:
    """The greatest heights of a wall anywhere along it: timber seen, and the lowest timber to the top at one place.

    The same two numbers stand on every sheet that gives one height to a wall.
    """
    runs = [run for run in plan.walls.runs if run.leg == leg.id]
    marks = sorted({station for run in runs for station in run.outer_m})
    middles = [(a + b) / 2 for a, b in pairwise(marks) if b - a > 1e-3]
    spans = [at for station in middles if (at := top_and_base(plan, leg, station))]
    found = heights(plan, leg)
    whole = [*(top - base for top, base in spans), *(height.with_buried_m for height in found)]
    return max((height.seen_m for height in found), default=0.0), max(whole, default=0.0)


def range_words(values: list[float], say: object) -> str:
    """ "0.45" or "0.45–0.66" of a list of lengths; ``say`` prints one."""
    assert callable(say)
    low, high = say(min(values)), say(max(values))
    return str(low) if low == high else f"{low}–{high}"


def piece_marks(plan: Planned, leg: Leg) -> dict[str, str]:
    """Marks by piece id: row from the lowest course of the wall and a letter along it: "2a"."""
    return marks_of(plan.walls.runs, [piece for piece in plan.pieces if piece.leg == leg.id])


def wall_piece_names(plan: Planned) -> dict[str, str]:
    """Wall and mark by piece id, of every wall: "W2 1a"."""
    return {
        piece: f"{leg.id} {mark}"
        for leg in plan.walls.legs
        if leg.segments
        for piece, mark in piece_marks(plan, leg).items()
    }


def tie_names(plan: Planned) -> dict[str, str]:
    """Wall, course from below and number along it by tie id: "A2 3 tie 1"; courses as the wall sheets count them."""
    lowest = {leg.id: leg.lowest_course for leg in plan.walls.legs if leg.segments}
    return {
        tie.id: f"{tie.leg} {tie.course - lowest[tie.leg] + 1} tie {tie.id.rpartition('tie')[2]}"
        for tie in plan.stability.ties
    }
