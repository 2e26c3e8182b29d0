"""The ground of a bed that is open to plants, its front along the walls it stands behind, and its parts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from math import inf, sqrt
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from lynchet.core.frame import Point
from lynchet.core.kept import common, less
from lynchet.core.outlines import polygons_of
from lynchet.core.plane import dot, unit
from lynchet.core.slivers import areas_of, wide_enough
from lynchet.planting.model import Part
from lynchet.terraces.model import Face, Terraces
from lynchet.walls.model import Leg, Walls

Array = NDArray[np.float64]
FRONT_M = 0.40
"""Depth of the strip behind a wall's timber that trailing plants have. PRACTICE."""
NARROW_M = 1.0
"""A bed narrower than this has no back of its own. PRACTICE."""
LEAST_M2 = 0.04
_GRID = 1e-5
_FINER, _MOST = 12, 120
"""Grid points for each one sampled, and the most along one way."""
_UPHILL = 0.7
"""Cosine within which a wall's inner side looks uphill: the bed's front, not its side."""


@dataclass(frozen=True)
class OpenBed:
    """One bed with its open ground."""

    face: Face
    soil: Any
    """Shapely polygon or polygons: timber, path strip, landings and the way between flights taken off."""
    width_m: float
    """Width of a strip of the same area and girth."""
    parts: tuple[tuple[Part, Any], ...]
    """Parts that are there, from the front, each a shapely shape; the front as often as there are walls."""

    @property
    def area_m2(self) -> float:
        """Open ground."""
        return float(self.soil.area)


def open_beds(terraces: Terraces, walls: Walls) -> list[OpenBed]:
    """Every bed, the lowest first."""
    standing = [leg for leg in walls.legs if leg.segments]
    ends = _ends(walls)
    timber = dict(
        zip((leg.id for leg in standing), polygons_of(_timber(leg, ends[leg.id]) for leg in standing), strict=True)
    )
    held, beside = _held_by_face(walls), _beside_by_face(walls)
    ways = _ways(terraces)
    strips = iter(polygons_of(strip for face in terraces.beds for strip in face.strip_m))
    found = []
    for face in terraces.beds:
        taken = [
            *(timber[leg.id] for leg in beside.get(face.id, ())),
            *islice(strips, len(face.strip_m)),
            *ways.get(face.id, ()),
        ]
        found.append(_bed(face, taken, held.get(face.id, ()), terraces))
    return found


def rings_of(shape: Any) -> list[Array]:
    """Outer rings of a shape, (n, 2) each, slivers left out, in order of place."""
    return rings_of_all([shape])[0]


def rings_of_all(shapes: Sequence[Any]) -> list[list[Array]]:
    """The same of many shapes, in one go."""
    parts, owner = shapely.get_parts(np.array(shapes, dtype=object), return_index=True)
    large = shapely.area(parts) > LEAST_M2
    parts, owner = parts[large], owner[large]
    order = np.lexsort((*np.round(shapely.bounds(parts), 3).T[::-1], owner))
    exterior = shapely.get_exterior_ring(parts[order])
    corners = shapely.get_coordinates(exterior)
    ends = np.cumsum(shapely.get_num_coordinates(exterior))
    found: list[list[Array]] = [[] for _ in shapes]
    for number, ring in zip(owner[order].tolist(), np.split(corners, ends[:-1]) if len(ends) else (), strict=True):
        found[number].append(ring[:-1])
    return found


def strip_width(area_m2: float, girth_m: float) -> float:
    """Width w of a rectangle of this area and girth: w (girth/2 - w) = area; the root of the area where none has."""
    under = girth_m**2 / 16.0 - area_m2
    return girth_m / 4.0 - sqrt(under) if under > 0 else sqrt(area_m2)


def sample_points(soil: Any, count: int) -> Array:
    """(n, 2) points spread evenly over a shape: of a fine grid within it, along its length, every so many-th."""
    step = sqrt(max(float(soil.area), 1e-6) / (_FINER * count))
    low_x, low_y, high_x, high_y = soil.bounds
    nx, ny = (min(_MOST, max(1, round(side / step))) for side in (high_x - low_x, high_y - low_y))
    x, y = (np.arange(nx) + 0.5) * (high_x - low_x) / nx + low_x, (np.arange(ny) + 0.5) * (high_y - low_y) / ny + low_y
    grid = np.column_stack([np.repeat(x, ny), np.tile(y, nx)])
    inside = grid[shapely.contains_xy(soil, grid)]
    if not len(inside):
        return np.asarray(shapely.get_coordinates(soil.representative_point()), dtype=float)
    every = (np.arange(min(count, len(inside))) + 0.5) / min(count, len(inside)) * len(inside)
    return np.asarray(inside[every.astype(np.intp)], dtype=float)


def _bed(face: Face, taken: Iterable[Any], held: Sequence[tuple[Leg, float, float]], terraces: Terraces) -> OpenBed:
    soil = wide_enough(_left_of(face.polygon, taken))
    width = strip_width(float(soil.area), float(soil.length)) if soil.area > 0 else 0.0
    return OpenBed(face, soil, width, _parts(soil, width, held, terraces))


def _ways(terraces: Terraces) -> dict[str, list[Any]]:
    """Landings and steps on each bed, and the way over it from one flight of a wish to the next."""
    corners: dict[str, dict[int, list[Point]]] = {}
    for flight in terraces.flights:
        for landing in flight.landings:
            corners.setdefault(landing.face, {}).setdefault(flight.wish, []).extend(landing.outline_m)
    steps = [shapely.Polygon(tread.outline_m) for flight in terraces.flights for tread in flight.treads]
    ways = {face: [shapely.convex_hull(shapely.multipoints(points)) for points in wishes.values()]
            for face, wishes in corners.items()}  # fmt: skip
    return {face.id: [*ways.get(face.id, ()), *steps] for face in terraces.beds}


