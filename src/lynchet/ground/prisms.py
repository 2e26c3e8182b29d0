"""Cut and fill between the ground and a flat level, exact for ground of triangles."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.ground.model import Array, Surface

Point = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Prisms:
    """Triangles with a sign, over which the ground is flat; together they cover a plan outline once."""

    areas: Array
    """(n,) plan areas, negative where a fan folds back."""
    levels: Array
    """(n, 3) ground levels at the corners, ascending."""

    @property
    def area_m2(self) -> float:
        """Plan area of the whole."""
        return float(self.areas.sum())

    @cached_property
    def sides(self) -> tuple[tuple[Array, Array, Array], Array, Array, Array]:
        """What of cut and fill hangs on no level: corner levels, their means, 3 (d2 - d1) (d3 - d1) and
        3 (d3 - d1) (d3 - d2); 1 where such a product is 0, which no level asks for."""
        one, two, three = (np.ascontiguousarray(self.levels[:, k]) for k in range(3))
        low, high = 3.0 * (two - one) * (three - one), 3.0 * (three - one) * (three - two)
        return (
            (one, two, three),
            (one + two + three) / 3.0,
            np.where(low > 0.0, low, 1.0),
            np.where(high > 0.0, high, 1.0),
        )

    @property
    def mean_m(self) -> float:
        """Mean ground level."""
        return float((self.areas * self.levels.mean(axis=1)).sum() / self.areas.sum())


def prisms(surface: Surface, polygon: Any) -> Prisms:
    """The ground under a plan outline.

    Args:
        surface: the ground.
        polygon: shapely polygon or multipolygon; what lies off the measured ground is not counted.

    Returns:
        Signed triangles; their areas add up to that of the part on the measured ground.
    """
    import shapely

    shapely.prepare(polygon)
    near = np.sort(surface.tree.query(polygon, predicate="intersects"))
    whole = shapely.contains_properly(polygon, surface.polygons[near])
    areas, levels = _whole_triangles(surface, near[whole])
    fans = _clipped_fans(surface, _rings(polygon), near[~whole])
    areas = np.concatenate([areas, fans[:, 0]])
    levels = np.sort(np.concatenate([levels, fans[:, 1:]]), axis=1)
    return Prisms(areas, levels)


def together(parts: Sequence[Prisms], lower_m: Sequence[float]) -> Prisms:
    """Several pieces of ground as one, each lowered by its own amount."""
    return Prisms(
        np.concatenate([part.areas for part in parts]),
        np.concatenate([part.levels - by for part, by in zip(parts, lower_m, strict=True)]),
    )


def _whole_triangles(surface: Surface, triangles: NDArray[np.intp]) -> tuple[Array, Array]:
    corner = surface.points[surface.triangles[triangles]]
    a, b, c = corner[:, 0], corner[:, 1], corner[:, 2]
    return 0.5 * _twice_area(a, b, c), corner[:, :, 2]


def _twice_area(a: Array, b: Array, c: Array) -> Array:
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    return np.asarray(turn, dtype=float)


def _rings(polygon: Any) -> list[list[Point]]:
    """Outer rings anticlockwise, holes clockwise, not closed."""
    import shapely

    rings = []
    for part in shapely.get_parts(polygon):
        part = shapely.orient_polygons(part)
        rings += [[(float(x), float(y)) for x, y in ring.coords[:-1]] for ring in (part.exterior, *part.interiors)]
    return rings


def _clipped_fans(surface: Surface, rings: Sequence[Sequence[Point]], triangles: NDArray[np.intp]) -> Array:
    """(n, 4) signed area and three levels of fans over what each triangle cuts from the rings.

    Clipping a ring side by side against a convex triangle keeps its signed area exact, also where it comes out
    folded, so no overlay is needed.
    """
    if "numba" not in sys.modules or not rings:
        return _fans_by_rings(surface, rings, triangles)
    from lynchet.ground.prisms_compiled import fans

    counts = np.array([len(ring) for ring in rings], dtype=np.intp)
    points = np.array([point for ring in rings for point in ring])
    return np.asarray(fans(surface.corners[triangles], surface.planes[triangles], points, counts))


def _fans_by_rings(surface: Surface, rings: Sequence[Sequence[Point]], triangles: NDArray[np.intp]) -> Array:
    """The same ring by ring."""
    rows: list[tuple[float, float, float, float]] = []
    for corners, (a, b, c) in zip(
        surface.points[surface.triangles[triangles], :2].tolist(), surface.planes[triangles].tolist(), strict=True
    ):
        for ring in rings:
            part = clipped(ring, corners)
            if len(part) < 3:
                continue
            (x0, y0), (x1, y1) = part[0], part[1]
            z0, z1 = a * x0 + b * y0 + c, a * x1 + b * y1 + c
            for x2, y2 in part[2:]:
                z2 = a * x2 + b * y2 + c
                rows.append((0.5 * ((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)), z0, z1, z2))
                x1, y1, z1 = x2, y2, z2
    return np.array(rows, dtype=float).reshape(-1, 4)


def clipped(ring: Sequence[Point], triangle: Sequence[Sequence[float]]) -> list[Point]:
    """A ring cut to an anticlockwise triangle, one side after the other; may come out folded, never wrong in area."""
    part = list(ring)
    for i in range(3):
        (px, py), (qx, qy) = triangle[i], triangle[(i + 1) % 3]
        nx, ny = py - qy, qx - px
        out: list[Point] = []
        ax, ay = part[-1]
        da = (ax - px) * nx + (ay - py) * ny
        for bx, by in part:
            db = (bx - px) * nx + (by - py) * ny
            if (da >= 0.0) != (db >= 0.0):
                share = da / (da - db)
                out.append((ax + share * (bx - ax), ay + share * (by - ay)))
            if db >= 0.0:
                out.append((bx, by))
            ax, ay, da = bx, by, db
        if not out:
            return []
        part = out
    return part


def cut_fill(under: Prisms, level_m: ArrayLike) -> tuple[Array, Array]:
    """Ground above a flat level, and space under it.

    Equation: over a triangle of area A whose corner heights over the level are d1 <= d2 <= d3 the part below the
    level is 0, A (-d1)^3 / (3 (d2 - d1) (d3 - d1)), A ((d3^3 / (3 (d3 - d1) (d3 - d2))) - mean) or -A mean, as none,
    one, two or three corners lie below.

    Args:
        under: the ground.
        level_m: one level or many.

    Returns:
        cut and fill in cubic metres, both 0 or more, each of the shape of ``level_m`` (at least 1-D).
    """
    levels = np.atleast_1d(np.asarray(level_m, dtype=float))
    mean, below = _mean_and_below(under, levels)
    fill = below @ under.areas
    return fill + mean @ under.areas, fill


def _mean_and_below(under: Prisms, levels: Array) -> tuple[Array, Array]:
    """(k, n) mean height of each triangle over each level, and the part of a unit of its area below it."""
    if "numba" in sys.modules:  # else loading it takes longer than a whole first look
        from lynchet.ground.prisms_compiled import mean_and_below

        found: Array = mean_and_below(levels, *under.sides)
        return found[0], found[1]
    return _by_arrays(under, levels)


def _by_arrays(under: Prisms, levels: Array) -> tuple[Array, Array]:
    """The same by whole arrays."""
    corners, middle, low, high = under.sides
    d1, d2, d3 = (corner - levels[:, None] for corner in corners)
    mean = middle - levels[:, None]
    one = -(d1 * d1 * d1) / low
    two = d3 * d3 * d3 / high - mean
    below = -mean
    for value, where in ((two, d3 > 0.0), (one, d2 >= 0.0), (0.0, d1 >= 0.0)):
        np.copyto(below, value, where=where)
    return mean, below
