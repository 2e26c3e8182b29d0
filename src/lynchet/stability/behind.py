"""What stands behind a wall within its reach: the tier above as a strip load, and the loads the file names."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lynchet.core.changed import changed
from lynchet.stability.checks import Numbers
from lynchet.stability.helps import column
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


@dataclass(frozen=True)
class _Uppers:
    """Walls met uphill of places that hold the ground beyond them: by place, the nearest first, each wall once."""

    place: Numbers
    leg: Numbers
    """Number of the wall met."""
    distance_m: Array
    """Face to face, where it comes nearest."""
    retained_m: Array
    """Where it holds the most."""
    next: NDArray[np.bool_]
    """The first such wall on some way straight back from the place's stretch; others stand behind it."""


def with_tiers(yard: Yard, places: Sequence[Place]) -> tuple[list[Place], list[TierCheck]]:
    """Put the walls above on every place whose tiers are not independent, and say how the tiers stand.

    Rays go from the back of the wall into the bank, at the place and wherever along its stretch another wall begins or
    ends behind it; every other wall met that holds ground on the far side is a tier above, as near as it comes. The
    ground it holds is a strip load from its face back, each tier's on top of those below.
    """
    if not places:
        return [], []
    height = column(places, "top_m") - column(places, "base_m")
    reach, needed = wedge_reach(height, yard.project.soil.friction_deg), SEPARATION * height
    above = _uppers(yard, places)
    at, legs = above.place, yard.walls.legs
    spare = (above.distance_m - needed[at]).tolist()

    def check_of(row: int) -> TierCheck:
        place, leg = int(at[row]), legs[int(above.leg[row])].id
        numbers = (height[place], above.retained_m[row], above.distance_m[row], needed[place], reach[place])
        heights = [float(number) for number in numbers]
        return TierCheck(places[place].leg, leg, *heights, bool(apart[row]))  # type: ignore[call-arg, arg-type]

    apart = above.distance_m > needed[at] + 1e-9
    nearest: dict[tuple[int, str], int] = {}
    for row, leg in zip(np.flatnonzero(above.next).tolist(), above.leg[above.next].tolist(), strict=True):
        key = (leg, places[at[row]].leg)
        if key not in nearest or spare[row] < spare[nearest[key]]:
            nearest[key] = row
    strips: dict[int, tuple[Strip, ...]] = {}
    for row in np.flatnonzero(~apart).tolist():
        place = int(at[row])
        strips[place] = (*strips.get(place, ()), _strip(yard, places[place], check_of(row)))
    found = list(places)
    for number, own in strips.items():
        found[number] = changed(places[number], strips=own)
    return found, sorted(map(check_of, nearest.values()), key=lambda one: (one.lower, one.upper))


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


def _uppers(yard: Yard, places: Sequence[Place]) -> _Uppers:
    """Tiers above each place and its stretch."""
    standing = _standing(yard)
    numbers, stations = _looks(yard, places, standing)
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
    return _each_once(met.place[holds], met.leg[holds], apart[holds], held_m[holds], first)


def _each_once(place: Numbers, leg: Numbers, apart_m: Array, held_m: Array, first: NDArray[np.bool_]) -> _Uppers:
    """Meetings in order of the looks: of those of one place with one wall as near, and holding as much, as any."""
    _, began, group = np.unique(place * (leg.max(initial=0) + 1) + leg, return_index=True, return_inverse=True)
    near, most = np.full(len(began), np.inf), np.zeros(len(began))
    np.minimum.at(near, group, apart_m)
    np.maximum.at(most, group, held_m)
    leads = np.bincount(group, first, len(began)) > 0
    order = np.lexsort((began, near, place[began]))
    began = began[order]
    return _Uppers(place[began], leg[began], near[order], most[order], leads[order])


def _looks(yard: Yard, places: Sequence[Place], standing: _Standing) -> tuple[Numbers, Array]:
    """From where one looks back: places and stations, each one's own first, then where walls begin or end behind it."""
    stretches: dict[tuple[str, int], list[float]] = {}
    for place in places:
        stretches.setdefault((place.leg, place.stretch), []).append(place.station_m)
    ends = np.vstack([standing.start, standing.start + standing.run])
    owner = np.concatenate([standing.leg, standing.leg])
    sides = {(place.leg, place.held) for place in places}
    beside: dict[tuple[str, int], list[float]] = {}
    for number, leg in enumerate(yard.walls.legs):
        gap = ends[owner != number] - np.array(leg.start_m)
        off = gap @ np.array(leg.normal)
        station = gap @ np.array(leg.direction)
        for held in (held for held in (1, -1) if (leg.id, held) in sides):
            near = (held * off > leg.thickness_m / 2.0) & (held * off < _LOOK_M)
            beside[leg.id, held] = sorted(set(station[near].tolist()))
    between: dict[tuple[str, int], list[float]] = {}
    numbers, stations = [], []
    for number, place in enumerate(places):
        key = (place.leg, place.stretch)
        if key not in between:
            there = beside[place.leg, place.held]
            between[key] = there[bisect_right(there, min(stretches[key])) : bisect_left(there, max(stretches[key]))]
        own = [place.station_m, *between[key]]
        numbers += [number] * len(own)
        stations += own
    return np.array(numbers, dtype=np.intp), np.array(stations, dtype=np.float64)


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
