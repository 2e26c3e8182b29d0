"""Where the name of a bed stands on the planting sheet: inside the bed, clear of every plant's circle."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from lynchet.core.same import Same
from lynchet.drawings.hatches import all_inside
from lynchet.drawings.kept import corners_of
from lynchet.drawings.landings import pads
from lynchet.drawings.letters import ASCENT, DESCENT, PITCH_LIST, RESERVE, width
from lynchet.drawings.model import Label, View
from lynchet.drawings.source import Planned
from lynchet.terraces.model import Face

Point = tuple[float, float]
Ring = tuple[Point, ...]
_STEP_MM = 1.5
_AT_ONCE = 64
_EDGE_MM = 1.2
"""From a name to the timber round it."""
_AIR_MM = 0.6
"""From a name to a plant's circle."""


def clear_place(plan: Planned, bed: Face, label: Label, view: View) -> Ring | None:
    """A ring just round the name, off timber, steps and plants, nearest to the bed's middle; None where there is none.

    Args:
        plan: what is shown.
        bed: whose name it is.
        label: the name in its lines.
        view: of the plan, with its scale.
    """
    per_mm = view.scale / 1000.0
    wide = max(width(line, label.h, label.weight) for line in label.lines) * RESERVE + 2 * _EDGE_MM
    high = label.h * (ASCENT + DESCENT + PITCH_LIST * (len(label.lines) - 1)) + 2 * _EDGE_MM
    half = np.array([wide, high]) / 2.0 * per_mm
    plants = _plants(plan, bed)
    at = next((at for shape in _free(plan, bed) if (at := _spot(shape, half, plants, per_mm)) is not None), None)
    if at is None:
        return None
    x, y = at
    w, h = half + 0.2 * per_mm
    return ((x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h))


def _free(plan: Planned, bed: Face) -> list[Any]:
    """Parts of a bed off timber and steps: planted ground first, then path strips, then landings; the largest first."""
    from shapely import union_all

    whole: Any = bed.polygon.buffer(0).difference(_taken(Same(plan)))
    landings = union_all([_polygon(pad.landing.outline_m) for pad in pads(plan) if pad.bed.id == bed.id])
    strips = union_all([_polygon(ring) for ring in bed.strip_m])
    walked = union_all([strips, landings])
    kinds = (whole.difference(walked), whole.intersection(strips).difference(landings), whole.intersection(landings))
    found: list[Any] = []
    for shape in kinds:
        parts = [one for one in getattr(shape, "geoms", [shape]) if one.geom_type == "Polygon" and one.area > 0.05]
        found += sorted(parts, key=lambda part: -part.area)
    return found


@lru_cache(maxsize=2)
def _taken(plan: Same[Planned]) -> Any:
    """All timber and steps as one shape."""
    from shapely import union_all

    own = plan.thing
    taken = [run.polygon.buffer(0) for run in own.walls.runs]
    taken += [_polygon(tread.outline_m) for flight in own.terraces.flights for tread in flight.treads]
    return union_all(taken, grid_size=1e-4)


def _polygon(ring: Ring) -> Any:
    from shapely.geometry import Polygon

    return Polygon(ring).buffer(0)


def _plants(plan: Planned, bed: Face) -> np.ndarray:
    """Middle and radius of every plant's circle of a bed; metres."""
    rows = [(*point, planting.species.spread_m / 2) for planting in plan.planted.plantings_of(bed.id)
            for point in planting.points_m]  # fmt: skip
    return np.array(rows).reshape(-1, 3)


def _spot(shape: Any, half: np.ndarray, plants: np.ndarray, per_mm: float) -> Point | None:
    """The place of a box nearest to the middle of a shape that lies in it and meets no plant."""
    left, low, right, high = shape.bounds
    step = _STEP_MM * per_mm
    xs, ys = np.arange(left + half[0], right - half[0], step), np.arange(low + half[1], high - half[1], step)
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    middle = np.array([shape.centroid.x, shape.centroid.y])
    grid = grid[np.argsort(np.round(np.hypot(*(grid - middle).T), 6), kind="stable")]
    rim = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (0, -1), (0, 1), (-1, 0), (1, 0)]) * half
    rings = (corners_of(shape.exterior),)
    for first in range(0, len(grid), _AT_ONCE):  # the nearest to the middle first, as one of them mostly is free
        free = all_inside(rings, grid[first : first + _AT_ONCE], rim)
        if len(free) and len(plants):
            apart = np.maximum(np.abs(free[:, None, :] - plants[None, :, :2]) - half, 0.0)
            air = plants[:, 2] + (_AIR_MM - _EDGE_MM) * per_mm
            free = free[(np.hypot(apart[..., 0], apart[..., 1]) > air).all(axis=1)]
        if len(free):
            return float(free[0, 0]), float(free[0, 1])
    return None
