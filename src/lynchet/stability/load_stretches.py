"""Stretches of a wall cut where loads behind it begin and end: the worst section of each then lies at one of its ends.

Without the cuts a load between the ends of a long stretch would be met by no place at which the wall is checked.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from lynchet.project.model import Project
from lynchet.stability.held_stretches import HeldStretch
from lynchet.stability.places import base_and_top
from lynchet.walls.model import Leg, Walls

_LEAST_M = 1e-3
"""No stretch is shorter."""


def cut_at_loads(
    project: Project, walls: Walls, stretches: dict[str, list[HeldStretch]]
) -> dict[str, list[HeldStretch]]:
    """The stretches of every leg, cut where a load that begins within the wall's own height behind it begins and ends.

    Args:
        project: for its loads; without any the stretches come back as they are.
        walls: for the height of each stretch.
        stretches: of each leg, in order along it.
    """
    if not project.loads:
        return stretches
    from shapely import Polygon

    loads = [Polygon(load.outline_m) for load in project.loads]
    return {name: [part for one in own for part in _parts(walls, walls.leg(name), one, loads)]
            for name, own in stretches.items()}  # fmt: skip


def reach(leg: Leg, held: int, high_m: float, stations: tuple[float, float]) -> Any:
    """The ground behind a stretch of a wall in which a load counts on it (shapely): to its own height from its back."""
    from shapely import Polygon

    (a, b), far = stations, held * (high_m + leg.thickness_m)
    return Polygon([leg.point_at(a), leg.point_at(b), leg.point_at(b, far), leg.point_at(a, far)])


def _parts(walls: Walls, leg: Leg, one: HeldStretch, loads: Sequence[Any]) -> Iterator[HeldStretch]:
    from shapely import get_coordinates

    base_m, top_m = base_and_top(walls, leg, one.segment, 0.5 * (one.start_m + one.end_m))
    behind = reach(leg, one.held, top_m - base_m, (one.start_m, one.end_m))
    cuts = {one.start_m, one.end_m}
    for load in loads:
        met = get_coordinates(behind.intersection(load)).tolist()
        stations = [leg.station_of((x, y)) for x, y in met]
        cuts |= {s for s in (min(stations), max(stations)) if one.start_m < s < one.end_m} if stations else set()
    kept = [one.start_m]
    for station in sorted(cuts)[1:]:
        if station - kept[-1] >= _LEAST_M:
            kept.append(station)
    kept[-1] = one.end_m
    yield from (one._replace(start_m=a, end_m=b) for a, b in pairwise(kept))
