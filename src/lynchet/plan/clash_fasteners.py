"""Screws and pins against each other and against what they may not meet, all in one go: there are hundreds."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from lynchet.core.outlines import polygons_of
from lynchet.plan.clash import LEAST_DEPTH_M, Clash
from lynchet.plan.placed import Placed
from lynchet.plan.sharing import FASTENERS, rule_for

LEAST_AREA_M2 = 1e-5
"""Overlaps smaller than this, a few square millimetres, are rounding. PRACTICE."""


def fastener_clashes(things: Sequence[Placed]) -> list[Clash]:
    """Fasteners that meet another one, or anything that may not share their place.

    Timber, stone and fabric may: a fastener stands within its timber, and timber is tested against them itself.
    """
    small = [thing for thing in things if thing.kind in FASTENERS]
    if not small:
        return []
    kinds = {thing.kind for thing in small}
    apart = {other for other in {thing.kind for thing in things} - FASTENERS
             if not all(rule_for(kind, other).may_share for kind in kinds)}  # fmt: skip
    large = [thing for thing in things if thing.kind in apart]
    all_things = [*small, *large]
    shapes = np.concatenate([
        polygons_of(thing.outline_m for thing in small), polygons_of(thing.outline_m for thing in large),
    ])  # fmt: skip
    first, second = shapely.STRtree(shapes).query(shapes[: len(small)], predicate="intersects")
    low, high = _levels(all_things)
    depth = np.minimum(high[first], high[second]) - np.maximum(low[first], low[second])
    own_pair = (second < len(small)) & (second <= first)
    kept = (depth > LEAST_DEPTH_M) & ~own_pair
    first, second, depth = first[kept], second[kept], depth[kept]
    areas = shapely.area(shapely.intersection(shapes[first], shapes[second]))
    return [
        Clash(a.id, b.id, (a.kind, b.kind), a.outline_m[0], float(area), float(deep))
        for a, b, area, deep in zip(
            (all_things[i] for i in first), (all_things[j] for j in second), areas, depth, strict=True
        )
        if area >= LEAST_AREA_M2 and not rule_for(a.kind, b.kind).may_share
    ]


def _levels(things: Sequence[Placed]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Lowest bottom and highest top of each; those of fasteners are level."""
    low, high = [], []
    for thing in things:
        if thing.slope == (0.0, 0.0):
            low.append(thing.bottom_m)
            high.append(thing.top_m)
        else:
            levels = [thing.levels_at(point) for point in thing.outline_m]
            low.append(min(bottom for bottom, _ in levels))
            high.append(max(top for _, top in levels))
    return np.array(low), np.array(high)
