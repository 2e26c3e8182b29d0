"""Drain stone and filter fabric along a chain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.outlines import flat_rings, polygons_at
from lynchet.water.model import Chain, Drain, Fabric, Point, Stone
from lynchet.water.pockets import Stretch
from lynchet.water.settings import Settings
from lynchet.water.stone_corners import corners_left_out_m2
from lynchet.water.yard import Yard

FABRIC_M = 0.003
"""How thick fabric is drawn."""
_TOUCH_M = 1e-3
"""Timber that stands this little in the stone only touches it."""


def stone_of(
    chain: Chain, stretches: tuple[Stretch, ...], drains: list[Drain], settings: Settings
) -> tuple[list[Stone], list[Fabric]]:
    """Stone and fabric of every edge of a chain, from the bottom of the stone bed to the surface less cover.

    Args:
        chain: the chain.
        stretches: of each edge.
        drains: laid on it; edges no drain passes get stone alone.
        settings: sizes.
    """
    piped = set()
    count = len(chain.nodes)
    for drain in drains:
        piped |= {(a, b) for a, b in zip(drain.nodes, drain.nodes[1:], strict=False)}
    stones, fabrics = [], []
    corners = corners_left_out_m2(chain, settings.stone_width_m)
    for index, edge in enumerate(chain.edges):
        first, last = chain.nodes[index], chain.nodes[(index + 1) % count]
        pipe = (index, (index + 1) % count) in piped
        bottom = edge.base_m - settings.stone_bed_m
        tops = [max(bottom + 0.05, node.surface_m - settings.cover_m) for node in (first, last)]
        outline = _strip(stretches[index], edge.start_station_m, edge.end_station_m, settings.stone_width_m)
        height = (tops[0] + tops[1]) / 2 - bottom
        long = edge.length_m + corners.get(index, 0.0) / settings.stone_width_m
        gross = long * settings.stone_width_m * height
        taken = edge.length_m * pi / 4 * settings.outside_m**2 if pipe else 0.0
        stones.append(
            Stone(
                id=f"{chain.id}/stone/{index + 1}", chain=chain.id, edge=index, leg=edge.leg, outline_m=outline,
                start_m=first.point_m, end_m=last.point_m, width_m=settings.stone_width_m, bottom_m=bottom,
                top_start_m=tops[0], top_end_m=tops[1], volume_m3=max(0.0, gross - taken), pipe=pipe,
            )
        )  # fmt: skip
        back = _back_strip(stretches[index], edge.start_station_m, edge.end_station_m, settings.stone_width_m)
        developed = 2 * settings.stone_width_m + height + settings.overlap_m
        fabrics.append(
            Fabric(f"{chain.id}/fabric/{index + 1}", chain.id, index, back, bottom, max(tops), long, developed)
        )
    return stones, fabrics


def _strip(stretch: Stretch, start: float, end: float, width: float) -> tuple[Point, ...]:
    """Outline of the stone, anticlockwise: from the timber's face outward into the pocket."""
    low, high = sorted((start, end))
    near, far = stretch.face_m, stretch.face_m + stretch.held * width
    return _box(stretch, low, high, near, far)


def _back_strip(stretch: Stretch, start: float, end: float, width: float) -> tuple[Point, ...]:
    """The fabric at the back of the stone, against the soil."""
    low, high = sorted((start, end))
    far = stretch.face_m + stretch.held * width
    return _box(stretch, low, high, far, far + stretch.held * FABRIC_M)


def _box(stretch: Stretch, low: float, high: float, near: float, far: float) -> tuple[Point, ...]:
    leg = stretch.leg
    right, left = sorted((near, far))
    return leg.point_at(low, right), leg.point_at(high, right), leg.point_at(high, left), leg.point_at(low, left)


