"""Everything that lies in the ground of a finished yard, as upright solids in arrays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import pi, sqrt
from typing import NamedTuple

import numpy as np

from lynchet.core.plane import Point
from lynchet.core.standing import Standing
from lynchet.earth.model import DUG, Material
from lynchet.earth.rows import Array, Flags, Index, Rings, rings_of, widened
from lynchet.stability.model import Stability
from lynchet.terraces.built_with import BuiltWith
from lynchet.terraces.model import Flight, Terraces
from lynchet.terraces.step_frames import STEP_STONE_M, hollow, on_ground
from lynchet.walls.bedding import STONE_BED_M, stone_beds
from lynchet.walls.model import Leg, Walls
from lynchet.water.model import Body, Stone, Water

MATERIALS: tuple[Material, ...] = ("timber", "ties", "steps", "stone", "pipes")
ROOM = len(MATERIALS)
"""Number of the material that is none: room dug beside a solid and filled again."""
_ROUND = pi / 4.0
"""A pipe fills this share of the square round it."""
_WALL, _TIE, _DRAIN, _PIT, _STEPS = (
    DUG.index(kind) for kind in ("wall trench", "tie trench", "drain trench", "soakaway pit", "steps cut")
)  # fmt: skip
IN_STONE = "/stone"
"""Added to the owner of what is dug for the stone of a cut-off drain, which fills its trench."""
Plane = tuple[float, float, float]


class Solid(NamedTuple):
    """One upright solid; bottom and top are planes a x + b y + c."""

    rings: tuple[tuple[Point, ...], ...]
    """Outer ring and holes."""
    bottom: Plane
    top: Plane
    material: int
    """Index into ``MATERIALS``."""
    dug_for: int
    """Index into ``model.DUG``: what a trench for it is called."""
    owner: str
    """Wall, drain, flight or soakaway it belongs to."""
    terrace: int
    room: bool = False
    """Its trench is dug wider than it."""
    dug: bool = False
    """The trench it lies in is dug already."""
    stands: bool = False
    """It is there already."""


@dataclass(frozen=True, eq=False)
class Solids:
    """All solids in arrays, room to work among them."""

    rings: Rings
    bottom: Array
    """(n, 3) planes."""
    top: Array
    material: Index
    dug_for: Index
    terrace: Index
    owner: tuple[str, ...]
    dug: Flags
    """(n,) whose trench is dug already."""
    stands: Flags
    """(n,) what is there already."""
    reach: Array
    """(k, 2) between which levels the bottoms of rooms lie, the last k solids: past the ends of what slopes they go on
    level."""

    def volumes_m3(self) -> dict[str, float]:
        """Whole volume of each material still to come, in the ground or over it; pipes that lie in stone are taken off
        it."""
        sides, count = self.rings, self.rings.count
        twice = sides.start[:, 0] * sides.end[:, 1] - sides.end[:, 0] * sides.start[:, 1]
        corners = np.bincount(sides.owner, minlength=count)
        x, y = (np.bincount(sides.owner, sides.start[:, axis], count) / corners for axis in range(2))
        high = self.top - self.bottom
        volume = np.abs(np.bincount(sides.owner, twice, count)) / 2.0 * (high[:, 0] * x + high[:, 1] * y + high[:, 2])
        volume *= ~self.stands
        sums = np.bincount(self.material, volume, ROOM + 1)
        pipes = volume[(self.material == MATERIALS.index("pipes")) & (self.dug_for == _WALL)].sum()
        found = {str(name): float(sums[number]) for number, name in enumerate(MATERIALS)}
        return found | {"stone": max(0.0, found["stone"] - float(pipes))}


def solids_of(
    terraces: Terraces, walls: Walls, water: Water, stability: Stability, thickness_m: float, terrace: Owners
) -> tuple[Solid, ...]:
    """Timber, ties, steps, stone and pipes.

    Args:
        terraces, walls, water, stability: what is placed.
        thickness_m: width of the timber, for the frames of steps.
        terrace: with which terrace each is built.
    """
    found = [*_walls(walls, terrace), *_ties(stability, terrace, walls.standing)]
    for flight in terraces.flights:
        found += _steps(flight, terrace.of_flight(flight), thickness_m)
    dug: dict[str, bool] = {}  # by chain: behind walls that stand all along
    for stone in water.stone:
        there = _trench_dug(walls, stone)
        dug[stone.chain] = there and dug.get(stone.chain, True)
        sloping = _between(stone.start_m, stone.end_m, stone.top_start_m, stone.top_end_m)
        owner = terrace.of_chain(stone.chain, stone.edge)
        found.append(Solid((stone.outline_m,), _flat(stone.bottom_m), sloping, 3, _WALL, stone.leg, owner,
                           dug=there))  # fmt: skip
    for body in water.bodies:
        if body.kind not in ("stone", "fabric"):
            found.append(_of_body(body, terrace, dug))
    return tuple(found)


class Owners:
    """With which terrace a thing is built."""

    def __init__(self, terraces: Terraces, walls: Walls, water: Water) -> None:
        self._built = BuiltWith(terraces)
        self._legs = {leg.id: self._built.of_stretches(_stretches(leg)) for leg in walls.legs}
        self._chains = {chain.id: chain for chain in water.chains}
        self._drains = {drain.id: drain.chain for drain in water.drains}
        self._drains |= {solid.id: self._drains.get(solid.drain, "") for solid in water.solids}

    def of_leg(self, leg: str) -> int:
        """Terrace of a wall: that of its first stretch to be built."""
        return self._legs.get(leg, 1)

    def of_chain(self, chain: str, edge: int = 0) -> int:
        """Terrace of the drain behind a wall, or of a part of it; 1 where there is none."""
        known = self._chains.get(chain)
        return 1 if known is None else self._built.of(known.high_face, known.edges[edge].low_face)

    def chain_of(self, pipe: str) -> str:
        """Chain of a drain or of the pipe that leads on from it; empty for other pipes."""
        return self._drains.get(pipe, "")

    def of_pipe(self, pipe: str) -> int:
        """Terrace of a drain or of the pipe that leads on from it."""
        return self.of_chain(self.chain_of(pipe))

    def of_flight(self, flight: Flight) -> int:
        """Terrace of a flight: the one it leads to."""
        return self._built.of_flight(flight.id)


def _stretches(leg: Leg) -> Iterator[tuple[str, str]]:
    """Higher and lower face along a wall, where something stands; all along a line without."""
    for span in leg.spans:
        if not leg.segments or any(s.start_m < span.end_m and span.start_m < s.end_m for s in leg.segments):
            yield span.high_face, span.low_face


def in_arrays(solids: Sequence[Solid], room_m: float) -> Solids:
    """The solids in arrays, each with room beside it that has a trench.

    Args:
        solids: may be none.
        room_m: how much wider than the solid a trench is, on every side.
    """
    wide = [solid for solid in solids if solid.room and len(solid.rings[0]) == 4] if room_m > 0 else []
    rings = [solid.rings for solid in solids]
    reach = np.empty((0, 2))
    if wide:
        own = np.array([solid.rings[0] for solid in wide])
        rings += [(tuple(map(tuple, ring)),) for ring in widened(own, room_m).tolist()]
        planes = np.array([solid.bottom for solid in wide])
        ends = (own * planes[:, None, :2]).sum(axis=2) + planes[:, 2:]
        reach = np.column_stack([ends.min(axis=1), ends.max(axis=1)])
    every = [*solids, *wide]
    columns = dict(zip(Solid._fields, zip(*every, strict=True), strict=True)) if every else {}
    bottom, top = (np.array(columns.get(name, ()), dtype=float).reshape(-1, 3) for name in ("bottom", "top"))
    material, dug_for, terrace = (
        np.array(columns.get(name, ()), dtype=np.intp) for name in ("material", "dug_for", "terrace")
    )
    dug, stands = (np.array(columns.get(name, ()), dtype=np.bool_) for name in ("dug", "stands"))
    top[len(solids) :] = bottom[len(solids) :]
    material[len(solids) :] = ROOM
    stands[len(solids) :] = False
    return Solids(rings_of(rings), bottom, top, material, dug_for, terrace, columns.get("owner", ()), dug, stands,
                  reach)  # fmt: skip


def _trench_dug(walls: Walls, stone: Stone) -> bool:
    """Whether the trench behind a wall, dug in one with that of the wall, is there: its lowest course stands."""
    leg = walls.leg(stone.leg)
    if not walls.standing.any_stands or not leg.segments:
        return False
    middle = 0.5 * (leg.station_of(stone.start_m) + leg.station_of(stone.end_m))
    near = min(leg.segments, key=lambda part: max(part.start_m - middle, middle - part.end_m))  # round corners too
    return walls.standing.stands(leg.id, near.base, min(max(middle, near.start_m), near.end_m))


def _flat(level_m: float) -> Plane:
    return 0.0, 0.0, level_m


def _between(start: Point, end: Point, start_m: float, end_m: float) -> Plane:
    """The plane that rises evenly from one plan point to another."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    if square < 1e-12:
        return _flat(start_m)
    a, b = (end_m - start_m) * dx / square, (end_m - start_m) * dy / square
    return a, b, start_m - a * start[0] - b * start[1]


