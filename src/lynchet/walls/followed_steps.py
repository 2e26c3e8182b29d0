"""Steps over walls that stand off their level: they end at the walls as these stand, their risers shared out alike.

Each rise is known at the places that are fixed: the landing at the foot where a flight below leads up to it, the walls
the flight passes over, its head. Between these the boxes go up evenly; a landing no flight leads up to is laid so that
the first riser is like the others, on a bed as nearly as its timber leaves. Boxes on the ground are bedded at their
level; such as stand on others are packed or sawn (``terraces.step_frames.packed_m``), unless whole courses leave all
risers within ``FINE_M``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.model import Project, Units
from lynchet.terraces.flight_forms import LEAST_RISER_M, MOST_RISER_M
from lynchet.terraces.model import Face, Flight, Landing, Lattice, Terraces, Tread, Treads
from lynchet.terraces.step_frames import on_ground, packed_m
from lynchet.units.format import small
from lynchet.walls.model import Leg, Run, Span, Walls
from lynchet.walls.off_level import FINE_M, level_cures
from lynchet.walls.standing import leads_on

UNLIKE_M = 0.009525
"""Risers of one flight may differ by so much (3/8 in). IRC 2018, R311.7.5.1."""
_SOURCE = "IRC 2018, R311.7.5.1 Risers: within a flight the greatest exceeds the smallest by no more than 3/8 in"
_HIGHEST = "IRC 2018, R311.7.5.1 Risers: no riser over 7 3/4 in"
_FLUSH_M = 0.004
"""A landing on a bed is kept so near to the top of timber, whatever the risers above it ask. PRACTICE."""
_NOTHING_M = 1e-9
_SAME_M = 1e-3


@dataclass(frozen=True)
class _Rise:
    """How far off its plan a flight stands, at its foot and after each riser (m, up positive)."""

    planned_m: tuple[float, ...]
    """Levels as planned: foot, each tread, head."""
    offs_m: tuple[float, ...]

    @property
    def levels_m(self) -> tuple[float, ...]:
        """Levels as they come out."""
        return tuple(level + off for level, off in zip(self.planned_m, self.offs_m, strict=True))

    def off_m(self, level_m: float) -> float:
        """The offset at the riser planned nearest to a level."""
        return min(zip(self.planned_m, self.offs_m, strict=True), key=lambda one: abs(one[0] - level_m))[1]

    @property
    def moves(self) -> bool:
        """Whether anything of it stands off its plan."""
        return any(abs(off) > _NOTHING_M for off in self.offs_m)


def with_steps(project: Project, laid: Terraces, walls: Walls) -> tuple[Terraces, Walls]:
    """Flights, their landings and their own ground as the walls they climb stand; the walls, told of it.

    Args:
        project: for units and timber.
        laid: the terraces, as planned.
        walls: built on them.
    """
    if not walls.standing.any_stands:
        return laid, walls
    heads = {flight.id: _head_off_m(flight, walls, laid.lattice) for flight in laid.flights}
    rises = {flight.id: _rise(flight, laid, walls, heads) for flight in laid.flights}
    if not any(rise.moves for rise in rises.values()):
        return laid, walls
    cures = level_cures(project, [leg for leg in walls.legs if leg.segments], walls.standing)
    flights = tuple(_moved(flight, rises[flight.id]) for flight in laid.flights)
    findings = [one for was, now in zip(laid.flights, flights, strict=True)
                for one in _told(project, was, now, (rises[was.id], cures))]  # fmt: skip
    faces = tuple(_face(face, rises) for face in laid.faces)
    legs = tuple(_leg(leg, rises) for leg in walls.legs)
    return replace(laid, flights=flights, faces=faces), replace(walls, legs=legs, findings=(*walls.findings, *findings))


def _off_m(walls: Walls, lattice: Lattice, leg: str, over: Flight | None = None) -> float:
    """How far the top of a wall stands over where it was planned; where given, under a flight."""
    runs = [run for run in walls.runs if run.leg == leg]
    here = [run for run in runs if over is not None and _under(over, run)] or runs
    top = max(here, key=lambda run: run.course, default=None)
    return 0.0 if top is None else top.top_m - lattice.bottoms_m[top.course + 1]


def _head_off_m(flight: Flight, walls: Walls, lattice: Lattice) -> float:
    built = {run.leg for run in walls.runs}
    head = next((name for name in (f"{flight.id}H", *reversed(flight.lines), flight.line) if name in built), "")
    return _off_m(walls, lattice, head, flight)


def _rise(flight: Flight, laid: Terraces, walls: Walls, heads: Mapping[str, float]) -> _Rise:
    """Where each riser of a flight ends."""
    count, head = flight.risers, heads[flight.id]
    planned = tuple(flight.foot_level_m + n * flight.riser_m for n in range(count + 1))
    fixed = {n: off for n, off in _passed(flight, walls, laid.lattice, planned) if n < count} | {count: head}
    below = next((one for one in laid.flights if leads_on(one, flight)), None)
    first = min(fixed)
    each = (head - fixed[first]) / (count - first) if first < count else 0.0
    if below is not None:
        fixed[0] = heads[below.id]
    else:
        most = _FLUSH_M if _on_bed(flight, laid) else inf
        fixed[0] = fixed[first] + max(-most, min(most, -first * each))
    spread = 0.5 * (head - fixed[0])
    if flight.kind == "projecting" and abs(spread) <= FINE_M:  # the lowest box is bedded half way: none is packed
        fixed |= dict.fromkeys(range(1, count), fixed[0] + spread)
    offs = [off for (low, a), (high, b) in pairwise(sorted(fixed.items()))
            for off in (a + (b - a) * n / (high - low) for n in range(high - low))]  # fmt: skip
    return _Rise(planned, (*offs, head))


def _on_bed(flight: Flight, laid: Terraces) -> bool:
    """Whether the landing at the foot lies on a bed."""
    faces = (laid.face(landing.face) for landing in flight.landings if landing.where == "foot")
    return any(face is not None and face.kind == "bed" for face in faces)


def _passed(
    flight: Flight, walls: Walls, lattice: Lattice, planned_m: tuple[float, ...]
) -> Iterator[tuple[int, float]]:
    """Walls a flight passes over: after which riser, and how far off they stand."""
    for leg in dict.fromkeys((flight.line, *flight.lines)):
        under = [run for run in walls.runs if run.leg == leg and _under(flight, run)]
        if under:
            top = max(under, key=lambda run: run.course)
            level = lattice.bottoms_m[top.course + 1]
            nearest = min(range(1, len(planned_m)), key=lambda n: abs(planned_m[n] - level))
            if abs(planned_m[nearest] - level) < FINE_M:
                yield nearest, top.top_m - level


def _under(flight: Flight, run: Run) -> bool:
    """Whether a flight passes over a course."""
    from shapely.geometry import MultiPoint

    ground = MultiPoint([point for one in flight.landings for point in one.outline_m] + list(flight.outline_m))
    return bool(ground.convex_hull.buffer(-0.3 * flight.width_m).intersects(run.polygon))


def _moved(flight: Flight, rise: _Rise) -> Flight:
    """Its boxes, landings and levels where they come out; its risers alike or nearly."""
    if not rise.moves:
        return flight
    levels = rise.levels_m
    bedded = {tread.id for tread in on_ground(flight)}
    treads = tuple(_tread(tread, rise, tread.id in bedded) for tread in flight.treads)
    landings = tuple(_landing(one, rise.offs_m[0 if one.where == "foot" else -1]) for one in flight.landings)
    return replace(flight, foot_level_m=levels[0], head_level_m=levels[-1], treads=treads, landings=landings,
                   riser_m=(levels[-1] - levels[0]) / flight.risers)  # fmt: skip


def _tread(tread: Tread, rise: _Rise, bedded: bool) -> Tread:
    """A box on the ground goes up or down whole; one on another begins where that one ends."""
    off = rise.off_m(tread.top_m)
    below = off if bedded else rise.off_m(tread.bottom_m)
    return replace(tread, bottom_m=tread.bottom_m + below, top_m=tread.top_m + off)


def _landing(landing: Landing, off_m: float) -> Landing:
    """Its stone made up as much higher, or dug as much deeper."""
    stone = tuple(replace(one, bottom_m=one.bottom_m + min(off_m, 0.0), top_m=one.top_m + off_m)
                  for one in landing.stone)  # fmt: skip
    return replace(landing, level_m=landing.level_m + off_m, stone=stone)


def _face(face: Face, rises: Mapping[str, _Rise]) -> Face:
    rise = rises.get(face.id)
    if not isinstance(face.finish, Treads) or rise is None or not rise.moves:
        return face
    levels = tuple(level + rise.off_m(level) for level in face.finish.levels_m)
    return replace(face, finish=replace(face.finish, levels_m=levels))


def _leg(leg: Leg, rises: Mapping[str, _Rise]) -> Leg:
    """Spans beside the steps, at the steps' own level."""
    if not any(face in rises and rises[face].moves for span in leg.spans for face in (span.left, span.right)):
        return leg
    return replace(leg, spans=tuple(_span(span, rises.get(span.left), rises.get(span.right)) for span in leg.spans))


