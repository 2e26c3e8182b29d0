"""Weep holes: bores through the lowest seen course that let water out of the stone where its drain is blocked.

Placed before anything rests on them: a stretch whose water is let out by them has a hole within half the spacing of
each of its places, in the same pocket; where no place is free, the stretch is checked as though there were none.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import ceil, dist

import numpy as np

from lynchet.core.frame import Point
from lynchet.core.quick import quick
from lynchet.stability.held_stretches import HeldStretch, held_stretches
from lynchet.stability.model import WEEP_BORE_M, WEEP_FALL_M, Weep
from lynchet.terraces.model import HOUSE, Flight
from lynchet.walls.model import Leg, Run, Walls
from lynchet.water.model import Water

SPACING_M = 1.2
"""Between holes at most, and twice as far as any place may lie from one: 4 ft. PRACTICE."""
OVER_GROUND_M = 0.02
"""Lower edge of the bore at the front over the ground there, so that no soil closes it. PRACTICE."""
UNDER_TOP_M = 0.02
"""Upper edge of the bore at the back under the ground held, where it would let out no water. PRACTICE."""
HEIGHTS = (0.25, 0.5, 0.75)
"""Of its course at which a hole is bored, the lowest that clears the ground: no nearer to an edge of the timber than a
bore, and told by plain shares. PRACTICE."""
NOTCH_CLEAR_M = 0.15
JOINT_CLEAR_M = 0.15
BEFORE_M = 0.3
"""Steps that come nearer to the timber than this stand before it: no hole could be rinsed there. PRACTICE."""
STEP_CLEAR_M = 0.04
"""From the side of a step to the middle of a bore. PRACTICE."""
_STEP_M = 0.025
_ROUNDING_M = 1e-6
REACH_M = SPACING_M / 2.0 + _ROUNDING_M
"""A place of a stretch lies no farther from a hole."""

Key = tuple[str, int]
"""Leg and number of one of its held stretches."""
_Bore = tuple[Run, float, float]
"""A run, how far over its underside its bore lies in the middle, and the level of the bore's lower edge in front."""


@quick
@dataclass(frozen=True)
class Bored:
    """A hole with the point of its wall's line it stands at."""

    hole: Weep
    foot_m: Point

    def reaches(self, point: Point) -> bool:
        """Whether a point of a wall's line lies within half the spacing, along the wall or round a corner."""
        return dist(self.foot_m, point) <= REACH_M


@dataclass(frozen=True)
class Weeps:
    """What is bored, and what rests on it."""

    holes: tuple[Weep, ...] = ()
    served: Mapping[Key, tuple[Bored, ...]] = field(default_factory=dict)
    """Held stretches that may count on holes, with those near them."""

    def out_m(self, leg: Leg, stretch: int, station_m: float) -> float | None:
        """Level at which water comes out at a place: that of the highest hole within reach; None where none serves."""
        point = leg.point_at(station_m)
        near = self.served.get((leg.id, stretch), ())
        return max((one.hole.back_top_m for one in near if one.reaches(point)), default=None)


@quick
@dataclass(frozen=True)
class _Spot:
    """Where a hole may be bored."""

    station_m: float
    run: Run
    up_m: float
    """Over the underside of its course, at the front."""


def lay_out_weeps(walls: Walls, water: Water, flights: Sequence[Flight] = ()) -> Weeps:
    """Holes along every stretch with drain stone behind it, evenly, moved aside where something is in the way.

    Args:
        walls: legs, runs, and joints of what stands.
        water: its levels say where water is looked for; its notches are kept clear of.
        flights: steps, whose timber would close a hole behind it.
    """
    steps = {leg.id: _before(leg, flights) for leg in walls.legs}
    rows = {(leg.id, n): row for leg in walls.legs for n, row in enumerate(held_stretches(leg, water))}
    wanted = {key: row for key, row in rows.items() if may_weep(row)}
    bored: list[Bored] = []
    for leg in walls.legs:
        for group in _groups([row for (name, _), row in wanted.items() if name == leg.id]):
            spots = [spot for row in group for spot in _spots(walls, water, leg, row)
                     if not any(low < spot.station_m < high for low, high in steps[leg.id])]  # fmt: skip
            chosen = _chosen(spots, group[0].start_m, group[-1].end_m)
            bored += [Bored(_hole(leg, group[0], spot), leg.point_at(spot.station_m)) for spot in chosen]
    served = {key: near for key, row in wanted.items() if (near := _serving(walls.leg(key[0]), row, bored))}
    needed = {one.hole for near in served.values() for one in near}
    return Weeps(_numbered(one.hole for one in bored if one.hole in needed), served)


