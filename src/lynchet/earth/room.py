"""Free ground beside the yard: where a heap or a stack of timber may lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import atan, degrees, sqrt
from typing import Any

import numpy as np

from lynchet.core.plane import Point
from lynchet.earth.finishes import BANK, Finish
from lynchet.earth.owners_ground import owners_ground
from lynchet.earth.rows import Array
from lynchet.ground.stockpile import cone_height, cone_m3
from lynchet.project.model import Project
from lynchet.project.things import Fixed, House, LotLine, Path
from lynchet.terraces.model import Terraces
from lynchet.water.model import Water

SETBACK_M = 0.6096
"""Foot of a heap to the edge of a dig: 2 ft, 29 CFR 1926.651(j)(2)."""
HOUSE_CLEAR_M = 0.3
"""No soil is laid nearer to a house: its siding and its vents stay free. PRACTICE."""
LOT_CLEAR_M = 0.3
"""No soil is laid nearer to a lot line: none rolls over it. PRACTICE."""
BESIDE_M = 0.45
"""A barrow keeps so far from a house, and from a lot line. PRACTICE."""
MOST_HEAP_M = 1.5
"""A heap thrown up by hand is no higher. PRACTICE."""
WAY_IN_M = 0.75
"""Half of what is kept open between truck, gate and yard: a barrow with somebody beside it. PRACTICE."""
LEAST_HEAP_M3 = 0.05
RINGS_M = (0.05, 1.0, 2.0, 4.0, 7.0, 11.0, 16.0)
"""Distances from the yard, past the setback, at which room is looked for."""
_APART_M = 1.0
ROUND_M = 20.0
"""So far from the place a file says room is looked for."""
_FINE_M = 0.25
_TURNS = 48
_PARTS = 16
_ROUND_POINTS = 25
_SHARES = (16, 48, 112, 240)
"""Places of a ring are looked at in shares that end here and then all the rest: often few need be looked at."""
_ROUNDED = 0.9
"""Of the distance of a ring: no nearer to the yard does it pass its corners, which are rounded by two chords each."""
_LANES = ("solid pipe", "roof pipe", "cut-off", "cut-off stone", "outlet", "soakaway")


@dataclass
class Room:
    """The yard's surroundings with all that is in the way."""

    area: Any
    """The outline as a polygon."""
    names: list[str] = field(default_factory=list)
    shapes: list[Any] = field(default_factory=list)
    no_way: list[Any] = field(default_factory=list)
    """What no barrow goes through."""
    beyond: list[Any] = field(default_factory=list)
    """Ground past the lot lines."""
    _index: tuple[int, Any] | None = None

    def keep_clear(self, name: str, shape: Any) -> None:
        """Nothing may be put there from now on."""
        self.names.append(name)
        self.shapes.append(shape)

    def keep_lots(self, lots: Sequence[LotLine]) -> None:
        """Nothing may be put on lot lines or past them; they run on straight beyond their drawn ends."""
        import shapely

        ground = owners_ground(self.area, [lot.line_m for lot in lots])
        for lot, shape in zip(lots, ground.lines, strict=True):
            self.keep_clear(lot.name or "a lot line", shapely.buffer(shape, LOT_CLEAR_M, quad_segs=1))
        for shape in ground.beyond:
            self.keep_clear("a lot line", shape)
        self.beyond += ground.beyond

    def in_the_way(self, outline_m: Sequence[Point]) -> tuple[str, ...]:
        """Names of what an outline meets, each once."""
        import shapely

        box = shapely.Polygon(outline_m)
        met = np.flatnonzero(shapely.intersects(np.array(self.shapes, dtype=object), box))
        return tuple(dict.fromkeys(self.names[i] for i in met))

    def nearest(self, size_m: tuple[float, float], target: Point) -> tuple[Point, ...]:
        """The free rectangle of this size nearest to the yard, and there nearest to a point; empty for none.

        Args:
            size_m: length and width; it may lie either way round.
            target: where it would be handy.
        """
        return next((found for ring in RINGS_M if (found := self._on_ring(ring, size_m, target))), ())

    def handiest(self, size_m: tuple[float, float], target: Point) -> tuple[Point, ...]:
        """The free rectangle of this size with the shortest way from a point to it and on to the yard; empty for none.

        Args:
            size_m: length and width; it may lie either way round.
            target: where things come from.
        """
        import shapely

        best: tuple[Point, ...] = ()
        least, far = float("inf"), float(shapely.distance(self.area, shapely.Point(target)))
        for ring in RINGS_M:
            out = SETBACK_M + size_m[1] / 2.0 + ring
            if ring + max(0.0, far - out, _ROUNDED * out - far) >= least:
                continue  # no place so far from the yard has a shorter way
            found = self._on_ring(ring, size_m, target, least - ring)
            if found:
                x, y = (sum(place) / len(found) for place in zip(*found, strict=True))
                way = ring + float(np.hypot(x - target[0], y - target[1]))
                best, least = (found, way) if way < least - 1e-6 else (best, least)
        return best

    def _tree(self) -> Any:
        """Index of what is in the way, made anew where something came."""
        import shapely

        if self._index is None or self._index[0] != len(self.shapes):
            self._index = len(self.shapes), shapely.STRtree(self.shapes)
        return self._index[1]

    def _on_ring(
        self, ring_m: float, size_m: tuple[float, float], target: Point, most_m: float = np.inf
    ) -> tuple[Point, ...]:
        """The free rectangle so far from the yard that is nearest to a point, within ``most_m``; empty for none."""
        import shapely

        long, wide = size_m
        line = shapely.buffer(self.area, SETBACK_M + wide / 2.0 + ring_m, quad_segs=2).exterior
        count = max(4, int(line.length / _APART_M))
        places = shapely.line_interpolate_point(line, np.linspace(0.0, 1.0, count, endpoint=False), normalized=True)
        at = shapely.get_coordinates(places)
        x, y = np.concatenate([at, at]).T
        half_x, half_y = np.repeat([long, wide], count) / 2.0, np.repeat([wide, long], count) / 2.0
        away = np.round(np.hypot(x - target[0], y - target[1]), 6)
        order = np.argsort(away, kind="stable")[: np.count_nonzero(away <= most_m)]
        for some in np.split(order, [end for end in _SHARES if end < len(order)]):  # the nearest first
            if found := self._first_free(x[some], y[some], half_x[some], half_y[some]):
                return found
        return ()

    def _first_free(self, x: Array, y: Array, half_x: Array, half_y: Array) -> tuple[Point, ...]:
        """Of rectangles about (n,) middles the first that nothing is in the way of; empty for none."""
        import shapely

        free = np.ones(len(x), dtype=np.bool_)
        boxes = shapely.box(x - half_x, y - half_y, x + half_x, y + half_y)
        free[self._tree().query(boxes, predicate="intersects")[0]] = False
        if not free.any():
            return ()
        k = int(free.argmax())
        return rectangle((float(x[k]), float(y[k])), float(half_x[k]), float(half_y[k]))

    def nearest_round(self, size_m: tuple[float, float], target: Point) -> tuple[Point, ...]:
        """The free rectangle of this size whose middle is nearest to a place, anywhere round it; empty for none.

        Args:
            size_m: length and width; it may lie either way round.
            target: the place.
        """
        long, wide = size_m
        turns = np.arange(_TURNS) * (2.0 * np.pi / _TURNS)
        off = np.arange(0.0, ROUND_M, _FINE_M)[:, None, None] * np.stack([np.cos(turns), np.sin(turns)], axis=1)
        for some in np.array_split(off.reshape(-1, 2) + np.array(target), _PARTS):  # from the place itself outwards
            x, y = np.repeat(some, 2, axis=0).T
            half_x, half_y = np.tile([long, wide], len(some)) / 2.0, np.tile([wide, long], len(some)) / 2.0
            if found := self._first_free(x, y, half_x, half_y):
                return found
        return ()


