"""Path strips: ground left undug along the foot of the walls, on the bench before them.

Before a front the strip runs along its whole foot. Before an edge that is itself a wall, where it holds the ground
outside, it runs along every stretch on which that ground stands more than a course over the bench: a lower edging is
no wall one walks along, and rests on its own weight. There the timber stands on the bench, the strip lies before it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from lynchet.core.intervals import Interval, joined
from lynchet.core.kept import common
from lynchet.core.outlines import polygons_of
from lynchet.core.plane import Point, left_of, minus, move, unit
from lynchet.ground.model import Surface
from lynchet.ground.surface import profile
from lynchet.project.model import Project
from lynchet.terraces.model import HOUSE, Face, Level, Side, WallLine

SHORT_M = 0.6
"""Stretches of edge under this get no strip of their own; gaps under it are bridged, as in the wall. PRACTICE."""
_REACH_M = 0.35
_GRID_M = 1e-5
_LEAST_M2 = 1e-3


@dataclass(frozen=True)
class _Yard:
    project: Project
    surface: Surface
    levels: Mapping[str, float]
    """Of the beds."""


def with_strips(faces: Sequence[Face], lines: Sequence[WallLine], project: Project, surface: Surface) -> list[Face]:
    """Beds with the path strip at the foot of every wall that stands over them taken out of the planting."""
    if not project.brief.path_strip_m:
        return list(faces)
    yard = _Yard(project, surface, {face.id: face.level_m for face in faces if isinstance(face.finish, Level)})
    named = [one for line in lines for one in _boxes(line, yard)]
    boxes: dict[str, list[Any]] = {}
    for (name, _), box in zip(named, polygons_of(outline for _, outline in named), strict=True):
        boxes.setdefault(name, []).append(box)
    return [replace(face, strip_m=_rings(face, boxes.get(face.id, []))) if face.kind == "bed" else face
            for face in faces]  # fmt: skip


def _boxes(line: WallLine, yard: _Yard) -> Iterator[tuple[str, tuple[Point, ...]]]:
    """Bed and outline of every strip along one line."""
    if line.role == "front":
        wide = yard.project.brief.path_strip_m or 0.0
        for side in line.sides:
            yield side.right, box_beside(line, (side.start_m, side.end_m), (-wide, 0.0))
    elif line.role == "edge" and line.finish == "wall":
        thick, wide = yard.project.timber.thickness_m, yard.project.brief.path_strip_m or 0.0
        for side in line.sides:
            for bed, other, across in ((side.left, side.right, (thick, thick + wide)),
                                       (side.right, side.left, (-wide, 0.0))):  # fmt: skip
                if bed in yard.levels and other != HOUSE:
                    for stretch in _under_wall(line, side, (bed, other), yard):
                        yield bed, box_beside(line, stretch, across)


def _under_wall(line: WallLine, side: Side, faces: tuple[str, str], yard: _Yard) -> list[Interval]:
    """Where the other face stands more than a course over a bed."""
    bed, other = faces
    least = yard.levels[bed] + yard.project.timber.course_m
    if other in yard.levels:
        return [(side.start_m, side.end_m)] if yard.levels[other] > least else []
    found = [
        (max(a, side.start_m), min(b, side.end_m))
        for a, b in where_over(line, yard.surface, least)
        if b > side.start_m and a < side.end_m
    ]
    return [part for part in joined(found, SHORT_M) if part[1] - part[0] >= SHORT_M]


def where_over(line: WallLine, surface: Surface, level_m: float, sign: float = 1.0) -> Iterator[Interval]:
    """Stretches of a line on which the ground lies over a level; under it with ``sign`` -1."""
    stations, levels = profile(surface, line.start_m, line.end_m, _REACH_M)
    above = [sign * (level - level_m) for level in levels.tolist()]  # few points: quicker than as arrays
    for (s0, s1), (d0, d1) in zip(pairwise(stations.tolist()), pairwise(above), strict=True):
        part = _over(s0, s1, d0, d1)
        if part is not None:
            yield part


def _over(s0: float, s1: float, d0: float, d1: float) -> Interval | None:
    """Part of a stretch over which a straight line from d0 to d1 lies over nought."""
    if not max(d0, d1) > 0.0 or s1 <= s0:
        return None
    if min(d0, d1) >= 0.0:
        return s0, s1
    cut = s0 + d0 / (d0 - d1) * (s1 - s0)
    return (cut, s1) if d1 > d0 else (s0, cut)


def box_beside(line: WallLine, stretch: Interval, across: Interval) -> tuple[Point, ...]:
    """Rectangle along a line between two distances to its left."""
    way = unit(minus(line.end_m, line.start_m))
    left = left_of(way)
    a, b = move(line.start_m, way, stretch[0]), move(line.start_m, way, stretch[1])
    low, high = across
    return move(a, left, high), move(b, left, high), move(b, left, low), move(a, left, low)


def _rings(face: Face, boxes: Sequence[Any]) -> tuple[tuple[Point, ...], ...]:
    """Outlines of all strips of a bed; one that runs all round it is cut, so that it needs no hole."""
    import shapely

    found = [common(box, face.polygon, _GRID_M) for box in boxes]
    parts = list(shapely.get_parts(shapely.union_all(found, grid_size=_GRID_M))) if found else []
    whole = [piece for part in parts for piece in _without_holes(part)]
    return tuple(
        tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1]) for part in whole if part.area > _LEAST_M2
    )


def _without_holes(part: Any) -> Iterator[Any]:
    """A polygon in pieces that have no holes."""
    import shapely

    if part.geom_type != "Polygon" or not part.interiors:
        yield part
        return
    low_x, low_y, high_x, high_y = part.bounds
    middle = shapely.Polygon(part.interiors[0]).centroid.x
    for box in (shapely.box(low_x, low_y, middle, high_y), shapely.box(middle, low_y, high_x, high_y)):
        for piece in shapely.get_parts(shapely.intersection(part, box, grid_size=_GRID_M)):
            yield from _without_holes(piece)
