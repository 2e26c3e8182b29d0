"""Shapes worked out of shapes, kept by value: planning again while something is moved, most of a yard is as it was.

Bounded, and equal shapes give equal results, so nothing hangs on what was asked before. Nobody changes a shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, Literal

from lynchet.core.outlines import polygons_of
from lynchet.core.same import Same

_SHAPES = 256
"""Results kept of each kind: those of a few plans of one yard."""


@lru_cache(maxsize=_SHAPES)
def grown(shape: Any, by_m: float, join_style: Literal["round", "mitre"] = "round") -> Any:
    """A shape with so much round it, or less than it where ``by_m`` is below 0."""
    return shape.buffer(by_m, join_style=join_style)


@lru_cache(maxsize=4)
def outlines_of(things: Same[Sequence[Any]], without: frozenset[str] = frozenset()) -> Any:
    """(n,) the ``outline_m`` of things as polygons: several rooms look at the same runs of timber, the same pipes.

    Args:
        things: in their order.
        without: kinds left out.
    """
    if not without:
        return polygons_of(one.outline_m for one in things.thing)
    return outlines_of(things)[[one.kind not in without for one in things.thing]]


@lru_cache(maxsize=_SHAPES)
def less(shape: Any, taken: Any, grid_m: float) -> Any:
    """A shape without another, on a grid."""
    import shapely

    return shapely.difference(shape, taken, grid_size=grid_m)


@lru_cache(maxsize=_SHAPES)
def common(shape: Any, other: Any, grid_m: float) -> Any:
    """What two shapes share, on a grid."""
    import shapely

    return shapely.intersection(shape, other, grid_size=grid_m)


@lru_cache(maxsize=_SHAPES)
def joined_up(shapes: tuple[Any, ...], grid_m: float) -> Any:
    """Several shapes as one, on a grid."""
    import shapely

    return shapely.union_all(shapes, grid_size=grid_m)
