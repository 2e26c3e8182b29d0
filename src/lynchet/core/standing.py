"""What already stands, was re-surveyed or is pinned by an earlier plan: an explicit input, empty by default."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from lynchet.core.intervals import Interval, joined

_HAIR_M = 1e-3
READ_M = 0.005
"""A place read off timber with a tape is good to this. PRACTICE."""
Cuts = tuple[int, tuple[float, ...]]
"""Course and the stations of its joints."""
Open = tuple[int, float, float]
"""Course, first and last station of an opening left for a pipe."""
Under = tuple[str, int, float, float]
"""Leg, course, first and last station of a piece."""


@dataclass(frozen=True)
class LegStanding:
    """What is known of one leg that stands, or is kept as an earlier plan had it. Courses are those of the lattice."""

    leg: str
    """Leg id as the plan gives it ("A0", "W2")."""
    bottom_offsets_m: tuple[tuple[int, float], ...] = ()
    """(course, signed offset of its bottom from the lattice, up positive), as measured; holds up to the next course
    named, and for all above the last."""
    segments: tuple[tuple[float, float, int, int], ...] = ()
    """(start_m, end_m, base course, top course) kept from an earlier plan; empty = planned freely."""
    built: int | None = None
    """Highest course that stands; None where none does."""
    cuts: tuple[Cuts, ...] = ()
    """Joints of courses that stand."""
    notches: tuple[Open, ...] = ()
    """Openings for pipes in courses that stand, as the file says."""
    notches_said: tuple[int, ...] = ()
    """Courses of which the file says all openings."""
    answer: Literal["", "follow", "level"] = ""
    """Whether the courses above what stands follow it, or come back to the lattice; empty = not said (they follow)."""
    entry: int = 0
    """Place from 1 in the file's list, for cures; 0 where it came from nowhere there."""
    turned: bool = False
    """The file counts its distances from the other end of the leg."""

    def offset_m(self, course: int) -> float:
        """Signed offset of the bottom of a course from the lattice."""
        if self.answer == "level" and self.built is not None and course > self.built:
            return 0.0
        below = [(at, offset) for at, offset in self.bottom_offsets_m if at <= course]
        if below:
            return max(below)[1]
        return min(self.bottom_offsets_m)[1] if self.bottom_offsets_m else 0.0

    @property
    def top_offset_m(self) -> float:
        """Offset of the highest course that stands; 0 where none was measured."""
        return self.offset_m(self.built) if self.built is not None else 0.0

    def stands(self, course: int, station_m: float, reach_m: float = 1e-3) -> bool:
        """Whether timber of a course stands at a station.

        Args:
            course: of the lattice.
            station_m: along the leg.
            reach_m: how far past the ends of a kept stretch still counts (laps round corners).
        """
        if self.built is None or course > self.built:
            return False
        return not self.segments or any(
            start - reach_m <= station_m <= end + reach_m and base <= course <= top
            for start, end, base, top in self.segments
        )

    def stretches_of(self, course: int) -> list[Interval]:
        """First and last station of each stretch that stands in a course; none where no stretch was kept."""
        if self.built is None or course > self.built:
            return []
        return joined(((a, b) for a, b, base, top in self.segments if base <= course <= top), _HAIR_M)

    def closed(self, courses: Iterable[int], station_m: float, half_m: float) -> list[int]:
        """Courses that stand at a place without an opening on record through which a pipe passes.

        Args:
            courses: of the lattice.
            station_m: of the middle of the pipe, along the leg.
            half_m: half the outside of the pipe.
        """
        low, high = station_m - half_m + READ_M, station_m + half_m - READ_M
        return [
            course
            for course in courses
            if self.stands(course, station_m)
            and not any(at == course and a <= low and high <= b for at, a, b in self.notches)
        ]

    def cuts_of(self, course: int) -> tuple[float, ...] | None:
        """Joints of a course that stands; None where they are free."""
        return next((stations for at, stations in self.cuts if at == course), None)


@dataclass(frozen=True)
class Standing:
    """Everything the plan must accept as given. The empty one plans a yard where nothing stands."""

    legs: tuple[LegStanding, ...] = ()
    datum_m: float | None = None
    """A lattice level of an earlier plan, kept where it still serves."""
    firm: bool = False
    """The lattice is kept whatever it costs: timber stands on it."""
    under: tuple[Under, ...] = ()
    """Timber of walls not begun that lies under timber that stands: it counts as laid."""

    @cached_property
    def _legs(self) -> dict[str, LegStanding]:
        return {entry.leg: entry for entry in self.legs}

    def leg(self, leg: str) -> LegStanding | None:
        """What is known of this leg, or None."""
        return self._legs.get(leg)

    @cached_property
    def any_stands(self) -> bool:
        """Whether any course of any wall stands."""
        return any(entry.built is not None for entry in self.legs)

    def stands(self, leg: str, course: int, station_m: float, reach_m: float = 1e-3) -> bool:
        """Whether timber of a course stands at a station of a leg."""
        if not self.legs and not self.under:
            return False
        known = self.leg(leg)
        if known is not None and known.stands(course, station_m, reach_m):
            return True
        return any(
            (name, at) == (leg, course) and start - _HAIR_M <= station_m <= end + _HAIR_M
            for name, at, start, end in self.under
        )

    def cuts(self, leg: str, course: int) -> tuple[float, ...] | None:
        """Joints of a course that stands; None where they are free."""
        known = self.leg(leg)
        return None if known is None else known.cuts_of(course)
