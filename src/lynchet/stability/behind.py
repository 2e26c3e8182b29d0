"""What stands behind a wall within its reach: the tier above as a strip load, and the loads the file names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from lynchet.core.quick import quick
from lynchet.stability.checks import Numbers
from lynchet.stability.kinds import Array
from lynchet.stability.model import Place, Strip, TierCheck
from lynchet.stability.places import LEAST_HELD_M, Yard
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
    run: Array
    leg: Numbers


@dataclass(frozen=True)
class _Met:
    """Where looks back meet standing stretches, look by look and the nearest first."""

    look: Numbers
    place: Numbers
    leg: Numbers
    distance_m: Array


@dataclass(frozen=True)
class _Legs:
    """Legs as arrays, one row each, and the leg and side of every place."""

    start: Array
    way: Array
    normal: Array
    thickness_m: Array
    own: Numbers
    """(places,) number of the leg."""
    held: Numbers
    """(places,)"""


@quick
@dataclass(frozen=True)
class _Upper:
    """A wall met uphill of a place that holds the ground beyond it."""

    leg: str
    distance_m: float
    """Face to face."""
    retained_m: float
    next: bool
    """The first such wall on some way straight back from the place's stretch; others stand behind it."""


def with_tiers(yard: Yard, places: Sequence[Place]) -> tuple[list[Place], list[TierCheck]]:
    """Put the walls above on every place whose tiers are not independent, and say how the tiers stand.

    Rays go from the back of the wall into the bank, at the place and wherever along its stretch another wall begins or
    ends behind it; every other wall met that holds ground on the far side is a tier above, as near as it comes. The
    ground it holds is a strip load from its face back, each tier's on top of those below.
    """
    found: list[Place] = []
    checks: dict[tuple[str, str], TierCheck] = {}
    heights = np.array([place.top_m - place.base_m for place in places])
    reaches = wedge_reach(heights, yard.project.soil.friction_deg).tolist()
    for place, uppers, reach in zip(places, _uppers(yard, places), reaches, strict=True):
        if not uppers:
            found.append(place)
            continue
        rows = [_tier_check(place, upper, reach) for upper in uppers]
        for near in (row for row, upper in zip(rows, uppers, strict=True) if upper.next):
            key = (near.lower, near.upper)
            if key not in checks or near.setback_m - near.needed_m < checks[key].setback_m - checks[key].needed_m:
                checks[key] = near
        strips = tuple(_strip(yard, place, row) for row in rows if not row.independent)
        found.append(replace(place, strips=strips) if strips else place)
    return found, [checks[key] for key in sorted(checks)]


def _standing(yard: Yard) -> _Standing:
    rows = [
        (leg.point_at(segment.start_m), leg.point_at(segment.end_m), number)
        for number, leg in enumerate(yard.walls.legs)
        for segment in leg.segments
    ]
    start = np.array([row[0] for row in rows], float).reshape(-1, 2)
    end = np.array([row[1] for row in rows], float).reshape(-1, 2)
    return _Standing(start, end - start, np.array([row[2] for row in rows], np.intp))


def _legs_of(yard: Yard, places: Sequence[Place]) -> _Legs:
    legs = yard.walls.legs
    start, way, normal = (np.array([getattr(leg, name) for leg in legs]) for name in ("start_m", "direction", "normal"))
    number = {leg.id: n for n, leg in enumerate(legs)}
    own = np.array([number[place.leg] for place in places], np.intp)
    return _Legs(start, way, normal, np.array([leg.thickness_m for leg in legs]), own,
                 np.array([place.held for place in places]))  # fmt: skip


def _uppers(yard: Yard, places: Sequence[Place]) -> list[list[_Upper]]:
    """Tiers above each place and its stretch, nearest first, each leg once."""
    standing = _standing(yard)
    found: list[dict[str, _Upper]] = [{} for _ in places]
    looks = _looks(yard, places, standing)
    if not looks:
        return [[] for _ in places]
    numbers, stations = np.array([number for number, _ in looks]), np.array([at for _, at in looks])
    legs = _legs_of(yard, places)
    own, held = legs.own[numbers], legs.held[numbers]
    origin = (legs.start[own] + stations[:, None] * legs.way[own])[:, None]
    way = (held[:, None] * legs.normal[own])[:, None]
    cross = way[..., 0] * standing.run[:, 1] - way[..., 1] * standing.run[:, 0]
    safe = np.where(np.abs(cross) > 1e-9, cross, np.nan)
    gap = standing.start - origin
    along = (gap[..., 0] * standing.run[:, 1] - gap[..., 1] * standing.run[:, 0]) / safe
    share = (gap[..., 0] * way[..., 1] - gap[..., 1] * way[..., 0]) / safe
    hit = (along > legs.thickness_m[own][:, None] / 2.0) & (along < _LOOK_M) & (share >= -1e-9) & (share <= 1.0 + 1e-9)
    look, column = np.nonzero(hit)
    distance = along[look, column]
    order = np.lexsort((distance, look))
    look, column, distance = look[order], column[order], distance[order]
    met = _Met(look, numbers[look], standing.leg[column], distance)
    held_m, apart = _beyond(yard, legs, met, stations[look])
    holds = np.flatnonzero(held_m > 0.0)
    first = np.diff(look[holds], prepend=-1) > 0
    for number, leg, away, high, next_ in zip(met.place[holds].tolist(), met.leg[holds].tolist(),
                                              apart[holds].tolist(), held_m[holds].tolist(), first.tolist(),
                                              strict=True):  # fmt: skip
        mine, name = found[number], yard.walls.legs[leg].id
        mine[name] = _nearer(mine.get(name), _Upper(name, away, high, next_))
    return [sorted(mine.values(), key=lambda upper: upper.distance_m) for mine in found]


