"""Footing steps: the base course of every stretch, deep enough everywhere, in treads long enough to build; and the
steps of the top, by the same rule with signs turned.

The demand is exact (every place where the low side crosses a course). A window round each node takes its lowest
demand. Then the shortest tread under the least joins its higher-lying lower neighbour, or, in a pit, pulls its nearer
neighbour down, until none is short.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from math import ceil, floor

from lynchet.core.intervals import Interval
from lynchet.terraces.model import Lattice
from lynchet.walls.model import FootingStep, Segment, Span

LEAST_TREAD_M = 0.3
_EPS = 1e-6

Tread = tuple[float, float, int]
"""start, end, course."""


def base_demand(spans: Sequence[Span], stretch: Interval, lattice: Lattice, embedment_m: float) -> list[Tread]:
    """Highest base course that keeps the embedment, along a stretch."""
    pieces = [(s.start_m, s.end_m, s.low0_m - embedment_m, s.low1_m - embedment_m) for s in spans]
    return _by_course(pieces, stretch, lattice, 1)


def top_demand(
    spans: Sequence[Span], stretch: Interval, lattice: Lattice, freeboard_m: float, flush: frozenset[str] = frozenset()
) -> list[Tread]:
    """Lowest top course that keeps the freeboard, along a stretch (number of the highest course laid).

    Args:
        spans: levels along the leg.
        stretch: where the wall stands.
        lattice: the courses.
        freeboard_m: how far the top stands over the higher side.
        flush: faces (treads of flights) that lie flush with the top.
    """
    pieces = []
    for span in spans:
        spare = 0.0 if span.high_face in flush else freeboard_m
        pieces.append((span.start_m, span.end_m, span.high0_m + spare, span.high1_m + spare))
    return _by_course(pieces, stretch, lattice, -1)


def _by_course(
    pieces: Iterable[tuple[float, float, float, float]], stretch: Interval, lattice: Lattice, sign: int
) -> list[Tread]:
    """Straight levels as whole courses: floor for bases (sign 1), ceiling less one for tops (sign -1)."""
    datum, course = lattice.bottoms_m[0], lattice.course_m
    out: list[Tread] = []
    for start, end, z0, z1 in pieces:
        low, high = max(start, stretch[0]), min(end, stretch[1])
        if high - low < 1e-9:
            continue
        slope = (z1 - z0) / (end - start)
        k0 = (z0 + slope * (low - start) - datum) / course
        k1 = (z0 + slope * (high - start) - datum) / course
        marks = [low]
        if abs(k1 - k0) > _EPS:
            first, last = ceil(min(k0, k1) + _EPS), floor(max(k0, k1) - _EPS)
            cuts = [low + (k - k0) / (k1 - k0) * (high - low) for k in range(first, last + 1)]
            marks += sorted(cuts)
        marks.append(high)
        for a, b in itertools.pairwise(marks):
            if b - a < 1e-9 and len(marks) > 2:
                continue
            middle = k0 + ((a + b) / 2 - low) / (high - low) * (k1 - k0)
            k = floor(middle + _EPS) if sign > 0 else ceil(middle - _EPS) - 1
            _add(out, a, b, k)
    return out


def _add(treads: list[Tread], start: float, end: float, course: int) -> None:
    """Append, joining equal neighbours and closing hairs between them."""
    if treads and treads[-1][2] == course:
        treads[-1] = (treads[-1][0], end, course)
    elif treads:
        treads.append((treads[-1][1], end, course))
    else:
        treads.append((start, end, course))


def with_windows(treads: Sequence[Tread], windows: Iterable[Interval], sign: int) -> list[Tread]:
    """Each window takes its lowest (sign 1) or highest (sign -1) course throughout.

    Overlapping windows act as one.
    """
    out = list(treads)
    low_end, high_end = treads[0][0], treads[-1][1]
    merged: list[Interval] = []
    for a, b in sorted((max(a, low_end), min(b, high_end)) for a, b in windows if a < high_end and b > low_end):
        if merged and a < merged[-1][1] - 1e-9:
            merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
        else:
            merged.append((a, b))
    for a, b in merged:
        if b - a < 1e-9:
            continue
        inside = [t[2] for t in out if t[1] > a + 1e-9 and t[0] < b - 1e-9]
        course = sign * min(sign * k for k in inside)
        parts: list[Tread] = []
        for start, end, k in out:
            if start < a:
                parts.append((start, min(end, a), k))
        parts.append((a, b, course))
        for start, end, k in out:
            if end > b:
                parts.append((max(start, b), end, k))
        out = parts
    return _joined(out)


def _joined(treads: Iterable[Tread]) -> list[Tread]:
    out: list[Tread] = []
    for start, end, k in treads:
        if end - start > 1e-9:
            _add(out, start, end, k)
    return out


def with_least_tread(treads: Sequence[Tread], least_m: float, sign: int) -> list[Tread]:
    """Short treads joined to neighbours, only ever deeper (sign 1) or higher (sign -1)."""
    out = [(a, b, sign * k) for a, b, k in treads]
    while len(out) > 1:
        short = min(range(len(out)), key=lambda i: (round(out[i][1] - out[i][0], 6), i))
        start, end, k = out[short]
        if end - start >= least_m - 1e-9:
            break
        beside = [i for i in (short - 1, short + 1) if 0 <= i < len(out)]
        lower = [i for i in beside if out[i][2] < k]
        if lower:
            out[short] = (start, end, max(out[i][2] for i in lower))
        else:
            near = min(beside, key=lambda i: (out[i][2], out[i][1] - out[i][0]))
            out[near] = (out[near][0], out[near][1], k)
        out = _joined(out)
    return [(a, b, sign * k) for a, b, k in out]


def segments(bases: Sequence[Tread], tops: Sequence[Tread]) -> list[Segment]:
    """Bases and tops of one stretch overlaid."""
    marks = sorted({*(t[0] for t in bases), *(t[1] for t in bases), *(t[0] for t in tops), *(t[1] for t in tops)})
    out: list[Segment] = []
    i = j = 0
    for a, b in itertools.pairwise(marks):
        while bases[i][1] <= a:
            i += 1
        while tops[j][1] <= a:
            j += 1
        out.append(Segment(a, b, bases[i][2], tops[j][2]))
    return out


def steps_of(leg: str, parts: Sequence[Segment]) -> list[FootingStep]:
    """Where the base and the top of a leg step."""
    out = []
    for before, after in itertools.pairwise(parts):
        if before.end_m != after.start_m:
            continue
        if before.base != after.base:
            out.append(FootingStep(leg, after.start_m, before.base, after.base, "base"))
        if before.top != after.top:
            out.append(FootingStep(leg, after.start_m, before.top, after.top, "top"))
    return out
