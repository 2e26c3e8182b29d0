"""Segments of a wall that stands: its base as laid, its top as the plan now wants it, never under what stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from lynchet.core.standing import LegStanding
from lynchet.walls.model import Leg, Segment

SNAP_M = 0.001
"""Stations written in a file to the tenth of a millimetre are those of the plan."""

Kept = tuple[float, float, int, int]


def kept_segments(free: Leg, known: LegStanding) -> Leg:
    """The leg with the segments kept.

    Args:
        free: the leg as it would be planned with nothing standing.
        known: what stands; with segments.

    Returns:
        Bases are those kept, or deeper where nothing is laid yet and the plan wants them deeper; tops those planned, or
        those kept where nothing is planned any more; where the plan wants wall beyond what was kept, it is added as
        planned.
    """
    marks = sorted({mark for part in free.segments for mark in (part.start_m, part.end_m)} | set(free.node_stations_m))
    kept = [(_near(a, marks), _near(b, marks), base, top) for a, b, base, top in known.segments]
    cuts = sorted({*marks, *(mark for part in kept for mark in part[:2])})
    out: list[Segment] = []
    for a, b in pairwise(cuts):
        part = _between(kept, free.segments, 0.5 * (a + b), known.built)
        if part is None:
            continue
        base, top = part
        if out and out[-1].end_m == a and (out[-1].base, out[-1].top) == (base, top):
            out[-1] = replace(out[-1], end_m=b)
        else:
            out.append(Segment(a, b, base, top))
    return replace(free, segments=tuple(out))


def _near(station: float, marks: Sequence[float]) -> float:
    return next((mark for mark in marks if abs(mark - station) <= SNAP_M), station)


def _between(
    kept: Sequence[Kept], free: Sequence[Segment], station: float, built: int | None
) -> tuple[int, int] | None:
    """(base, top) at a station; None where no wall stands."""
    planned = next((part for part in free if part.start_m < station < part.end_m), None)
    for start, end, base, top in kept:
        if start < station < end:
            wanted = planned.top if planned is not None else top
            if built is not None and built >= base:
                return base, max(wanted, min(built, top))
            deeper = planned.base if planned is not None else base
            return min(base, deeper), max(wanted, base)
    return None if planned is None else (planned.base, planned.top)
