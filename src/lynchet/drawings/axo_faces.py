"""Plane faces of solid bodies in space, as the pictures need them: rings seen anticlockwise from outside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import hypot
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from lynchet.core.quick import quick

Array = NDArray[np.float64]
Whole = NDArray[np.intp]
Point = tuple[float, float]
Plane = tuple[float, float, float]
"""Level = a x + b y + c."""
_NO_AREA_M2 = 1e-8
_NO_HEIGHT_M = 1e-6
_LATER = np.full(3, np.nan)


@quick
@dataclass(frozen=True, eq=False)
class Face:
    """One plane face of a body."""

    rings: tuple[Array, ...]
    """(k, 3) each: the outer ring anticlockwise seen from outside, then holes."""
    body: str
    """Whose face it is."""
    side: str = "side"
    """top, side, or cut (where the picture's cut goes through the body)."""
    rank: int = 0
    """Of two faces in one place the one of higher rank is seen."""
    normal: Array | None = None
    """Unit vector out of the body; None = worked out from the outer ring."""
    hides: bool = True
    """False: it is drawn over what is behind it, in the order of nearness, and takes nothing from it."""

    def outward(self) -> Array:
        """Unit vector out of the body (Newell's sum over the outer ring)."""
        return self.normal if self.normal is not None else newell(self.rings[0])


def newell(ring: Array) -> Array:
    """Unit normal of a plane ring, by the sum of its edges; zero for a ring without area."""
    after = np.roll(ring, -1, axis=0)
    x = float(np.sum((ring[:, 1] - after[:, 1]) * (ring[:, 2] + after[:, 2])))
    y = float(np.sum((ring[:, 2] - after[:, 2]) * (ring[:, 0] + after[:, 0])))
    z = float(np.sum((ring[:, 0] - after[:, 0]) * (ring[:, 1] + after[:, 1])))
    found = np.array([x, y, z])
    length = float(np.sqrt(found @ found))
    return found / length if length > 0 else found


def outwards(faces: Sequence[Face]) -> Array:
    """(n, 3): of every face ``outward``; those not known, of outer rings of as many corners, in one go."""
    found = np.array([_LATER if face.normal is None else face.normal for face in faces]).reshape(-1, 3)
    unknown: dict[int, list[int]] = {}
    for n, face in enumerate(faces):
        if face.normal is None:
            unknown.setdefault(len(face.rings[0]), []).append(n)
    for which in unknown.values():
        rings = np.array([faces[n].rings[0] for n in which])
        after = np.roll(rings, -1, axis=1)
        # In the same order in memory as of one ring, so that sums round alike.
        less, both = (np.ascontiguousarray(part.transpose(2, 0, 1)) for part in (rings - after, rings + after))
        out = np.stack([(less[k] * both[m]).sum(axis=1) for k, m in ((1, 2), (2, 0), (0, 1))], axis=1)
        size = np.sqrt([row @ row for row in out])
        found[which] = out / np.where(size > 0, size, 1.0)[:, None]
    return found


@quick
@dataclass(frozen=True)
class Upright:
    """An upright body over a plan footprint, between two planes."""

    body: str
    footprint: Any
    """Shapely polygon, holes allowed."""
    bottom: Plane
    top: Plane
    rank: int = 0


def level(plane: Plane, x: float, y: float) -> float:
    """Level of a plane at a plan point."""
    return plane[0] * x + plane[1] * y + plane[2]


def flat(level_m: float) -> Plane:
    """A level plane."""
    return 0.0, 0.0, level_m


class Outlines(NamedTuple):
    """Rings of many footprints: the outer ones anticlockwise, holes clockwise, the first corner not repeated."""

    points: Array
    """(n, 2) corners, ring after ring."""
    rings: Whole
    """(r + 1,) first corner of each ring, and their number."""
    parts: Whole
    """(p + 1,) first ring of each part, and their number."""
    owners: Whole
    """(p,) number of the footprint each part belongs to."""

    @property
    def after(self) -> Whole:
        """(n,) number of the corner that follows in the same ring."""
        found = np.arange(1, len(self.points) + 1)
        found[self.rings[1:] - 1] = self.rings[:-1]
        return found

    @property
    def owner_of_corner(self) -> Whole:
        """(n,) number of the footprint each corner belongs to."""
        return np.asarray(np.repeat(np.repeat(self.owners, np.diff(self.parts)), np.diff(self.rings)), dtype=np.intp)


def outlines_of(footprints: Sequence[Any], same_start: bool = False) -> Outlines:
    """Rings of footprints, in one go.

    Args:
        footprints: shapely polygons or collections; parts of nearly no area are left out.
        same_start: a ring that has to be turned round still begins at its first corner.
    """
    import shapely

    parts, owners = shapely.get_parts(np.array(footprints, dtype=object), return_index=True)
    kept = (shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & (shapely.area(parts) >= _NO_AREA_M2)
    rings, of_part = shapely.get_rings(parts[kept], return_index=True)
    corners, of_ring = shapely.get_coordinates(rings, return_index=True)
    counts = np.bincount(of_ring, minlength=len(rings)) - 1
    first = np.searchsorted(of_part, np.arange(np.count_nonzero(kept) + 1)).astype(np.intp)
    outer = np.zeros(len(rings), dtype=bool)
    outer[first[:-1]] = True
    turned = np.repeat(shapely.is_ccw(rings) != outer, counts)
    starts = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
    at = np.arange(starts[-1]) - np.repeat(starts[:-1], counts)
    many = np.repeat(counts, counts)
    at = np.where(turned, -at % np.maximum(many, 1) if same_start else many - 1 - at, at)
    # In the list of all corners every ring has its first corner once more at its end.
    points = corners[np.repeat(starts[:-1] + np.arange(len(rings)), counts) + at]
    return Outlines(points, starts, first, owners[kept])


def upright_faces(body: Upright, cut: Array | None = None) -> list[Face]:
    """Top and sides of one upright body, as ``all_upright_faces`` has them."""
    return all_upright_faces([body], cut)[0]


def all_upright_faces(bodies: Sequence[Upright], cut: Array | None = None) -> list[list[Face]]:
    """Top and sides of upright bodies; their undersides are never looked at.

    Args:
        bodies: what stands there.
        cut: lines in plan (``lines_of``); sides that lie on one of them are cut faces.
    """
    found = outlines_of([body.footprint for body in bodies])
    return [[*top, *sides] for top, sides in zip(_tops(bodies, found), _sides(bodies, found, cut), strict=True)]


def all_top_faces(bodies: Sequence[Upright]) -> list[list[Face]]:
    """The tops of upright bodies."""
    return _tops(bodies, outlines_of([body.footprint for body in bodies]))


def all_cut_faces(bodies: Sequence[Upright], cut: Array) -> list[list[Face]]:
    """The sides of upright bodies that lie on the lines of a cut."""
    return _sides(bodies, outlines_of([body.footprint for body in bodies]), cut, True)


@lru_cache(maxsize=1 << 10)
def _up(plane: Plane) -> Array:
    """Unit vector up and square to a plane."""
    out = np.array([-plane[0], -plane[1], 1.0])
    return out / float(np.sqrt(out @ out))


def levels(planes: Array, points: Array) -> Array:
    """(n,) levels of planes at (n, 2) plan points: (n, 3), each of its own, or (3,), one for all."""
    found: Array = planes[..., 0] * points[:, 0] + planes[..., 1] * points[:, 1] + planes[..., 2]
    return found


def _tops(bodies: Sequence[Upright], found: Outlines) -> list[list[Face]]:
    planes = np.array([body.top for body in bodies]).reshape(-1, 3)[found.owner_of_corner]
    lifted = np.column_stack([found.points, levels(planes, found.points)])
    made: list[list[Face]] = [[] for _ in bodies]
    rings = found.rings.tolist()
    for owner, (first, last) in zip(found.owners.tolist(), pairwise(found.parts.tolist()), strict=True):
        body = bodies[owner]
        corners = tuple(lifted[rings[n] : rings[n + 1]] for n in range(first, last))
        made[owner].append(Face(corners, body.body, "top", body.rank, _up(body.top)))
    return made


def _sides(bodies: Sequence[Upright], found: Outlines, cut: Array | None, only_cut: bool = False) -> list[list[Face]]:
    owners, after = found.owner_of_corner, found.after
    low, top = (
        levels(np.array(planes).reshape(-1, 3)[owners], found.points)
        for planes in ([body.bottom for body in bodies], [body.top for body in bodies])
    )
    on = on_lines(found.points, after, cut) if cut is not None else np.zeros(len(owners), dtype=bool)
    high = np.maximum(top - low, (top - low)[after]) >= _NO_HEIGHT_M
    which = np.flatnonzero(high & on if only_cut else high)
    sides, out = walls_of(found.points, after, (low, top), which)
    made: list[list[Face]] = [[] for _ in bodies]
    for n, (owner, is_cut) in enumerate(zip(owners[which].tolist(), on[which].tolist(), strict=True)):
        body = bodies[owner]
        made[owner].append(Face((sides[n],), body.body, "cut" if is_cut else "side", body.rank, out[n]))
    return made


def walls_of(points: Array, after: Whole, ends: tuple[Array, Array], which: Whole) -> tuple[Array, Array]:
    """Upright faces over ways from one plan point to the next, and the level unit vectors to their right.

    Args:
        points: (n, 2).
        after: (n,) number of the point each way leads to.
        ends: (n,) underside and top at each point.
        which: (k,) points whose way is asked for.

    Returns:
        (k, 4, 3) corners: along the underside, back along the top; (k, 3), out of a ring run anticlockwise.
    """
    (low, top), to = ends, after[which]
    a, b = points[which], points[to]
    sides = np.empty((len(which), 4, 3))
    sides[:, 0, :2] = sides[:, 3, :2] = a
    sides[:, 1, :2] = sides[:, 2, :2] = b
    sides[:, 0, 2], sides[:, 1, 2], sides[:, 2, 2], sides[:, 3, 2] = low[which], low[to], top[to], top[which]
    way = b - a
    size = np.array([hypot(x, y) for x, y in way.tolist()])
    return sides, np.column_stack([way[:, 1] / size, -way[:, 0] / size, np.zeros(len(which))])


def on_lines(points: Array, after: Whole, lines: Array) -> NDArray[np.bool_]:
    """Whether the way from each of (n, 2) plan points to the one after it lies on one of some lines."""
    on = np.abs(points @ lines[:, :2].T - lines[:, 2]) < 1e-5
    return np.asarray((on & on[after]).any(axis=1), dtype=np.bool_)


def lines_of(ring: Sequence[Point]) -> Array:
    """(n, 3): unit normal and offset of the straight line through every edge of a ring."""
    found = []
    for (ax, ay), (bx, by) in pairwise([*ring, ring[0]]):
        size = float(np.hypot(bx - ax, by - ay))
        if size > 1e-9:
            nx, ny = (by - ay) / size, (ax - bx) / size
            found.append((nx, ny, nx * ax + ny * ay))
    return np.array(found).reshape(-1, 3)
