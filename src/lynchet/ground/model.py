"""The measured ground: a surface of triangles with a trust for every reading."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.findings import Finding

Array = NDArray[np.float64]
Cells = tuple[tuple[float, float, float], tuple[int, int], NDArray[np.intp], NDArray[np.intp]]


@dataclass(frozen=True, eq=False)
class Surface:
    """Triangles over readings, in the own frame.

    ``planes[i]`` holds (a, b, c) of triangle i: level = a x + b y + c.
    """

    points: Array
    """(n, 3): x, y, level, metres."""
    triangles: NDArray[np.intp]
    """(m, 3) indices of points, anticlockwise."""
    planes: Array
    """(m, 3) plane coefficients."""

    @cached_property
    def edges(self) -> NDArray[np.intp]:
        """(k, 2) indices of the points at the ends of every edge of a triangle, each edge once."""
        pairs = np.sort(self.triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
        return np.unique(pairs, axis=0)

    @cached_property
    def hull(self) -> NDArray[np.intp]:
        """(k,) indices of the points round the measured ground, anticlockwise."""
        from scipy.spatial import ConvexHull

        return np.asarray(ConvexHull(self.points[:, :2]).vertices, dtype=np.intp)

    @cached_property
    def border(self) -> NDArray[np.intp]:
        """(k, 2) indices of the points at the ends of every side of one triangle alone, the ground on its left:
        readings along a straight side count here, of which the ``hull`` knows the ends alone."""
        pairs = self.triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
        _, index, count = np.unique(np.sort(pairs, axis=1), axis=0, return_index=True, return_counts=True)
        return np.asarray(pairs[index[count == 1]], dtype=np.intp)

    @cached_property
    def neighbours(self) -> tuple[Any, float]:
        """Index of the readings in plan (SciPy ``KDTree``), and the median distance of one to the next."""
        from scipy.spatial import KDTree

        readings = KDTree(self.points[:, :2])
        return readings, float(np.median(readings.query(self.points[:, :2], 2)[0][:, 1]))

    @cached_property
    def corners(self) -> Array:
        """(m, 6) plan corners of the triangles, x and y in turn."""
        return self.points[self.triangles, :2].reshape(-1, 6)

    @cached_property
    def cells(self) -> Cells:
        """Square cells over the triangles, about as many: which triangles may reach into each.

        Corner (west, south) and cells in a metre; cells across and up; where the triangles of each cell (row by row
        from the south) start; their indices.
        """
        corners = self.corners.reshape(-1, 3, 2)
        low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
        per_m = float(np.sqrt(len(corners) / np.prod(high - low)))
        first, last = (np.floor((side - low) * per_m).astype(np.intp) for side in (corners.min(1), corners.max(1)))
        across, up = (int(n) + 1 for n in last.max(axis=0))
        wide, tall = (last - first + 1).T
        owner = np.repeat(np.arange(len(corners)), wide * tall)
        place = np.arange(len(owner)) - np.repeat(np.cumsum(wide * tall) - wide * tall, wide * tall)
        cell = (first[owner, 1] + place // wide[owner]) * across + first[owner, 0] + place % wide[owner]
        order = np.argsort(cell, kind="stable")
        start = np.searchsorted(cell[order], np.arange(across * up + 1))
        return (float(low[0]), float(low[1]), per_m), (across, up), start, owner[order]

    @cached_property
    def rim(self) -> Array:
        """(k, 3) unit vector (x, y) outward from each side of the ``hull``, and how far along it the side lies."""
        at = self.points[self.hull, :2]
        way = np.roll(at, -1, axis=0) - at
        out = np.column_stack([way[:, 1], -way[:, 0]]) / np.hypot(*way.T)[:, None]
        return np.column_stack([out, (out * at).sum(axis=1)])

    @cached_property
    def polygons(self) -> Any:
        """(m,) the triangles as shapely polygons."""
        import shapely

        return shapely.polygons(self.points[self.triangles, :2])

    @cached_property
    def tree(self) -> Any:
        """Index of ``polygons`` (shapely ``STRtree``)."""
        import shapely

        return shapely.STRtree(self.polygons)


@dataclass(frozen=True)
class Ground:
    """What the ground stage gives."""

    surface: Surface
    trust_m: tuple[float, ...]
    """Standard deviation of each reading's level, as ``surface.points``."""
    lowest_m: float
    highest_m: float
    misclosure_m: float | None
    allowed_misclosure_m: float | None
    band_m: float
    """Half width within which the levels are trusted (two standard deviations, misclosure included)."""
    findings: tuple[Finding, ...]
