"""Steps over walls that stand off their level: they move with the wall at their head, and risers unlike are told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.model import Project
from lynchet.terraces.model import Face, Flight, Landing, Lattice, Terraces, Treads
from lynchet.units.format import small
from lynchet.walls.model import Leg, Run, Span, Walls
from lynchet.walls.off_level import FINE_M, level_cures
from lynchet.walls.standing import leads_on

UNLIKE_M = 0.009525
"""Risers of one flight may differ by so much (3/8 in). IRC 2018, R311.7.5.1."""
_SOURCE = "IRC 2018, R311.7.5.1 Risers: within a flight the greatest exceeds the smallest by no more than 3/8 in"
_NOTHING_M = 1e-9


def with_steps(project: Project, laid: Terraces, walls: Walls) -> tuple[Terraces, Walls]:
    """Flights, their landings and their own ground as far up or down as the walls they climb; the walls, told of it.

    Boxes and landing at the head move with the wall at the head, the landing at the foot with the head of the flight
    that comes up to it from the same bench, else with the flight.

    Args:
        project: for units.
        laid: the terraces, as planned.
        walls: built on them.
    """
    if not walls.standing.any_stands:
        return laid, walls
    heads = {flight.id: _head_off_m(flight, walls, laid.lattice) for flight in laid.flights}
    feet = {flight.id: _foot_off_m(flight, laid, heads) for flight in laid.flights}
    if not any(abs(off) > _NOTHING_M for off in (*heads.values(), *feet.values())):
        return laid, walls
    cures = level_cures(project, [leg for leg in walls.legs if leg.segments], walls.standing)
    levels = ((flight, _levels(flight, walls, laid.lattice, (feet, heads))) for flight in laid.flights)
    findings = [one for flight, levels_m in levels for one in _unlike(project, flight, levels_m, cures)]
    flights = tuple(_moved(flight, feet[flight.id], heads[flight.id]) for flight in laid.flights)
    faces = tuple(_face(face, heads) for face in laid.faces)
    legs = tuple(_leg(leg, heads) for leg in walls.legs)
    return replace(laid, flights=flights, faces=faces), replace(walls, legs=legs, findings=(*walls.findings, *findings))


def _off_m(walls: Walls, lattice: Lattice, leg: str) -> float:
    """How far the top of a wall stands over where it was planned."""
    top = max((run for run in walls.runs if run.leg == leg), key=lambda run: run.course, default=None)
    return 0.0 if top is None else top.top_m - lattice.bottoms_m[top.course + 1]


def _head_off_m(flight: Flight, walls: Walls, lattice: Lattice) -> float:
    built = {run.leg for run in walls.runs}
    head = next((name for name in (f"{flight.id}H", *reversed(flight.lines), flight.line) if name in built), "")
    return _off_m(walls, lattice, head)


def _foot_off_m(flight: Flight, laid: Terraces, heads: Mapping[str, float]) -> float:
    below = next((one for one in laid.flights if leads_on(one, flight)), flight)
    return heads[below.id]


def _moved(flight: Flight, foot_m: float, head_m: float) -> Flight:
    treads = tuple(replace(one, bottom_m=one.bottom_m + head_m, top_m=one.top_m + head_m) for one in flight.treads)
    landings = tuple(_landing(one, foot_m if one.where == "foot" else head_m) for one in flight.landings)
    return replace(flight, foot_level_m=flight.foot_level_m + foot_m, head_level_m=flight.head_level_m + head_m,
                   treads=treads, landings=landings)  # fmt: skip


def _landing(landing: Landing, off_m: float) -> Landing:
    """Its stone made up as much higher, or dug as much deeper."""
    stone = tuple(replace(one, bottom_m=one.bottom_m + min(off_m, 0.0), top_m=one.top_m + off_m)
                  for one in landing.stone)  # fmt: skip
    return replace(landing, level_m=landing.level_m + off_m, stone=stone)


def _face(face: Face, heads: Mapping[str, float]) -> Face:
    off = heads.get(face.id, 0.0)
    if not isinstance(face.finish, Treads) or off == 0.0:
        return face
    return replace(face, finish=replace(face.finish, levels_m=tuple(level + off for level in face.finish.levels_m)))


def _leg(leg: Leg, heads: Mapping[str, float]) -> Leg:
    """Spans beside the steps, at the steps' own level."""
    if not any(heads.get(face) for span in leg.spans for face in (span.left, span.right)):
        return leg
    return replace(leg, spans=tuple(_span(span, heads.get(span.left, 0.0), heads.get(span.right, 0.0))
                                    for span in leg.spans))  # fmt: skip


def _span(span: Span, left_m: float, right_m: float) -> Span:
    return replace(span, left0_m=span.left0_m + left_m, left1_m=span.left1_m + left_m,
                   right0_m=span.right0_m + right_m, right1_m=span.right1_m + right_m)  # fmt: skip


def _levels(
    flight: Flight, walls: Walls, lattice: Lattice, offs_m: tuple[Mapping[str, float], Mapping[str, float]]
) -> list[float]:
    """What one steps on from the foot up, as it comes out: the landing, at each rise the higher of box and wall."""
    feet, heads = offs_m
    levels = [flight.foot_level_m + n * flight.riser_m for n in range(flight.risers + 1)]
    offs = [[feet[flight.id]], *([heads[flight.id]] for _ in levels[1:])]
    for leg in {flight.line, *flight.lines}:
        under = [run for run in walls.runs if run.leg == leg and _under(flight, run)]
        if under:
            top = max(under, key=lambda run: run.course)
            planned = lattice.bottoms_m[top.course + 1]
            nearest = min(range(1, len(levels)), key=lambda n: abs(levels[n] - planned))
            if abs(levels[nearest] - planned) < FINE_M:
                offs[nearest].append(top.top_m - planned)
    return [level + max(here) for level, here in zip(levels, offs, strict=True)]


def _under(flight: Flight, run: Run) -> bool:
    """Whether a flight passes over a course."""
    from shapely.geometry import MultiPoint

    ground = MultiPoint([point for one in flight.landings for point in one.outline_m] + list(flight.outline_m))
    return bool(ground.convex_hull.buffer(-0.3 * flight.width_m).intersects(run.polygon))


def _unlike(project: Project, flight: Flight, levels_m: list[float], cures: tuple[Cure, ...]) -> Iterator[Finding]:
    rises = [high - low for low, high in pairwise(levels_m)]
    apart = max(rises) - min(rises)
    if len(rises) < 2:  # one step alone: the one below or above it is what people are used to
        apart = max(abs(rise - flight.riser_m) for rise in rises)
    if apart <= FINE_M:
        return
    units = project.units
    listed = ", ".join(small(rise, units) for rise in rises)
    count = "its one riser is" if len(rises) == 1 else "from the foot up its risers are"
    stop = apart > UNLIKE_M
    text = (
        f"Steps {flight.id}: with the walls as they stand {count} {listed}, where {small(flight.riser_m, units)} was "
        f"planned. They differ by {small(apart, units)}, and people trip on a step unlike the others"
        + (f" (a dwelling code allows {'3/8 in' if units == 'us' else '9.5 mm'})." if stop else ".")
        + " Bring the wall that is off back to its level, or let the others follow it."
    )
    alike = Cure("steps-alike", "bring the walls of these steps to one level before the steps are built")
    yield Finding("standing.steps", Verdict.STOP if stop else Verdict.WATCH, text, flight.id, demand=apart,
                  capacity=UNLIKE_M, unit="m", source=_SOURCE, cures=(alike, *cures) if stop else ())  # fmt: skip
