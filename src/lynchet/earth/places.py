"""Heaps, drop zone and the way for barrows as places on the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi
from typing import Any, Literal

import numpy as np

from lynchet.core.plane import Point
from lynchet.earth.model import BarrowRun, BuildStep, DropZone, Heap
from lynchet.earth.room import BESIDE_M, LEAST_HEAP_M3, Room, apart, heap_foot, heap_size, mean_place, rectangle
from lynchet.earth.way import climb_and_steepest, way_round
from lynchet.ground.model import Ground
from lynchet.ground.surface import level_at
from lynchet.project.model import Project
from lynchet.terraces.model import Terraces

PASSAGE_M = 0.9144
"""What a barrow needs, and the hands beside it: 36 in. PRACTICE."""
TRUCK_M = 2.4384
"""No truck passes a narrower gap: 8 ft. PRACTICE."""
STACK_M = 2.4
"""Width of a drop zone: timber beside stone. PRACTICE."""
_ROUND = 1.0 / cos(pi / 16.0)
"""How much farther out the corners of a round of sixteen sides lie than the circle within them."""
_AT_A_STOP_M = 1.0
"""Where a stop lies at a lot line, the way may come as near to the line within so much of the stop. PRACTICE."""
STACK_MORE_M = 1.0
"""It is so much longer than the longest stick. PRACTICE."""

_THERE_M = 1e-6


@dataclass(frozen=True)
class Places:
    """Where soil lies and how it gets there."""

    heaps: tuple[Heap, ...]
    drop_zone: DropZone
    barrow_run: BarrowRun | None
    truck_reaches: bool | None
    beds: tuple[Point | None, ...]
    """Middle of the beds of each terrace."""

    def carry_m(self, terrace: int) -> float | None:
        """From the heap to the middle of a terrace's beds, straight; None where there is no heap."""
        heap = next((heap for heap in self.heaps if heap.outline_m), None)
        bed = self.beds[terrace - 1]
        return apart(_middle(heap.outline_m), bed) if heap is not None and bed is not None else None


def places_of(project: Project, ground: Ground, terraces: Terraces, room: Room, steps: Sequence[BuildStep]) -> Places:
    """Heaps for the most soil there is at once, the place for timber and stone, the way between truck and heap."""
    access = project.access
    beds = tuple(_beds_middle(terraces, k + 1) for k in range(len(terraces.levels_m)))
    way_in = access.gate_at_m or access.truck_stop_m
    target = way_in or next((bed for bed in beds if bed is not None), _middle(project.area.outline_m))
    heaps = _heaps(project, ground, room, steps, target)
    first = next((heap for heap in heaps if heap.outline_m), None)
    beside_heap = _middle(first.outline_m) if first is not None else target  # where the soil is fetched, a truck comes
    drop = _drop_zone(project, room, access.truck_stop_m or access.gate_at_m or beside_heap)
    others = [_box(heap.outline_m) for heap in heaps if heap.outline_m and heap is not first]
    others += [_box(drop.outline_m)] if drop.outline_m else []
    run = _run(project, ground, room, first, others) if first is not None else None
    return Places(heaps, drop, run, _truck_reaches(project), beds)


def _heaps(project: Project, ground: Ground, room: Room, steps: Sequence[BuildStep], target: Point) -> tuple[Heap, ...]:
    sizes: tuple[tuple[Literal["heap", "topsoil heap"], float], ...] = (
        ("heap", max((step.peak_loose_m3 for step in steps), default=0.0)),
        ("topsoil heap", max((step.topsoil_heap_loose_m3 for step in steps), default=0.0)),
    )
    found: list[Heap] = []
    given = project.access.heap_m
    ways = {way.name for way in project.paths}  # whose own ground it is may say that soil lies on a paved way
    slope = project.digging.heap_slope
    for name, loose in sizes:
        if loose < LEAST_HEAP_M3:
            continue
        height, long, wide = heap_size(loose, slope)
        wished = given if not found else None
        met = room.in_the_way(rectangle(wished, long / 2.0, wide / 2.0)) if wished is not None else ()
        hard = [one for one in met if one not in ways]
        outline = _heap_outline(room, (long, wide), wished, given or target, hard)
        off = apart(_middle(outline), wished) if outline and wished is not None else 0.0
        if outline:
            room.keep_clear(f"the {name}", _box(outline))
        here = wished is not None and bool(outline) and off <= _THERE_M
        moved = off if off > _THERE_M else None
        found.append(Heap(name, loose, height, slope, outline, _level(ground, outline), here, met, moved))
    return tuple(found)


def _heap_outline(
    room: Room, size_m: tuple[float, float], wished: Point | None, target: Point, hard: Sequence[str]
) -> tuple[Point, ...]:
    """Where the file puts it if that is free, or the nearest place that is; else beside the yard, near the target."""
    long, wide = size_m
    if wished is None:
        return room.nearest(size_m, target)
    if not hard:
        return rectangle(wished, long / 2.0, wide / 2.0)
    return room.nearest_round(size_m, wished) or room.nearest(size_m, wished)


def _box(outline_m: Sequence[Point]) -> Any:
    import shapely

    return shapely.polygons(np.array(outline_m))