def _span(span: Span, left: _Rise | None, right: _Rise | None) -> Span:
    def at(rise: _Rise | None, level_m: float) -> float:
        return level_m if rise is None else level_m + rise.off_m(level_m)

    return replace(span, left0_m=at(left, span.left0_m), left1_m=at(left, span.left1_m),
                   right0_m=at(right, span.right0_m), right1_m=at(right, span.right1_m))  # fmt: skip


def _told(project: Project, was: Flight, now: Flight, how: tuple[_Rise, tuple[Cure, ...]]) -> Iterator[Finding]:
    """What is said of risers that come out otherwise than planned: unlike, too high or too low, or shared out anew."""
    rise, cures = how
    rises = [high - low for low, high in pairwise(rise.levels_m)]
    apart = max(rises) - min(rises)
    if len(rises) == 1:  # one step alone: the one below or above it is what people are used to
        apart = abs(rises[0] - was.riser_m)
    units = project.units
    text = f"Steps {was.id}: with the walls as they stand {_heights(rises, units)}, where {small(was.riser_m, units)} "
    text += "was planned."
    back = " Bring the wall that is off back to its level, or let the others follow it."
    alike = Cure("steps-alike", "bring the walls of these steps to one level before the steps are built")
    steep = max(rises) > max(MOST_RISER_M, was.riser_m) + _NOTHING_M
    flat = min(rises) < min(LEAST_RISER_M, was.riser_m) - _NOTHING_M
    if apart > FINE_M:
        stop = apart > UNLIKE_M
        text += f" They differ by {small(apart, units)}, and people trip on a step unlike the others"
        text += f" (a dwelling code allows {'3/8 in' if units == 'us' else '9.5 mm'})." if stop else "."
        yield Finding("standing.steps", Verdict.STOP if stop else Verdict.WATCH, text + back, was.id, demand=apart,
                      capacity=UNLIKE_M, unit="m", source=_SOURCE, cures=(alike, *cures) if stop else ())  # fmt: skip
    elif steep or flat:
        limit = MOST_RISER_M if steep else LEAST_RISER_M
        size = small(limit, units)
        text += f" A dwelling code allows none over {size}." if steep else f" One under {size} is stumbled over."
        yield Finding("standing.steps", Verdict.STOP, text + back, was.id, demand=max(rises) if steep else min(rises),
                      capacity=limit, unit="m", source=_HIGHEST if steep else "PRACTICE",
                      cures=(alike, *cures))  # fmt: skip
    elif abs(now.riser_m - was.riser_m) > FINE_M or packed_m(now, project.timber.course_m):
        text += f" {_shared_out(project, now)}"
        yield Finding("standing.steps", Verdict.WATCH, text, was.id, source="PRACTICE")


def _heights(rises: list[float], units: Units) -> str:
    """The risers, each by itself where they differ."""
    if len(rises) == 1:
        return f"its one riser is {small(rises[0], units)}"
    if max(rises) - min(rises) < _SAME_M:
        return f"its {len(rises)} risers are {small(rises[0], units)} each"
    return f"from the foot up its risers are {', '.join(small(one, units) for one in rises)}"


def _shared_out(project: Project, flight: Flight) -> str:
    """How the boxes come to their levels."""
    off, units = packed_m(flight, project.timber.course_m), project.units
    boxes = "Bed the lowest box" if flight.kind == "projecting" else "Bed each box"
    under = "the landing at the foot" if flight.kind == "projecting" else "what is below it"
    text = f"{boxes} with its top {small(flight.riser_m, units)} over {under}"
    if not off:
        return f"{text}."
    others = "the second box" if len(flight.treads) == 2 else "every box from the second up"
    if off > 0:
        return f"{text}; lay {small(off, units)} of treated packing under {others}."
    return f"{text}; saw {small(-off, units)} off the underside of {others}, and treat the cut."