def off_timber(yard: Yard, made: Sequence[Stone | Fabric]) -> list[Stone | Fabric]:
    """Stone and fabric without the parts that timber of other walls takes; what they measure is less by as much.

    The pipe itself passes such timber clear, the strip of stone round it is wider. Fabric is as much less as its stone
    is: where timber stands behind it, it lies against that. Where all its back would lie in timber it is drawn in the
    stone.

    Args:
        yard: for the timber.
        made: as laid along the chains.
    """

    if not made:
        return []
    runs, tree = yard.walls.runs, yard.timber
    points, counts = flat_rings(one.outline_m for one in made)
    thin = polygons_at(_thinner(points.reshape(-1, 4, 2)).reshape(-1, 2), counts)
    in_way: dict[int, list[Any]] = {}
    for number, at in zip(*(hit.tolist() for hit in tree.query(thin, predicate="intersects")), strict=True):
        one, run = made[number], runs[at]
        top = max(one.top_start_m, one.top_end_m) if isinstance(one, Stone) else one.top_m
        if run.bottom_m < top - _TOUCH_M and run.top_m > one.bottom_m + _TOUCH_M:
            in_way.setdefault(number, []).append(tree.geometries[at])
    cut = [_without(one, in_way[n]) if n in in_way else one for n, one in enumerate(made)]
    stones = {one.id.replace("/stone/", "/fabric/"): n for n, one in enumerate(made) if isinstance(one, Stone)}
    for number, one in enumerate(made):
        if number in in_way and isinstance(one, Fabric) and one.id in stones:
            cut[number] = _round(one, cut[number], made[stones[one.id]], cut[stones[one.id]])
    return [one for one in cut if one is not None]


def _round(whole: Fabric, cut: Stone | Fabric | None, laid: Stone | Fabric, left: Stone | Fabric | None) -> Fabric:
    """Fabric round a strip of stone as it was laid, and as timber left it."""
    import shapely

    assert isinstance(laid, Stone) and isinstance(left, Stone)
    share = left.volume_m3 / laid.volume_m3 if laid.volume_m3 > 0.0 else 1.0
    if cut is not None:
        return replace(whole, outline_m=cut.outline_m, length_m=whole.length_m * share)
    stone, back = (shapely.centroid(shapely.polygons(one.outline_m)) for one in (laid, whole))
    away = shapely.get_coordinates(stone)[0] - shapely.get_coordinates(back)[0]
    skin = back_of(shapely.polygons(left.outline_m), away / np.hypot(*away) * FABRIC_M)
    return replace(whole, outline_m=skin, length_m=whole.length_m * share)


def back_of(stone: Any, towards_m: Any) -> tuple[Point, ...]:
    """Outline of what is left of the back of a strip of stone where the strip is moved away from it.

    Args:
        stone: polygon in plan, metres.
        towards_m: (2,) the move, towards the timber it drains, m.
    """
    import shapely

    moved = shapely.transform(stone, lambda ring: np.add(ring, towards_m))
    rest = shapely.difference(stone, moved, grid_size=1e-5)
    parts = [part for part in getattr(rest, "geoms", [rest]) if part.geom_type == "Polygon" and not part.is_empty]
    part = max(parts, key=lambda p: p.area, default=stone)
    return outline_of(part)


def outline_of(part: Any) -> tuple[Point, ...]:
    """The corners of a polygon (shapely), anticlockwise, the first not said again."""
    import shapely

    return tuple((float(x), float(y)) for x, y in shapely.orient_polygons(part).exterior.coords[:-1])


def _thinner(boxes: NDArray[np.float64]) -> NDArray[np.float64]:
    """(n, 4, 2) rectangles drawn in by a touch all round, as far as they are wide and long enough."""
    sides = np.stack([boxes[:, 1] - boxes[:, 0], boxes[:, 3] - boxes[:, 0]])
    long = np.hypot(sides[..., 0], sides[..., 1])[..., None]
    along, across = sides / np.maximum(long, 1e-12) * _TOUCH_M
    thin = boxes + np.stack([along + across, across - along, -along - across, along - across], axis=1)
    return np.where((long.min(axis=0) > 2 * _TOUCH_M)[:, None], thin, boxes)


def _without(one: Stone | Fabric, timber: list[Any]) -> Stone | Fabric | None:
    """The largest part left of a strip; where nothing is, no fabric, and the strip of stone itself."""
    import shapely

    shape: Any = shapely.polygons(one.outline_m)
    rest: Any = shapely.difference(shape, shapely.union_all(timber, grid_size=1e-5), grid_size=1e-5)
    part = max(getattr(rest, "geoms", [rest]), key=lambda p: p.area)
    gone = part.area == 0.0  # a line is nothing either
    if gone and isinstance(one, Fabric):
        return None
    if gone or part.interiors:
        return one
    outline = outline_of(part)
    share = part.area / shape.area
    if isinstance(one, Stone):
        return replace(one, outline_m=outline, volume_m3=one.volume_m3 * share)
    return replace(one, outline_m=outline, length_m=one.length_m * share)
