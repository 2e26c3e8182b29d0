"""Ground too narrow for a spade."""

from __future__ import annotations

from typing import Any

SLIVER_M = 0.15
"""Ground narrower than this, left between two landings or a landing and a wall, can be neither dug nor planted: it is
not counted as bed. PRACTICE."""
_GRID_M = 1e-5


def wide_enough(shape: Any) -> Any:
    """What is left of an area (shapely) without its parts narrower than ``SLIVER_M``; corners stay.

    Lines and points, which snapping to a grid leaves over where outlines touch, are dropped.
    """
    import shapely

    shape = areas_of(shape)
    try:
        return _wide_part(shape)
    except shapely.errors.GEOSException:  # corners a hair apart: laid on the grid first, they are one
        return _wide_part(shapely.set_precision(shape, _GRID_M))


def _wide_part(shape: Any) -> Any:
    import shapely

    half = SLIVER_M / 2.0
    core = shapely.buffer(shape, -half, join_style="mitre")
    wide = shapely.buffer(core, half + _GRID_M, join_style="mitre")
    return areas_of(shapely.intersection(shape, wide, grid_size=_GRID_M))


def areas_of(shape: Any) -> Any:
    """What of a shape has area: a polygon or several; the shape itself where it is nothing else."""
    import shapely

    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    parts = shapely.get_parts(shapely.get_parts(shape))  # a collection may hold several polygons as one
    return shapely.multipolygons(parts[[part.geom_type == "Polygon" for part in parts.tolist()]])
