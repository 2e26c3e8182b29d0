"""Where on its line a wall stands: wherever the levels differ, tidied at ends, gaps and stubs."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.intervals import Interval, common, joined
from lynchet.terraces.model import HOUSE, WallLine
from lynchet.terraces.worth_a_wall import LEAST_M, SHORT_M, STUB_M
from lynchet.walls.bank_reach import Reach
from lynchet.walls.model import Span
from lynchet.walls.pads import Pad


def standing(
    line: WallLine, spans: Sequence[Span], pads: Sequence[Pad], course_m: float, reaches: Sequence[Reach] = ()
) -> list[Interval]:
    """Stretches of the line on which a wall stands.

    Args:
        line: the wall line; ``open`` and ``house`` edges never carry a wall, ``bank`` edges only where the bank
            does not meet the ground within its width.
        spans: levels along it.
        pads: its nodes.
        course_m: height of a course.
        reaches: of the banks of beds along it.
    """
    if line.finish in ("open", "house"):
        return []
    length = line.length_m
    may = joined([(s.start_m, s.end_m) for s in spans if HOUSE not in (s.left, s.right)], 1e-9)
    banked = {reach.face for reach in reaches}
    parts = [part for span in spans if span.left not in banked and (part := differs(span, LEAST_M))]
    found = joined([*parts, *(part for reach in reaches for part in reach.past(line.bank_width_m))], 1e-9)
    found = _to_ends(found, length)
    found = [part for free in may for part in joined(common(found, [free]), SHORT_M)]
    found = [part for part in found if _worth(part, spans, course_m)]
    found = _past_nodes(found, pads, length)
    return [part for free in may for part in joined(common(found, [free]), 1e-9)]


def differs(span: Span, least: float) -> Interval | None:
    """Part of a span over which the levels on its two sides differ by more than ``least`` (m); none beside a house."""
    if HOUSE in (span.left, span.right):
        return None
    d0, d1 = abs(span.left0_m - span.right0_m), abs(span.left1_m - span.right1_m)
    if max(d0, d1) <= least:
        return None
    start, end = span.start_m, span.end_m
    if min(d0, d1) >= least:
        return start, end
    cut = start + (least - d0) / (d1 - d0) * (end - start)
    return (cut, end) if d1 > d0 else (start, cut)


def _to_ends(found: Sequence[Interval], length: float) -> list[Interval]:
    """An end near the end of the line runs on to it."""
    return [(0.0 if a < SHORT_M else a, length if b > length - SHORT_M else b) for a, b in found]


def _worth(part: Interval, spans: Sequence[Span], course_m: float) -> bool:
    """Whether a stretch is long or high enough to be built."""
    size = part[1] - part[0]
    if size < STUB_M:
        return False
    if size >= SHORT_M:
        return True
    high = max(
        max(abs(s.left0_m - s.right0_m), abs(s.left1_m - s.right1_m))
        for s in spans
        if s.end_m > part[0] and s.start_m < part[1]
    )
    return high > course_m


def _past_nodes(found: Sequence[Interval], pads: Sequence[Pad], length: float) -> list[Interval]:
    """Stubs at a corner made as long as the pad; ends near a tee go on to it, or past it by the pad."""
    out = []
    for start, end in found:
        for pad in pads:
            if pad.station_m - pad.need_m < end < pad.station_m - 1e-9:
                end = pad.station_m
            elif pad.station_m < end < pad.station_m + pad.need_m:
                end = min(length, pad.station_m + pad.need_m)
        for pad in reversed(pads):
            if pad.station_m + 1e-9 < start < pad.station_m + pad.need_m:
                start = pad.station_m
            elif pad.station_m - pad.need_m < start < pad.station_m:
                start = max(0.0, pad.station_m - pad.need_m)
        out.append((start, end))
    return joined(out, 1e-9)
