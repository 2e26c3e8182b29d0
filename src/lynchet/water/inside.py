"""Ways down through the bench below, or to an outlet or soakaway that the file names."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from math import cos, dist, pi, sin
from typing import Any

from lynchet.core.kept import grown
from lynchet.core.quick import quick
from lynchet.terraces.model import OUTSIDE, Level
from lynchet.water.chains import DrawnChain
from lynchet.water.options import Mouth, Option, notch_cost
from lynchet.water.programme import Sink
from lynchet.water.ways import ROUND_M, Room
from lynchet.water.yard import Yard

Point = tuple[float, float]
_LEAVE_M = 0.25
"""How far past its mouth a pipe has dropped to the depth it keeps; and how far before a drain it turns square to it."""
_LONG_M = 1.0
"""A part of pipe so long is joined near its ends too."""
_ACROSS_M = 1.2
"""A bench so narrow that the pipe goes straight across where no way with two turns fits."""
HAIR = 1e-6
"""Points by which rounding may bring a pipe under the cost of the straight one."""
_APPROACHES = (0.0, pi / 4, -pi / 4)
"""Ways to come to a drain, from square on: at a corner of the drain the middle of the corner."""


@dataclass(frozen=True)
class Exit:
    """The sink of a drain that is laid already."""

    drain: str
    face: str
    """The pocket's high face."""
    point_m: Point
    invert_m: float
    back: Point
    """Unit vector from the pipe into its bench."""

    @cached_property
    def approaches(self) -> list[Point]:
        """Points from which a pipe comes to it, square on first."""
        return [moved(self.point_m, _turned(self.back, turn), _LEAVE_M / cos(turn)) for turn in _APPROACHES]


@dataclass(frozen=True)
class Target:
    """An outlet or soakaway the file names."""

    name: str
    kind: str
    """given or soakaway"""
    point_m: Point
    invert_m: float


class Rooms:
    """Free ground for pipes by face, worked out once each."""

    def __init__(self, yard: Yard, chains: list[DrawnChain], dry: frozenset[str] = frozenset()) -> None:
        self._yard, self._chains, self._dry = yard, chains, dry
        self._free: dict[str, Room] = {}
        self._others: dict[frozenset[str], Rooms] = {}

    def without(self, dry: frozenset[str]) -> Rooms:
        """The same where these chains carry no pipe."""
        if dry == self._dry:
            return self
        if dry not in self._others:
            self._others[dry] = Rooms(self._yard, self._chains, dry)
        return self._others[dry]

    def free(self, face: str) -> Room:
        """Where the middle of a solid pipe may lie under a bed, or outside the outline."""
        if face not in self._free:
            self._free[face] = self._make(face)
        return self._free[face]

    def _make(self, face: str) -> Room:
        from shapely import intersects
        from shapely.geometry import LineString

        yard, s = self._yard, self._yard.settings
        if face == OUTSIDE:
            around = yard.outline.buffer(30.0)
            off = yard.outline.buffer(s.ring_m - 0.02, join_style="mitre")
            shapes = [off, yard.barred.buffer(s.radius_m + ROUND_M), yard.no_dig, yard.lot_lines.buffer(s.radius_m)]
            return yard.free(around, shapes)
        found = yard.terraces.face(face)
        if found is None:
            return yard.free(LineString())
        timber = yard.kept_clear(intersects(found.polygon, yard.strips))
        pipes = []
        for drawn in self._chains:
            if drawn.chain.high_face == face and drawn.chain.id not in self._dry:
                points = [node.point_m for node in drawn.chain.nodes]
                pipes.append(LineString(points).buffer(s.outside_m + s.clear_m))
        return yard.free(found.polygon, [grown(yard.barred, s.radius_m + ROUND_M), *timber, *pipes])


def exits_along(drain: str, points_m: tuple[Point, ...], inverts_m: tuple[float, ...], face: str) -> list[Exit]:
    """Places where another pipe may run into a solid pipe that lies inside a bench, from either side.

    Args:
        drain: whose pipe it is.
        points_m: the part of the solid pipe that lies at its depth inside the bench.
        inverts_m: one per point.
        face: the bench.
    """
    found = []
    ends = list(zip(points_m, inverts_m, strict=True))
    for (a, level_a), (b, level_b) in itertools.pairwise(ends):
        length = dist(a, b)
        if length < _LEAVE_M:
            continue
        aside = ((a[1] - b[1]) / length, (b[0] - a[0]) / length)
        for share in (0.5,) if length < _LONG_M else (_LEAVE_M / length, 0.5, 1.0 - _LEAVE_M / length):
            point = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
            level = level_a + share * (level_b - level_a)
            found += [Exit(drain, face, point, level, (way * aside[0], way * aside[1])) for way in (1, -1)]
    return found


def inside_options(yard: Yard, rooms: Rooms, mouths: list[Mouth], exits: list[Exit]) -> list[Option]:
    """Solid pipes through the bench below to the sink of a drain there.

    Args:
        yard: the earlier results.
        rooms: free ground by face.
        mouths: of one chain.
        exits: sinks of drains laid so far.
    """
    found = (tried.option() for tried in inside_tries(yard, rooms, mouths, exits))
    return [option for option in found if option is not None]


