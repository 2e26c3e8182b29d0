"""A wall as one stands before it: seen from its low side, places counted from the left end of its timber.

Every station a person reads, in findings, on sheets, in the book, is counted so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lynchet.walls.model import Leg, Run

FROM_LEFT = "from its left end, seen from below"
_AT_END_M = 0.05


@dataclass(frozen=True)
class Seen:
    """One wall from its low side."""

    flipped: bool
    """The leg's start stands at the right."""
    start_m: float
    end_m: float
    """Stations of the first and last timber."""

    def x(self, station_m: float) -> float:
        """Distance from the left end of the timber; below 0 and beyond its length where the line goes on."""
        return self.end_m - station_m if self.flipped else station_m - self.start_m

    def span(self, low_m: float, high_m: float) -> tuple[float, float]:
        """Two stations as distances from the left, in order."""
        a, b = self.x(low_m), self.x(high_m)
        return min(a, b), max(a, b)

    def along(self, station_m: float) -> float:
        """The same as ``x``, held to the timber."""
        return min(max(self.x(station_m), 0.0), self.end_m - self.start_m)

    def stretch(self, low_m: float, high_m: float) -> tuple[float, float]:
        """Two stations as distances from the left, in order, held to the timber."""
        a, b = self.along(low_m), self.along(high_m)
        return min(a, b), max(a, b)

    def at_end(self, station_m: float) -> str:
        """Which end of the timber a place is, left or right; empty where it is none."""
        along = self.along(station_m)
        return "left" if along < _AT_END_M else "right" if self.end_m - self.start_m - along < _AT_END_M else ""


def seen_of(leg: Leg, runs: Iterable[Run], *, mirrored: bool) -> Seen:
    """One wall; its line where nothing stands on it.

    Args:
        leg: the wall.
        runs: of this or of all walls.
        mirrored: the own frame is of the other hand than the yard: left and right change over.
    """
    held = sum(span.held * (span.end_m - span.start_m) for span in leg.spans)
    ends = [run.outer_m for run in runs if run.leg == leg.id] or [(0.0, leg.length_m)]
    start, end = min(start for start, _ in ends), max(end for _, end in ends)
    return Seen((held < 0) != mirrored, start, end)


def all_seen(legs: Iterable[Leg], runs: Iterable[Run], *, mirrored: bool) -> dict[str, Seen]:
    """Every wall by its name."""
    own: dict[str, list[Run]] = {}
    for run in runs:
        own.setdefault(run.leg, []).append(run)
    return {leg.id: seen_of(leg, own.get(leg.id, ()), mirrored=mirrored) for leg in legs}
