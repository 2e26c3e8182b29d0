"""Plants on a true lattice: staggered rows along the longest side of the ground they are given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from lynchet.planting.open_ground import rings_of_all, strip_width
from lynchet.planting.plant_counts import lattice_points, row_spacing

Array = NDArray[np.float64]
NARROW_SHARE = 0.45
"""Share of a narrow strip's width that plants keep from its edges at least: a row near its middle. PRACTICE."""
_DECIMALS = 5


def edge_clear(spacing_m: float, width_m: float) -> float:
    """Distance kept from the edge: half the planting distance, in a narrow strip nearly half its width. PRACTICE."""
    return min(spacing_m / 2.0, NARROW_SHARE * width_m)


def places(shape: Any, spacings_m: Sequence[float]) -> list[Array]:
    """As ``places_on``, of a shapely polygon or polygons."""
    return places_on(grounds_of([shape])[0], spacings_m)


def places_on(ground: Ground, spacings_m: Sequence[float]) -> list[Array]:
    """Places for several species that share a shape, side by side along its longest side, each on its own lattice.

    Plants of different species stand half the sum of their planting distances apart at least.

    Args:
        ground: the shape.
        spacings_m: planting distance of each species, in the order they stand.

    Returns:
        (n, 2) for each species.
    """
    rows = [_in_ring(ring, spacings_m) for ring in ground.rings]
    laid = [_joined([of_ring[number] for of_ring in rows]) for number in range(len(spacings_m))]
    if not ground.holed:
        return laid
    holes = [shapely.Polygon(hole) for part in shapely.get_parts(ground.shape) for hole in part.interiors]
    taken = shapely.union_all(holes)
    return [points[shapely.distance(shapely.points(points), taken) >= s / 2.0]
            for points, s in zip(laid, spacings_m, strict=True)]  # fmt: skip


@dataclass(frozen=True)
class _Ring:
    """An outer ring, anticlockwise, with what its rows go by."""

    corners: Array
    longest: int
    """Number of its longest side."""
    low_m: float
    """From where to where it reaches along that side, counted from the origin."""
    high_m: float
    width_m: float


@dataclass(frozen=True)
class Ground:
    """A shape with what places on it go by."""

    shape: Any
    """Shapely polygon or polygons."""
    rings: tuple[_Ring, ...]
    holed: bool


def grounds_of(shapes: Sequence[Any]) -> list[Ground]:
    """Shapes with their rings, all looked at together."""
    rings = rings_of_all(shapes)
    parts, owner = shapely.get_parts(np.array(shapes, dtype=object), return_index=True)
    holed = set(owner[shapely.get_num_interior_rings(parts) > 0].tolist())
    return [Ground(shape, tuple(map(_ring, own)), number in holed)
            for number, (shape, own) in enumerate(zip(shapes, rings, strict=True))]  # fmt: skip


def _joined(rows: list[Array]) -> Array:
    return np.asarray(np.round(np.concatenate(rows), _DECIMALS), dtype=float) if rows else np.zeros((0, 2))


def _ring(ring: Array) -> _Ring:
    corners: list[list[float]] = ring.tolist()
    twice = _twice_area(corners)
    if twice < 0:
        corners.reverse()
        ring = np.ascontiguousarray(ring[::-1])
        twice = _twice_area(corners)  # summed in the order of the corners
    sides = [(bx - ax, by - ay) for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True)]
    lengths = [hypot(*side) for side in sides]
    longest = max(range(len(sides)), key=lambda side: (round(lengths[side], 3), -side))
    along_x, along_y = (part / lengths[longest] for part in sides[longest])
    u = [x * along_x + y * along_y for x, y in corners]
    low, high = min(u), max(u)
    return _Ring(ring, longest, low, high, strip_width(abs(twice) / 2.0, sum(lengths)))


def _in_ring(ring: _Ring, spacings_m: Sequence[float]) -> list[Array]:
    """Places in one ring."""
    low, width = ring.low_m, ring.width_m
    step = (ring.high_m - low) / len(spacings_m)
    found = []
    for number, spacing in enumerate(spacings_m):
        start = low + number * step + (spacing / 2.0 if number else 0.0) - 1e-9
        end = low + (number + 1) * step - (spacing / 2.0 if number + 1 < len(spacings_m) else 0.0) + 1e-9
        found.append(rows_in(ring.corners, ring.longest, spacing, edge_clear(spacing, width), (start, end)))
    return found


def _twice_area(corners: Sequence[Sequence[float]]) -> float:
    """Twice the area of a ring, negative where it turns clockwise."""
    after = [*corners[1:], corners[0]]
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(corners, after, strict=True))


def rows_in(
    ring: Array, side: int, spacing_m: float, clearance_m: float, stretch_m: tuple[float, float], compiled: bool = True
) -> Array:
    """Staggered places along one side of an anticlockwise ring, by compiled code where numba is there (and wished).

    Args:
        ring: (n, 2).
        side: number of the side that gives the rows.
        spacing_m: planting distance.
        clearance_m: from every side of the ring.
        stretch_m: places are kept from here to there along the side's direction, from the origin.
    """
    if compiled:
        try:
            from lynchet.planting.lattice_compiled import staggered_places
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
        else:
            rise = row_spacing(spacing_m, "triangular")
            return np.asarray(staggered_places(ring, side, spacing_m, rise, clearance_m, stretch_m))
    parts = lattice_points(ring, spacing_m, "triangular", clearance_m, side)
    points = np.concatenate(parts) if parts else np.zeros((0, 2))
    along = ring[(side + 1) % len(ring)] - ring[side]
    at = points @ (along / np.hypot(*along))
    return np.asarray(points[(at >= stretch_m[0]) & (at <= stretch_m[1])])
