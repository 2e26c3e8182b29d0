"""The soil of a bed between its timbers, known before the walls are made: a bed's depth on site is counted from the
back of its front timber to the front face of the next wall."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, cos, radians
from typing import Any

from lynchet.core.intervals import Interval, joined
from lynchet.core.kept import less
from lynchet.core.outlines import polygons_of
from lynchet.core.plane import Point, dot, minus, unit
from lynchet.core.slivers import areas_of
from lynchet.ground.model import Surface
from lynchet.project.model import Brief, Project
from lynchet.terraces.area import Ring
from lynchet.terraces.lines import MEET_DEG
from lynchet.terraces.model import HOUSE, Face, Level, Side, WallLine
from lynchet.terraces.path_strips import SHORT_M, box_beside, where_over

LEAN = 1.0 / 12.0
"""Set-back over height of a front, where the file says none. PRACTICE."""
LEAST_STEP_M = 0.05
"""Where levels differ by more, a wall stands. As the walls have it."""
_GRID_M = 1e-5


def apart_m(project: Project, rise_m: float, more_m: float = 0.0) -> float:
    """From the front of one wall to the front of the next, so that the bed between them is as deep as asked.

    Args:
        project: the file.
        rise_m: from bench to bench; a front that leans takes its set-back from the bed.
        more_m: other timber that stands on the bed.
    """
    brief, timber = project.brief, project.timber
    lean = LEAN if brief.lean is None else brief.lean
    high = ceil(max(0.0, rise_m) / timber.course_m - 1e-6) * timber.course_m
    beside = brief.path_strip_m or 0.0 if _asked(project) else 0.0
    return max(brief.bench_spacing_m, brief.least_bed_m + beside + timber.thickness_m + lean * high + more_m)


def _asked(project: Project) -> bool:
    """Whether the file says how deep beds must be: then its path strips come beside that, not out of it."""
    said = all(default.key != "brief.least_bed" for default in project.defaults)
    return said and project.brief.least_bed_m != Brief.least_bed_m


def soil_of(face: Face, lines: Sequence[WallLine], project: Project, surface: Surface) -> Any:
    """A bed less the timber that will stand on it, and less its path strips (shapely).

    Where two beds meet their line carries the timber of the upper; inside an edge it stands wherever the ground beyond
    lies higher or lower than the bed.
    """
    import shapely

    timber = [box_beside(line, part, (0.0, project.timber.thickness_m))
              for line in lines for part in _stands(line, face, surface)]  # fmt: skip
    taken = polygons_of([*face.strip_m, *timber])  # joined as they are: on the grid would take three times as long
    return areas_of(less(face.polygon, shapely.union_all(taken), _GRID_M)) if len(taken) else face.polygon


def top_timber_m(project: Project, rings: Iterable[Ring], along: Point) -> float:
    """Timber of the wall along the high edge of the area, inside its outline; 0 where no edge there is a wall."""
    for ring in rings:
        for edge, after in zip(ring, (*ring[1:], ring[0]), strict=True):
            way = unit(minus(after.start, edge.start))
            facing = dot(way, along) <= -cos(radians(MEET_DEG))
            rule = project.area.rule(int(edge.tag[1:])).finish if edge.tag[0] == "A" else "wall"
            if facing and edge.outer != HOUSE and rule == "wall":
                return project.timber.thickness_m
    return 0.0


def _stands(line: WallLine, face: Face, surface: Surface) -> Iterator[Interval]:
    """Stretches of a line on which timber will stand on this bed."""
    for side in line.sides:
        if side.left != face.id or side.right == HOUSE:
            continue
        if line.role != "edge" or side.right.startswith("B"):
            yield side.start_m, side.end_m
        elif line.finish == "wall" and isinstance(face.finish, Level):
            yield from _differs(line, side, face.level_m, surface)


def _differs(line: WallLine, side: Side, level_m: float, surface: Surface) -> list[Interval]:
    """Where the ground beyond an edge lies higher or lower than a bed, short gaps bridged as in the wall."""
    parts = [
        (max(a, side.start_m), min(b, side.end_m))
        for sign in (1.0, -1.0)
        for a, b in where_over(line, surface, level_m + sign * LEAST_STEP_M, sign)
        if b > side.start_m and a < side.end_m
    ]
    return joined(parts, SHORT_M)
