"""Numbers to peg the walls by: two tape lengths to every point, diagonals, levels below the benchmark, rod marks."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from math import dist, radians, sin

import numpy as np

from lynchet.core.plane import Point, cross, minus, unit
from lynchet.project.model import Project
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Leg, Node
from lynchet.walls.pegs import Diagonal, LevelMark, SettingOut, SettingPoint

GOOD_SINE = sin(radians(20.0))
"""Two tapes that cross at less than this fix a point badly. PRACTICE."""
AREA_CORNER = "ground at area corner 0"
"""Benchmark of a bare slope, whose readings nobody can find."""
NEAR_M = 30.0
_SAME_M = 0.002
NEAREST = 5
"""Known corners tried for a point."""


def setting_out(project: Project, terraces: Terraces, legs: Sequence[Leg], nodes: Sequence[Node]) -> SettingOut:
    """Points of every standing wall, tied to known corners; levels of beds and trenches.

    Known corners are the house corners within 30 m of the area and the corners of the outline.
    """
    known = _known(project, terraces)
    standing = [leg for leg in legs if leg.segments]
    points = [tied(name, what, point, known) for name, what, point in _points(standing, nodes)]
    name, level, at = benchmark(project)
    marks = _levels(terraces, standing, level)
    across = tuple(_diagonals(terraces, points, known))
    return SettingOut(tuple(known), tuple(points), across, name, level, tuple(marks), _gauge(terraces, standing), at)


def benchmark(project: Project) -> tuple[str, float, Point | None]:
    """What levels are counted from on site, with its level and its place where that is known.

    The mark the rod was read at first; else the first reading; of a bare slope, whose readings nobody can find, the
    ground at corner 0 of the area.
    """
    source = project.ground
    if source.mark is not None:
        return *source.mark, None
    if source.kind != "slope":
        first = source.readings[0]
        return first.name, first.level_m, first.point_m
    corner = project.area.outline_m[0]
    rows = np.array([(*reading.point_m, 1.0) for reading in source.readings])
    plane, *_ = np.linalg.lstsq(rows, np.array([reading.level_m for reading in source.readings]), rcond=None)
    level = float(plane[0] * corner[0] + plane[1] * corner[1] + plane[2])
    return AREA_CORNER, level, corner


def _known(project: Project, terraces: Terraces) -> list[tuple[str, Point]]:
    outline = project.area.outline_m
    known = []
    for number, house in enumerate(project.houses):
        label = house.name or f"house {number + 1}"
        for i, point in enumerate(house.outline_m):
            if min(dist(point, corner) for corner in outline) < NEAR_M:
                known.append((f"{label}, corner {i}", point))
    return [*known, *((f"area, corner {i}", point) for i, point in enumerate(outline))]


def _points(legs: Sequence[Leg], nodes: Sequence[Node]) -> list[tuple[str, str, Point]]:
    """Ends of every standing stretch, on the line side of the timber (the face of the wall)."""
    found = []
    for leg in legs:
        marks = sorted({s.start_m for s in leg.segments} ^ {s.end_m for s in leg.segments})
        names = {arm.station_m: node.id for node in nodes for arm in node.arms if arm.leg == leg.id}
        for i, station in enumerate(marks):
            side = "start" if i % 2 == 0 else "end"
            at = f" at {names[station]}" if station in names else ""
            found.append((f"{leg.id}.{'abcdefghij'[i % 10]}", f"{side} of wall {leg.id}{at}", leg.point_at(station)))
    return found


def tied(name: str, what: str, point: Point, known: Sequence[tuple[str, Point]]) -> SettingPoint:
    """The two known corners that fix the point best: tapes crossing squarely, short ones before long."""
    near = sorted(known, key=lambda corner: (round(dist(point, corner[1]), 6), corner[0]))[:NEAREST]
    (name_a, a), (name_b, b) = _best_pair(point, tuple(near))
    return SettingPoint(name, what, point, name_a, dist(point, a), name_b, dist(point, b))


@lru_cache(maxsize=256)
def _best_pair(point: Point, near: tuple[tuple[str, Point], ...]) -> tuple[tuple[str, Point], tuple[str, Point]]:
    """Of the known corners near a point the two that fix it best, the first of equals; kept from plan to plan."""

    def badness(pair: tuple[tuple[str, Point], tuple[str, Point]]) -> float:
        (_, a), (_, b) = pair
        far = max(dist(point, a), dist(point, b))
        if min(dist(point, a), dist(point, b)) < 0.05:
            return far / 2.0  # the corner itself
        sine = abs(cross(unit(minus(a, point)), unit(minus(b, point))))
        return far / max(sine, 1e-3) + (1000.0 if sine < GOOD_SINE else 0.0)

    return min(combinations(near, 2), key=lambda pair: (round(badness(pair), 6), pair[0][0]))


def _diagonals(terraces: Terraces, pegs: Sequence[SettingPoint], known: Sequence[tuple[str, Point]]) -> list[Diagonal]:
    """Across every bed with four corners or more: its two longest inner distances, by what stands at their ends."""
    marked = [*((peg.id, peg.point_m) for peg in pegs), *known]
    out = []
    for bed in terraces.beds:
        corners = bed.outline_m
        last = len(corners) - 1
        apart = combinations(range(len(corners)), 2)
        pairs = [(i, j) for i, j in apart if j - i > 1 and (i, j) != (0, last)]
        pairs.sort(key=lambda pair: (-round(dist(corners[pair[0]], corners[pair[1]]), 6), pair))
        names = [_marked(corner, marked) or f"{bed.id} corner {n}" for n, corner in enumerate(corners)]
        out += [Diagonal(names[i], names[j], dist(corners[i], corners[j])) for i, j in pairs[:2]]
    return out


def _marked(point: Point, marked: Sequence[tuple[str, Point]]) -> str:
    """The peg or known corner at a place; empty where nothing marks it."""
    return next((name for name, at in marked if dist(at, point) < _SAME_M), "")


def _levels(terraces: Terraces, legs: Sequence[Leg], mark_m: float) -> list[LevelMark]:
    found = []
    for bed in terraces.beds:
        found.append(LevelMark(bed.id, "finished bed", bed.level_m, mark_m - bed.level_m))
    bottoms = terraces.lattice.bottoms_m
    for leg in legs:
        for segment in leg.segments:
            level = bottoms[segment.base]
            stretch = (segment.start_m, segment.end_m)
            found.append(LevelMark(leg.id, "underside of the lowest course", level, mark_m - level, stretch))
        top = max(bottoms[segment.top + 1] for segment in leg.segments)
        found.append(LevelMark(leg.id, "highest top", top, mark_m - top))
    return found


def _gauge(terraces: Terraces, legs: Sequence[Leg]) -> tuple[float, ...]:
    if not legs:
        return ()
    low = min(leg.lowest_course for leg in legs)
    high = max(segment.top for leg in legs for segment in leg.segments)
    bottoms = terraces.lattice.bottoms_m
    return tuple(bottoms[k + 1] - bottoms[low] for k in range(low, high + 1))