def _before(leg: Leg, flights: Sequence[Flight]) -> list[tuple[float, float]]:
    """Stations of a wall with steps set against it, a little more on both sides."""
    found = []
    for tread in (tread for flight in flights for tread in flight.treads):
        stations = [leg.station_of(point) for point in tread.outline_m]
        lefts = [(x - leg.start_m[0]) * leg.normal[0] + (y - leg.start_m[1]) * leg.normal[1]
                 for x, y in tread.outline_m]  # fmt: skip
        if min(lefts) < leg.thickness_m + BEFORE_M and max(lefts) > -BEFORE_M:
            found.append((min(stations) - STEP_CLEAR_M, max(stations) + STEP_CLEAR_M))
    return found


def may_weep(row: HeldStretch) -> bool:
    """Whether water runs along behind a stretch to a hole (through soil it does not), and may come out in front."""
    return row.water is not None and row.water.drained != "none" and row.span.low_face != HOUSE


def _groups(rows: Sequence[HeldStretch]) -> list[list[HeldStretch]]:
    """Neighbouring stretches of one leg with the same stone behind them."""
    groups: list[list[HeldStretch]] = []
    for row in rows:
        last = groups[-1][-1] if groups else None
        if last is not None and abs(last.end_m - row.start_m) < 1e-3 and _pocket(last) == _pocket(row):
            groups[-1].append(row)
        else:
            groups.append([row])
    return groups


def _pocket(row: HeldStretch) -> tuple[int, str]:
    return row.held, row.water.chain if row.water is not None else ""


def _spots(walls: Walls, water: Water, leg: Leg, row: HeldStretch) -> list[_Spot]:
    """Places of a stretch free of laps, ends, other timber, notches and standing joints, a little way apart."""
    bores = _bores(walls, leg, row)
    free = {
        course: (_windows(walls, leg.id, course), _taken(walls, water, leg.id, course))
        for course in {run.course for run, _, _ in bores}
    }
    steps = max(1, ceil((row.end_m - row.start_m) / _STEP_M - 1e-9)) if bores else -1
    found = []
    for n in range(steps + 1):
        station = row.start_m + (row.end_m - row.start_m) * n / steps
        for run, up in _at(bores, row, station):
            windows, taken = free[run.course]
            inside = any(low <= station <= high for low, high in windows)
            if inside and not any(low < station < high for low, high in taken):
                found.append(_Spot(station, run, up))
                break
    return found


def _taken(walls: Walls, water: Water, leg: str, course: int) -> list[tuple[float, float]]:
    """Stations about notches, and about joints of a course that stands."""
    notches = [notch.stations_m for notch in water.notches_of(leg) if course in notch.courses]
    joints = walls.standing.cuts(leg, course) or ()
    return [
        *((low - NOTCH_CLEAR_M, high + NOTCH_CLEAR_M) for low, high in notches),
        *((joint - JOINT_CLEAR_M, joint + JOINT_CLEAR_M) for joint in joints),
    ]


def _windows(walls: Walls, leg: str, course: int) -> list[tuple[float, float]]:
    return [window for one in walls.windows(leg, course, WEEP_BORE_M) for window in one.stations_m]


def _bores(walls: Walls, leg: Leg, row: HeldStretch) -> list[_Bore]:
    """What may be bored somewhere on a stretch, the lowest first: levels are straight along it, so what is under the
    ground in front at both ends, or too near the ground behind, is so between them too."""
    ends = [_low_high(row, station) for station in (row.start_m, row.end_m)]
    least = min(low for low, _ in ends) + OVER_GROUND_M - _ROUNDING_M
    most = max(high for _, high in ends) - UNDER_TOP_M - WEEP_FALL_M - WEEP_BORE_M + _ROUNDING_M
    found = []
    for course in range(row.segment.base, row.segment.top + 1):
        for run in walls.runs_of(leg.id, course):
            for share in HEIGHTS if run.inner_m[0] <= row.end_m and run.inner_m[1] >= row.start_m else ():
                up = share * (run.top_m - run.bottom_m)
                under = run.bottom_m + up - WEEP_BORE_M / 2.0
                if least <= under <= most:
                    found.append((run, up, under))
    return found


