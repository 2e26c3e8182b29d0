"""Where flights stand along the walls they climb: their two sides from the wall's left end, seen from below."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.plan.further_pegs import SetOut, corners
from lynchet.terraces.model import Flight
from lynchet.walls.seen import seen_of

_AT_IT_M = 0.25
"""A flight is said at a wall whose timber, or the gap in it, reaches so far past both its sides. PRACTICE."""


@dataclass(frozen=True)
class FlightPlace:
    """One flight at one wall."""

    flight: str
    leg: str
    left_m: float
    """From the left end of the wall's timber to the nearer side of the steps."""
    right_m: float
    """To the farther side."""


def flight_places(plan: SetOut) -> tuple[FlightPlace, ...]:
    """Every flight at every wall it climbs, in the order of the plan, the lowest wall first."""
    return tuple(place for flight in plan.terraces.flights for place in _at_walls(plan, flight))


def _at_walls(plan: SetOut, flight: Flight) -> tuple[FlightPlace, ...]:
    legs, found = {leg.id: leg for leg in plan.walls.legs if leg.segments}, []
    mirrored = plan.project.frame.mirrored
    for line in dict.fromkeys((flight.line, *flight.lines)):
        leg = legs.get(line)
        if leg is None:
            continue
        seen = seen_of(leg, plan.walls.runs, mirrored=mirrored)
        foot = [leg.station_of(at) for end, _, at in corners(flight, mirrored=mirrored) if end == "foot"]
        left, right = seen.span(*foot)
        if left > -_AT_IT_M and right < seen.end_m - seen.start_m + _AT_IT_M:
            found.append(FlightPlace(flight.id, leg.id, left, right))
    return tuple(found)
