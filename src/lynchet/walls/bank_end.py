"""Soil round the end of a front that stands between the banks of two beds: part of the built geometry."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import hypot
from typing import Any

from lynchet.core.plane import Point, cross, minus, signed_area
from lynchet.core.quick import quick

_NOTHING_M2 = 1e-9

Facet = tuple[tuple[Point, ...], tuple[float, float, float]]
"""A ring, and its plane a x + b y + c."""


@quick
@dataclass(frozen=True)
class BankEnd:
    """Ground shaped 1 in 2 from the end of the upper bed's bank down to the lower bank and the lower bed."""

    line: str
    face: str
    """The upper bed."""
    onto: str
    """The lower bed, part of which it covers."""
    level_m: float
    """Of the upper bed."""
    step_m: float
    """The upper bed's level over the lower one's."""
    edge_m: tuple[Point, ...]
    """Plan points it falls from: the end of the front, and where the ground or the bank beside it turns."""
    edge_levels_m: tuple[float, ...]
    toe_m: tuple[Point, ...]
    """Where each of them, in turn, comes down."""
    toe_levels_m: tuple[float, ...]

    raised = 1
    """It is filled, or left where ground is dug."""

    @property
    def outline_m(self) -> tuple[Point, ...]:
        """What it covers on the plan, anticlockwise."""
        crest = tuple(dict.fromkeys(self.edge_m))
        ring = tuple(dict.fromkeys((*self.toe_m, *reversed(crest))))
        return ring if signed_area(ring) > 0.0 else ring[::-1]

    @cached_property
    def polygon(self) -> Any:
        """What it covers on the plan, as a shapely polygon."""
        from shapely.geometry import Polygon

        return Polygon(self.outline_m).buffer(0)

    @cached_property
    def facets(self) -> tuple[Facet, ...]:
        """Triangles with one plane each."""
        a = [(x, y, z) for (x, y), z in zip(self.edge_m, self.edge_levels_m, strict=True)]
        b = [(x, y, z) for (x, y), z in zip(self.toe_m, self.toe_levels_m, strict=True)]
        found = []
        for (top, low), (other_top, other_low) in pairwise(zip(a, b, strict=True)):
            for corners in ((top, low, other_top), (other_top, low, other_low)):
                facet = _facet(*corners)
                found += [facet] if facet is not None else []
        return tuple(found)

    def levels_at(self, points: Any) -> Any:
        """Its level at plan points, (n, 2), that lie on it; those of the nearest part elsewhere."""
        import numpy as np
        import shapely

        rings = [shapely.Polygon(ring) for ring, _ in self.facets]
        at = np.asarray(points, dtype=float).reshape(-1, 2)
        spots: Any = shapely.points(at)
        nearest = shapely.distance(spots[:, None], np.array(rings)[None, :]).argmin(axis=1)
        planes = np.array([plane for _, plane in self.facets])[nearest]
        return planes[:, 0] * at[:, 0] + planes[:, 1] * at[:, 1] + planes[:, 2]

    @property
    def slope_m2(self) -> float:
        """Its surface, measured on the slope."""
        return sum(abs(signed_area(ring)) * hypot(1.0, a, b) for ring, (a, b, _) in self.facets)


def _facet(p: tuple[float, float, float], q: tuple[float, float, float], r: tuple[float, float, float]) -> Facet | None:
    (x, y, z), way, other = p, minus(q[:2], p[:2]), minus(r[:2], p[:2])
    turn = cross(way, other)
    if abs(turn) < _NOTHING_M2:
        return None
    up, more = q[2] - z, r[2] - z
    a, b = (up * other[1] - more * way[1]) / turn, (more * way[0] - up * other[0]) / turn
    ring = (p[:2], q[:2], r[:2]) if turn > 0.0 else (p[:2], r[:2], q[:2])
    return ring, (a, b, z - a * x - b * y)
