"""Drain stone drawn back from a building where its trench would go under the line 1 : 1 from the footing's foot.

Only as far as the ground left bare still drains into the stone beside it; a longer trench is left, and told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lynchet.core.changed import changed
from lynchet.project.things import House
from lynchet.water.house import UNKNOWN_FOOTING_M
from lynchet.water.model import Fabric, Stone
from lynchet.water.yard import Yard

_REACH_M = 0.5
"""Ground this far beside drain stone still drains into it. PRACTICE."""
_SPARE_M = 0.01
_LEAST_AREA_M2 = 0.002
_FAR_M = 1.5
"""No stone lies deeper than this under the ground at a building whose wall is low enough to be planned here."""
_GRID = 1e-5


@dataclass(frozen=True)
class _Cut:
    """A piece of stone with what a building leaves of it."""

    stone: Stone
    zone: Any
    """Ground round the building that its trench keeps off."""
    left: Any
    lost_m2: float


def clear_of_footings(
    yard: Yard, stones: Sequence[Stone], fabrics: Sequence[Fabric]
) -> tuple[tuple[Stone, ...], tuple[Fabric, ...]]:
    """Stone without a pipe, and its fabric, drawn back from the buildings of a yard.

    Args:
        yard: for its buildings and the ground at them.
        stones, fabrics: as laid.
    """
    made: dict[str, Stone | None] = {}
    zones: dict[str, Any] = {}
    for house in yard.project.houses:
        by_leg: dict[str, list[_Cut]] = defaultdict(list)
        for cut in _cuts(yard, house, stones):
            by_leg[cut.stone.leg].append(cut)
        for cuts in by_leg.values():
            if sum(cut.lost_m2 for cut in cuts) <= _REACH_M * yard.settings.stone_width_m:
                made |= {cut.stone.id: _left(cut) for cut in cuts}
                zones |= {cut.stone.id: cut.zone for cut in cuts}
    if not made:
        return tuple(stones), tuple(fabrics)
    kept = (made.get(stone.id, stone) for stone in stones)
    wraps = (_fabric_left(one, zones.get(one.id.replace("/fabric/", "/stone/"))) for one in fabrics)
    return tuple(one for one in kept if one is not None), tuple(one for one in wraps if one is not None)


def _cuts(yard: Yard, house: House, stones: Sequence[Stone]) -> list[_Cut]:
    """Pieces of stone that reach under the line from a building's footing."""
    import shapely

    shape: Any = shapely.Polygon(house.outline_m)
    footing = UNKNOWN_FOOTING_M if house.footing_depth_m is None else house.footing_depth_m
    dry = [stone for stone in stones if not stone.pipe]
    outlines: Any = [shapely.Polygon(stone.outline_m) for stone in dry]
    found = []
    for stone, outline, away in zip(dry, outlines, shapely.distance(shape, outlines).tolist(), strict=True):
        if away >= _FAR_M:
            continue
        spot = shapely.get_coordinates(shapely.shortest_line(shape, outline))[0]
        need = float(yard.level_at([(float(spot[0]), float(spot[1]))])[0]) - stone.bottom_m - footing
        if need > away + 1e-9:
            zone = shapely.buffer(shape, need + _SPARE_M)
            left = shapely.difference(outline, zone, grid_size=_GRID)
            found.append(_Cut(stone, zone, left, float(outline.area - left.area)))
    return found


def _largest(shape: Any) -> Any:
    """The largest polygon of a shape, anticlockwise; None where hardly any is left."""
    import shapely

    parts = [part for part in shapely.get_parts(shape) if part.area > _LEAST_AREA_M2 and not part.interiors]
    return shapely.orient_polygons(max(parts, key=lambda part: part.area)) if parts else None


def _ring(part: Any) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])


def _left(cut: _Cut) -> Stone | None:
    part = _largest(cut.left)
    if part is None:
        return None
    whole = cut.left.area + cut.lost_m2
    return changed(cut.stone, outline_m=_ring(part), volume_m3=cut.stone.volume_m3 * float(part.area / whole))


def _fabric_left(one: Fabric, zone: Any) -> Fabric | None:
    import shapely

    if zone is None:
        return one
    strip: Any = shapely.Polygon(one.outline_m)
    parts = [part for part in shapely.get_parts(shapely.difference(strip, zone)) if part.area > 0.05 * strip.area]
    if not parts:
        return None
    part = max(parts, key=lambda p: p.area)
    return changed(one, outline_m=_ring(part), length_m=one.length_m * float(part.area / strip.area))
