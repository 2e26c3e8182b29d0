"""How the ground lies in the area: its range, its fall, whether it is a slope, a saddle, a hollow or a mound."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Literal

import numpy as np

from lynchet.ground.model import Array, Surface
from lynchet.ground.plane_fit import fitted_slopes
from lynchet.ground.surface import profile

Shape = Literal["slope", "saddle", "hollow", "mound"]
BENT = 0.5
"""Share of the levels' spread that a plane must leave unexplained before the ground is no plain slope. PRACTICE."""


@dataclass(frozen=True)
class Lie:
    """The ground within an outline."""

    lowest_m: float
    highest_m: float
    fall_x: float
    fall_y: float
    """Rise per metre in x and y of the plane through the levels."""
    shape: Shape

    @property
    def slope(self) -> float:
        """Steepest slope of that plane."""
        return hypot(self.fall_x, self.fall_y)


def lie_of(surface: Surface, outline: Array) -> Lie:
    """Range, plane and shape of the ground within an outline.

    The extremes are exact: they lie at readings inside or where the outline crosses an edge of a triangle.

    Args:
        surface: the ground; the outline lies on it.
        outline: (n, 2) corners.
    """
    import shapely

    rows = []
    for start, end in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        stations, levels = profile(surface, tuple(start), tuple(end))
        way = (end - start) / np.hypot(*(end - start))
        rows.append(np.column_stack([start + stations[:, None] * way, levels]))
    inside = shapely.contains_xy(shapely.Polygon(outline), surface.points[:, 0], surface.points[:, 1])
    known = np.concatenate([*rows, surface.points[inside]])
    known = known[~np.isnan(known[:, 2])]
    centre, slopes = fitted_slopes(known)
    left = float(np.mean((known[:, 2] - centre[2] - (known[:, :2] - centre[:2]) @ slopes) ** 2))
    shape: Shape = "slope"
    spread = float(np.var(known[:, 2]))
    if spread > 0 and left / spread > BENT:
        shape = _bent(known, spread)
    return Lie(float(known[:, 2].min()), float(known[:, 2].max()), float(slopes[0]), float(slopes[1]), shape)


def _bent(known: Array, spread: float) -> Shape:
    """The way the surface of second degree through the levels bends."""
    if len(known) < 9:
        return "slope"
    x, y = (known[:, :2] - known[:, :2].mean(axis=0)).T
    design = np.column_stack([np.ones_like(x), x, y, x * x, x * y, y * y])
    found = np.linalg.lstsq(design, known[:, 2], rcond=None)[0]
    if float(np.mean((known[:, 2] - design @ found) ** 2)) / spread > BENT:
        return "slope"  # rough ground, bent no one way
    _, _, _, xx, xy, yy = found
    if 4.0 * xx * yy - xy * xy < 0.0:
        return "saddle"
    return "hollow" if xx + yy > 0.0 else "mound"


def widest_gap(surface: Surface, outline: Array) -> tuple[float, float, float, float]:
    """The place in an outline that lies farthest from any reading.

    Args:
        surface: the ground.
        outline: (n, 2) corners.

    Returns:
        x, y, the distance to the nearest reading, and the usual distance between neighbouring readings (median).
    """
    import shapely

    readings, usual = surface.neighbours
    area = shapely.Polygon(outline)
    centres = _circumcentres(surface)
    inside = centres[shapely.contains_xy(area, centres[:, 0], centres[:, 1])]
    tried = np.concatenate([outline, inside])
    distance = readings.query(tried)[0]
    far = int(np.argmax(distance))
    return float(tried[far, 0]), float(tried[far, 1]), float(distance[far]), usual


def _circumcentres(surface: Surface) -> Array:
    a, b, c = (surface.points[surface.triangles[:, k], :2] for k in range(3))
    to_b, to_c = b - a, c - a
    twice = 2.0 * (to_b[:, 0] * to_c[:, 1] - to_b[:, 1] * to_c[:, 0])
    bb, cc = (to_b**2).sum(axis=1), (to_c**2).sum(axis=1)
    x = (to_c[:, 1] * bb - to_b[:, 1] * cc) / twice
    y = (to_b[:, 0] * cc - to_c[:, 0] * bb) / twice
    return np.asarray(a + np.column_stack([x, y]), dtype=float)
