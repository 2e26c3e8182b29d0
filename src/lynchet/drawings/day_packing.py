"""What is packed or sawn thinner on a day, so that walls come back to their level and risers are alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.drawings.day_figures import by_wall, marks
from lynchet.drawings.day_places import Naming
from lynchet.plan.day_parts import DayParts, Share
from lynchet.terraces.step_frames import StepPiece
from lynchet.timber.steps import packed_timbers
from lynchet.walls.off_level import brought_back


def packing(named: Naming, today: DayParts) -> Iterator[tuple[float, float]]:
    """Packing laid today, how thick and how long: under pieces that bring a wall back to its level, under steps."""
    plan = named.plan
    for leg in plan.walls.legs if plan.standing.any_stands else ():
        course, off = brought_back(leg, plan.walls.standing.leg(leg.id))
        laid = [piece for piece in today.pieces if (piece.leg, piece.course) == (leg.id, course)]
        if laid and off < 0:
            yield -off, sum(piece.mean_length_m for piece in laid)
    by_flight: dict[tuple[str, float], float] = {}
    for off, timber in _steps(named, today.treads):
        if off > 0:
            by_flight[timber.flight, off] = by_flight.get((timber.flight, off), 0.0) + timber.length_m
    yield from ((off, long) for (_, off), long in by_flight.items())


def packed_walls(named: Naming, share: Share) -> Iterator[str]:
    """What goes under, or comes off, the timber that brings a wall measured off its level back to it."""
    plan = named.plan
    for leg in plan.walls.legs if plan.standing.any_stands else ():
        course, off = brought_back(leg, plan.walls.standing.leg(leg.id))
        laid = [named.marks[piece.id] for piece in plan.pieces
                if (piece.leg, piece.course) == (leg.id, course) and piece.id in share.lays]  # fmt: skip
        if laid:
            said = "; ".join(f"{wall} {marks(rows)}" for wall, rows in by_wall(laid))
            yield named.words("day.pack" if off < 0 else "day.thin", marks=said, by=named.size(abs(off)))


def packed_steps(named: Naming, today: DayParts, flights: Sequence[str]) -> Iterator[str]:
    """The same of boxes of steps that stand on others.

    Args:
        named: names of the plan.
        today: what is done.
        flights: whose timbers are laid with one task.
    """
    risers = {flight.id: flight.riser_m for flight in named.plan.terraces.flights}
    offs = {timber.flight: off for off, timber in _steps(named, today.treads) if timber.flight in flights}
    for flight, off in offs.items():
        yield named.words("day.step_pack" if off > 0 else "day.step_thin", flight=named.flight_at(flight),
                          by=named.size(abs(off)), rise=named.size(risers[flight]))  # fmt: skip


def _steps(named: Naming, steps: Sequence[StepPiece]) -> Iterator[tuple[float, StepPiece]]:
    plan = named.plan
    if plan.standing.any_stands:
        yield from packed_timbers(plan.project.timber.course_m, steps, plan.terraces)
