"""Drain stone and filter fabric along a chain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.outlines import polygons_of
from lynchet.water.model import Chain, Drain, Fabric, Point, Stone
from lynchet.water.pockets import Stretch
from lynchet.water.settings import Settings
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
    for index, edge in enumerate(chain.edges):
        first, last = chain.nodes[index], chain.nodes[(index + 1) % count]
        pipe = (index, (index + 1) % count) in piped
        bottom = edge.base_m - settings.stone_bed_m
        tops = [max(bottom + 0.05, node.surface_m - settings.cover_m) for node in (first, last)]
        outline = _strip(stretches[index], edge.start_station_m, edge.end_station_m, settings.stone_width_m)
        height = (tops[0] + tops[1]) / 2 - bottom
        gross = edge.length_m * settings.stone_width_m * height
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
            Fabric(f"{chain.id}/fabric/{index + 1}", chain.id, index, back, bottom, max(tops), edge.length_m, developed)
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

    The pipe itself passes such timber clear, the strip of stone round it is wider. Fabric that would lie in timber as
    a whole is none: no soil stands there.

    Args:
        yard: for the timber.
        made: as laid along the chains.
    """
    import shapely

    if not made:
        return []
    runs, tree = yard.walls.runs, yard.timber
    shapes: Any = polygons_of(one.outline_m for one in made)
    near = np.unique(tree.query(shapes, predicate="intersects")[0])
    thin: Any = shapely.polygons(_thinner(np.array([made[i].outline_m for i in near]).reshape(-1, 4, 2)))
    in_way: dict[int, list[Any]] = {}
    for place, at in zip(*tree.query(thin, predicate="intersects"), strict=True):
        number = int(near[place])
        one, run = made[number], runs[at]
        top = max(one.top_start_m, one.top_end_m) if isinstance(one, Stone) else one.top_m
        if run.bottom_m < top - _TOUCH_M and run.top_m > one.bottom_m + _TOUCH_M:
            in_way.setdefault(number, []).append(tree.geometries[at])
    cut = (_without(one, shapes[n], in_way[n]) if n in in_way else one for n, one in enumerate(made))
    return [one for one in cut if one is not None]


def _thinner(boxes: NDArray[np.float64]) -> NDArray[np.float64]:
    """(n, 4, 2) rectangles drawn in by a touch all round, as far as they are wide and long enough."""
    sides = np.stack([boxes[:, 1] - boxes[:, 0], boxes[:, 3] - boxes[:, 0]])
    long = np.hypot(sides[..., 0], sides[..., 1])[..., None]
    along, across = sides / np.maximum(long, 1e-12) * _TOUCH_M
    thin = boxes + np.stack([along + across, across - along, -along - across, along - across], axis=1)
    return np.where((long.min(axis=0) > 2 * _TOUCH_M)[:, None], thin, boxes)


def _without(one: Stone | Fabric, shape: Any, timber: list[Any]) -> Stone | Fabric | None:
    """The largest part left of a strip; where nothing is, no fabric, and the strip of stone itself."""
    import shapely

    rest: Any = shapely.difference(shape, shapely.union_all(timber, grid_size=1e-5), grid_size=1e-5)
    part = max(getattr(rest, "geoms", [rest]), key=lambda p: p.area)
    gone = part.area == 0.0  # a line is nothing either
    if gone and isinstance(one, Fabric):
        return None
    if gone or part.interiors:
        return one
    outline = tuple((float(x), float(y)) for x, y in shapely.orient_polygons(part).exterior.coords[:-1])
    share = part.area / shape.area
    if isinstance(one, Stone):
        return replace(one, outline_m=outline, volume_m3=one.volume_m3 * share)
    return replace(one, outline_m=outline, length_m=one.length_m * share)
