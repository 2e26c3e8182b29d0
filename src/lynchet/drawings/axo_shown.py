"""What is seen of faces by the cells of their net, as polygons; nothing where numba is not there."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.axo_turned import SLIVER_M2, Turned, convex_of

Array = NDArray[np.float64]
Whole = NDArray[np.intp]
_THIN_M = 1e-5
"""Of a ring's area over its length: a sliver is thin whatever its length."""


def by_cells(turned: Turned, same: float, groups: Whole) -> tuple[dict[int, Any], Whole] | None:
    """What is seen of groups of faces, by compiled code.

    Args:
        turned: the faces.
        same: difference of nearness below which faces lie in one place: the higher rank is seen, else the first.
        groups: (n,) from 0.

    Returns:
        The shape of every group by the number of its first face that is seen, and the numbers of all faces that are;
        None where there is no numba, or no folder it may keep its work in.
    """
    try:
        from lynchet.drawings.axo_cells import Flat, shown_rings
    except (ImportError, RuntimeError):
        return None
    many = len(turned.faces)
    boxes = np.column_stack([np.minimum.reduceat(turned.points, turned.starts[:-1]),
                             np.maximum.reduceat(turned.points, turned.starts[:-1])])  # fmt: skip
    edges = np.column_stack([turned.points, turned.points[turned.after]])
    order = np.array([face.rank for face in turned.faces], dtype=np.intp) * many + np.arange(many - 1, -1, -1)
    flat = Flat(edges, turned.starts, boxes, np.ascontiguousarray(turned.planes), order, convex_of(turned), same)
    corners, starts, owners, seen = shown_rings(flat, groups)
    shapes = _polygons(corners, np.diff(starts), owners)
    front = np.flatnonzero(seen)
    own, at = np.unique(groups[front], return_index=True)
    first = dict(zip(own.tolist(), front[at].tolist(), strict=True))
    return {first[group]: shape for group, shape in shapes.items()}, front


def _polygons(corners: Array, counts: Whole, owners: Whole) -> dict[int, Any]:
    """Rings as polygons with their holes, by owner; slivers are left out."""
    import shapely

    if not len(counts):
        return {}
    lines: Any = shapely.linearrings(corners, indices=np.repeat(np.arange(len(counts)), counts))
    areas = np.where(shapely.is_ccw(lines), 1.0, -1.0) * shapely.area(shapely.polygons(lines))
    kept = np.flatnonzero((np.abs(areas) > SLIVER_M2) & (np.abs(areas) > _THIN_M * shapely.length(lines)))
    outer, holes = kept[areas[kept] > 0], kept[areas[kept] < 0]
    around = _around(lines, areas, owners, (outer, holes))
    order = np.argsort(np.concatenate([np.arange(len(outer)), around]), kind="stable")
    own = np.concatenate([np.arange(len(outer)), around])[order]
    shapes: Any = shapely.polygons(lines[np.concatenate([outer, holes])[order]][own >= 0], indices=own[own >= 0])
    wrong = ~shapely.is_valid(shapes)
    if wrong.any():
        shapes[wrong] = shapely.make_valid(shapes[wrong])
    return _by_owner(shapes, owners[outer])


def _around(lines: Any, areas: Array, owners: Whole, which: tuple[Whole, Whole]) -> Whole:
    """Of every hole the number of the smallest outer ring of the same owner round it; -1 where there is none."""
    import shapely

    outer, holes = which
    found = np.full(len(holes), -1, dtype=np.intp)
    for n, hole in enumerate(holes.tolist()):
        own = np.flatnonzero((owners[outer] == owners[hole]) & (areas[outer] > -areas[hole]))
        if len(own):
            middle = shapely.line_interpolate_point(lines[hole], 0.37, normalized=True)
            in_it = own[shapely.intersects(shapely.polygons(lines[outer[own]]), middle)]
            if len(in_it):
                found[n] = in_it[np.argmin(areas[outer[in_it]])]
    return found


def _by_owner(shapes: Any, owners: Whole) -> dict[int, Any]:
    import shapely

    parts: dict[int, list[Any]] = {}
    for shape, owner in zip(shapes.tolist(), owners.tolist(), strict=True):
        for part in shapely.get_parts(shape) if shape.geom_type != "Polygon" else (shape,):
            if part.geom_type == "Polygon":
                parts.setdefault(owner, []).append(part)
    return {owner: own[0] if len(own) == 1 else shapely.multipolygons(own) for owner, own in parts.items()}
