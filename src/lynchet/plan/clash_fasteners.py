"""Screws and pins against each other and against what they may not meet, all in one go: there are hundreds."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from lynchet.plan.clash import LEAST_DEPTH_M, Clash
from lynchet.plan.gathered import gathered
from lynchet.plan.placed import Placed
from lynchet.plan.sharing import FASTENERS, rule_for

LEAST_AREA_M2 = 1e-5
"""Overlaps smaller than this, a few square millimetres, are rounding. PRACTICE."""


def fastener_clashes(things: Sequence[Placed]) -> list[Clash]:
    """Fasteners that meet another one, or anything that may not share their place.

    Timber, stone and fabric may: a fastener stands within its timber, and timber is tested against them itself.
    """
    things = gathered(things)
    kinds = {thing.kind for thing in things}
    few = kinds & FASTENERS
    if not few:
        return []
    apart = {other for other in kinds - FASTENERS if not all(rule_for(kind, other).may_share for kind in few)}
    small = [row for row, thing in enumerate(things) if thing.kind in few]
    large = [row for row, thing in enumerate(things) if thing.kind in apart]
    every = things.some([*small, *large])
    shapes, (low, high) = every.shapes, every.levels
    first, second = every.tree.query(shapes[: len(small)], predicate="intersects")
    depth = np.minimum(high[first], high[second]) - np.maximum(low[first], low[second])
    own_pair = (second < len(small)) & (second <= first)
    kept = (depth > LEAST_DEPTH_M) & ~own_pair
    first, second, depth = first[kept], second[kept], depth[kept]
    areas = shapely.area(shapely.intersection(shapes[first], shapes[second]))
    return [
        Clash(a.id, b.id, (a.kind, b.kind), a.outline_m[0], float(area), float(deep))
        for a, b, area, deep in zip(
            (every[int(i)] for i in first), (every[int(j)] for j in second), areas, depth, strict=True
        )
        if area >= LEAST_AREA_M2 and not rule_for(a.kind, b.kind).may_share
    ]