def _walls(walls: Walls, terrace: Owners) -> Iterator[Solid]:
    for run in walls.runs:
        there = walls.standing.stands(run.leg, run.course, 0.5 * sum(run.inner_m))
        yield Solid((run.outline_m,), _flat(run.bottom_m), _flat(run.top_m), 0, _WALL, run.leg,
                    terrace.of_leg(run.leg), False, there, there)  # fmt: skip
    for leg in walls.legs:
        for bed in sorted(stone_beds(walls, leg), key=lambda bed: bed.run.course):
            low, high = _flat(bed.run.bottom_m - STONE_BED_M), _flat(bed.run.bottom_m)
            there = walls.standing.stands(leg.id, bed.run.course, 0.5 * (bed.start_m + bed.end_m))
            yield Solid((bed.outline_m,), low, high, 3, _WALL, leg.id, terrace.of_leg(leg.id), True, there, there)


def _ties(stability: Stability, terrace: Owners, standing: Standing) -> Iterator[Solid]:
    for tie in stability.ties:
        there = standing.stands(tie.leg, tie.course, tie.station_m)
        for ring in (tie.outline_m, tie.cross_outline_m):
            low, high = _flat(tie.bottom_m), _flat(tie.top_m)
            yield Solid((ring,), low, high, 1, _TIE, tie.leg, terrace.of_leg(tie.leg), True, there, there)


