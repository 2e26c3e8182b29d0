"""Timber of other walls under timber that stands: what laps round a corner lies on it, so it counts as laid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from lynchet.core.findings import Finding, Verdict
from lynchet.core.standing import Under
from lynchet.project.model import Project
from lynchet.units.format import DIGGING, length
from lynchet.walls.model import Piece, Walls
from lynchet.walls.piece_marks import piece_marks

LEAST_M2 = 1e-4
"""Timber that lies over other timber by less touches it at a cut."""
_GRID_M = 1e-5


def with_laid_under(project: Project, walls: Walls, pieces: Sequence[Piece]) -> tuple[Walls, tuple[Finding, ...]]:
    """Walls that know of every piece under one that stands, and what is said of it.

    Args:
        project: for units.
        walls: with what stands.
        pieces: of all walls.
    """
    if not walls.standing.any_stands:
        return walls, ()
    found = _under(walls, pieces)
    if not found:
        return walls, ()
    under: tuple[Under, ...] = tuple((one.leg, one.course, min(one.start_m), max(one.end_m)) for one in found)
    return replace(walls, standing=replace(walls.standing, under=under)), (_told(project, walls, pieces, found),)


def _under(walls: Walls, pieces: Sequence[Piece]) -> list[Piece]:
    """Pieces not said to stand on which others lie that do, from the highest course down."""
    import shapely

    falling = sorted(pieces, key=lambda one: (-one.course, one.id))
    shapes: Any = shapely.polygons([one.outline_m for one in falling])
    laid = [walls.stands(one) for one in falling]
    found = []
    for n, piece in enumerate(falling):
        if laid[n]:
            continue
        over = [k for k in range(n) if laid[k] and falling[k].course > piece.course]
        # On a grid: edges that all but meet have lost whole overlaps without one.
        if over and shapely.area(shapely.intersection(shapes[over], shapes[n], grid_size=_GRID_M)).max() > LEAST_M2:
            laid[n] = True
            found.append(piece)
    return found[::-1]


def _told(project: Project, walls: Walls, pieces: Sequence[Piece], found: Sequence[Piece]) -> Finding:
    listed = []
    for leg in dict.fromkeys(one.leg for one in found):
        marks = piece_marks(walls.runs, [one for one in pieces if one.leg == leg])
        listed += [f"{leg} {marks[one.id]} ({length(one.length_m, project.units, DIGGING)})"
                   for one in found if one.leg == leg]  # fmt: skip
    built = ", ".join(one.leg for one in walls.standing.legs if one.built is not None)
    one = len(listed) == 1
    text = (
        f"Timber that stands ({built}) laps over {', '.join(listed)}, which the file has not standing: "
        f"{'it counts' if one else 'they count'} as laid too, and {'is' if one else 'are'} off the lists. "
        f"{'Does it lie' if one else 'Do they lie'} there? If not, take out the course above before going on."
    )
    return Finding("standing.under", Verdict.WATCH, text, found[0].leg)
