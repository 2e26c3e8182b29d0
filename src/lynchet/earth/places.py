"""Heaps, drop zone and the way for barrows as places on the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

import numpy as np

from lynchet.core.plane import Point
from lynchet.earth.balance import factors_of
from lynchet.earth.finishes import Finish
from lynchet.earth.model import BarrowRun, BuildStep, DropZone, Heap
from lynchet.earth.room import LEAST_HEAP_M3, Room, apart, heap_size, mean_place, rectangle, room_of
from lynchet.earth.way import climb_and_steepest, way_round
from lynchet.ground.model import Ground
from lynchet.ground.surface import level_at
from lynchet.project.model import Project
from lynchet.terraces.model import Terraces
from lynchet.water.model import Water

PASSAGE_M = 0.9144
"""What a barrow needs, and the hands beside it: 36 in. PRACTICE."""
TRUCK_M = 2.4384
"""No truck passes a narrower gap: 8 ft. PRACTICE."""
STACK_M = 2.4
"""Width of a drop zone: timber beside stone. PRACTICE."""
STACK_MORE_M = 1.0
"""It is so much longer than the longest stick. PRACTICE."""
_BESIDE_M = 0.45
"""A barrow keeps so far from a house."""


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


def places_of(
    project: Project, ground: Ground, terraces: Terraces, water: Water, finishes: Sequence[Finish],
    steps: Sequence[BuildStep],
) -> Places:  # fmt: skip
    """Heaps for the most soil there is at once, the place for timber and stone, the way between truck and heap."""
    loose_per_bank = factors_of(project).loose
    access = project.access
    room = room_of(project, terraces, water, finishes)
    beds = tuple(_beds_middle(terraces, k + 1) for k in range(len(terraces.levels_m)))
    way_in = access.gate_at_m or access.truck_stop_m
    target = way_in or next((bed for bed in beds if bed is not None), _middle(project.area.outline_m))
    heaps = _heaps(project, ground, room, steps, target, loose_per_bank)
    drop = _drop_zone(project, room, access.truck_stop_m or target)
    first = next((heap for heap in heaps if heap.outline_m), None)
    others = [_box(heap.outline_m) for heap in heaps if heap.outline_m and heap is not first]
    run = _run(project, ground, room, first, others) if first is not None else None
    return Places(heaps, drop, run, _truck_reaches(project), beds)


def _most(steps: Sequence[BuildStep], loose_per_bank: float) -> float:
    """Most on the heap at once: what is turned over at a step, and what waits for the truck, which comes last."""
    waits = np.cumsum([step.away_m3 for step in steps]) * loose_per_bank
    return max((step.peak_loose_m3 + before for step, before in zip(steps, (0.0, *waits), strict=False)), default=0.0)


def _heaps(
    project: Project, ground: Ground, room: Room, steps: Sequence[BuildStep], target: Point, loose_per_bank: float
) -> tuple[Heap, ...]:
    sizes: tuple[tuple[Literal["heap", "topsoil heap"], float], ...] = (
        ("heap", _most(steps, loose_per_bank)),
        ("topsoil heap", max((step.topsoil_heap_loose_m3 for step in steps), default=0.0)),
    )
    found: list[Heap] = []
    given = project.access.heap_m
    slope = project.digging.heap_slope
    for name, loose in sizes:
        if loose < LEAST_HEAP_M3:
            continue
        height, long, wide = heap_size(loose, slope)
        here = given is not None and not found
        met: tuple[str, ...] = ()
        if given is not None and here:
            outline = rectangle(given, long / 2.0, wide / 2.0)
            met = room.in_the_way(outline)
        else:
            outline = room.nearest((long, wide), given or target)
        if outline:
            room.keep_clear(f"the {name}", _box(outline))
        found.append(Heap(name, loose, height, slope, outline, _level(ground, outline), here, met))
    return tuple(found)


def _box(outline_m: Sequence[Point]) -> Any:
    import shapely

    return shapely.Polygon(outline_m)


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
    outline = room.nearest(size, target)
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
    """From where the truck stands, through the gate, to the heap; without a truck stop from the yard's edge.

    Round the houses, the area and the other heaps.
    """
    import shapely

    access = project.access
    end = _middle(heap.outline_m)
    if access.truck_stop_m is not None:
        gate = (access.gate_at_m,) if access.gate_at_m is not None else ()
        blocked = [shapely.buffer(shapely.Polygon(house.outline_m), _BESIDE_M, join_style="mitre")
                   for house in project.houses]  # fmt: skip
        line = way_round((access.truck_stop_m, *gate, end), [*blocked, room.area, *others])
    else:
        near = shapely.shortest_line(room.area, shapely.Point(end)).coords[0]
        line = way_round(((float(near[0]), float(near[1])), end), others)
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


def _truck_reaches(project: Project) -> bool | None:
    access = project.access
    if access.tip_at_heap is not None:
        return access.tip_at_heap
    return False if access.gate_m is not None and access.gate_m < TRUCK_M else None
