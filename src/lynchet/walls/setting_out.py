"""Numbers to peg the walls by: two tapes to every point, check tapes, levels below the benchmark, rod marks."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from math import dist, radians, sin
from typing import Any, cast

import numpy as np

from lynchet.core.plane import Point, cross, minus, unit
from lynchet.project.model import Project, Reading
from lynchet.terraces.model import Terraces
from lynchet.walls.check_tapes import check_tapes
from lynchet.walls.model import Leg, Node, Run
from lynchet.walls.pegs import LevelMark, SettingOut, SettingPoint, Side
from lynchet.walls.piece_marks import letter

Built = tuple[Sequence[Leg], Sequence[Node], Sequence[Run]]
GOOD_SINE = sin(radians(20.0))
"""Two tapes that cross at less than this fix a point badly. PRACTICE."""
AREA_CORNER = "ground at area corner 0"
"""Benchmark of a bare slope, whose readings nobody can find."""
NUMBERED = re.compile(r"(?:point )?([A-Za-z]?\d+)")
"""A reading that is called by its number, with no name by which one would find it."""
NEAR_M = 30.0
STAFF_M = 2.5
"""Farther below or above the mark than this, no staff reaches. PRACTICE."""
CLEAR_OF_DIGGING_M = 0.5
"""A mark nearer to the bed than this and the room to work in is dug away or trodden down. PRACTICE."""
_SAME_M = 0.002
_IN_A_HOUSE_M = 0.05
"""A tape that cuts so far into a house goes through it; the house is drawn no better than that. PRACTICE."""
NEAREST = 5
"""Known corners tried for a point."""


def setting_out(project: Project, terraces: Terraces, built: Built, rod_m: tuple[float, ...]) -> SettingOut:
    """Points of every standing wall, tied to known corners; levels of beds and trenches.

    Args:
        project: the file.
        terraces: for the beds.
        built: legs, nodes and runs.
        rod_m: marks of the gauge rod.


    Known corners are what is to be found on site: the house corners within 30 m of the area, and the corners of the
    outline as the file draws it, before any inset; a corner that an inset moved is a point to be set out.
    """
    legs, nodes, runs = built
    known = _known(project, terraces)
    standing = [leg for leg in legs if leg.segments]
    points = tied(project, _points(standing, nodes), known)
    moved = tied(project, _moved(project), known) if points else ()
    name, level, at = benchmark(project)
    marks = _levels(terraces, standing, runs, level)
    checks = check_tapes(terraces, points, (*known, *((peg.id, peg.point_m) for peg in moved)))
    return SettingOut(tuple(known), points, checks, name, level, tuple(marks), rod_m, at, moved)


def benchmark(project: Project) -> tuple[str, float, Point | None]:
    """What levels are counted from on site, with its level and its place where that is known.

    The mark the rod was read at first; where a board was stepped its first place; else the first reading, or of
    numbered points of a survey that begins far off the nearest to the work; of a bare slope, whose readings nobody can
    find, the ground at corner 0 of the area.
    """
    source = project.ground
    if source.mark is not None:
        return *source.mark, None
    if source.start is not None:
        return source.start.name, source.start.level_m, source.start.point_m
    if source.kind != "slope":
        first = _near_point(project) if source.kind == "points" else source.readings[0]
        return first.name, first.level_m, first.point_m
    corner = project.area.corners_m[0]
    rows = np.array([(*reading.point_m, 1.0) for reading in source.readings])
    plane, *_ = np.linalg.lstsq(rows, np.array([reading.level_m for reading in source.readings]), rcond=None)
    level = float(plane[0] * corner[0] + plane[1] * corner[1] + plane[2])
    return AREA_CORNER, level, corner


def _near_point(project: Project) -> Reading:
    """The first point of a survey; the nearest that no digging reaches, where the first is a mere number and its height
    would have to be carried to the work: from farther than a staff is long, or a tape."""
    import shapely

    readings = project.ground.readings
    points = shapely.points([reading.point_m for reading in readings])
    off = shapely.distance(shapely.Polygon(project.area.outline_m), points).tolist()
    dug = CLEAR_OF_DIGGING_M + project.digging.work_room_m
    nearest = min((n for n, far in enumerate(off) if far > dug), key=lambda n: off[n], default=0)
    first, near = readings[0], readings[nearest]
    reached = off[0] < NEAR_M and abs(first.level_m - near.level_m) < STAFF_M
    return first if reached or not NUMBERED.fullmatch(first.name) else near


def _known(project: Project, terraces: Terraces) -> list[tuple[str, Point]]:
    corners = project.area.corners_m
    known = []
    for number, house in enumerate(project.houses):
        label = house.name or f"house {number + 1}"
        for i, point in enumerate(house.outline_m):
            if min(dist(point, corner) for corner in corners) < NEAR_M:
                known.append((f"{label}, corner {i}", point))
    return [*known, *((f"area, corner {i}", point) for i, point in enumerate(corners))]


def _moved(project: Project) -> list[tuple[str, str, Point]]:
    """Corners of the area that are not where the file draws them."""
    pairs = enumerate(zip(project.area.outline_m, project.area.corners_m, strict=True))
    return [
        (f"moved corner {i}", f"corner {i} of the area, moved in by the inset", here)
        for i, (here, drawn) in pairs if dist(here, drawn) > _SAME_M
    ]  # fmt: skip


def _points(legs: Sequence[Leg], nodes: Sequence[Node]) -> list[tuple[str, str, Point]]:
    """Ends of every standing stretch, on the line side of the timber (the face of the wall)."""
    found = []
    for leg in legs:
        marks = sorted({s.start_m for s in leg.segments} ^ {s.end_m for s in leg.segments})
        names = {arm.station_m: node.id for node in nodes for arm in node.arms if arm.leg == leg.id}
        for i, station in enumerate(marks):
            side = "start" if i % 2 == 0 else "end"
            at = f" at {names[station]}" if station in names else ""
            found.append((f"{leg.id}.{letter(i)}", f"{side} of wall {leg.id}{at}", leg.point_at(station)))
    return found


def tied(
    project: Project, points: Sequence[tuple[str, str, Point]], known: Sequence[tuple[str, Point]]
) -> tuple[SettingPoint, ...]:
    """Points by the two known corners that fix them best: tapes crossing squarely, short ones before long.

    Args:
        project: for its houses, which no tape goes through, and for which hand is which on site.
        points: id, what it is, place.
        known: what a tape can be hooked on.
    """
    through = _through_houses(project, [point for _, _, point in points], [corner for _, corner in known])
    found = []
    for (name, what, point), hidden in zip(points, through, strict=True):
        seen = [corner for corner, behind in zip(known, hidden, strict=True) if not behind]
        near = sorted(seen if len(seen) > 1 else known, key=lambda one: (round(dist(point, one[1]), 6), one[0]))
        (name_a, a), (name_b, b) = _best_pair(point, tuple(near[:NEAREST]))
        side = side_of(point, a, b, mirrored=project.frame.mirrored)
        found.append(SettingPoint(name, what, point, name_a, dist(point, a), name_b, dist(point, b), side))
    return tuple(found)


def side_of(point: Point, a: Point, b: Point, *, mirrored: bool) -> Side:
    """The side of the line from one hook to the other a point lies on; ``mirrored``: the frame is, against the site."""
    off = cross(unit(minus(b, a)), minus(point, a))
    if abs(off) < _SAME_M or dist(point, a) < _SAME_M or dist(point, b) < _SAME_M:
        return "in line"
    return "left" if (off > 0.0) != mirrored else "right"


def _through_houses(project: Project, points: Sequence[Point], corners: Sequence[Point]) -> Sequence[Sequence[bool]]:
    """By point and corner whether a tape between them would go through a house."""
    if not project.houses or not points:
        return [[False] * len(corners)] * len(points)
    import shapely

    ends = np.empty((len(points), len(corners), 2, 2))
    ends[:, :, 0], ends[:, :, 1] = np.array(points)[:, None], np.array(corners)[None]
    lines: Any = shapely.linestrings(ends)
    met: Any = shapely.intersects(_inside(tuple(house.outline_m for house in project.houses)), lines)
    return cast(Sequence[Sequence[bool]], met.tolist())


@lru_cache(maxsize=8)
def _inside(outlines: tuple[tuple[Point, ...], ...]) -> Any:
    """Ground of houses that no tape goes over, ready to be asked; kept by value from plan to plan of a yard."""
    import shapely

    whole = shapely.union_all([shapely.Polygon(outline).buffer(0) for outline in outlines])
    inside = shapely.buffer(whole, -_IN_A_HOUSE_M, join_style="mitre")
    shapely.prepare(inside)
    return inside


@lru_cache(maxsize=256)
def _best_pair(point: Point, near: tuple[tuple[str, Point], ...]) -> tuple[tuple[str, Point], tuple[str, Point]]:
    """Of the known corners near a point the two that fix it best, the first of equals; kept from plan to plan."""

    def badness(pair: tuple[tuple[str, Point], tuple[str, Point]]) -> float:
        (_, a), (_, b) = pair
        far = max(dist(point, a), dist(point, b))
        if min(dist(point, a), dist(point, b)) < _SAME_M:
            return far / 2.0  # the corner itself
        sine = abs(cross(unit(minus(a, point)), unit(minus(b, point))))
        return far / max(sine, 1e-3) + (1000.0 if sine < GOOD_SINE else 0.0)

    apart = [pair for pair in combinations(near, 2) if dist(pair[0][1], pair[1][1]) > _SAME_M]
    return min(apart or combinations(near, 2), key=lambda pair: (round(badness(pair), 6), pair[0][0]))


def _levels(terraces: Terraces, legs: Sequence[Leg], runs: Sequence[Run], mark_m: float) -> list[LevelMark]:
    """Of walls those of their timber: what stands as it was measured, what follows as it will be laid."""
    found = []
    for bed in terraces.beds:
        found.append(LevelMark(bed.id, "finished bed", bed.level_m, mark_m - bed.level_m))
    bottoms = {(run.leg, run.course): run.bottom_m for run in runs}
    for leg in legs:
        for segment in leg.segments:
            level = bottoms[leg.id, segment.base]
            stretch = (segment.start_m, segment.end_m)
            found.append(LevelMark(leg.id, "underside of the lowest course", level, mark_m - level, stretch))
        top = max(run.top_m for run in runs if run.leg == leg.id)
        found.append(LevelMark(leg.id, "highest top", top, mark_m - top))
    return found
