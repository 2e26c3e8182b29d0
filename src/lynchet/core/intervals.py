"""Sets of stretches on a line: sorted, disjoint (start, end) pairs."""

from __future__ import annotations

from collections.abc import Iterable

Interval = tuple[float, float]


def joined(intervals: Iterable[Interval], gap: float = 0.0) -> list[Interval]:
    """The union; stretches closer than or as close as ``gap`` become one."""
    out: list[Interval] = []
    for start, end in sorted(intervals):
        if out and start <= out[-1][1] + gap:
            out[-1] = (out[-1][0], max(out[-1][1], end))
        else:
            out.append((start, end))
    return out


def without(intervals: Iterable[Interval], holes: Iterable[Interval]) -> list[Interval]:
    """What is left of the stretches when the holes are taken out; nothing of length 0 is kept."""
    out: list[Interval] = []
    taken = joined(holes)
    for start, end in sorted(intervals):
        for low, high in taken:
            if high <= start or low >= end:
                continue
            if low > start:
                out.append((start, low))
            start = max(start, high)
        if end > start:
            out.append((start, end))
    return out


def common(first: Iterable[Interval], second: Iterable[Interval]) -> list[Interval]:
    """Stretches that both have."""
    others = list(second)
    return sorted((max(a, c), min(b, d)) for a, b in first for c, d in others if min(b, d) > max(a, c))