def _steps(flight: Flight, terrace: int, thickness_m: float) -> Iterator[Solid]:
    """Frames of the boxes, filled with soil, and the stone under those that rest on the ground."""
    for tread in flight.treads:
        inner = hollow(tread.outline_m, thickness_m)
        rings = (tread.outline_m, inner) if inner else (tread.outline_m,)
        yield Solid(rings, _flat(tread.bottom_m), _flat(tread.top_m), 2, _STEPS, flight.id, terrace)
    for tread in on_ground(flight):
        under = _flat(tread.bottom_m - STEP_STONE_M)
        yield Solid((tread.outline_m,), under, _flat(tread.bottom_m), 3, _STEPS, flight.id, terrace)
    for stone in (stone for landing in flight.landings for stone in landing.stone):
        yield Solid((stone.outline_m,), _flat(stone.bottom_m), _flat(stone.top_m), 3, _STEPS, flight.id, terrace)


def _of_body(body: Body, terrace: Owners, dug: Mapping[str, bool]) -> Solid:
    """A body of the water stage: a pipe as flat as makes its square as large as it is, an upright one (cleanout) as
    narrow, or stone of another kind.

    Args:
        body: no stone behind a wall, no fabric.
        terrace: which it is built with.
        dug: chains whose whole trench is there already.
    """
    low = _between(body.start_m, body.end_m, body.bottom_start_m, body.bottom_end_m)
    high = _between(body.start_m, body.end_m, body.top_start_m, body.top_end_m)
    if body.kind == "soakaway":
        return Solid((body.outline_m,), low, high, 3, _PIT, body.part_of, 1)
    if body.kind == "cut-off stone":
        return Solid((body.outline_m,), low, high, 3, _DRAIN, f"{body.part_of}{IN_STONE}", 1)
    owner = terrace.of_pipe(body.part_of.removesuffix("/outlet"))
    if body.kind == "outlet":
        return Solid((body.outline_m,), low, high, 3, _DRAIN, body.part_of, owner)
    outline = body.outline_m
    if body.kind == "fitting":
        outline = _narrowed(outline, sqrt(_ROUND))
    else:
        thin = 0.5 * (1.0 - _ROUND) * (high[2] - low[2])
        low, high = (low[0], low[1], low[2] + thin), (high[0], high[1], high[2] - thin)
    inside = body.kind in ("drain pipe", "fitting")
    return Solid((outline,), low, high, 4, _WALL if inside else _DRAIN, body.part_of, owner, not inside,
                 inside and dug.get(terrace.chain_of(body.part_of), False))  # fmt: skip


def _narrowed(ring: tuple[Point, ...], share: float) -> tuple[Point, ...]:
    """An outline drawn in towards its middle, to a share of its lengths."""
    x, y = (sum(at[axis] for at in ring) / len(ring) for axis in range(2))
    return tuple((x + share * (at[0] - x), y + share * (at[1] - y)) for at in ring)
