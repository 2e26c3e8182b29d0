"""The net of lines: junctions, the faces between lines, and which face lies on either side of every stretch.

Every junction is one point with one number; faces are found from those very numbers, so nothing is located twice.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from math import dist
from typing import Any

from lynchet.core.plane import Point, cross, dot, minus
from lynchet.core.quick import quick
from lynchet.terraces.area import Ring

SAME_M = 2e-4
"""Points nearer than this are one junction."""


@quick
@dataclass(frozen=True)
class NetLine:
    """A straight line of the net, timber on its left."""

    tag: str
    start: Point
    end: Point
    role: str
    """edge, front or cheek."""
    outer: str
    """Of edges: the face on the right. Else empty."""
    own: bool = False


@dataclass(frozen=True)
class Net:
    """Lines, junctions and faces."""

    lines: tuple[NetLine, ...]
    points: tuple[Point, ...]
    on_line: tuple[tuple[tuple[float, int], ...], ...]
    """For each line (station, junction) in order."""
    faces: tuple[Any, ...]
    """shapely polygons of the faces inside the area."""
    left: dict[tuple[int, int], int]
    """(from junction, to junction) -> face on the left of that stretch."""


def ring_lines(rings: Sequence[Ring]) -> list[NetLine]:
    """The edges of the area as lines of the net."""
    return [
        NetLine(edge.tag, edge.start, after.start, "edge", edge.outer)
        for ring in rings
        for edge, after in zip(ring, (*ring[1:], ring[0]), strict=True)
    ]


def build_net(lines: Sequence[NetLine]) -> Net:
    """Note every end of a line that lies on another line, and find the faces.

    Args:
        lines: lines that touch each other only at ends (an end may lie in the middle of another line).
    """
    points: list[Point] = []
    for line in lines:
        for point in (line.start, line.end):
            if not any(abs(point[0] - q[0]) < SAME_M and abs(point[1] - q[1]) < SAME_M for q in points):
                points.append(point)
    on_line = tuple(_junctions_on(line, points) for line in lines)
    faces, left = _faces(lines, points, on_line)
    return Net(tuple(lines), tuple(points), on_line, faces, left)


def _junctions_on(line: NetLine, points: list[Point]) -> tuple[tuple[float, int], ...]:
    length = dist(line.start, line.end)
    way = minus(line.end, line.start)
    way = (way[0] / length, way[1] / length)
    x0, y0 = line.start
    found = []
    for number, (x, y) in enumerate(points):
        along = (x - x0) * way[0] + (y - y0) * way[1]
        if -SAME_M < along < length + SAME_M and abs(way[0] * (y - y0) - way[1] * (x - x0)) < SAME_M:
            station = 0.0 if along < SAME_M else length if along > length - SAME_M else along
            found.append((station, number))
    return tuple(sorted(found))


def _faces(
    lines: Sequence[NetLine], points: list[Point], on_line: tuple[tuple[tuple[float, int], ...], ...]
) -> tuple[tuple[Any, ...], dict[tuple[int, int], int]]:
    import shapely

    stretches, of_edge = [], set()
    for line, junctions in zip(lines, on_line, strict=True):
        for (_, a), (_, b) in itertools.pairwise(junctions):
            stretches.append((a, b))
            if line.role == "edge":
                of_edge.add((a, b))
    strings = shapely.linestrings([[points[a], points[b]] for a, b in stretches])
    number = {point: i for i, point in enumerate(points)}
    kept: list[Any] = []
    left: dict[tuple[int, int], int] = {}
    found = shapely.orient_polygons(shapely.get_parts(shapely.polygonize(strings)))
    rings = [[[number[p] for p in ring.coords] for ring in (f.exterior, *f.interiors)] for f in found]
    pairs = [[pair for ring in face for pair in itertools.pairwise(ring)] for face in rings]
    inside = [i for i, face in enumerate(pairs) if not any((b, a) in of_edge for a, b in face)]
    inside.sort(key=lambda i: min(a for a, _ in pairs[i]))
    for i in inside:
        left.update(dict.fromkeys(pairs[i], len(kept)))
        kept.append(found[i])
    return tuple(kept), left


def extended_above(line: Sequence[Point], point: Point, uphill: Point) -> bool:
    """Whether a point lies uphill of a polyline whose ends are drawn on without end.

    Args:
        line: polyline, uphill on its left as a whole.
        point: the point.
        uphill: unit vector.
    """
    far = 1e5
    first, last = minus(line[0], line[1]), minus(line[-1], line[-2])
    marks = [
        (line[0][0] + first[0] * far, line[0][1] + first[1] * far),
        *line,
        (line[-1][0] + last[0] * far, line[-1][1] + last[1] * far),
    ]
    along = (uphill[1], -uphill[0])
    here, crossings = dot(point, along), 0
    for a, b in itertools.pairwise(marks):
        sa, sb = dot(a, along), dot(b, along)
        if (sa <= here) != (sb <= here):
            at = dot(a, uphill) + (here - sa) / (sb - sa) * dot(minus(b, a), uphill)
            crossings += at < dot(point, uphill)
    return crossings % 2 == 1


def is_left(line: NetLine, point: Point) -> bool:
    """Whether a point lies to the left of a line."""
    return cross(minus(line.end, line.start), minus(point, line.start)) > 0
