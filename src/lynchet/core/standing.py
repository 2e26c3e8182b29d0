"""What already stands, was re-surveyed or is pinned by an earlier plan: an explicit input, empty by default."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class LegStanding:
    """What is known of one leg that stands, or is kept as an earlier plan had it."""

    leg: str
    """Leg id as the plan gives it ("A0", "W2")."""
    bottom_offsets_m: tuple[tuple[int, float], ...] = ()
    """(course index, signed offset of its bottom from the lattice, up positive), as measured."""
    segments: tuple[tuple[float, float, int, int], ...] = ()
    """(start_m, end_m, base course, top course) kept from an earlier plan; empty = planned freely."""


@dataclass(frozen=True)
class Standing:
    """Everything the plan must accept as given. The empty one plans a yard where nothing stands."""

    legs: tuple[LegStanding, ...] = ()
    datum_m: float | None = None
    """Lattice datum of an earlier plan, kept where it still serves."""

    def leg(self, leg: str) -> LegStanding | None:
        """What is known of this leg, or None."""
        return next((entry for entry in self.legs if entry.leg == leg), None)
