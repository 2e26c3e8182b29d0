"""Ground too narrow for a spade."""

from __future__ import annotations

from typing import Any

SLIVER_M = 0.15
"""Ground narrower than this, left between two landings or a landing and a wall, can be neither dug nor planted: it is
not counted as bed. PRACTICE."""
_GRID_M = 1e-5


def wide_enough(shape: Any) -> Any:
    """What is left of an area (shapely) without its parts narrower than ``SLIVER_M``; corners stay."""
    import shapely

    half = SLIVER_M / 2.0
    core = shapely.buffer(shape, -half, join_style="mitre")
    return shapely.intersection(shape, shapely.buffer(core, half + _GRID_M, join_style="mitre"), grid_size=_GRID_M)
