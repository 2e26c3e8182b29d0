"""Placed things as closed bodies of triangles, in the file's coordinates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lynchet.core.frame import Frame, Point
from lynchet.exports.flat_nets import flat_triangles
from lynchet.plan.placed import Placed

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles over points."""

    points: Array
    """(n, 3): x, y, level, metres."""
    triangles: NDArray[np.intp]
    """(m, 3), anticlockwise seen from outside (of a body) or from above (of ground)."""

    @property
    def volume_m3(self) -> float:
        """Inside a closed body: the sum of signed tetrahedra, seen from its first point."""
        if not len(self.triangles):
            return 0.0
        a, b, c = (self.points - self.points[0])[self.triangles].transpose(1, 0, 2)
        return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0


def prism(thing: Placed, frame: Frame) -> Mesh:
    """The upright body of a placed thing, closed: sides, bottom and top.

    Args:
        thing: its outline either way round; a corner said twice counts once.
        frame: how the own frame lies in the file.

    Returns:
        Bottom points, then top points above them; no triangles where the outline has no area.
    """
    own = _ring(thing.outline_m)
    levels = [thing.levels_at(point) for point in own]
    outer = [frame.outward(point) for point in own]
    if _twice_area(outer) < 0:
        outer, levels = outer[::-1], levels[::-1]
    n = len(outer)
    points = np.array([(*p, z[0]) for p, z in zip(outer, levels, strict=True)]
                      + [(*p, z[1]) for p, z in zip(outer, levels, strict=True)]).reshape(-1, 3)  # fmt: skip
    caps = _cap(outer)
    if not caps:
        return Mesh(points, np.zeros((0, 3), dtype=np.intp))
    triangles = [(a, c, b) for a, b, c in caps] + [(n + a, n + b, n + c) for a, b, c in caps]
    for i in range(n):
        j = (i + 1) % n
        triangles += [(i, j, n + j), (i, n + j, n + i)]
    return Mesh(points, np.array(triangles, dtype=np.intp))


def _ring(outline: tuple[Point, ...]) -> list[Point]:
    points = [point for i, point in enumerate(outline) if point != outline[i - 1]]
    return points or list(outline[:1])


def _cap(ring: list[Point]) -> list[tuple[int, int, int]]:
    """Triangles of an anticlockwise ring: a fan where it is convex."""
    n = len(ring)
    if n < 3 or _twice_area(ring) <= 0:
        return []
    if all(_twice_area([ring[i - 2], ring[i - 1], ring[i]]) >= 0 for i in range(n)):
        return [(0, i, i + 1) for i in range(1, n - 1)]
    from shapely.geometry import Polygon

    places = {point: i for i, point in enumerate(ring)}
    corners, triangles = flat_triangles(Polygon(ring))
    if len(places) < n or any(corner not in places for corner in corners):
        return []
    own = [places[corner] for corner in corners]
    return [(own[i], own[j], own[k]) for i, j, k in triangles]


def _twice_area(ring: list[Point]) -> float:
    (x0, y0) = ring[0]
    return sum((ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
               for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1], strict=True))  # fmt: skip
