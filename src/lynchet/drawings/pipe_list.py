"""Every pipe under a short name: D = drain with holes, P = pipe without, R = roof water, C = cut-off drain."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import dist

from lynchet.core.plane import distance_to_segment
from lynchet.drawings.source import Planned
from lynchet.water.model import SolidPipe
from lynchet.water.short_names import short_names
from lynchet.water.told_points import even_parts

Point = tuple[float, float]
_SHORT_M = 0.3
"""The fall of a shorter stretch tells nothing: it is a fitting, a bend or a step."""
_LEVEL = 1e-4
_EVEN = 0.1
"""A pipe that falls by so much more from end to end than in its gentlest stretch has drops between."""
_ON_IT_M = 0.01


@dataclass(frozen=True)
class Pipe:
    """One pipe as it is laid."""

    name: str
    """"D1", in the order of the plan."""
    id: str
    points_m: tuple[Point, ...]
    inverts_m: tuple[float, ...]
    holes: bool
    sink: int
    """Index of its lowest point, where it is let out."""
    into: str
    """Short name of what it runs to; empty where that has none."""
    holed: int | None = None
    """So many of its points from the upper end lie on pipe with holes; None where all do, or none."""

    @property
    def stretches(self) -> tuple[tuple[tuple[Point, ...], bool], ...]:
        """Its points in stretches with and without holes."""
        if self.holed is None or self.holed >= len(self.points_m):
            return ((self.points_m, self.holes),)
        return (self.points_m[: self.holed], True), (self.points_m[self.holed - 1 :], False)

    @property
    def arms(self) -> tuple[tuple[int, ...], ...]:
        """Indices of its points from each upper end down to the sink; a pipe let out at its end has one."""
        last = len(self.points_m) - 1
        found = (tuple(range(self.sink + 1)), tuple(range(last, self.sink - 1, -1)))
        return tuple(arm for arm in found if len(arm) > 1 and self.length(arm) > 1e-6)

    def length(self, arm: tuple[int, ...]) -> float:
        """Length of one arm in plan."""
        return sum(dist(self.points_m[a], self.points_m[b]) for a, b in pairwise(arm))

    def parts(self, arm: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
        """An arm in stretches each laid to one fall, and the drops between them, from its upper end."""
        points, inverts = [self.points_m[i] for i in arm], [self.inverts_m[i] for i in arm]
        return tuple(arm[first : last + 1] for first, last in even_parts(points, inverts))

    def laid(self, arm: tuple[int, ...]) -> tuple[float, bool]:
        """The fall an arm is laid to, and whether it drops besides, where its trench steps or a bend takes it down.

        Such a pipe is laid to one gentle fall between its drops: no even fall from end to end.
        """
        high, low, long = self.inverts_m[arm[0]], self.inverts_m[arm[-1]], self.length(arm)
        whole = (high - low) / long
        parts = [dist(self.points_m[a], self.points_m[b]) for a, b in pairwise(arm)]
        falls = [(self.inverts_m[a] - self.inverts_m[b]) / d
                 for (a, b), d in zip(pairwise(arm), parts, strict=True) if d > _SHORT_M]  # fmt: skip
        gentle = min((fall for fall in falls if fall > _LEVEL), default=whole)
        return (gentle, True) if whole > gentle * (1.0 + _EVEN) else (whole, False)


def outlet_names(plan: Planned) -> dict[str, str]:
    """Short names of the outlets by id: "OUT", or "OUT1", "OUT2"."""
    return short_names(plan.water.outlets, ())


def pipes(plan: Planned) -> tuple[Pipe, ...]:
    """All pipes: drains each followed by the pipe that takes its water away, then roof pipes and cut-off drains."""
    water = plan.water
    names = short_names(water.outlets, water.drains, water.solids, water.roof_pipes, water.cut_offs)
    found = []
    for drain in water.drains:
        taken = next((solid for solid in water.solids if solid.drain == drain.id), None)
        into = names.get(taken.id if taken else drain.into, "")
        found.append(Pipe(names[drain.id], drain.id, drain.points_m, drain.inverts_m, True, drain.sink, into))
    for solid in water.solids:
        last = len(solid.points_m) - 1
        own = solid.into == f"{solid.drain}/outlet"  # others may end in its mouth
        into = solid.into if own else _met(plan, solid) or solid.into
        found.append(Pipe(names[solid.id], solid.id, solid.points_m, solid.inverts_m, False, last,
                          names.get(into, "")))  # fmt: skip
    for roof in water.roof_pipes:
        last = len(roof.points_m) - 1
        found.append(
            Pipe(names[roof.id], roof.id, roof.points_m, roof.inverts_m, False, last, names.get(roof.outlet, ""))
        )
    for cut in water.cut_offs:
        sink = min(range(len(cut.inverts_m)), key=lambda k: cut.inverts_m[k])
        found.append(Pipe(names[cut.id], cut.id, cut.points_m, cut.inverts_m, True, sink, names.get(cut.outlet, ""),
                          cut.holed))  # fmt: skip
    return tuple(found)


def _met(plan: Planned, pipe: SolidPipe) -> str:
    """Id of the pipe without holes in which another one ends, beyond its first point; empty where it ends elsewhere.

    Water that joins a drain's own way out beyond the wall never runs behind that wall.
    """
    end = pipe.points_m[-1]
    others = (one for one in plan.water.solids if one.id != pipe.id and dist(one.points_m[0], end) > _ON_IT_M)
    return next((one.id for one in others if _off(one.points_m, end) < _ON_IT_M), "")


def _off(line: tuple[Point, ...], at: Point) -> float:
    """From a line to a place."""
    return min(distance_to_segment(at, a, b) for a, b in pairwise(line))
