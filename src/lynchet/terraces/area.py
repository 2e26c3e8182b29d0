"""The area to be terraced as rings of named edges: the outline less houses, paths and things that stay."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

from lynchet.core.kept import common
from lynchet.core.plane import Point, cross, dot, left_of, minus, move, signed_area, unit
from lynchet.core.quick import quick
from lynchet.project.model import Project
from lynchet.project.things import Fixed, House, Path
from lynchet.terraces.model import HOUSE, OUTSIDE

GRID_M = 1e-6
PIT_MOST_M = 1.5
"""Ground round a point that stays (tree, pole, well) is cut out as a square pit up to this clearance. PRACTICE."""
PIT_LEAST_M = 0.5
HOUSE_TOUCH_M = 0.15
"""An outline edge this near a building is held by it. PRACTICE."""
_SAME_M = 3e-3


@quick
@dataclass(frozen=True)
class RingEdge:
    """An edge of the area: from ``start`` to the start of the next edge, area on the left."""

    start: Point
    tag: str
    outer: str
    """Face id on the right."""


Ring = tuple[RingEdge, ...]


@quick
@dataclass(frozen=True)
class Source:
    """A stretch of the file's lines that an edge of the area may come from."""

    tag: str
    start: Point
    end: Point
    outer: str


@dataclass(frozen=True)
class Taken:
    """A piece of ground taken out of the area, with names for its sides."""

    face: str
    kind: str
    outline: tuple[Point, ...]
    """Anticlockwise."""
    sides: tuple[str, ...]


@dataclass(frozen=True)
class Area:
    """The area as it is worked with."""

    rings: tuple[Ring, ...]
    """Outer rings anticlockwise, holes clockwise: area on the left of every edge."""
    polygon: Any
    """The same as one shapely (multi)polygon."""
    taken: tuple[Taken, ...]


def anticlockwise(ring: tuple[Point, ...]) -> tuple[Point, ...]:
    """The ring, turned round where it runs clockwise; its first point stays first."""
    return ring if signed_area(ring) > 0 else (ring[0], *ring[:0:-1])


def path_taken(number: int, path: Path) -> Taken:
    """The strip of a path, its ends drawn out by its width so that they cross the outline they touch."""
    line = list(path.line_m)
    line[0] = move(line[0], unit(minus(line[0], line[1])), path.width_m)
    line[-1] = move(line[-1], unit(minus(line[-1], line[-2])), path.width_m)
    right = _beside(line, -path.width_m / 2)
    left = _beside(line, path.width_m / 2)
    name = f"P{number}"
    right_tags = [f"{name}R" + (f"{i}" if i else "") for i in range(len(line) - 1)]
    left_tags = [f"{name}L" + (f"{i}" if i else "") for i in range(len(line) - 1)]
    return Taken(name, "path", (*right, *left[::-1]), (*right_tags, f"{name}E", *left_tags[::-1], f"{name}S"))


def _beside(line: list[Point], left_m: float) -> list[Point]:
    """The line moved sideways, bends mitred."""
    ways = [unit(minus(b, a)) for a, b in pairwise(line)]
    out = [move(line[0], left_of(ways[0]), left_m)]
    for point, before, after in zip(line[1:-1], ways, ways[1:], strict=False):
        normal = left_of(before)
        lean = 1.0 + dot(before, after)
        other = left_of(after)
        out.append(move(point, (normal[0] + other[0], normal[1] + other[1]), left_m / max(lean, 0.2)))
    return [*out, move(line[-1], left_of(ways[-1]), left_m)]


def fixed_taken(number: int, fixed: Fixed, along: Point) -> Taken | None:
    """The ground a thing keeps as it is, if it takes any (services, wide root zones and buried things do not)."""
    name = f"F{number}"
    if fixed.buried or fixed.kind == "service" or (len(fixed.line_m) == 2 and not fixed.closed):
        return None
    if len(fixed.line_m) == 1:
        if fixed.clear_m > PIT_MOST_M:
            return None
        half = max(fixed.clear_m, PIT_LEAST_M)
        side = left_of(along)
        low = move(move(fixed.line_m[0], along, -half), side, -half)
        corners = (low, move(low, along, 2 * half), move(move(low, along, 2 * half), side, 2 * half))
        outline: tuple[Point, ...] = (*corners, move(low, side, 2 * half))
    elif fixed.closed:
        outline = _grown(anticlockwise(fixed.line_m), fixed.clear_m)
    else:
        return None
    return Taken(name, "kept", outline, tuple(f"{name}.{i}" for i in range(len(outline))))


def _grown(outline: tuple[Point, ...], clear_m: float) -> tuple[Point, ...]:
    """An anticlockwise ring with its edges moved out, as many corners as before."""
    if clear_m == 0.0:
        return outline
    closed = _beside([outline[-1], *outline, outline[0]], -clear_m)
    return tuple(closed[1:-1])


