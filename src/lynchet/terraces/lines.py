"""Where the lines between benches lie: straight and parallel, so that placing them is a matter of one offset each.

Offsets are counted uphill. Bands round corners, oblique edges and roots are barred; the wished offsets (equal benches)
move to the nearest free ones.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from math import radians, sin

from lynchet.core.intervals import Interval, without
from lynchet.core.plane import Point, cross, dot, left_of, minus, unit
from lynchet.project.things import Fixed
from lynchet.terraces.area import PIT_MOST_M, Ring

CORNER_CLEAR_M = 0.75
TOUCH_CLEAR_M = 0.375
LEAST_SINE = 0.4
MEET_DEG = 30.0
"""A line meets an edge at this angle or more."""


@dataclass(frozen=True)
class Band:
    """Offsets where no line may lie, and why."""

    low_m: float
    high_m: float
    why: str


def blocked_bands(rings: Sequence[Ring], along: Point) -> list[Band]:
    """Bands round every corner of the area and along every edge a line would meet too obliquely."""
    uphill = left_of(along)
    bands = []
    for ring in rings:
        for i, edge in enumerate(ring):
            before, after = ring[i - 1], ring[(i + 1) % len(ring)]
            back, on = unit(minus(edge.start, before.start)), unit(minus(after.start, edge.start))
            here, there = dot(uphill, edge.start), dot(uphill, after.start)
            steep = max(abs(cross(along, back)), abs(cross(along, on)), LEAST_SINE)
            clear = TOUCH_CLEAR_M if abs(cross(back, on)) < 1e-3 else CORNER_CLEAR_M * steep
            bands.append(Band(here - clear, here + clear, f"the corner of {before.tag} and {edge.tag}"))
            if abs(cross(along, on)) < sin(radians(MEET_DEG)):
                low, high = sorted((here, there))
                bands.append(Band(low - CORNER_CLEAR_M, high + CORNER_CLEAR_M, f"the edge {edge.tag}"))
    return bands


def root_bands(fixed: Sequence[Fixed], along: Point) -> list[Band]:
    """Bands over root zones too wide to be left as a pit."""
    uphill = left_of(along)
    wide = [thing for thing in fixed if thing.kind == "tree" and thing.clear_m > PIT_MOST_M]
    return [
        Band(dot(uphill, t.line_m[0]) - t.clear_m, dot(uphill, t.line_m[0]) + t.clear_m, f"the roots of {t.name}")
        for t in wide
    ]


def offset_range(rings: Sequence[Ring], along: Point) -> Interval:
    """Lowest and highest offset of the area."""
    uphill = left_of(along)
    offsets = [dot(uphill, edge.start) for ring in rings for edge in ring]
    return min(offsets), max(offsets)


def placed_offsets(
    count: int, bounds: Interval, bands: Sequence[Band], apart_m: float, last_m: float = 0.0
) -> list[float] | None:
    """Offsets of ``count`` lines nearest to equal spacing, clear of the bands and at least ``apart_m`` apart.

    Exact over the ends of the free stretches, the wishes, and what lies whole spacings from these.

    Args:
        count: of lines.
        bounds: lowest and highest offset of the ground between which they lie.
        bands: barred offsets.
        apart_m: least distance from line to line, and from the lower bound.
        last_m: from the highest line to the upper bound, where that is more.

    Returns:
        Ascending offsets; None where there is no room.
    """
    if count == 0:
        return []
    low, high = bounds
    free = without([(low + apart_m, high - max(apart_m, last_m))], [(band.low_m, band.high_m) for band in bands])
    wishes = [low + (high - low) * (i + 1) / (count + 1) for i in range(count)]
    places = _candidates(free, wishes, apart_m, count)
    best: dict[int, tuple[float, list[float]]] = {}
    for line, wish in enumerate(wishes):
        after: dict[int, tuple[float, list[float]]] = {}
        for i, place in enumerate(places):
            cost = abs(place - wish)
            if line == 0:
                after[i] = (cost, [place])
                continue
            earlier = [entry for j, entry in best.items() if places[j] <= place - apart_m + 1e-9]
            if earlier:
                least = min(earlier, key=lambda entry: entry[0])
                after[i] = (least[0] + cost, [*least[1], place])
        best = after
    return min(best.values(), key=lambda entry: entry[0])[1] if best else None


def _candidates(free: list[Interval], wishes: list[float], apart_m: float, count: int) -> list[float]:
    places: set[float] = set()
    ends = [value for stretch in free for value in stretch]
    for base in [*ends, *wishes]:
        for step in range(-count + 1, count):
            place = base + step * apart_m
            if any(low - 1e-9 <= place <= high + 1e-9 for low, high in free):
                places.add(round(place, 6))
    return sorted(places)


def deepest_over_mean(offsets: Sequence[float], bounds: Interval) -> float:
    """Depth of the deepest bench over the mean depth."""
    marks = [bounds[0], *offsets, bounds[1]]
    depths = [b - a for a, b in itertools.pairwise(marks)]
    return max(depths) * len(depths) / (bounds[1] - bounds[0])


def blocking(wish: float, bands: Sequence[Band]) -> Band | None:
    """The widest band over a wished offset, None where it is free."""
    over = [band for band in bands if band.low_m < wish < band.high_m]
    return max(over, key=lambda band: band.high_m - band.low_m, default=None)
