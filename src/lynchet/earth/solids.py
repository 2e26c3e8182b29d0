"""Everything that lies in the ground of a finished yard, as upright solids in arrays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import pi
from typing import NamedTuple

import numpy as np

from lynchet.core.plane import Point, left_of, minus, unit
from lynchet.earth.model import DUG, Material
from lynchet.earth.rows import Array, Index, Rings, rings_of, widened
from lynchet.stability.model import Stability
from lynchet.terraces.model import Flight, Terraces
from lynchet.walls.bedding import STONE_BED_M
from lynchet.walls.model import Walls
from lynchet.water.model import Body, Water

MATERIALS: tuple[Material, ...] = ("timber", "ties", "steps", "stone", "pipes")
ROOM = len(MATERIALS)
"""Number of the material that is none: room dug beside a solid and filled again."""
STEP_STONE_M = 0.10
"""Drain stone under the boxes of a flight. PRACTICE."""
_ROUND = pi / 4.0
"""A pipe fills this share of the square round it."""
_WALL, _TIE, _DRAIN, _PIT, _STEPS = (
    DUG.index(kind) for kind in ("wall trench", "tie trench", "drain trench", "soakaway pit", "steps cut")
)  # fmt: skip
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

    def volumes_m3(self) -> dict[str, float]:
        """Whole volume of each material, in the ground or over it; pipes that lie in stone are taken off it."""
        sides, count = self.rings, self.rings.count
        twice = sides.start[:, 0] * sides.end[:, 1] - sides.end[:, 0] * sides.start[:, 1]
        corners = np.bincount(sides.owner, minlength=count)
        x, y = (np.bincount(sides.owner, sides.start[:, axis], count) / corners for axis in range(2))
        high = self.top - self.bottom
        volume = np.abs(np.bincount(sides.owner, twice, count)) / 2.0 * (high[:, 0] * x + high[:, 1] * y + high[:, 2])
        sums = np.bincount(self.material, volume, ROOM + 1)
        pipes = volume[(self.material == MATERIALS.index("pipes")) & (self.dug_for == _WALL)].sum()
        found = {str(name): float(sums[number]) for number, name in enumerate(MATERIALS)}
        return found | {"stone": max(0.0, found["stone"] - float(pipes))}


def solids_of(
    terraces: Terraces, walls: Walls, water: Water, stability: Stability, thickness_m: float
) -> tuple[Solid, ...]:
    """Timber, ties, steps, stone and pipes.

    Args:
        terraces, walls, water, stability: what is placed.
        thickness_m: width of the timber, for the frames of steps.
    """
    terrace = Owners(terraces, walls, water)
    found = [*_walls(walls, terrace), *_ties(stability, terrace)]
    for flight in terraces.flights:
        found += _steps(flight, terrace.of_flight(flight), thickness_m)
    for stone in water.stone:
        sloping = _between(stone.start_m, stone.end_m, stone.top_start_m, stone.top_end_m)
        owner = terrace.of_face(stone.chain.split("/")[0], stone.leg)
        found.append(Solid((stone.outline_m,), _flat(stone.bottom_m), sloping, 3, _WALL, stone.leg, owner))
    for body in water.bodies:
        if body.kind not in ("stone", "fabric"):
            found.append(_of_body(body, terrace))
    return tuple(found)


class Owners:
    """With which terrace a thing is built."""

    def __init__(self, terraces: Terraces, walls: Walls, water: Water) -> None:
        self._faces = {face.id: face.terrace for face in terraces.faces if face.kind == "bed"}
        self._legs: dict[str, int] = {}
        for leg in walls.legs:
            sides = [span.left for span in leg.spans] + [span.right for span in leg.spans]
            beds = [self._faces[side] for side in sides[: len(leg.spans)] if side in self._faces]
            beds = beds or [self._faces[side] for side in sides if side in self._faces]
            self._legs[leg.id] = min(beds, default=1)
        self._chains = {drain.id: drain.chain for drain in water.drains}
        self._chains |= {solid.id: self._chains.get(solid.drain, "") for solid in water.solids}
        self._high = {chain.id: (chain.high_face, chain.edges[0].leg) for chain in water.chains}

    def of_leg(self, leg: str) -> int:
        """Terrace of a wall: that of the lowest bed on its timber's side, uphill of a front."""
        return self._legs.get(leg, 1)

    def of_face(self, face: str, leg: str = "") -> int:
        """Terrace of a bed; of another face that of the wall."""
        return self._faces.get(face) or self.of_leg(leg)

    def of_pipe(self, pipe: str) -> int:
        """Terrace of a drain or of the pipe that leads on from it."""
        return self.of_face(*self._high.get(self._chains.get(pipe, ""), ("", "")))

    def of_flight(self, flight: Flight) -> int:
        """Terrace of a flight: that of the lowest wall it climbs."""
        return self.of_leg(flight.line)


