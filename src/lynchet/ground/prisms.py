"""Cut and fill between the ground and a flat level, exact for ground of triangles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.ground.model import Array, Surface

GRID_M = 1e-6
"""Overlays snap to this grid: without one, long thin touching strips gave false areas."""


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
    parts = [_whole_triangles(surface, near[whole])]
    cut = near[~whole]
    if len(cut):
        pieces = shapely.intersection(surface.polygons[cut], polygon, grid_size=GRID_M)
        parts.append(_fans(surface, pieces, cut))
    areas = np.concatenate([part[0] for part in parts])
    levels = np.sort(np.concatenate([part[1] for part in parts]), axis=1)
    return Prisms(areas, levels)


def _whole_triangles(surface: Surface, triangles: NDArray[np.intp]) -> tuple[Array, Array]:
    corner = surface.points[surface.triangles[triangles]]
    a, b, c = corner[:, 0], corner[:, 1], corner[:, 2]
    return 0.5 * _twice_area(a, b, c), corner[:, :, 2]


def _twice_area(a: Array, b: Array, c: Array) -> Array:
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    return np.asarray(turn, dtype=float)


def _fans(surface: Surface, pieces: Any, triangles: NDArray[np.intp]) -> tuple[Array, Array]:
    """Fans from the first corner of every ring of the pieces; rings run either way, so areas carry signs."""
    import shapely

    polygons, which = shapely.get_parts(pieces, return_index=True)
    solid = shapely.get_type_id(polygons) == 3
    polygons, which = shapely.orient_polygons(polygons[solid]), which[solid]
    rings, owner = shapely.get_rings(polygons, return_index=True)
    at, ring = shapely.get_coordinates(rings, return_index=True)
    if not len(at):
        return np.empty(0), np.empty((0, 3))
    plane = surface.planes[triangles[which[owner[ring]]]]
    xyz = np.column_stack([at, plane[:, 0] * at[:, 0] + plane[:, 1] * at[:, 1] + plane[:, 2]])
    first = np.searchsorted(ring, np.arange(len(rings)))
    middle = np.flatnonzero((ring[:-1] == ring[1:]) & ~np.isin(np.arange(len(at) - 1), first))
    a, b, c = xyz[first[ring[middle]]], xyz[middle], xyz[middle + 1]
    return 0.5 * _twice_area(a, b, c), np.stack([a[:, 2], b[:, 2], c[:, 2]], axis=1)


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
    d = under.levels[None, :, :] - levels[:, None, None]
    d1, d2, d3 = d[..., 0], d[..., 1], d[..., 2]
    mean = d.mean(axis=2)
    with np.errstate(divide="ignore", invalid="ignore"):
        one = -(d1**3) / (3.0 * (d2 - d1) * (d3 - d1))
        two = d3**3 / (3.0 * (d3 - d1) * (d3 - d2)) - mean
    below = np.where(d1 >= 0.0, 0.0, np.where(d2 >= 0.0, one, np.where(d3 > 0.0, two, -mean)))
    fill = (under.areas * below).sum(axis=1)
    return fill + (under.areas * mean).sum(axis=1), fill
