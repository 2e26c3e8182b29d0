"""What stands and stays in a yard as plan shapes: it hangs on the file's own things alone, not on the walls.

Kept from one plan to the next by value: a yard is planned again and again while its area or brief changes, and its
houses, trees and paths are then the same things. Shapes are never changed.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from lynchet.project.things import Fixed, House, Path

_YARDS = 8
"""Yards kept."""
_NEAR_M = 0.15
_BESIDE_PATH_M = 0.3


@lru_cache(maxsize=_YARDS)
def houses_of(houses: tuple[House, ...]) -> Any:
    """Union of the buildings (may be empty)."""
    from shapely import union_all
    from shapely.geometry import Polygon

    return union_all([Polygon(house.outline_m) for house in houses], grid_size=1e-5)


@lru_cache(maxsize=_YARDS)
def near_houses(houses: tuple[House, ...]) -> Any:
    """The buildings with their near ground."""
    return houses_of(houses).buffer(_NEAR_M)


@lru_cache(maxsize=_YARDS)
def kept_of(things: tuple[Fixed, ...]) -> Any:
    """Union of the ground that what stays needs: roots, septic fields, services with their clearance."""
    from shapely import union_all

    shapes = [fixed.shape.buffer(max(fixed.clear_m, 0.05)) for fixed in things]
    return union_all(shapes, grid_size=1e-5)


@lru_cache(maxsize=_YARDS)
def paths_of(paths: tuple[Path, ...]) -> tuple[Any, ...]:
    """Each path with the ground beside it."""
    return tuple(path.band(_BESIDE_PATH_M) for path in paths)
