"""From a layout and levels to the frozen faces, wall lines and course lattice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import Any

from lynchet.core.kept import less
from lynchet.core.plane import Point, dot, minus, unit
from lynchet.ground.model import Surface
from lynchet.ground.prisms import Prisms, cut_fill
from lynchet.project.model import EdgeRule, Project
from lynchet.terraces.area import GRID_M, Taken
from lynchet.terraces.layout import Layout
from lynchet.terraces.model import HOUSE, AsGround, Face, Lattice, Level, LineRole, Side, WallLine
from lynchet.terraces.net import NetLine

_RANK = "AHPFCSW"
_ANCHOR = 10
_BELOW_M = 0.7
"""Of courses kept under the deepest foot: ground that falls on past the last reading."""


@dataclass(frozen=True)
class Names:
    """Ids of the faces of a net, in its order."""

    faces: tuple[str, ...]


def face_names(layout: Layout, along: Point, special: dict[int, str]) -> Names:
    """``B2``, ``B2.2``, ... in order along the lines; ``special`` names faces that are not beds."""
    names = dict(special)
    for terrace in sorted(set(layout.terrace)):
        parts = [i for i, k in enumerate(layout.terrace) if k == terrace and i not in special]
        parts.sort(key=lambda i: min(dot(along, point) for point in layout.net.faces[i].exterior.coords))
        for order, i in enumerate(parts, start=1):
            names[i] = f"B{terrace}" + (f".{order}" if order > 1 else "")
    return Names(tuple(names[i] for i in range(len(layout.net.faces))))


def ring_points(ring: Any) -> tuple[Point, ...]:
    """Corners of a shapely ring, not closed."""
    return tuple((float(x), float(y)) for x, y in ring.coords[:-1])


def bed_faces(layout: Layout, names: Names, levels: Sequence[float], under: Sequence[Prisms]) -> list[Face]:
    """The beds with their soil, the lowest first.

    Args:
        layout: the net.
        names: ids of its faces.
        levels: level of each terrace.
        under: the ground under each face.
    """
    faces = []
    for polygon, name, terrace, ground in zip(layout.net.faces, names.faces, layout.terrace, under, strict=True):
        if not name.startswith("B"):
            continue
        level = levels[terrace - 1]
        cut, fill = cut_fill(ground, level)
        faces.append(Face(name, "bed", ring_points(polygon.exterior), tuple(ring_points(r) for r in polygon.interiors),
                          Level(level), terrace, polygon.area, float(cut[0]), float(fill[0])))  # fmt: skip
    faces.sort(key=lambda face: (face.terrace, face.id.count("."), face.id))
    return faces


def taken_faces(project: Project, taken: Sequence[Taken]) -> list[Face]:
    """Paths and things that stay, as far as they lie inside the outline and beside the houses."""
    import shapely

    inside: Any = shapely.Polygon(project.area.outline_m)
    for house in project.houses:
        inside = less(inside, shapely.Polygon(house.outline_m), GRID_M)
    faces = []
    for thing in taken:
        part = shapely.intersection(inside, shapely.Polygon(thing.outline), grid_size=GRID_M)
        pieces = [p for p in shapely.get_parts(part) if p.geom_type == "Polygon" and p.area > 1e-4]
        pieces.sort(key=lambda p: -p.area)
        for order, piece in enumerate(pieces, start=1):
            piece = shapely.orient_polygons(piece)
            kind = "path" if thing.kind == "path" else "kept"
            name = thing.face + ("" if order == 1 else chr(ord("a") + order - 1))
            faces.append(Face(name, "path" if kind == "path" else "kept", ring_points(piece.exterior),
                              tuple(ring_points(r) for r in piece.interiors), AsGround(), 0, piece.area))  # fmt: skip
    return faces


def _order(tag: str) -> tuple[int, int, str]:
    digits = ""
    for letter in tag[1:]:
        if not letter.isdigit():
            break
        digits += letter
    return _RANK.index(tag[0]), int(digits or 0), tag


def wall_lines(layout: Layout, names: Names, project: Project) -> list[WallLine]:
    """Every line of the net with its id, its junctions and what lies on its two sides, in the order of the file."""
    net = layout.net
    groups: dict[str, list[int]] = {}
    for i, line in enumerate(net.lines):
        groups.setdefault(line.tag, []).append(i)
    found = []
    for tag in sorted(groups, key=_order):
        members = groups[tag]
        way = unit(minus(net.lines[members[0]].end, net.lines[members[0]].start))
        members.sort(key=lambda i, way=way: dot(way, net.lines[i].start))  # type: ignore[misc]
        for order, i in enumerate(members, start=1):
            name = tag + (f".{order}" if order > 1 else "")
            found.append(_wall_line(layout, names, i, name, _rule(project, net.lines[i])))
    return found


def _rule(project: Project, line: NetLine) -> EdgeRule:
    if line.tag[0] == "A" and line.outer != HOUSE:
        return project.area.rule(int(line.tag[1:]))
    return EdgeRule(-1, "house" if line.outer == HOUSE else "wall")


def _wall_line(layout: Layout, names: Names, index: int, name: str, rule: EdgeRule) -> WallLine:
    net = layout.net
    line, junctions = net.lines[index], net.on_line[index]
    sides: list[Side] = []
    for (s0, a), (s1, b) in pairwise(junctions):
        left = names.faces[net.left[a, b]]
        right = line.outer or names.faces[net.left[b, a]]
        sides.append(Side(s0, s1, left, HOUSE if rule.finish == "house" else right))
    role: LineRole = "edge" if line.role == "edge" else "cheek" if line.role == "cheek" else "front"
    return WallLine(name, line.start, line.end, role, line.tag, tuple(sides), junctions, rule.finish,
                    rule.width_m or 0.0, rule.dig_beyond_m, line.own)  # fmt: skip


def course_lattice(project: Project, surface: Surface, levels: Sequence[float]) -> Lattice:
    """The lattice through the tops of the terraces' walls (one freeboard above each level).

    The top at the lowest terrace gets a course number that is a multiple of ten, so that small changes of the ground
    change no number and no lap.
    """
    course = project.timber.course_m
    top = levels[0] + project.brief.freeboard_m
    foot = project.brief.embedment_m or 0.0  # one not said is never deeper than a course
    ground = float(surface.points[:, 2].min())
    lowest = min(ground - 1.0, ground - foot - _BELOW_M, levels[0] - foot - 2.0 * course)
    highest = max(float(surface.points[:, 2].max()), *levels) + 1.0
    below = _ANCHOR * ceil(max(1.0, (top - lowest) / course) / _ANCHOR)
    above = ceil((highest - top) / course)
    return Lattice(course, tuple(top + k * course for k in range(-below, above + 1)))
