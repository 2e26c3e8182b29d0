"""What stands behind a wall within its reach: the tier above as a strip load, and the loads the file names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lynchet.stability.kinds import Array
from lynchet.stability.model import Place, TierCheck
from lynchet.stability.places import Yard
from lynchet.stability.ties import wedge_reach

SEPARATION = 2.0
"""Tiers are independent where the set-back exceeds this times the lower wall's height. Trade FAQ SRW-FAQ-001."""
_LOOK_M = 8.0
"""How far behind a wall the next one is looked for."""


@dataclass(frozen=True)
class _Standing:
    """The standing stretches of all legs, as segments in plan."""

    start: Array
    """(m, 2)"""
    end: Array
    leg: NDArray[np.intp]


def with_tiers(yard: Yard, places: Sequence[Place]) -> tuple[list[Place], list[TierCheck]]:
    """Put the wall above on every place whose tiers are not independent, and say how the tiers stand.

    A ray goes from the back of the wall into the bank; the first other wall it meets that holds ground on the far side
    is the tier above. Its retained ground is a strip load from its face back over its bench.
    """
    standing = _standing(yard)
    found: list[Place] = []
    checks: dict[tuple[str, str], TierCheck] = {}
    for place in places:
        meets = _meets(yard, place, standing)
        upper = next((m for m in meets if m[1] != place.leg and _holds_beyond(yard, place, *m)), None)
        if upper is None:
            found.append(place)
            continue
        check = _tier_check(yard, place, *upper)
        key = (check.lower, check.upper)
        if key not in checks or check.setback_m - check.needed_m < checks[key].setback_m - checks[key].needed_m:
            checks[key] = check
        found.append(place if check.independent else _loaded(yard, place, check, meets))
    return found, [checks[key] for key in sorted(checks)]


def _standing(yard: Yard) -> _Standing:
    starts, ends, numbers = [], [], []
    for number, leg in enumerate(yard.walls.legs):
        for segment in leg.segments:
            starts.append(leg.point_at(segment.start_m))
            ends.append(leg.point_at(segment.end_m))
            numbers.append(number)
    shape = (-1, 2)
    return _Standing(
        np.array(starts, float).reshape(shape), np.array(ends, float).reshape(shape), np.array(numbers, np.intp)
    )


def _meets(yard: Yard, place: Place, standing: _Standing) -> list[tuple[float, str, float]]:
    """(distance from the face, leg, station) of every standing wall a ray into the bank meets, nearest first."""
    leg = yard.walls.leg(place.leg)
    origin = np.array(leg.point_at(place.station_m))
    way = place.held * np.array(leg.normal)
    run = standing.end - standing.start
    cross = way[0] * run[:, 1] - way[1] * run[:, 0]
    safe = np.where(np.abs(cross) > 1e-9, cross, np.nan)
    gap = standing.start - origin
    along = (gap[:, 0] * run[:, 1] - gap[:, 1] * run[:, 0]) / safe
    share = (gap[:, 0] * way[1] - gap[:, 1] * way[0]) / safe
    hit = (along > leg.thickness_m / 2.0) & (along < _LOOK_M) & (share >= -1e-9) & (share <= 1.0 + 1e-9)
    found = []
    for index in np.flatnonzero(hit):
        other = yard.walls.legs[standing.leg[index]]
        point = origin + along[index] * way
        found.append((float(along[index]), other.id, other.station_of((float(point[0]), float(point[1])))))
    return sorted(found)


def _holds_beyond(yard: Yard, place: Place, distance: float, leg: str, station: float) -> bool:
    """True where the wall met holds the ground on its far side, as seen from the place."""
    other = yard.walls.leg(leg)
    span = other.span_at(station)
    own = yard.walls.leg(place.leg)
    facing = place.held * (own.normal[0] * other.normal[0] + own.normal[1] * other.normal[1])
    return (
        span.held != 0
        and span.held * facing > 0.5
        and abs(span.levels_at(station)[0] - span.levels_at(station)[1]) > 0.05
    )


def _retained_at(yard: Yard, leg: str, station: float) -> float:
    left, right = yard.walls.leg(leg).span_at(station).levels_at(station)
    return abs(left - right)


def _tier_check(yard: Yard, place: Place, distance: float, leg: str, station: float) -> TierCheck:
    lower = place.top_m - place.base_m
    needed = SEPARATION * lower
    return TierCheck(
        lower=place.leg,
        upper=leg,
        lower_height_m=lower,
        upper_height_m=_retained_at(yard, leg, station),
        setback_m=distance,
        needed_m=needed,
        reach_m=float(wedge_reach(lower, yard.project.soil.friction_deg)),
        independent=distance > needed + 1e-9,
    )


def _loaded(yard: Yard, place: Place, check: TierCheck, meets: list[tuple[float, str, float]]) -> Place:
    """The weight of the bench above as a strip from the upper wall's face back to the next wall, or four heights."""
    beyond = [distance for distance, leg, _ in meets if distance > check.setback_m + 0.3]
    width = (beyond[0] if beyond else check.setback_m + 4.0 * check.lower_height_m) - check.setback_m
    near = max(0.0, check.setback_m - yard.walls.leg(place.leg).thickness_m)
    return replace(
        place,
        tier_kpa=yard.project.soil.unit_weight_kn_m3 * check.upper_height_m,
        tier_near_m=near,
        tier_width_m=width,
        tier_doubled=check.setback_m <= check.reach_m,
    )


def with_loads(yard: Yard, places: Sequence[Place]) -> list[Place]:
    """Put every load of the file that begins within the wall's own height behind its back on that place.

    A load that near counts as one over the whole bench (lateral_thrust), on the safe side.
    """
    if not yard.project.loads:
        return list(places)
    from shapely import LineString, Polygon

    outlines = [(Polygon(load.outline_m), load.pressure_kpa) for load in yard.project.loads]
    found = []
    for place in places:
        leg = yard.walls.leg(place.leg)
        far = place.top_m - place.base_m + leg.thickness_m
        ray = LineString([leg.point_at(place.station_m), leg.point_at(place.station_m, place.held * far)])
        pressure = sum(kpa for outline, kpa in outlines if outline.intersects(ray))
        found.append(replace(place, surcharge_kpa=pressure) if pressure else place)
    return found
