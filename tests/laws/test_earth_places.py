"""Heaps, timber and barrows on random yards: inside the lot lines, off each other and off all that stays."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from math import cos, pi, sin
from typing import Any

import numpy as np
import pytest
import shapely

from demo_plans import demo
from lynchet.core.standing import Standing
from lynchet.earth.model import Earth
from lynchet.earth.owners_ground import owners_ground
from lynchet.earth.room import Room, heap_foot
from lynchet.earth.stage import earth
from lynchet.ground.model import Ground
from lynchet.project.model import Access, Project
from lynchet.project.things import Fixed, LotLine
from lynchet.stability.model import Stability
from lynchet.stability.stage import stability
from lynchet.terraces.stage import terraces
from lynchet.walls.model import Walls
from lynchet.walls.stage import walls
from lynchet.water.stage import water
from random_yards import realistic

SEEDS = (2, 4, 6, 8, 11, 12, 14, 18)
YARD = shapely.box(0.0, 0.0, 10.0, 6.0)


def _furnished(seed: int) -> tuple[Project, Ground]:
    """A random yard with a lot line drawn too short along each of one or two sides, trees, and at times a truck."""
    project, ground = realistic(seed)
    rng = np.random.default_rng([seed, 77])
    area = shapely.Polygon(project.area.outline_m)
    left, low, right, high = area.bounds
    gap = float(rng.uniform(0.6, 4.0))
    lots = [LotLine("", ((left - gap, low + 0.3 * (high - low)), (left - gap, low + 0.6 * (high - low))), "fence")]
    if rng.random() < 0.5:
        lots.append(LotLine("back", ((left + 1.0, high + 3.0), (right, high + 3.0 + float(rng.uniform(-0.5, 1.0))))))
    trees = []
    for n in range(2):
        turn = float(rng.uniform(0, 2 * pi))
        at = right + 4.0 * cos(turn), low - 4.0 + 3.0 * sin(turn)
        trees.append(Fixed(f"tree {n}", "tree", f"tree {n}", (at,), clear_m=float(rng.uniform(1.0, 2.5)), stem_m=0.2))
    truck = replace(Access(), truck_stop_m=(right + 9.0, low - 9.0))
    access = (truck, Access(), replace(truck, gate_at_m=(right + 7.5, low - 6.0)))[seed % 3]
    return replace(project, lot_lines=tuple(lots), fixed=(*project.fixed, *trees), access=access), ground


@dataclass(frozen=True)
class Case:
    """A yard as far as the earth stage."""

    project: Project
    walls: Walls
    stability: Stability
    earth: Earth


@cache
def _case(seed: int) -> Case:
    project, ground = _furnished(seed)
    laid = terraces(project, ground, Standing())
    built = walls(project, ground, laid, Standing())
    drained = water(project, ground, laid, built, 1)
    held = stability(project, ground, laid, built, drained, 10)
    return Case(project, built, held, earth(project, ground, laid, built, drained, held))


def _laid(found: Earth) -> dict[str, Any]:
    rings = {heap.id: heap.outline_m for heap in found.heaps}
    if found.drop_zone is not None:
        rings["drop zone"] = found.drop_zone.outline_m
    return {name: shapely.Polygon(ring) for name, ring in rings.items() if ring}


def _beyond(project: Project) -> Any:
    """What lies past each lot line, run on straight: by half planes, as every line here has two points."""
    area = shapely.Polygon(project.area.outline_m)
    found = []
    for lot in project.lot_lines:
        (ax, ay), (bx, by) = lot.line_m
        way = np.array([bx - ax, by - ay]) / np.hypot(bx - ax, by - ay)
        normal = np.array([-way[1], way[0]])
        middle = np.array([area.centroid.x - ax, area.centroid.y - ay])
        away = -normal if middle @ normal > 0 else normal
        start, end = np.array([ax, ay]) - 50.0 * way, np.array([ax, ay]) + 50.0 * way
        found.append(shapely.Polygon([start, end, end + 50.0 * away, start + 50.0 * away]))
    return shapely.union_all(found)


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_is_put_down_where_it_may_not_lie(seed: int) -> None:
    """Heaps and timber lie off each other, past no lot line, off trees, houses, walls and ties."""
    plan = _case(seed)
    project, found = plan.project, plan.earth
    laid, past = _laid(found), _beyond(project)
    kept = [shapely.Point(thing.line_m[0]).buffer(thing.clear_m - 0.05) for thing in project.fixed]
    kept += [shapely.Polygon(house.outline_m) for house in project.houses]
    kept += [run.polygon for run in plan.walls.runs]
    kept += [shapely.Polygon(ring) for tie in plan.stability.ties for ring in (tie.outline_m, tie.cross_outline_m)]
    for name, shape in laid.items():
        assert shapely.intersection(shape, past).area < 1e-9, (name, "lot line")
        assert not any(shapely.intersects(shape, thing) for thing in kept), name
        assert all(shapely.intersection(shape, other).area < 1e-9 for key, other in laid.items() if key != name)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_barrows_way_is_free(seed: int) -> None:
    """It ends at the foot of its heap, lies under no heap and no timber, goes through no tree's ground and no house,
    and past no lot line once it has come from the truck."""
    project, found = _case(seed).project, _case(seed).earth
    run, laid, past = found.barrow_run, _laid(found), _beyond(project)
    feet = {one.id: shapely.Polygon(heap_foot(one.outline_m)) for one in found.heaps if one.outline_m}
    if run is None or len(run.points_m) < 2:
        return
    way = shapely.LineString(run.points_m)
    first = next(heap.id for heap in found.heaps if heap.outline_m)
    heap = laid[first] = feet[first]
    assert shapely.distance(heap, shapely.Point(run.points_m[-1])) < 1e-6
    assert all(shapely.intersection(way, shape).length < 1e-6 for shape in laid.values())
    for thing in project.fixed:
        assert shapely.distance(shapely.Point(thing.line_m[0]), way) > 0.9 * thing.clear_m
    assert all(shapely.intersection(way, shapely.Polygon(house.outline_m)).length < 1e-6 for house in project.houses)
    assert shapely.intersection(way, past).length < 1e-6 or shapely.intersects(past, shapely.Point(run.points_m[0]))


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_lies_in_the_gate(seed: int) -> None:
    """Nothing is put down where the truck stands, in the gate, or between the two."""
    access, laid = _case(seed).project.access, _laid(_case(seed).earth)
    stops = [stop for stop in (access.truck_stop_m, access.gate_at_m) if stop is not None]
    if stops:
        way = shapely.LineString(stops) if len(stops) > 1 else shapely.Point(stops[0])
        assert all(shapely.distance(shape, way) > 0.7 for shape in laid.values())


def test_the_laws_of_places_are_not_idle() -> None:
    """Most yards have a heap, timber and a run, and on some a lot line drawn short would have let one past it."""
    found = [_case(seed).earth for seed in SEEDS]
    assert sum(len(_laid(one)) >= 2 for one in found) >= len(SEEDS) // 2
    assert sum(one.barrow_run is not None for one in found) >= len(SEEDS) // 2


def _past(lots: list[list[tuple[float, float]]], at: tuple[float, float]) -> bool:
    return any(shapely.intersects(shape, shapely.Point(at)) for shape in owners_ground(YARD, lots).beyond)


def test_a_lot_line_runs_on_straight_beyond_its_ends() -> None:
    """Ground past the line of a short piece is the neighbour's, far from the piece too; this side of it is not."""
    lots = [[(-1.0, 2.0), (-1.0, 3.0)]]
    assert _past(lots, (-2.0, 40.0)) and _past(lots, (-1.5, -40.0)) and not _past(lots, (-0.5, 40.0))