def heap_foot(outline_m: Sequence[Point]) -> tuple[Point, ...]:
    """The foot of a heap in its rectangle: soil falls to all sides alike, so its ends are round."""
    if len(outline_m) != 4:
        return tuple(outline_m)
    (ax, ay), (bx, by), _, (dx, dy) = outline_m
    long_way = apart((ax, ay), (bx, by)) >= apart((ax, ay), (dx, dy))
    if not long_way:
        (ax, ay), (bx, by), (dx, dy) = outline_m[1], outline_m[2], outline_m[0]
    long, wide = apart((ax, ay), (bx, by)), apart((ax, ay), (dx, dy))
    ux, uy, vx, vy = (bx - ax) / long, (by - ay) / long, (dx - ax) / wide, (dy - ay) / wide
    mid_x, mid_y = ax + 0.5 * (long * ux + wide * vx), ay + 0.5 * (long * uy + wide * vy)
    half, radius = 0.5 * (long - wide), 0.5 * wide
    turns = np.linspace(-0.5 * np.pi, 0.5 * np.pi, _ROUND_POINTS)
    right = [(half + radius * float(np.cos(t)), radius * float(np.sin(t))) for t in turns]
    ring = [*right, *((-x, -y) for x, y in right)]
    return tuple((mid_x + x * ux + y * vx, mid_y + x * uy + y * vy) for x, y in ring)


