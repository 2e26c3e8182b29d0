"""Plane faces of solid bodies in space, as the pictures need them: rings seen anticlockwise from outside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Point = tuple[float, float]
Plane = tuple[float, float, float]
"""Level = a x + b y + c."""
_NO_AREA_M2 = 1e-8
_NO_HEIGHT_M = 1e-6


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


def upright_faces(body: Upright, cut: Array | None = None) -> list[Face]:
    """Top and sides of an upright body; its underside is never looked at.

    Args:
        body: what stands there.
        cut: lines in plan (``lines_of``); sides that lie on one of them are cut faces.
    """
    return [*top_faces(body), *side_faces(body, cut)]


def top_faces(body: Upright) -> list[Face]:
    """The top of an upright body."""
    up = _up(body.top)
    return [
        Face(tuple(_lifted(ring, body.top) for ring in rings), body.body, "top", body.rank, up)
        for rings in _rings_of(body.footprint)
    ]


def side_faces(body: Upright, cut: Array | None = None, only_cut: bool = False) -> list[Face]:
    """The sides of an upright body.

    Args:
        body: what stands there.
        cut: as for ``upright_faces``.
        only_cut: those on the cut alone.
    """
    return [face for rings in _rings_of(body.footprint) for ring in rings for face in _sides(ring, body, cut, only_cut)]


def _rings_of(footprint: Any) -> Iterable[list[list[Point]]]:
    """Rings of every part of a footprint: the outer one anticlockwise, holes clockwise."""
    for part in getattr(footprint, "geoms", [footprint]):
        if part.geom_type == "Polygon" and part.area >= _NO_AREA_M2:
            yield [_ring(part.exterior, True), *(_ring(hole, False) for hole in part.interiors)]


def _ring(coords: Any, anticlockwise: bool) -> list[Point]:
    from shapely import get_coordinates

    points = [(x, y) for x, y in get_coordinates(coords)[:-1].tolist()]
    twice = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1], strict=True))
    return points if (twice > 0) == anticlockwise else points[::-1]


def _up(plane: Plane) -> Array:
    """Unit vector up and square to a plane."""
    out = np.array([-plane[0], -plane[1], 1.0])
    return out / float(np.sqrt(out @ out))


def _lifted(ring: Sequence[Point], plane: Plane) -> Array:
    return np.array([(x, y, level(plane, x, y)) for x, y in ring])


def _sides(ring: list[Point], body: Upright, cut: Array | None, only_cut: bool) -> Iterable[Face]:
    points = [*ring, ring[0]]
    lows, tops = ([level(plane, x, y) for x, y in points] for plane in (body.bottom, body.top))
    on = on_lines(points, cut) if cut is not None else [False] * len(ring)
    for n, (a, b) in enumerate(pairwise(points)):
        if max(tops[n] - lows[n], tops[n + 1] - lows[n + 1]) < _NO_HEIGHT_M or (only_cut and not on[n]):
            continue
        side = np.array([(*a, lows[n]), (*b, lows[n + 1]), (*b, tops[n + 1]), (*a, tops[n])])
        yield Face((side,), body.body, "cut" if on[n] else "side", body.rank, outward(a, b))


def outward(a: Point, b: Point) -> Array:
    """Level unit vector to the right of the way from one plan point to another: out of a ring run anticlockwise."""
    size = hypot(b[0] - a[0], b[1] - a[1])
    return np.array([(b[1] - a[1]) / size, (a[0] - b[0]) / size, 0.0])


def on_lines(points: Sequence[Point], lines: Array) -> list[bool]:
    """Whether the way from each of some plan points to the next lies on one of some lines; one less than points."""
    on = np.abs(np.asarray(points) @ lines[:, :2].T - lines[:, 2]) < 1e-5
    found: list[bool] = np.asarray((on[:-1] & on[1:]).any(axis=1)).tolist()
    return found


def lines_of(ring: Sequence[Point]) -> Array:
    """(n, 3): unit normal and offset of the straight line through every edge of a ring."""
    found = []
    for (ax, ay), (bx, by) in pairwise([*ring, ring[0]]):
        size = float(np.hypot(bx - ax, by - ay))
        if size > 1e-9:
            nx, ny = (by - ay) / size, (ax - bx) / size
            found.append((nx, ny, nx * ax + ny * ay))
    return np.array(found).reshape(-1, 3)
