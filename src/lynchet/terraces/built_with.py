"""With which terrace a wall, a drain or a flight is built: one number for the soil, the hours and the days."""

from __future__ import annotations

from collections.abc import Iterable
from string import ascii_lowercase

from lynchet.terraces.model import Terraces


class BuiltWith:
    """Numbers of terraces, the lowest 1.

    A wall is built with the bed it holds. One that holds none (the bank above the highest bed, ground outside, a flight
    that climbs on to a higher terrace) stands on the bed beside it, which must be there first: it comes one after that
    bed's terrace. So the stretch of a wall under a flight is built with the rest of that wall.
    """

    def __init__(self, terraces: Terraces) -> None:
        self.highest = max((face.terrace for face in terraces.faces), default=0)
        self.last = self.highest + 1
        self._beds = {face.id: face.terrace for face in terraces.faces if face.terrace}
        self._flights = {flight.id: self._number(flight.id) for flight in terraces.flights}

    def _number(self, flight: str) -> int:
        tail = flight.rpartition(".")[2].rstrip(ascii_lowercase)  # a second one of one wish to one terrace: "S0.4b"
        return min(int(tail), self.last) if tail.isdigit() else 1

    def of(self, high: str, low: str) -> int:
        """Of a wall between two faces."""
        if high in self._beds:
            return self._beds[high]
        flight = self._flights.get(high, self.last if low in self._beds else 1)
        return min(self._beds[low] + 1, flight) if low in self._beds else flight

    def of_stretches(self, stretches: Iterable[tuple[str, str]]) -> int:
        """Of a wall with several stretches, each between a higher and a lower face: that of the first one built."""
        return min((self.of(high, low) for high, low in stretches), default=1)

    def of_flight(self, flight: str) -> int:
        """Of a flight: that of the terrace it leads to."""
        return self._flights.get(flight, 1)