def rectangle(centre: Point, half_x: float, half_y: float) -> tuple[Point, ...]:
    """Rectangle along the axes, anticlockwise."""
    x, y = centre
    return (x - half_x, y - half_y), (x + half_x, y - half_y), (x + half_x, y + half_y), (x - half_x, y + half_y)


def room_of(project: Project, terraces: Terraces, water: Water, finishes: Sequence[Finish], held: Array) -> Room:
    """Everything round the yard that a heap must keep clear of.

    Args:
        project, terraces, water: the earlier results.
        finishes: levels when finished.
        held: (n, 4, 2) ground that walls hold, and ties; what of it lies outside the area is kept clear.
    """
    import shapely

    area = shapely.Polygon(project.area.outline_m)
    room = Room(area)
    room.keep_clear("the digging", shapely.buffer(area, SETBACK_M, join_style="mitre"))
    room.no_way.append(shapely.buffer(area, -0.01))
    rings = [one.rings[0] for one in finishes if one.kind == BANK and one.raised > 0]
    rings += [body.outline_m for body in water.bodies if body.kind in _LANES]
    rings += [landing.outline_m for flight in terraces.flights for landing in flight.landings]
    treads = [tread.outline_m for flight in terraces.flights for tread in flight.treads if len(tread.outline_m) == 4]
    for shape in _outside(area, np.array([*(ring for ring in rings if len(ring) == 4), *treads])):
        room.keep_clear("the digging", shapely.buffer(shape, SETBACK_M, quad_segs=1))
    room.no_way += _outside(area, np.array(treads))
    for shape in _outside(area, held):
        room.keep_clear("the ground a wall holds", shape)
    for name, shape in _staying(project.houses, project.paths, project.fixed):
        room.keep_clear(name, shape)
    way_in = [stop for stop in (project.access.truck_stop_m, project.access.gate_at_m) if stop is not None]
    if way_in:
        yard = shapely.shortest_line(area, shapely.Point(way_in[-1])).coords[0]
        room.keep_clear("the way in", shapely.buffer(shapely.LineString([*way_in, yard]), WAY_IN_M, quad_segs=2))
    kept = {one.name for one in project.paths}
    room.no_way += [shape for name, shape in _staying(project.houses, project.paths, project.fixed) if name not in kept]
    room.no_way += list(_beside_houses(project.houses))
    if project.lot_lines:
        room.keep_lots(project.lot_lines)
    return room


def _outside(area: Any, rings: Array) -> list[Any]:
    """Of four-cornered outlines those that are not wholly on the area."""
    import shapely

    if not len(rings):
        return []
    shapes: Any = shapely.polygons(rings)
    shapely.prepare(area)
    return list(shapes[~shapely.covers(area, shapes)])


@lru_cache(maxsize=8)
def _beside_houses(houses: tuple[House, ...]) -> tuple[Any, ...]:
    """Houses with the room a barrow keeps from them."""
    import shapely

    return tuple(shapely.buffer(shapely.Polygon(one.outline_m), BESIDE_M, join_style="mitre") for one in houses)


@lru_cache(maxsize=8)
def _staying(
    houses: tuple[House, ...], paths: tuple[Path, ...], things: tuple[Fixed, ...]
) -> tuple[tuple[str, Any], ...]:
    """Name and ground of what stays, what must be kept off it taken in; kept by value from plan to plan of a yard."""
    import shapely

    found = [(one.name, shapely.buffer(shapely.Polygon(one.outline_m), HOUSE_CLEAR_M, quad_segs=1)) for one in houses]
    for path in paths:
        line = shapely.LineString(path.line_m)
        found.append((path.name, shapely.buffer(line, path.width_m / 2.0, cap_style="flat")))
    for thing in things:
        found.append((thing.name or thing.kind, shapely.buffer(thing.shape, max(thing.clear_m, 0.05), quad_segs=4)))
    return tuple(found)


def heap_size(loose_m3: float, slope: float) -> tuple[float, float, float]:
    """(height, length, width) of a heap on level ground: a cone, or a ridge where a cone would be too high.

    Args:
        loose_m3: over 0.
        slope: rise over run of its sides.
    """
    repose = degrees(atan(slope))
    height = float(cone_height(loose_m3, repose))
    if height <= MOST_HEAP_M:
        return height, 2.0 * height / slope, 2.0 * height / slope
    high = MOST_HEAP_M
    crest = (loose_m3 - float(cone_m3(high, slope))) * slope / high**2
    return high, crest + 2.0 * high / slope, 2.0 * high / slope


def mean_place(points: Array, weights: Array) -> Point:
    """Weighted middle of points."""
    middle = (points * weights[:, None]).sum(axis=0) / weights.sum()
    return float(middle[0]), float(middle[1])


def apart(a: Point, b: Point) -> float:
    """Distance of two points."""
    return sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2)
