"""Faces of the ground of a block: tops, sides, and the layers seen where the picture's cut goes through it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from lynchet.drawings.axo_faces import (
    Array,
    Face,
    Upright,
    Whole,
    all_cut_faces,
    all_top_faces,
    levels,
    on_lines,
    outlines_of,
    walls_of,
)
from lynchet.drawings.axo_ground import DUG, NATIVE, RANKS, Block, Cell
from lynchet.drawings.axo_ground_parts import polygons_of
from lynchet.drawings.kept import united
from lynchet.ground.model import Surface
from lynchet.ground.surface import level_at

_TOUCH_M = 1e-6


def ground_faces(cells: Sequence[Cell], block: Block, surface: Surface) -> Iterator[tuple[Cell, list[Face]]]:
    """Faces of the ground, cells of one sort and one plane as one body.

    A body's sides run round its whole outline, down to the lowest ground of the block, as the ground before them hides
    what is too deep; on the block's own edges they are as deep as the body, cell by cell: there the layers are seen.

    Args:
        cells: of the block.
        block: what is shown.
        surface: the measured ground.
    """
    corners = _corners_of(cells)
    lowest = float(corners.tops.min()) if len(corners.tops) else 0.0
    groups: dict[tuple[Any, ...], list[int]] = {}
    for k, cell in enumerate(cells):
        plane = () if cell.kind == NATIVE else tuple(round(v, 7) for v in cell.top)
        groups.setdefault((cell.kind, cell.task, plane), []).append(k)
    tops = all_top_faces([_upright(cell, cell.shape, "") for cell in cells if cell.kind == NATIVE])
    native = dict(zip((k for k, cell in enumerate(cells) if cell.kind == NATIVE), tops, strict=True))
    edged = _edged(cells, block, {k: n for n, group in enumerate(groups.values()) for k in group})
    made: list[_Body] = []
    for n, group in enumerate(groups.values()):
        first = cells[group[0]]
        whole = united(tuple(cells[k].shape for k in group)) if len(group) > 1 else first.shape
        deep = lowest if first.kind in (NATIVE, DUG) else float(corners.of(group, corners.bottoms).min())
        known = _heights(first, corners, group, surface)
        made.append(_Body(f"{first.kind}/{n}", first, list(polygons_of(whole)), known, deep))
    rounds = iter(_round(made, block))
    over = iter(all_top_faces([_upright(one.first, part, one.name)
                               for one in made if one.first.kind != NATIVE for part in one.parts]))  # fmt: skip
    for one, group in zip(made, groups.values(), strict=True):
        first = one.first
        faces: list[Face] = []
        for _ in one.parts:
            faces += [*(next(over) if first.kind != NATIVE else ()), *next(rounds)]
        faces += [replace(top, body=one.name) for k in group for top in native.get(k, ())]
        yield first, faces
        # On the block's own edges ground is ground, dug or not; what was brought shows its layers.
        shown = Cell(NATIVE, first.shape, first.top, first.bottom) if first.kind == DUG else first
        yield shown, [side for k in group for side in edged.get(k, ())]


class _Body(NamedTuple):
    """Cells of one sort and one plane."""

    name: str
    first: Cell
    parts: list[Any]
    known: Callable[[Array], Array]
    """Level of its top at corners of it."""
    low_m: float
    """Foot of its sides."""


class _Corners(NamedTuple):
    """Corners of the outer rings of cells."""

    points: Array
    """(n, 2)."""
    owners: Whole
    """(n,) number of the cell."""
    tops: Array
    bottoms: Array
    """(n,) levels."""

    def of(self, group: Sequence[int], what: Array) -> Array:
        """What some cells have at their corners, cell by cell."""
        found: Array = what[np.isin(self.owners, group)]
        return found


def _corners_of(cells: Sequence[Cell]) -> _Corners:
    import shapely

    rings = shapely.get_exterior_ring(np.array([cell.shape for cell in cells], dtype=object))
    points, owners = shapely.get_coordinates(rings, return_index=True)
    tops, bottoms = (
        levels(np.array(planes).reshape(-1, 3)[owners], points)
        for planes in ([cell.top for cell in cells], [cell.bottom for cell in cells])
    )
    return _Corners(points, owners, tops, bottoms)


def _edged(cells: Sequence[Cell], block: Block, group_of: Mapping[int, int]) -> dict[int, list[Face]]:
    """Faces on the block's own edges, by the number of the cell."""
    import shapely

    edge = block.shape.exterior
    shapely.prepare(edge)
    at = np.flatnonzero(shapely.intersects(edge, np.array([cell.shape for cell in cells], dtype=object))).tolist()
    bodies = []
    for k in at:
        kind = NATIVE if cells[k].kind == DUG else cells[k].kind
        bodies.append(_upright(cells[k], cells[k].shape, f"{kind}/cut" if kind == NATIVE else f"{kind}/{group_of[k]}"))
    return dict(zip(at, all_cut_faces(bodies, block.lines), strict=True))


def _upright(cell: Cell, shape: Any, name: str) -> Upright:
    return Upright(name, shape, cell.bottom, cell.top, RANKS[cell.kind])


def _heights(first: Cell, corners: _Corners, group: Sequence[int], surface: Surface) -> Callable[[Array], Array]:
    """Level of the top of a group at corners of it."""
    if first.kind != NATIVE:
        return lambda points: levels(np.array(first.top), points)
    own, tops = corners.of(group, corners.points), corners.of(group, corners.tops)
    known = dict(zip(map(tuple, np.round(own, 6).tolist()), tops.tolist(), strict=True))

    def at(points: Array) -> Array:
        found = np.array([known.get((x, y), np.nan) for x, y in np.round(points, 6).tolist()])
        unknown = np.isnan(found)
        if unknown.any():
            found[unknown] = level_at(surface, points[unknown])
        return found

    return at


def _round(made: Sequence[_Body], block: Block) -> list[list[Face]]:
    """Faces of the parts of bodies, one part after the other, but for those on the block's own edges."""
    body = [n for n, one in enumerate(made) for _ in one.parts]
    found = outlines_of([part for one in made for part in one.parts], same_start=True)
    after, points, owners = found.after, found.points, found.owner_of_corner
    sides: list[list[Face]] = [[] for _ in body]
    if not len(points):
        return sides
    ends = np.searchsorted(owners, np.cumsum([0, *(len(one.parts) for one in made)])).tolist()
    high = np.concatenate([one.known(points[a:b]) for one, (a, b) in zip(made, pairwise(ends), strict=True)])
    low = np.repeat([one.low_m for one in made], np.diff(ends))
    wanted = (np.maximum(high, high[after]) - low >= _TOUCH_M) & ~on_lines(points, after, block.lines)
    which = np.flatnonzero(wanted)
    corners, out = walls_of(points, after, (low, high), which)
    for n, owner in enumerate(owners[which].tolist()):
        one = made[body[owner]]
        sides[owner].append(Face((corners[n],), one.name, "side", RANKS[one.first.kind], out[n]))
    return sides
