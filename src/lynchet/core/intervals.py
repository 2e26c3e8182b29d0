"""Sets of stretches on a line: sorted, disjoint (start, end) pairs."""

from __future__ import annotations

from collections.abc import Iterable

Interval = tuple[float, float]


def joined(intervals: Iterable[Interval], gap: float = 0.0) -> list[Interval]:
    """The union; stretches closer than or as close as ``gap`` become one."""
    found = sorted(intervals)
    if len(found) < 2:
        return found
    out: list[Interval] = []
    low, high = found[0]
    for start, end in found[1:]:
        if start > high + gap:
            out.append((low, high))
            low, high = start, end
        elif end > high:
            high = end
    out.append((low, high))
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
    others, found = list(second), list[Interval]()
    for a, b in first:
        for c, d in others:
            low, high = c if c > a else a, d if d < b else b
            if high > low:
                found.append((low, high))
    found.sort()
    return found