def in_arrays(solids: Sequence[Solid], room_m: float) -> Solids:
    """The solids in arrays, each with room beside it that has a trench.

    Args:
        solids: may be none.
        room_m: how much wider than the solid a trench is, on every side.
    """
    wide = [solid for solid in solids if solid.room and len(solid.rings[0]) == 4] if room_m > 0 else []
    rings = [solid.rings for solid in solids]
    if wide:
        out = widened(np.array([solid.rings[0] for solid in wide]), room_m)
        rings += [(tuple(map(tuple, ring)),) for ring in out.tolist()]
    every = [*solids, *wide]
    bottom = np.array([solid.bottom for solid in every]).reshape(-1, 3)
    top = np.array([solid.top for solid in every]).reshape(-1, 3)
    material = np.array([solid.material for solid in every], dtype=np.intp)
    top[len(solids) :] = bottom[len(solids) :]
    material[len(solids) :] = ROOM
    dug_for = np.array([solid.dug_for for solid in every], dtype=np.intp)
    terrace = np.array([solid.terrace for solid in every], dtype=np.intp)
    return Solids(rings_of(rings), bottom, top, material, dug_for, terrace, tuple(solid.owner for solid in every))


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
        yield Solid((run.outline_m,), _flat(run.bottom_m), _flat(run.top_m), 0, _WALL, run.leg, terrace.of_leg(run.leg))
    for leg in walls.legs:
        for course in sorted({segment.base for segment in leg.segments}):
            for run in walls.runs_of(leg.id, course):
                for segment in leg.segments:
                    start, end = max(run.inner_m[0], segment.start_m), min(run.inner_m[1], segment.end_m)
                    if segment.base != course or end - start < 0.01:
                        continue
                    near, far = run.offset_m, run.offset_m + leg.thickness_m
                    corners = ((start, near), (end, near), (end, far), (start, far))
                    ring = tuple(leg.point_at(station, left) for station, left in corners)
                    low, high = _flat(run.bottom_m - STONE_BED_M), _flat(run.bottom_m)
                    yield Solid((ring,), low, high, 3, _WALL, leg.id, terrace.of_leg(leg.id), True)


def _ties(stability: Stability, terrace: Owners) -> Iterator[Solid]:
    for tie in stability.ties:
        for ring in (tie.outline_m, tie.cross_outline_m):
            low, high = _flat(tie.bottom_m), _flat(tie.top_m)
            yield Solid((ring,), low, high, 1, _TIE, tie.leg, terrace.of_leg(tie.leg), True)


def _steps(flight: Flight, terrace: int, thickness_m: float) -> Iterator[Solid]:
    """Frames of the boxes, filled with soil, and the drain stone under those that rest on the ground."""
    for number, tread in enumerate(flight.treads):
        outer, low, high = tread.outline_m, _flat(tread.bottom_m), _flat(tread.top_m)
        inner = widened(np.array([outer]), -thickness_m)[0]
        size = np.hypot(*(np.roll(inner, -1, axis=0) - inner).T)
        way = unit(minus(outer[1], outer[0]))
        square = abs(float(np.dot(inner[1] - inner[0], way)) - size[0]) < 1e-9  # else turned inside out: all timber
        holes = (tuple((float(x), float(y)) for x, y in inner[::-1]),) if square and float(size.min()) > 0.02 else ()
        ahead = float(np.dot(inner[3] - inner[0], left_of(way))) if holes else 0.0
        rings = (outer, *holes) if holes and abs(ahead - size[3]) < 1e-9 else (outer,)
        yield Solid(rings, low, high, 2, _STEPS, flight.id, terrace)
        if number == 0 or flight.kind != "projecting":
            yield Solid((outer,), _flat(tread.bottom_m - STEP_STONE_M), low, 3, _STEPS, flight.id, terrace)


def _of_body(body: Body, terrace: Owners) -> Solid:
    """A body of the water stage: a pipe as flat as makes its square as large as it is, stone of an apron or pit."""
    low = _between(body.start_m, body.end_m, body.bottom_start_m, body.bottom_end_m)
    high = _between(body.start_m, body.end_m, body.top_start_m, body.top_end_m)
    if body.kind == "soakaway":
        return Solid((body.outline_m,), low, high, 3, _PIT, body.part_of, 1)
    owner = terrace.of_pipe(body.part_of.removesuffix("/outlet"))
    if body.kind == "outlet":
        return Solid((body.outline_m,), low, high, 3, _DRAIN, body.part_of, owner)
    thin = 0.5 * (1.0 - _ROUND) * (high[2] - low[2])
    low, high = (low[0], low[1], low[2] + thin), (high[0], high[1], high[2] - thin)
    inside = body.kind in ("drain pipe", "fitting")
    return Solid((body.outline_m,), low, high, 4, _WALL if inside else _DRAIN, body.part_of, owner, not inside)
