"""Plants on a true lattice: staggered rows along the longest side of the ground they are given."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from lynchet.planting.open_ground import rings_of, strip_width
from lynchet.planting.plant_counts import lattice_points

Array = NDArray[np.float64]
NARROW_SHARE = 0.45
"""Share of a narrow strip's width that plants keep from its edges at least: a row near its middle. PRACTICE."""
_DECIMALS = 5


def edge_clear(spacing_m: float, width_m: float) -> float:
    """Distance kept from the edge: half the planting distance, in a narrow strip nearly half its width. PRACTICE."""
    return min(spacing_m / 2.0, NARROW_SHARE * width_m)


def places(shape: Any, spacings_m: Sequence[float]) -> list[Array]:
    """Places for several species that share a shape, side by side along its longest side, each on its own lattice.

    Plants of different species stand half the sum of their planting distances apart at least.

    Args:
        shape: shapely polygon or polygons.
        spacings_m: planting distance of each species, in the order they stand.

    Returns:
        (n, 2) for each species.
    """
    found: list[list[Array]] = [[] for _ in spacings_m]
    for ring in rings_of(shape):
        for rows, of_ring in zip(found, _in_ring(ring.tobytes(), tuple(spacings_m)), strict=True):
            rows.append(of_ring)
    laid = [_joined(rows) for rows in found]
    parts = shapely.get_parts(shape)
    if not shapely.get_num_interior_rings(parts).any():
        return laid
    taken = shapely.union_all([shapely.Polygon(hole) for part in parts for hole in part.interiors])
    return [points[shapely.distance(shapely.points(points), taken) >= s / 2.0]
            for points, s in zip(laid, spacings_m, strict=True)]  # fmt: skip


def _joined(rows: list[Array]) -> Array:
    return np.asarray(np.round(np.concatenate(rows), _DECIMALS), dtype=float) if rows else np.zeros((0, 2))


@lru_cache(maxsize=512)
def _in_ring(corners: bytes, spacings_m: tuple[float, ...]) -> list[Array]:
    """Places in one ring; kept, for a bed is often laid out again unchanged when another wish moves."""
    ring = np.frombuffer(corners).reshape(-1, 2)
    after = np.concatenate([ring[1:], ring[:1]])
    twice = float((ring[:, 0] * after[:, 1] - after[:, 0] * ring[:, 1]).sum())
    if twice < 0:
        ring = ring[::-1]
    sides = np.concatenate([ring[1:], ring[:1]]) - ring
    lengths = np.hypot(*sides.T)
    longest = int(np.argmax(np.round(lengths, 3)))
    along = sides[longest] / lengths[longest]
    u = ring @ along
    low, high = float(u.min()), float(u.max())
    width = strip_width(abs(twice) / 2.0, float(lengths.sum()))
    step = (high - low) / len(spacings_m)
    found = []
    for number, spacing in enumerate(spacings_m):
        clear = edge_clear(spacing, width)
        parts = lattice_points(ring, spacing, "triangular", clear, longest)
        points = np.concatenate(parts) if parts else np.zeros((0, 2))
        at = points @ along
        start = low + number * step + (spacing / 2.0 if number else 0.0) - 1e-9
        end = low + (number + 1) * step - (spacing / 2.0 if number + 1 < len(spacings_m) else 0.0) + 1e-9
        found.append(points[(at >= start) & (at <= end)])
    return found