def _middle(outline_m: Sequence[Point]) -> Point:
    middle = np.array(outline_m, dtype=float).mean(axis=0)
    return float(middle[0]), float(middle[1])


def _level(ground: Ground, outline_m: Sequence[Point]) -> float | None:
    if not outline_m:
        return None
    level = float(level_at(ground.surface, [_middle(outline_m)], 1.0)[0])
    return level if level == level else None


def _drop_zone(project: Project, room: Room, target: Point) -> DropZone:
    longest = max((stock.length_m for stock in project.timber.stock), default=2.4)
    size = (longest + STACK_MORE_M, STACK_M)
    outline = room.handiest(size, target)
    if outline:
        room.keep_clear("the drop zone", _box(outline))
    return DropZone(outline, size[0] * size[1])


def _beds_middle(terraces: Terraces, terrace: int) -> Point | None:
    faces = [face for face in terraces.beds if face.terrace == terrace]
    if not faces:
        return None
    middles = np.array([[face.polygon.centroid.x, face.polygon.centroid.y] for face in faces])
    return mean_place(middles, np.array([face.area_m2 for face in faces]))


def _run(project: Project, ground: Ground, room: Room, heap: Heap, others: Sequence[Any]) -> BarrowRun:
    """From the truck through the gate to the foot of the heap; without a truck stop from the yard's edge.

    Round the houses, the area, what stays, the other heaps, timber and stone, on the owner's side of the lot lines.
    """
    import shapely

    access = project.access
    end = _middle(heap.outline_m)
    if access.truck_stop_m is not None:
        gate = (access.gate_at_m,) if access.gate_at_m is not None else ()
        stops = [access.truck_stop_m, *gate, end]
        entry = _entry(room, stops[0], stops[1])
        if entry is not None:
            stops.insert(1, entry)
    else:
        near = shapely.shortest_line(room.area, shapely.Point(end)).coords[0]
        stops = [(float(near[0]), float(near[1])), end]
    line = _to_the_foot(_way(project, room, stops, others), _box(heap_foot(heap.outline_m)))
    climb, steepest = climb_and_steepest(ground.surface, line)
    return BarrowRun(
        points_m=line,
        length_m=sum(apart(a, b) for a, b in pairwise(line)),
        climb_m=climb,
        steepest=steepest,
        passage_m=PASSAGE_M,
        narrowest_m=access.gate_m,
        start="truck stop" if access.truck_stop_m is not None else "edge of the area",
    )


def _way(project: Project, room: Room, stops: Sequence[Point], others: Sequence[Any]) -> tuple[Point, ...]:
    """A way whose whole width keeps off the ground of what stays; where there is none so wide, its middle does."""
    import shapely

    at = _at_stops(stops)
    lots = [shapely.difference(shapely.buffer(shape, BESIDE_M, quad_segs=2), at) for shape in room.beyond]
    blocked = [*room.no_way, *lots, *others]
    reach = [(max(thing.clear_m, 0.05) + BESIDE_M) * _ROUND for thing in project.fixed]
    grounds = [shapely.buffer(thing.shape, far, quad_segs=4) for thing, far in zip(project.fixed, reach, strict=True)]
    wide = [shapely.difference(ground, at) for ground in grounds]
    line = way_round(stops, [*blocked, *wide])
    free = len(line) > 1 and not any(shapely.crosses(shapely.LineString(line), ground) for ground in wide)
    return line if free or not wide else way_round(stops, blocked)


def _at_stops(stops: Sequence[Point]) -> Any:
    """Ground by the stops of a way."""
    import shapely

    return shapely.union_all([shapely.buffer(shapely.Point(stop), _AT_A_STOP_M, quad_segs=2) for stop in stops])


def _entry(room: Room, truck: Point, towards: Point) -> Point | None:
    """Where the straight way from a truck that stands past a lot line comes onto the owner's ground; None elsewhere."""
    import shapely

    if not room.beyond:
        return None
    past = shapely.union_all(room.beyond)
    line = shapely.LineString([truck, towards])
    if past.is_empty or not shapely.intersects(past, shapely.Point(truck)):
        return None
    off = shapely.intersection(line, past)
    at = max((shapely.distance(shapely.Point(truck), shapely.Point(spot)), (float(spot[0]), float(spot[1])))
             for spot in shapely.get_coordinates(off).tolist())[1]  # fmt: skip
    return at if apart(at, towards) > _AT_A_STOP_M else None


def _to_the_foot(line: Sequence[Point], heap: Any) -> tuple[Point, ...]:
    """A way as far as the foot of the heap it leads to; as it is where it begins on the heap."""
    import shapely

    if len(line) < 2:
        return tuple(line)
    way = shapely.difference(shapely.LineString(line), heap)
    first = next((part for part in shapely.get_parts(way) if apart(part.coords[0], line[0]) < 1e-9), None)
    if first is None or first.length < 1e-6:
        return tuple(line)
    return tuple((float(x), float(y)) for x, y in first.coords)


def _truck_reaches(project: Project) -> bool | None:
    access = project.access
    if access.tip_at_heap is not None:
        return access.tip_at_heap
    return False if access.gate_m is not None and access.gate_m < TRUCK_M else None