@quick
@dataclass(frozen=True)
class Try:
    """A pipe through a bench that may be possible."""

    least_cost: float
    """That of the straight one."""
    option: Callable[[], Option | None]
    """Works it out; None where it is not possible."""


def inside_tries(yard: Yard, rooms: Rooms, mouths: list[Mouth], exits: list[Exit]) -> list[Try]:
    """What ``inside_options`` looks at, in the same order."""
    s = yard.settings
    found = []
    for mouth in mouths:
        if mouth.opening is None or mouth.outside:
            continue
        bench = yard.terraces.face(mouth.face)
        if bench is None or not isinstance(bench.finish, Level):
            continue
        least = notch_cost(mouth, s) + s.cost_solid * mouth.through_m + s.cost_wye - HAIR
        for exit_ in exits:
            if exit_.face == bench.id:
                straight = dist(mouth.point_m, exit_.point_m)
                if exit_.invert_m + s.fall * (straight + mouth.through_m) <= mouth.highest_m + 1e-9:
                    make = partial(_to_exit, yard, rooms, mouth, exit_, bench.finish.level_m)
                    found.append(Try(least + s.cost_solid * straight, make))
    return found


def _to_exit(yard: Yard, rooms: Rooms, mouth: Mouth, exit_: Exit, bench_m: float) -> Option | None:
    s = yard.settings
    straight = dist(mouth.point_m, exit_.point_m)
    past = moved(mouth.point_m, mouth.out, _LEAVE_M)
    longest = (mouth.highest_m - exit_.invert_m) / s.fall
    free = rooms.free(mouth.face)
    for before in exit_.approaches:
        way = free.way(past, before, longest)
        if way is not None:
            return _down(yard, mouth, (*way, exit_.point_m), exit_.invert_m, bench_m, exit_.drain)
    if straight < _ACROSS_M:
        return _down(yard, mouth, (exit_.point_m,), exit_.invert_m, bench_m, exit_.drain)
    return None


def _turned(way: Point, angle: float) -> Point:
    return way[0] * cos(angle) - way[1] * sin(angle), way[0] * sin(angle) + way[1] * cos(angle)


def _down(yard: Yard, mouth: Mouth, way: tuple[Point, ...], end_m: float, surface_m: float, into: str) -> Option | None:
    """A way laid back from its end at the least fall, if it lies deep enough under the surface and low enough."""
    s = yard.settings
    path = (mouth.point_m, *way)
    length = sum(dist(a, b) for a, b in itertools.pairwise(path))
    need = end_m + s.fall * (length + mouth.through_m)
    level = max(mouth.lowest_m, need)
    if level > mouth.highest_m + 1e-9:
        return None
    after = end_m + s.fall * (length - dist(path[0], path[1]))
    if after + s.outside_m - s.wall_m + s.cover_m > surface_m + 1e-9:
        return None
    drop = s.cost_drop if level - need > 0.05 else 0.0
    cost = notch_cost(mouth, s) + s.cost_solid * (length + mouth.through_m) + s.cost_wye + drop
    return Option(Sink(mouth.node, level, cost), "inside", mouth, None, way, end_m, into)


def target_options(yard: Yard, rooms: Rooms, mouths: list[Mouth], targets: list[Target]) -> list[Option]:
    """Ways to the outlets and soakaways of the file.

    Args:
        yard: the earlier results.
        rooms: free ground by face.
        mouths: of one chain.
        targets: outlets and soakaways.
    """
    s = yard.settings
    found = []
    for target in targets:
        for mouth in mouths:
            free = rooms.free(mouth.face)
            if free.away_m(target.point_m) > 0.5:
                continue
            leave = max(_LEAVE_M, mouth.stub_m + 0.01)
            past = moved(mouth.point_m, mouth.out, leave)
            longest = (mouth.highest_m + 1e-6 - target.invert_m) / s.fall - mouth.through_m - leave
            if dist(past, target.point_m) > longest:
                continue
            way = free.way(past, target.point_m, longest)
            if way is None:
                continue
            path = (mouth.point_m, *way)
            length = sum(dist(a, b) for a, b in itertools.pairwise(path))
            need = target.invert_m + s.fall * (length + mouth.through_m)
            level = max(mouth.lowest_m, need)
            if level <= mouth.highest_m + 1e-9:
                # Water is wanted there: a pipe to it may be twice as long as one to a place nobody named.
                solid = s.cost_solid * (length + mouth.through_m) * s.share_named
                cost = notch_cost(mouth, s) + solid + s.cost_outlet / 3
                kind: Any = target.kind
                sink = Sink(mouth.node, level, cost)
                found.append(Option(sink, kind, mouth, None, way, target.invert_m, f"{target.kind}:{target.name}"))
    return found


def moved(point: Point, way: Point, by_m: float) -> Point:
    """A point moved along a unit vector."""
    return point[0] + by_m * way[0], point[1] + by_m * way[1]