def _looks(yard: Yard, places: Sequence[Place], standing: _Standing) -> list[tuple[int, float]]:
    """From where one looks back: (place, station), the place's own first, then where walls begin or end behind it."""
    reach: dict[tuple[str, int], tuple[float, float]] = {}
    for place in places:
        low, high = reach.get((place.leg, place.stretch), (place.station_m, place.station_m))
        reach[place.leg, place.stretch] = min(low, place.station_m), max(high, place.station_m)
    ends = np.vstack([standing.start, standing.start + standing.run])
    owner = np.concatenate([standing.leg, standing.leg])
    beside: dict[tuple[str, int], list[float]] = {}
    for number, leg in enumerate(yard.walls.legs):
        gap = ends[owner != number] - np.array(leg.start_m)
        off = gap @ np.array(leg.normal)
        station = gap @ np.array(leg.direction)
        for held in (1, -1):
            near = (held * off > leg.thickness_m / 2.0) & (held * off < _LOOK_M)
            beside[leg.id, held] = sorted(set(station[near].tolist()))
    found = []
    for number, place in enumerate(places):
        low, high = reach[place.leg, place.stretch]
        between = [at for at in beside[place.leg, place.held] if low < at < high]
        found += [(number, at) for at in (place.station_m, *between)]
    return found


def _nearer(known: _Upper | None, met: _Upper) -> _Upper:
    """Of two meetings with one wall: as near, and holding as much, as either."""
    if known is None:
        return met
    return _Upper(met.leg, min(known.distance_m, met.distance_m), max(known.retained_m, met.retained_m),
                  known.next or met.next)  # fmt: skip


def _beyond(yard: Yard, known: _Legs, met: _Met, at_m: Array) -> tuple[Array, Array]:
    """What each stretch met holds of the ground on its far side, seen from the place, and how far apart the faces are.

    The former is 0 where it holds none. A leg's timber lies left of its line: where the ground held is on the right,
    the face is one thickness before the line.

    Args:
        yard: the earlier results.
        known: legs, and those of the places from where is looked.
        met: what is met.
        at_m: (n,) station of each look on the leg of its place.
    """
    legs = yard.walls.legs
    start, way, normal = known.start, known.way, known.normal
    own, held = known.own[met.place], known.held[met.place]
    point = start[own] + at_m[:, None] * way[own] + (held * met.distance_m)[:, None] * normal[own]
    gap = point - start[met.leg]
    station = gap[:, 0] * way[met.leg, 0] + gap[:, 1] * way[met.leg, 1]
    facing = held * (normal[own, 0] * normal[met.leg, 0] + normal[own, 1] * normal[met.leg, 1])
    spans = [legs[leg].span_at(s) for leg, s in zip(met.leg.tolist(), station.tolist(), strict=True)]
    levels = [span.levels_at(s) for span, s in zip(spans, station.tolist(), strict=True)]
    left, right = np.array(levels, dtype=float).reshape(-1, 2).T
    high = np.abs(left - right)
    sides = np.array([span.held for span in spans])
    none = (own == met.leg) | (sides * facing <= 0.5) | (high <= LEAST_HELD_M)
    before_own = np.where(held < 0, known.thickness_m[own], 0.0)
    before_met = np.where(sides < 0, known.thickness_m[met.leg] / np.maximum(np.abs(facing), 0.5), 0.0)
    apart = np.maximum(met.distance_m + before_own - before_met, 0.0)
    return np.where(none, 0.0, high), apart


def _tier_check(place: Place, upper: _Upper, reach_m: float) -> TierCheck:
    lower = place.top_m - place.base_m
    needed = SEPARATION * lower
    return TierCheck(
        lower=place.leg,
        upper=upper.leg,
        lower_height_m=lower,
        upper_height_m=upper.retained_m,
        setback_m=upper.distance_m,
        needed_m=needed,
        reach_m=reach_m,
        independent=upper.distance_m > needed + 1e-9,
    )


def _strip(yard: Yard, place: Place, check: TierCheck) -> Strip:
    """The ground an upper wall holds, from its face back over four lower heights (further off it no longer counts)."""
    return Strip(
        kpa=yard.project.soil.unit_weight_kn_m3 * check.upper_height_m,
        near_m=max(0.0, check.setback_m - yard.walls.leg(place.leg).thickness_m),
        width_m=4.0 * check.lower_height_m,
        factor=2.0 if check.setback_m <= check.reach_m else 1.0,
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
