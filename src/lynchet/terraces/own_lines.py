"""The user's own wall lines: drawn on to the edges of the area, tested, refused with the move that would help."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import asin, degrees, dist
from typing import Any

from lynchet.core.plane import Point, cross, dot, minus, move, unit
from lynchet.project.model import Project
from lynchet.project.things import OwnLine
from lynchet.terraces.area import Area
from lynchet.terraces.bed_soil import apart_m
from lynchet.terraces.layout import Front, front_lines
from lynchet.terraces.lines import CORNER_CLEAR_M, LEAST_SINE, MEET_DEG
from lynchet.terraces.refusal import refused
from lynchet.units.format import length as length_text

KEY = "`[[wall_line]]`"
"""Where a line of the user's own stands in the file; each has its own `terrace`."""
REACH_M = 1.0
"""An end this far inside the area is drawn on to the edge. PRACTICE."""
BEND_MOST_DEG = 80.0


def own_fronts(project: Project, area: Area, along: Point) -> dict[int, Front]:
    """The user's lines by terrace number.

    Raises:
        Refused: a line that no wall can follow.
    """
    fronts: dict[int, Front] = {}
    for line in project.own_lines:
        name = f"W{line.terrace}"
        if line.terrace < 2:
            raise refused(
                "terraces.own_line",
                name,
                "The line in front of terrace 1 is the low edge of the area itself.",
                "draw the outline of the area there instead",
            )
        if line.terrace in fronts:
            raise refused("terraces.own_line", name, f"Two lines stand for terrace {line.terrace} ({KEY}, `terrace = "
                          f"{line.terrace}` twice).", "take one out")  # fmt: skip
        front = _drawn_on(line, area, along, project)
        _test(front, line.terrace, area, along, project)
        fronts[line.terrace] = front
    _crossing(fronts, project)
    return fronts


def _drawn_on(line: OwnLine, area: Area, along: Point, project: Project) -> Front:
    import shapely

    points = list(line.line_m)
    if dot(minus(points[-1], points[0]), along) < 0:
        points = points[::-1]
    for index, inner in ((0, 1), (-1, -2)):
        way = unit(minus(points[index], points[inner]))
        if area.polygon.distance(shapely.Point(points[index])) > 0:
            points[index] = move(points[index], way, 0.0)
            continue
        far = move(points[index], way, REACH_M)
        if area.polygon.contains_properly(shapely.LineString([points[index], far])):
            raise refused(
                "terraces.own_line",
                f"W{line.terrace}",
                f"{_key(f'W{line.terrace}')} the line ends inside the area, more than "
                f"{length_text(REACH_M, project.units)} from its edge.",
                "draw the line on to the edge of the area",
            )
        points[index] = far
    if not area.polygon.intersects(shapely.LineString(points)):
        raise refused(
            "terraces.own_line",
            f"W{line.terrace}",
            f"{_key(f'W{line.terrace}')} the line lies outside the area.",
            "draw it across the area",
        )
    return Front(tuple(points), True)


def _test(front: Front, terrace: int, area: Area, along: Point, project: Project) -> None:
    parts = front_lines(front, terrace, area, along)
    name = f"W{terrace}"
    for a, b in itertools.pairwise(parts):
        if dist(a.end, b.start) < 1e-6:
            first, second = unit(minus(a.end, a.start)), unit(minus(b.end, b.start))
            if dot(first, second) < 0.17:
                raise refused("terraces.own_line", name, f"{_key(name)} the line bends by more than "
                              f"{BEND_MOST_DEG:.0f} degrees; a wall cannot turn back on itself.",
                              "draw a gentler bend")  # fmt: skip
    inner = [b.start for a, b in itertools.pairwise(parts) if dist(a.end, b.start) < 1e-6]
    for part in parts:
        for end, other in ((part.start, part.end), (part.end, part.start)):
            if end in inner or any(dist(end, q) < 1e-6 for q in inner):
                continue
            _test_end(end, unit(minus(end, other)), name, area, project)


def _test_end(end: Point, way: Point, name: str, area: Area, project: Project) -> None:
    """An end must meet its edge squarely enough and clear of corners."""
    for ring in area.rings:
        for edge, after in zip(ring, (*ring[1:], ring[0]), strict=True):
            line = unit(minus(after.start, edge.start))
            length = dist(after.start, edge.start)
            at = dot(minus(end, edge.start), line)
            if abs(cross(line, minus(end, edge.start))) > 1e-4 or not -1e-4 <= at <= length + 1e-4:
                continue
            sine = abs(cross(line, way))
            angle = degrees(asin(min(1.0, sine)))
            if angle < MEET_DEG:
                raise refused("terraces.own_line", name, f"{_key(name)} the line meets the edge {edge.tag} at "
                              f"{angle:.0f} degrees; timber needs {MEET_DEG:.0f}.",
                              f"turn its end by {MEET_DEG - angle:.0f} degrees")  # fmt: skip
            clear = CORNER_CLEAR_M * max(sine, LEAST_SINE)
            near = min(at, length - at)
            if near < clear:
                raise refused("terraces.own_line", name, f"{_key(name)} the line ends "
                              f"{length_text(near, project.units)} from the corner of {edge.tag}.", "move its end by "
                              f"{length_text(clear - near, project.units)} along {edge.tag}")  # fmt: skip


def _key(name: str) -> str:
    """Where the line of a wall stands in the file: "`[[wall_line]]`, `terrace = 2`:"."""
    return f"{KEY}, `terrace = {name.removeprefix('W')}`:"


def _crossing(fronts: dict[int, Front], project: Project) -> None:
    """Walls stand as far apart as a corner's timber asks; how wide a bed must be is looked at later, bed by bed."""
    import shapely

    lines: Sequence[tuple[int, Any]] = [(k, shapely.LineString(f.points)) for k, f in sorted(fronts.items())]
    for i, (k, first) in enumerate(lines):
        for other, second in lines[i + 1 :]:
            near = float(first.distance(second))
            if near < CORNER_CLEAR_M:
                wanted = length_text(apart_m(project, project.timber.course_m), project.units)
                raise refused("terraces.own_line", f"W{k}", f"{KEY}, `terrace = {k}` and `terrace = {other}`: the "
                              f"lines {_nearness(near, project)}.", "move the `points` of one of them until they are "
                              f"{wanted} apart or more: that leaves the narrowest bed between them")  # fmt: skip


def _nearness(near_m: float, project: Project) -> str:
    if near_m < 1e-6:
        return "cross or touch"
    return f"come within {length_text(near_m, project.units)} of each other"
