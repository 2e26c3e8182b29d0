"""Drain stone of two walls of which one bed is hardly wider than their strips: what lies in both is counted once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from lynchet.core.outlines import polygons_of
from lynchet.walls.model import Leg
from lynchet.water.model import Fabric, Stone

_LEAST_AREA_M2 = 0.002
_GRID = 1e-5


def counted_once(
    stones: Sequence[Stone], fabrics: Sequence[Fabric], legs: Sequence[Leg]
) -> tuple[list[Stone], list[Fabric]]:
    """Stone and fabric, less what a strip lies in a deeper one of another wall. Outlines stay as they are.

    Args:
        stones: of all edges of all chains.
        fabrics: the same.
        legs: the walls.
    """
    import shapely

    if not stones:
        return [], list(fabrics)
    shapes = polygons_of(stone.outline_m for stone in stones)
    within: dict[int, list[Any]] = {}
    meet = _meeting(legs)
    for a, b in shapely.STRtree(shapes).query(shapes, predicate="intersects").T.tolist():
        if a < b and frozenset((stones[a].leg, stones[b].leg)) not in meet:
            inner, outer = (a, b) if stones[a].bottom_m > stones[b].bottom_m else (b, a)
            if stones[inner].bottom_m < stones[outer].top_start_m:
                within.setdefault(inner, []).append(shapes[outer])
    shares = {}
    for number, others in within.items():
        common = shapely.intersection(shapes[number], shapely.union_all(others, grid_size=_GRID), grid_size=_GRID)
        if common.area > _LEAST_AREA_M2:
            shares[number] = 1.0 - float(common.area) / float(shapes[number].area)
    kept = [replace(s, volume_m3=s.volume_m3 * shares[i]) if i in shares else s for i, s in enumerate(stones)]
    behind = {stones[i].id.replace("/stone/", "/fabric/"): share for i, share in shares.items()}
    less = (replace(f, length_m=f.length_m * behind[f.id]) if f.id in behind else f for f in fabrics)
    return kept, [one for one in less if one.length_m > 1e-6]


def _meeting(legs: Sequence[Leg]) -> set[frozenset[str]]:
    """Pairs of walls that meet: round their corner strips lap over by as much as is left outside it."""
    import shapely

    lines: Any = shapely.linestrings([[leg.start_m, leg.end_m] for leg in legs])
    pairs = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=2.0 * legs[0].thickness_m)
    return {frozenset((legs[a].id, legs[b].id)) for a, b in pairs.T.tolist()}
