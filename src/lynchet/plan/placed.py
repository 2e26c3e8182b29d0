"""Every placed thing of a plan, once: what clash, drawings, lists and exports read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from lynchet.core.frame import Point
from lynchet.core.quick import quick
from lynchet.plan.model import Plan
from lynchet.planting.model import Planted
from lynchet.stability.model import Stability
from lynchet.terraces.model import Terraces
from lynchet.terraces.step_frames import STEP_STONE_M, on_ground
from lynchet.timber.model import Fastener, Timber
from lynchet.walls.bedding import STONE_BED_M, stone_beds
from lynchet.walls.model import Piece, Walls
from lynchet.water.model import Water

WEEP_HOLE = "weep hole"
"""An opening in timber: what stands in it would close it."""


@quick
@dataclass(frozen=True)
class Placed:
    """An upright thing with a plan footprint, a bottom and a top; both may slope evenly along it."""

    id: str
    kind: str
    """timber, tie, cross-piece, pin, screw, corner pin, tie screw, weep hole, step (its box, filling included),
    stone bed, or a kind of water's bodies."""
    owner: str
    """Leg, chain, drain or flight it belongs to."""
    outline_m: tuple[Point, ...]
    bottom_m: float
    top_m: float
    slope: tuple[float, float] = (0.0, 0.0)
    """Rise per metre in x and y of bottom and top alike; the levels above are those at the first point."""
    origin_m: Point = (0.0, 0.0)
    """Where ``bottom_m`` and ``top_m`` hold, if sloping."""

    @cached_property
    def polygon(self) -> Any:
        """The footprint as a shapely polygon."""
        from shapely.geometry import Polygon

        return Polygon(self.outline_m)

    def levels_at(self, point: Point) -> tuple[float, float]:
        """(bottom, top) at a plan point."""
        rise = self.slope[0] * (point[0] - self.origin_m[0]) + self.slope[1] * (point[1] - self.origin_m[1])
        return self.bottom_m + rise, self.top_m + rise

    @property
    def volume_m3(self) -> float:
        """Footprint times height."""
        return float(self.polygon.area) * (self.top_m - self.bottom_m)


def placed(plan: Plan) -> Iterator[Placed]:
    """Everything a plan places."""
    yield from placed_of(plan.terraces, plan.walls, plan.water, plan.stability, plan.pieces, plan.timber.fasteners)
    yield from placed_plants(plan.planted)


def placed_steps(timber: Timber) -> Iterator[Placed]:
    """Every timber of the steps, each within the box that ``placed`` gives of its step: for what counts timber."""
    for piece in timber.steps:
        yield Placed(piece.id, "step timber", piece.flight, piece.outline_m, piece.bottom_m, piece.top_m)


def placed_plants(planted: Planted) -> Iterator[Placed]:
    """Every plant: its root ball in plan, from the underside of its hole to the top of the grown plant."""
    for planting in planted.plantings:
        half = planting.ball_m
        for plant in planting.plants:
            x, y = plant.point_m
            outline = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
            yield Placed(plant.id, "plant", planting.bed, outline, plant.bottom_m, plant.top_m)


def placed_of(
    terraces: Terraces,
    walls: Walls,
    water: Water,
    stability: Stability,
    pieces: Sequence[Piece],
    fasteners: Sequence[Fastener] = (),
) -> Iterator[Placed]:
    """Timber, ties, pins, screws, steps, stone beds, and all bodies of the water stage."""
    for piece in pieces:
        yield Placed(piece.id, "timber", piece.leg, piece.outline_m, piece.bottom_m, piece.top_m)
    for tie in stability.ties:
        yield Placed(tie.id, "tie", tie.id, tie.outline_m, tie.bottom_m, tie.top_m)
        yield Placed(f"{tie.id}/cross", "cross-piece", tie.id, tie.cross_outline_m, tie.bottom_m, tie.top_m)
    for pin in stability.pins:
        half = pin.diameter_m / 2.0
        x, y = pin.point_m
        outline = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
        yield Placed(pin.id, "pin", pin.leg, outline, pin.bottom_m, pin.top_m)
    for hole in stability.weeps:
        yield Placed(hole.id, WEEP_HOLE, hole.leg, hole.outline_m, hole.bottom_m, hole.back_top_m)
    for one in fasteners:
        yield Placed(one.id, one.kind, one.leg, one.outline_m, one.bottom_m, one.top_m)
    for flight in terraces.flights:
        for tread in flight.treads:
            yield Placed(tread.id, "step", flight.id, tread.outline_m, tread.bottom_m, tread.top_m)
        for tread in on_ground(flight):
            low = tread.bottom_m - STEP_STONE_M
            yield Placed(f"{tread.id}/bed", "stone bed", flight.id, tread.outline_m, low, tread.bottom_m)
        for stone in (stone for landing in flight.landings for stone in landing.stone):
            yield Placed(stone.id, "stone bed", flight.id, stone.outline_m, stone.bottom_m, stone.top_m)
    yield from _stone_beds(walls)
    yield from _water(water)


def _stone_beds(walls: Walls) -> Iterator[Placed]:
    """Under the lowest course of every segment, where it does not lie on a course below."""
    for leg in walls.legs:
        for bed in stone_beds(walls, leg):
            top = bed.run.bottom_m
            yield Placed(f"{leg.id}/bed.{bed.number}", "stone bed", leg.id, bed.outline_m, top - STONE_BED_M, top)


def _water(water: Water) -> Iterator[Placed]:
    for body in water.bodies:
        dx, dy = body.end_m[0] - body.start_m[0], body.end_m[1] - body.start_m[1]
        square = dx * dx + dy * dy
        rise = body.bottom_end_m - body.bottom_start_m
        slope = (rise * dx / square, rise * dy / square) if square > 0 else (0.0, 0.0)
        yield Placed(
            body.id, body.kind, body.part_of, body.outline_m, body.bottom_start_m, body.top_start_m, slope, body.start_m
        )
