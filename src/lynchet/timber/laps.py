"""Where a timber lies on the one below, and where in that a screw finds room beside what stands there already."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from lynchet.core.quick import quick
from lynchet.stability.constants import SCREW_DIAMETER_M, SCREW_SPACING_M
from lynchet.timber.sizes import CLEAR_NOTCH_M, END_M
from lynchet.walls.model import Piece, Run, Walls

Key = tuple[str, int]
_SHIFTS = (0.0, 0.04, -0.04, 0.08, -0.08, 0.12, -0.12, 0.16, -0.16, 0.2, -0.2)
END_LEAST_M = 7.0 * SCREW_DIAMETER_M
"""Screw to the end of a timber, not rounded up, where no other place is left. NDS 2018, Table 12.5.1A."""
_REACH_M = SCREW_SPACING_M / 2.0
"""No screw is moved further aside, so that none takes the place of its neighbour."""
LONG_M = 0.5
"""A shorter lap may do without a screw where ties and pins leave no room: the laps beside it hold. PRACTICE."""
WIDEST_M = SCREW_SPACING_M + 0.4
"""Screws further apart leave a lap loose: each moved aside by 0.2 m. PRACTICE."""
GAP_M = 1e-3
"""Pieces of one course further apart than this have a notch between them."""


@dataclass
class Taken:
    """Stations along each course of each leg where something stands, and how far to keep from it."""

    stations: dict[Key, list[tuple[float, float]]] = field(default_factory=lambda: defaultdict(list))

    def add(self, key: Key, station: float, clear: float) -> None:
        """Something at this station; others keep ``clear`` away."""
        insort(self.stations[key], (station, clear))

    def free(self, keys: Sequence[Key], station: float) -> bool:
        """Whether a screw may stand here in all these courses."""
        low, high = (station - CLEAR_NOTCH_M, 0.0), station + CLEAR_NOTCH_M
        for key in keys:
            held = self.stations.get(key)
            if held:
                for at in range(bisect_left(held, low), len(held)):
                    other, clear = held[at]
                    if other > high:
                        break
                    if abs(station - other) < clear - 1e-9:
                        return False
        return True

    def beside(self, keys: Sequence[Key], station: float, reach: float) -> list[float]:
        """Stations just clear of what stands in these courses within reach."""
        near = [held for key in keys for held in self.stations.get(key, ()) if abs(held[0] - station) < reach]
        return [other + side * clear for other, clear in near for side in (-1.0, 1.0)]


@quick
@dataclass(frozen=True)
class Lap:
    """A place where a piece lies on a piece of the course below."""

    upper: Piece
    run: Run
    below: Run
    low_m: float
    """Stations between which screws may stand."""
    high_m: float
    least_m: float
    """The same where little room is left."""
    most_m: float

    def loose(self, screws: Sequence[float]) -> bool:
        """Whether screws at these stations leave so much of it unheld that it must be told."""
        low, high = self.least_m - END_LEAST_M, self.most_m + END_LEAST_M
        if high - low < LONG_M:
            return False
        marks = [low, *sorted(screws), high]
        return not screws or max(b - a for a, b in pairwise(marks)) > WIDEST_M


def place(taken: Taken, keys: tuple[Key, Key], lap: Lap, wished: float) -> float | None:
    """The free station nearest the wish within the lap; None where there is none.

    Where all the usual places beside the wish are taken, any station beside what stands there, and last nearer to an
    end than the usual, at full strength all the same.
    """
    for shift in _SHIFTS:
        station = wished + shift
        if lap.low_m - 1e-9 <= station <= lap.high_m + 1e-9 and taken.free(keys, station):
            return station
    beside = taken.beside(keys, wished, _REACH_M)
    for low, high in ((lap.low_m, lap.high_m), (lap.least_m, lap.most_m)):
        spots = [spot for spot in (*beside, low, high) if low - 1e-9 <= spot <= high + 1e-9]
        for spot in sorted(spots, key=lambda s: abs(s - wished)):
            if abs(spot - wished) <= _REACH_M and taken.free(keys, spot):
                return spot
    return None


def laps_of(walls: Walls, pieces: Sequence[Piece]) -> Iterator[Lap]:
    """Every place where a piece lies on one of the course below, ends and notches kept clear."""
    by_course: dict[Key, list[Piece]] = defaultdict(list)
    for piece in pieces:
        by_course[piece.leg, piece.course].append(piece)
    runs = {run.id: run for run in walls.runs}
    kept = {piece.id: ends_kept(piece, by_course[piece.leg, piece.course]) for piece in pieces}
    for piece in pieces:
        low, high, least, most = kept[piece.id]
        for below in by_course.get((piece.leg, piece.course - 1), ()):
            under = kept[below.id]
            start, end = max(low, under[0]), min(high, under[1])
            if end >= start:
                wide = max(least, under[2]), min(most, under[3])
                yield Lap(piece, runs[piece.run], runs[below.run], start, end, *wide)


def ends_kept(piece: Piece, course: Sequence[Piece]) -> tuple[float, float, float, float]:
    """Stations of a piece between which screws may stand: clear of its ends, further from a notch.

    Returns:
        The usual two, then the two where little room is left.
    """
    low, high = max(piece.start_m), min(piece.end_m)
    before = after = joined_before = joined_after = False
    for other in course:
        if other.run == piece.run and other is not piece:
            gap_before, gap_after = low - max(other.end_m), min(other.start_m) - high
            before, after = before or GAP_M < gap_before < 1.0, after or GAP_M < gap_after < 1.0
            joined_before = joined_before or abs(gap_before) <= GAP_M
            joined_after = joined_after or abs(gap_after) <= GAP_M
    first, first_least = (CLEAR_NOTCH_M,) * 2 if before and not joined_before else (END_M, END_LEAST_M)
    last, last_least = (CLEAR_NOTCH_M,) * 2 if after and not joined_after else (END_M, END_LEAST_M)
    return low + first, high - last, low + first_least, high - last_least