def subtract(project: Project, taken: tuple[Taken, ...]) -> tuple[Any, list[Source]]:
    """The outline less everything in it, and the lines its edges may come from, the outline's own first.

    Returns:
        shapely (multi)polygon; sources in order of precedence.
    """
    import shapely

    outline = project.area.outline_m
    polygon: Any = shapely.Polygon(outline)
    sources = [Source(f"A{i}", outline[i], outline[(i + 1) % len(outline)], OUTSIDE) for i in range(len(outline))]
    for number, house in enumerate(project.houses):
        ring = anticlockwise(house.outline_m)
        file_edge = {frozenset((a, b)): i for i, (a, b) in enumerate(_pairs(house.outline_m))}
        suffix = "" if number == 0 else chr(ord("a") + number)
        sources += [Source(f"H{file_edge[frozenset((a, b))]}{suffix}", a, b, HOUSE) for a, b in _pairs(ring)]
        polygon = shapely.difference(polygon, shapely.Polygon(ring), grid_size=GRID_M)
    for thing in taken:
        pairs = list(_pairs(thing.outline))
        sources += [Source(tag, a, b, thing.face) for tag, (a, b) in zip(thing.sides, pairs, strict=True)]
        polygon = shapely.difference(polygon, shapely.Polygon(thing.outline), grid_size=GRID_M)
    return polygon, sources


def _pairs(ring: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    return list(zip(ring, [*ring[1:], ring[0]], strict=True))


def tagged_rings(polygon: Any, sources: list[Source]) -> list[list[RingEdge]]:
    """The rings of a polygon with every edge named after the line it lies on; "" where it lies on none."""
    import shapely

    rings: list[list[RingEdge]] = []
    for part in shapely.get_parts(polygon):
        if part.geom_type != "Polygon" or part.area < 1e-6:
            continue
        part = shapely.orient_polygons(part)
        for ring in (part.exterior, *part.interiors):
            points = [(float(x), float(y)) for x, y in ring.coords[:-1]]
            rings.append([_tagged(a, b, sources) for a, b in _pairs(tuple(points))])
    return rings


def _tagged(a: Point, b: Point, sources: list[Source]) -> RingEdge:
    way = minus(b, a)
    for source in sources:
        line = minus(source.end, source.start)
        length = (line[0] ** 2 + line[1] ** 2) ** 0.5
        if abs(cross(line, minus(a, source.start))) > _SAME_M * length:
            continue
        if abs(cross(line, minus(b, source.start))) > _SAME_M * length:
            continue
        along_a, along_b = dot(minus(a, source.start), line) / length, dot(minus(b, source.start), line) / length
        low, high = sorted((along_a, along_b))
        if min(high, length) - max(low, 0.0) > 0.5 * (high - low):
            forward = dot(way, line) > 0
            return RingEdge(a, source.tag, source.outer if forward or source.tag[0] != "A" else OUTSIDE)
    return RingEdge(a, "", OUTSIDE)


@lru_cache(maxsize=8)
def _touched(houses: tuple[House, ...]) -> Any:
    """Buildings with what counts as touching them; kept by value from one plan of a yard to the next."""
    import shapely

    grown = [shapely.Polygon(house.outline_m).buffer(HOUSE_TOUCH_M, join_style="mitre") for house in houses]
    return shapely.union_all(grown, grid_size=GRID_M)


def with_house_touch(ring: list[RingEdge], project: Project) -> list[RingEdge]:
    """Outline edges cut where a building stands along them, those parts marked as held by the house."""
    if not project.houses:
        return ring
    houses = _touched(project.houses)
    out: list[RingEdge] = []
    for edge, after in zip(ring, [*ring[1:], ring[0]], strict=True):
        out += _cut_at_house(edge, after.start, houses) if edge.tag[:1] == "A" else [edge]
    return out


def _cut_at_house(edge: RingEdge, end: Point, houses: Any) -> list[RingEdge]:
    import shapely

    way = unit(minus(end, edge.start))
    length = dot(minus(end, edge.start), way)
    west, south, east, north = houses.bounds
    (x0, x1), (y0, y1) = sorted((edge.start[0], end[0])), sorted((edge.start[1], end[1]))
    if x0 > east or x1 < west or y0 > north or y1 < south:
        return [edge] if length >= 1e-6 else []
    touching = common(shapely.LineString([edge.start, end]), houses, GRID_M)
    stretches = []
    for part in shapely.get_parts(touching):
        if part.geom_type == "LineString" and part.length > 2.5 * HOUSE_TOUCH_M:
            ends = sorted(dot(minus(point, edge.start), way) for point in (part.coords[0], part.coords[-1]))
            low = ends[0] + HOUSE_TOUCH_M if ends[0] > 1e-3 else 0.0
            high = ends[1] - HOUSE_TOUCH_M if ends[1] < length - 1e-3 else length
            stretches.append((low if low > 0.35 else 0.0, high if high < length - 0.35 else length))
    out, done = [], 0.0
    for low, high in sorted(stretches):
        if low > done:
            out.append(RingEdge(move(edge.start, way, done), edge.tag, edge.outer))
        out.append(RingEdge(move(edge.start, way, low), edge.tag, HOUSE))
        done = high
    if done < length - 1e-6:
        out.append(RingEdge(move(edge.start, way, done), edge.tag, edge.outer))
    return out