def _held_by_face(walls: Walls) -> dict[str, list[tuple[Leg, float, float]]]:
    """Stretches of standing walls over which each bed is the high side, timber on the bed's own ground."""
    found: dict[str, list[tuple[Leg, float, float]]] = {}
    for leg in walls.legs:
        stretches: dict[str, list[tuple[float, float]]] = {}
        for span in leg.spans:
            if span.held <= 0:
                continue
            own = stretches.setdefault(span.left, [])
            for segment in leg.segments:
                if segment.end_m <= span.start_m or segment.start_m >= span.end_m:
                    continue
                start, end = max(span.start_m, segment.start_m), min(span.end_m, segment.end_m)
                if end - start > 1e-6 and own and start - own[-1][1] < 1e-3:
                    own[-1] = (own[-1][0], end)
                elif end - start > 1e-6:
                    own.append((start, end))
        for face, own in stretches.items():
            found.setdefault(face, []).extend((leg, start, end) for start, end in own if end - start > 0.05)
    return found


def _beside_by_face(walls: Walls) -> dict[str, list[Leg]]:
    """Legs whose timber stands on each bed's ground."""
    found: dict[str, list[Leg]] = {}
    for leg in walls.legs:
        for face in dict.fromkeys(span.left for span in leg.spans) if leg.segments else ():
            found.setdefault(face, []).append(leg)
    return found


def _ends(walls: Walls) -> dict[str, tuple[float, float]]:
    """Stations where the timber of each leg begins and ends: past its own ends where it turns round a bed's corner."""
    found: dict[str, tuple[float, float]] = {}
    for run in walls.runs:
        low, high = found.get(run.leg, (inf, -inf))
        found[run.leg] = min(low, run.outer_m[0], run.inner_m[0]), max(high, run.outer_m[1], run.inner_m[1])
    return found


def _timber(leg: Leg, ends_m: tuple[float, float]) -> list[Point]:
    """All timber of a leg in plan, the lean taken in."""
    start, end = min(leg.segments[0].start_m, ends_m[0]), max(leg.segments[-1].end_m, ends_m[1])
    return _quad(leg, start, end, _timber_depth(leg))


def _quad(leg: Leg, start_m: float, end_m: float, deep_m: float) -> list[Point]:
    """A stretch of a leg from its outer face inwards."""
    return [leg.point_at(s, o) for s, o in ((start_m, 0.0), (end_m, 0.0), (end_m, deep_m), (start_m, deep_m))]


def _less(shape: Any, taken: Iterable[Any]) -> Any:
    """One after another: cheaper than to join what is taken first."""
    for part in taken:
        if shapely.intersects(shape, part):
            shape = _cut(shape, part)
    return shape


def _left_of(shape: Any, taken: Iterable[Any]) -> Any:
    """The same off the grid, in half the time: for ground of which slivers are taken off next. Where a corner that two
    parts share to the last digit but one leaves a shape that nothing can be cut from, it is done on the grid."""
    parts, left = list(taken), shape
    try:
        for part in parts:
            if shapely.intersects(left, part):
                left = areas_of(shapely.difference(left, part))
    except shapely.GEOSException:
        return _less(shape, parts)
    return left


def _cut(shape: Any, part: Any) -> Any:
    """Areas left of a shape; lines and points that snapping to the grid leaves over are dropped.

    The grid is needed: without it slivers stay along what is cut twice, and plants stand in rows along them.
    """
    return areas_of(less(shape, part, _GRID))


def _shared(shape: Any, strips: Sequence[Any]) -> Any:
    """Areas of a shape that lie on strips: what ``_less`` takes off, in half the time of a second difference."""
    strip = strips[0] if len(strips) == 1 else shapely.union_all(strips)
    return areas_of(common(shape, strip, _GRID))


def _parts(
    soil: Any, width_m: float, held: Sequence[tuple[Leg, float, float]], terraces: Terraces
) -> tuple[tuple[Part, Any], ...]:
    """Front behind the walls the bed stands behind, middle, and back where the bed is wide enough."""
    if soil.area < LEAST_M2:
        return ()
    if not held:
        return (("middle", soil),)
    depth = min(FRONT_M, width_m / 2.0)
    uphill = unit(terraces.fall) if any(terraces.fall) else (0.0, 1.0)
    ahead = [part for part in held if dot(part[0].normal, uphill) > _UPHILL] if width_m >= NARROW_M else []
    strips = _near([*((part, depth) for part in held),
                    *((part, depth + (width_m - depth) / 2.0) for part in ahead)])  # fmt: skip
    rest, front = soil, list[tuple[Part, Any]]()
    for strip in strips[: len(held)]:  # each wall its own: plants stand in rows along it
        left = _less(rest, [strip])
        if left is not rest:
            front.append(("front", _shared(rest, [strip])))
            rest = left
    if not ahead:
        return _named((*front, ("middle", rest)))
    near = strips[len(held) :]
    return _named((*front, ("middle", _shared(rest, near)), ("back", _less(rest, near))))


def _named(parts: tuple[tuple[Part, Any], ...]) -> tuple[tuple[Part, Any], ...]:
    return tuple((name, shape) for name, shape in parts if shape.area > LEAST_M2)


def _near(held: Iterable[tuple[tuple[Leg, float, float], float]]) -> Any:
    """Strips behind the timber of stretches of wall, each with its depth."""
    return polygons_of(_quad(leg, start, end, _timber_depth(leg) + deep) for (leg, start, end), deep in held)


def _timber_depth(leg: Leg) -> float:
    return leg.thickness_m + leg.setback_m * (max(segment.top for segment in leg.segments) - leg.lowest_course)