def _at(bores: Sequence[_Bore], row: HeldStretch, station_m: float) -> Iterator[tuple[Run, float]]:
    """What may be bored at a station, the lowest first: clear of the ground in front, and no higher than a course over
    it but for the lowest; nothing where that would let out nothing."""
    low, high = _low_high(row, station_m)
    whole, first = high - low - UNDER_TOP_M, True
    for run, up, under in bores:
        if not run.inner_m[0] <= station_m <= run.inner_m[1]:
            continue
        over = under - low
        most = whole if first else min(whole, run.top_m - run.bottom_m)
        if over >= OVER_GROUND_M and over + WEEP_FALL_M + WEEP_BORE_M <= most:
            first = False
            yield run, up


def _low_high(row: HeldStretch, station_m: float) -> tuple[float, float]:
    """Ground in front and ground held at a station."""
    left, right = row.span.levels_at(station_m)
    return (right, left) if row.held > 0 else (left, right)


def _chosen(spots: Sequence[_Spot], start_m: float, end_m: float) -> list[_Spot]:
    """The fewest that lie evenly near enough; else from one end each as far on as it may be."""
    if not spots:
        return []
    stations = [spot.station_m for spot in spots]
    least = max(1, ceil((end_m - start_m) / SPACING_M - 1e-9))
    for count in range(least, least + 3):
        even = (start_m + (end_m - start_m) * (n + 0.5) / count for n in range(count))
        chosen = sorted({_nearest(stations, wish) for wish in even})
        if _near_enough([stations[n] for n in chosen], start_m, end_m):
            return [spots[n] for n in chosen]
    return [spots[n] for n in _onward(stations, start_m, end_m)]


def _nearest(stations: Sequence[float], wish: float) -> int:
    at = bisect_left(stations, wish)
    near = [n for n in (at - 1, at) if 0 <= n < len(stations)]
    return min(near, key=lambda n: abs(stations[n] - wish))


def _near_enough(stations: Sequence[float], start_m: float, end_m: float) -> bool:
    half = SPACING_M / 2.0 + _ROUNDING_M
    apart = all(b - a <= 2.0 * half for a, b in pairwise(stations))
    return apart and stations[0] - start_m <= half and end_m - stations[-1] <= half


def _onward(stations: Sequence[float], start_m: float, end_m: float) -> list[int]:
    """Numbers of the stations taken one after another, each as far on as leaves no place too far from one."""
    chosen: list[int] = []
    reach = start_m + SPACING_M / 2.0
    for n, station in enumerate(stations):
        after = stations[n + 1] if n + 1 < len(stations) else float("inf")
        done = bool(chosen) and end_m <= stations[chosen[-1]] + SPACING_M / 2.0
        if after > reach + _ROUNDING_M and not done:  # the next lies too far on: this one, or the first past a gap
            chosen.append(n)
            reach = station + SPACING_M
    return chosen


def _hole(leg: Leg, row: HeldStretch, spot: _Spot) -> Weep:
    run, half = spot.run, WEEP_BORE_M / 2.0
    low, high = run.offset_m, run.offset_m + leg.thickness_m
    outline = tuple(leg.point_at(spot.station_m + along, left)
                    for along, left in ((-half, low), (half, low), (half, high), (-half, high)))  # fmt: skip
    front = low if row.held > 0 else high
    return Weep("", leg.id, row.held, run.course, spot.station_m, leg.point_at(spot.station_m, front),
                spot.up_m, run.bottom_m + spot.up_m, outline, _pocket(row)[1])  # fmt: skip


def _numbered(holes: Iterable[Weep]) -> tuple[Weep, ...]:
    counts: dict[str, int] = {}
    found = []
    for hole in holes:
        counts[hole.leg] = number = counts.get(hole.leg, 0) + 1
        found.append(replace(hole, id=f"{hole.leg}/weep{number}"))
    return tuple(found)


def _serving(leg: Leg, row: HeldStretch, bored: Sequence[Bored]) -> tuple[Bored, ...]:
    """The holes within reach of a stretch, where every place of it has one; empty where one has none."""
    own = [one for one in bored if one.hole.chain == _pocket(row)[1]]
    if not own:
        return ()
    steps = max(1, ceil((row.end_m - row.start_m) / _STEP_M))
    stations = row.start_m + (row.end_m - row.start_m) / steps * np.arange(steps + 1)
    (x, y), (along_x, along_y) = leg.start_m, leg.direction
    feet = np.array([one.foot_m for one in own])
    away = np.hypot(x + along_x * stations - feet[:, :1], y + along_y * stations - feet[:, 1:])  # hole, place
    near = away <= REACH_M
    if not near.any(axis=0).all():
        return ()
    return tuple(one for one, reaches in zip(own, near.any(axis=1).tolist(), strict=True) if reaches)