def test_a_lot_line_ends_where_another_meets_it() -> None:
    """Of two lines that meet behind the yard neither goes on past the other: the ground past the first is one piece,
    and what lies past a corner drawn a little open is past it too."""
    lots = [[(-1.0, 2.0), (-1.0, 7.9)], [(-1.1, 8.0), (5.0, 8.0)]]
    assert _past(lots, (-2.0, 3.0)) and _past(lots, (3.0, 9.0)) and _past(lots, (-1.5, 9.0))
    assert not _past(lots, (-0.5, 7.5)) and not _past(lots, (4.0, 7.5))
    apart = [[(-1.0, 2.0), (-1.0, 4.0)], [(2.0, 8.0), (5.0, 8.0)]]
    assert _past(apart, (-0.5, 8.5)) and _past(apart, (-1.5, 7.5)) and not _past(apart, (-0.5, 7.5))


def test_a_lot_line_never_cuts_the_yard_itself() -> None:
    """A piece that would run on through the yard ends where it is drawn; a closed ring runs on nowhere."""
    assert not _past([[(-4.0, 3.0), (-2.0, 3.0)]], (5.0, 2.0)) and not _past([[(-4.0, 3.0), (-2.0, 3.0)]], (5.0, 4.0))
    ring = [[(-1.0, -1.0), (11.0, -1.0), (11.0, 7.0), (-1.0, 7.0), (-1.0, -1.0)]]
    assert _past(ring, (-2.0, 3.0)) and _past(ring, (40.0, 40.0)) and not _past(ring, (10.5, 6.5))


@pytest.mark.parametrize(("truck", "side"), [((5.0, -12.0), (0, -1)), ((22.0, 3.0), (1, 0)), ((5.0, 18.0), (0, 1))])
def test_timber_is_set_down_on_the_side_the_truck_comes_from(truck: Any, side: tuple[int, int]) -> None:
    """Whichever side the file names, heaps there too: not on the nearest free ground behind the yard."""
    room = Room(YARD)
    room.keep_clear("the area", YARD)
    room.keep_clear("the heap", shapely.Point(YARD.centroid.x + 7 * side[0], YARD.centroid.y + 5 * side[1]).buffer(2.0))
    zone = room.handiest((4.0, 2.4), truck)
    middle = np.array(zone).mean(axis=0) - np.array(YARD.centroid.coords[0])
    half = np.array([5.0, 3.0])
    off = middle / half
    assert off @ np.array(side) > 1.0, (middle, side)
    assert not any(shapely.intersects(shapely.Polygon(zone), shape) for shape in room.shapes)


def test_timber_of_the_side_yard_is_not_set_down_behind_the_house() -> None:
    """No truck stop is in the file: the straight way from the heap to the timber crosses no bed and no house."""
    plan = demo("side_yard")
    zone, heap = plan.earth.drop_zone, plan.earth.heaps[0]
    assert zone is not None
    way = shapely.LineString([np.array(zone.outline_m).mean(axis=0), np.array(heap.outline_m).mean(axis=0)])
    assert not way.intersects(shapely.Polygon(plan.project.area.outline_m))
    assert not any(way.intersects(shapely.Polygon(house.outline_m)) for house in plan.project.houses)
