"""Drain stone of two walls of which one bed is hardly wider than their strips: what lies in both is counted once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

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
    number = {leg.id: i for i, leg in enumerate(legs)}
    of_leg, bottoms = np.array([number[s.leg] for s in stones]), np.array([s.bottom_m for s in stones])
    tops = np.array([s.top_start_m for s in stones])
    a, b = shapely.STRtree(shapes).query(shapes)  # boxes meet: levels leave few to be looked at closely
    apart = (bottoms[a] > bottoms[b]) | ((bottoms[a] == bottoms[b]) & (a < b))  # held by the deeper
    apart &= (of_leg[a] != of_leg[b]) & (bottoms[a] < tops[b])
    a, b = a[apart], b[apart]
    one_chain = [stones[i].chain == stones[j].chain for i, j in zip(a.tolist(), b.tolist(), strict=True)]
    corner = _meeting(legs, of_leg[a], of_leg[b]) & np.array(one_chain, bool)
    apart = shapely.intersects(shapes[a], shapes[b]) & ~corner
    within: dict[int, list[Any]] = {}
    for inner, outer in zip(a[apart].tolist(), b[apart].tolist(), strict=True):
        within.setdefault(inner, []).append(shapes[outer])
    shares = {}
    for one, others in within.items():
        common = shapely.intersection(shapes[one], shapely.union_all(others, grid_size=_GRID), grid_size=_GRID)
        if common.area > _LEAST_AREA_M2:
            shares[one] = 1.0 - float(common.area) / float(shapes[one].area)
    kept = [replace(s, volume_m3=_left_m3(s, shapes[i], shares[i])) if i in shares else s for i, s in enumerate(stones)]
    behind = {stones[i].id.replace("/stone/", "/fabric/"): share for i, share in shares.items()}
    less = (replace(f, length_m=f.length_m * behind[f.id]) if f.id in behind else f for f in fabrics)
    return kept, [one for one in less if one.length_m > 1e-6]


def _left_m3(stone: Stone, shape: Any, share: float) -> float:
    """Volume of a share of a strip; its pipe takes as much room as before."""
    whole = float(shape.area) * ((stone.top_start_m + stone.top_end_m) / 2.0 - stone.bottom_m)
    return max(0.0, stone.volume_m3 - whole * (1.0 - share))


def _meeting(legs: Sequence[Leg], first: NDArray[np.intp], second: NDArray[np.intp]) -> NDArray[np.bool_]:
    """(n,) pairs of walls that meet: strips of one chain lap over round their corner by as much as is left outside."""
    import shapely

    lines: Any = shapely.linestrings([[leg.start_m, leg.end_m] for leg in legs])
    found: NDArray[np.bool_] = shapely.dwithin(lines[first], lines[second], 2.0 * legs[0].thickness_m)
    return found
