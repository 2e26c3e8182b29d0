"""One laying out: lines between benches cut to the area, the net they make, and the terrace each face belongs to."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lynchet.core.kept import grown
from lynchet.core.plane import Point, dot, left_of
from lynchet.ground.prisms import Prisms, together
from lynchet.terraces.area import Area
from lynchet.terraces.net import Net, NetLine, build_net, extended_above, ring_lines

THIN_M = 0.3
"""A face that vanishes when shrunk by this is too narrow for a bed."""


@dataclass(frozen=True)
class Front:
    """The line in front of a terrace, drawn on past the area on both sides; uphill on its left."""

    points: tuple[Point, ...]
    own: bool


@dataclass(frozen=True)
class Layout:
    """Net and terraces. ``fronts[0]`` is the line in front of terrace 2."""

    net: Net
    fronts: tuple[Front, ...]
    terrace: tuple[int, ...]
    """Terrace of each face of the net, from 1; 0 for the ground of a flight."""


def straight_front(offset: float, along: Point, area: Area) -> Front:
    """A laid line at an offset, long enough to cross the area."""
    uphill = left_of(along)
    reaches = [dot(along, edge.start) for ring in area.rings for edge in ring]
    low, high = min(reaches) - 1.0, max(reaches) + 1.0
    ends = [(uphill[0] * offset + along[0] * s, uphill[1] * offset + along[1] * s) for s in (low, high)]
    return Front((ends[0], ends[1]), False)


def front_lines(front: Front, terrace: int, area: Area, along: Point) -> list[NetLine]:
    """The parts of a front inside the area, in order along it."""
    import shapely

    inside = shapely.intersection(shapely.LineString(front.points), area.polygon)
    parts = [
        [(float(x), float(y)) for x, y in part.coords]
        for part in shapely.get_parts(shapely.line_merge(inside))
        if part.geom_type == "LineString" and part.length > 1e-3
    ]
    parts = [part if dot(part[-1], along) > dot(part[0], along) else part[::-1] for part in parts]
    parts.sort(key=lambda part: dot(part[0], along))
    return [NetLine(f"W{terrace}", a, b, "front", "", front.own) for part in parts for a, b in itertools.pairwise(part)]


def lay_out(
    area: Area,
    fronts: Sequence[Front],
    along: Point,
    cheeks: Sequence[NetLine] = (),
    strips: Sequence[tuple[Any, set[str]]] = (),
) -> Layout:
    """The net of the area with these fronts and flights.

    Args:
        area: the cleaned area.
        fronts: the line in front of terrace 2 first.
        along: direction of the lines.
        cheeks: sides of flights let in.
        strips: ground of flights let in (shapely) and the lines that pass at their foot and head; all other fronts
            end at them.
    """
    lines = ring_lines(area.rings)
    for number, front in enumerate(fronts, start=2):
        for part in front_lines(front, number, area, along):
            lines += _cut_at_strips(part, strips)
    net = build_net([*lines, *cheeks])
    uphill = left_of(along)
    terrace = []
    for face in net.faces:
        point = face.representative_point()
        at = (float(point.x), float(point.y))
        terrace.append(1 + sum(extended_above(front.points, at, uphill) for front in fronts))
    return Layout(net, tuple(fronts), tuple(terrace))


def _cut_at_strips(line: NetLine, strips: Sequence[tuple[Any, set[str]]]) -> list[NetLine]:
    import shapely

    parts: Any = shapely.LineString([line.start, line.end])
    for strip, passing in strips:
        if line.tag not in passing and strip.intersects(parts):
            parts = parts.difference(strip)
    if parts.length > shapely.LineString([line.start, line.end]).length - 1e-9:
        return [line]
    pieces = [[(float(x), float(y)) for x, y in part.coords] for part in shapely.get_parts(parts)]
    return [NetLine(line.tag, part[0], part[-1], line.role, line.outer, line.own) for part in pieces]


def thin_front(layout: Layout) -> int | None:
    """Index of the front that a face too narrow for a bed shares most of; None where every face has room."""
    for number, face in enumerate(layout.net.faces):
        if not grown(face, -THIN_M, "mitre").is_empty:
            continue
        shared: dict[str, float] = {}
        for line, junctions in zip(layout.net.lines, layout.net.on_line, strict=True):
            if line.role != "front":
                continue
            for (s0, a), (s1, b) in itertools.pairwise(junctions):
                if number in (layout.net.left.get((a, b)), layout.net.left.get((b, a))):
                    shared[line.tag] = shared.get(line.tag, 0.0) + s1 - s0
        if shared:
            return int(max(shared, key=lambda tag: (shared[tag], tag))[1:]) - 2
    return None


def missing_terrace(layout: Layout) -> int | None:
    """The first terrace number with no face, None where each has one."""
    have = set(layout.terrace)
    return next((k for k in range(1, len(layout.fronts) + 2) if k not in have), None)


def benches_of(layout: Layout, under: Sequence[Prisms]) -> list[Prisms]:
    """The ground under each terrace, from the lowest, put together from that under each face."""
    benches = []
    for terrace in range(1, len(layout.fronts) + 2):
        parts = [ground for ground, k in zip(under, layout.terrace, strict=True) if k == terrace]
        benches.append(together(parts, [0.0] * len(parts)))
    return benches
