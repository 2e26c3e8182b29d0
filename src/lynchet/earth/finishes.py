"""Finished levels over the plan: beds, path strips, landings, steps, banks, and what is left alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from lynchet.core.plane import Point, left_of, minus, move, unit
from lynchet.core.quick import quick
from lynchet.earth.solids import Owners, Plane
from lynchet.project.model import Project
from lynchet.terraces.model import Flight, Landing, Terraces
from lynchet.walls.bank import BANK_SLOPE, Bank
from lynchet.walls.bank_end import BankEnd

BED, STRIP, LANDING, STEP, BANK, ALONE = range(6)
"""What a finish is. A later one goes over an earlier one, but a bank is no finish where anything else is (its
end round a front: where anything but a bed or its path strip is), and what is left alone is never a bank."""
_LEAST_CLOSING = 0.15
"""By how much a bank falls more than the ground, at least, for its width."""


@quick
@dataclass(frozen=True)
class Finish:
    """A part of the plan with one finished level, a plane a x + b y + c."""

    kind: int
    place: str
    terrace: int
    rings: tuple[tuple[Point, ...], ...]
    level: Plane
    raised: int = 0
    """Of a bank: 1 where the bed stands over the ground (the bank is filled), -1 where it lies under it, 0 unknown."""
    over: bool = False
    """Of a bank: it is the end of one round a front, and lies over beds and other banks, all of it."""


def finishes_of(
    project: Project, terraces: Terraces, owners: Owners, banks: Sequence[Bank | BankEnd]
) -> tuple[Finish, ...]:
    """Every finish of a yard, in the order in which they go over one another."""
    found = []
    for face in terraces.beds:
        found.append(Finish(BED, face.id, face.terrace, (face.outline_m, *face.holes_m), (0.0, 0.0, face.level_m)))
    for face in terraces.beds:
        level = (0.0, 0.0, face.level_m)
        found += [Finish(STRIP, face.id, face.terrace, (ring,), level) for ring in face.strip_m]
    for flight in terraces.flights:
        for landing in flight.landings:
            bed = terraces.face(landing.face)
            if bed is not None and bed.kind == "bed":
                level = (0.0, 0.0, landing.level_m)
                found.append(Finish(LANDING, bed.id, bed.terrace, (landing.outline_m,), level))
    for flight in terraces.flights:
        for tread in flight.treads:
            found.append(Finish(STEP, flight.id, owners.of_flight(flight), (tread.outline_m,), (0.0, 0.0, tread.top_m)))
        for stone in (stone for landing in flight.landings for stone in landing.stone):  # on ground that is no bed
            found.append(Finish(STEP, flight.id, owners.of_flight(flight), (stone.outline_m,), (0.0, 0.0, stone.top_m)))
    for bank in banks:
        bed = terraces.face(bank.face)
        found += _bank(bank, bed.terrace) if bed is not None else ()
    for flight in terraces.flights:
        for landing in flight.landings:
            found += _graded(flight, landing, owners.of_flight(flight), hypot(*terraces.fall))
    found += [Finish(ALONE, "", 0, (house.outline_m,), (0.0, 0.0, 0.0)) for house in project.houses]
    for face in terraces.faces:
        if face.kind in ("path", "kept"):
            found.append(Finish(ALONE, face.id, 0, (face.outline_m, *face.holes_m), (0.0, 0.0, 0.0)))
    return tuple(found)


def _bank(bank: Bank | BankEnd, terrace: int) -> Iterator[Finish]:
    """Ground sloped 1 in 2 outside an edge, out to where it meets the ground, or round the end of a front."""
    over = isinstance(bank, BankEnd)
    for ring, plane in bank.facets:
        yield Finish(BANK, bank.line, terrace, (ring,), plane, bank.raised, over)


def _graded(flight: Flight, landing: Landing, terrace: int, fall: float) -> Iterator[Finish]:
    """Soil banked 1 in 2 against the free edges of a landing of stone that stands over its ground.

    Two sides of every strip, and the edge away from the steps; out to where the bank meets ground that falls away.
    """
    if not landing.stone:
        return
    last = landing.stone[0] if landing.where == "foot" else landing.stone[-1]
    for stone in landing.stone:
        ring = stone.outline_m  # from the right of its low edge round to the right of its high edge, anticlockwise
        edges = [(ring[1], ring[2]), (ring[3], ring[0])]
        if stone is last:
            edges.append((ring[0], ring[1]) if landing.where == "foot" else (ring[2], ring[3]))
        for a, b in edges:
            way = unit(minus(b, a))
            out = left_of((-way[0], -way[1]))
            wide = (stone.top_m - stone.bottom_m) / max(BANK_SLOPE - fall, _LEAST_CLOSING)
            rise = (-BANK_SLOPE * out[0], -BANK_SLOPE * out[1])
            level = (*rise, stone.top_m - rise[0] * a[0] - rise[1] * a[1])
            yield Finish(BANK, flight.id, terrace, ((a, move(a, out, wide), move(b, out, wide), b),), level, 1)


def lowered_m(project: Project) -> float:
    """How far the soil of a bed lies under its finished level: mulch stays under the top of the timber."""
    return max(0.0, project.planting.mulch_m - project.brief.freeboard_m)


def places_in(finishes: Sequence[Finish], owners: Sequence[str]) -> tuple[str, ...]:
    """Every place soil may be moved at, once: those of the finishes, then owners of solids."""
    return tuple(dict.fromkeys([*(f.place for f in finishes if f.kind != ALONE), *owners]))
