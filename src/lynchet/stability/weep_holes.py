"""Weep holes: bores through the lowest seen course that let water out of the stone where its drain is blocked.

Placed before anything rests on them: a stretch whose water is let out by them has a hole within half the spacing of
each of its places, in the same pocket; where no place is free, the stretch is checked as though there were none.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import ceil, dist, inf, sqrt

from lynchet.core.changed import changed
from lynchet.core.frame import Point
from lynchet.core.intervals import joined
from lynchet.core.quick import quick
from lynchet.stability.held_stretches import HeldStretch
from lynchet.stability.model import WEEP_BORE_M, Weep
from lynchet.stability.soil_before import clear_of_soil, soil_before
from lynchet.stability.stone_behind import stone_tops
from lynchet.stability.weep_room import Free, Room, in_stone, laps_above, rooms, steps_before
from lynchet.terraces.model import HOUSE, Flight
from lynchet.walls.model import Leg, Walls
from lynchet.water.model import Water
from lynchet.water.timber_gaps import timber_gaps

SPACING_M = 1.2
"""Between holes at most, and twice as far as any place may lie from one: 4 ft. PRACTICE."""
LEAST_APART_M = 0.1
"""Between the middles of two holes of one stretch: nearer ones let out no more, and weaken the timber. PRACTICE."""
_ROUNDING_M = 2e-6
"""Places stand a millionth of a metre inside the ends of stretches, holes just half a spacing past an end."""
REACH_M = SPACING_M / 2.0 + _ROUNDING_M
"""A place of a stretch lies no farther from a hole."""

Key = tuple[str, int]
"""Leg and number of one of its held stretches."""
_Spot = tuple[float, Room]
"""A station, and what is bored there."""


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
    bare: tuple[str, ...] = ()
    """Walls with stone behind them of which a stretch has no hole near enough."""

    @cached_property
    def _stations(self) -> Mapping[tuple[str, int], list[float]]:
        found: dict[tuple[str, int], list[float]] = {}
        for hole in self.holes:
            found.setdefault((hole.leg, hole.course), []).append(hole.station_m)
        return found

    def stations_m(self, leg: str, course: int) -> Sequence[float]:
        """Of the holes through one course of a wall."""
        return self._stations.get((leg, course), ())

    def out_m(self, leg: Leg, stretch: int, station_m: float) -> float | None:
        """Level at which water comes out at a place: that of the highest hole within reach; None where none serves."""
        point = leg.point_at(station_m)
        near = self.served.get((leg.id, stretch), ())
        return max((one.hole.back_top_m for one in near if one.reaches(point)), default=None)


def lay_out_weeps(
    walls: Walls, water: Water, stretches: Mapping[str, Sequence[HeldStretch]], flights: Sequence[Flight] = ()
) -> Weeps:
    """Holes along every stretch with drain stone behind it, evenly, moved aside where something is in the way.

    Args:
        walls: legs, runs, and joints of what stands.
        water: its notches are kept clear of.
        stretches: of each leg those that hold ground; their water says where it is looked for.
        flights: steps, whose timber would close a hole behind it.
    """
    wanted = [(leg, number, row) for leg in walls.legs for number, row in enumerate(stretches[leg.id]) if may_weep(row)]
    tops, laps = stone_tops(walls, water), laps_above(walls)
    bored: list[Bored] = []
    for leg in walls.legs:
        own = [row for one, _, row in wanted if one is leg]
        if not own:
            continue
        before, free = steps_before(leg, flights), Free(walls, leg.id, timber_gaps(walls, water, leg.id), laps)
        for group in _groups(own):
            stone = tops.get((leg.id, _pocket(group[0])[1]), ())
            room = [room for row in group for room in rooms(walls, leg, row, before, free)]
            if walls.bank_ends:
                room = clear_of_soil(room, soil_before(leg, group[0].held, walls.bank_ends))
            chosen = _chosen(in_stone(room, stone), group[0].start_m, group[-1].end_m)
            bored += [Bored(_hole(leg, group[0], spot), leg.point_at(spot[0])) for spot in chosen]
    of_chain: dict[str, list[Bored]] = {}
    for one in bored:
        of_chain.setdefault(one.hole.chain, []).append(one)
    served = {(leg.id, number): near for leg, number, row in wanted
              if (near := _serving(leg, row, of_chain.get(_pocket(row)[1], ())))}  # fmt: skip
    needed = {one.hole for near in served.values() for one in near}
    bare = dict.fromkeys(leg.id for leg, number, _ in wanted if (leg.id, number) not in served)
    return Weeps(_numbered(one.hole for one in bored if one.hole in needed), served, tuple(bare))


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


def _chosen(room: Sequence[Room], start_m: float, end_m: float) -> list[_Spot]:
    """The fewest that lie evenly near enough; else from one end each as far on as it may be."""
    if not room:
        return []
    least = max(1, ceil((end_m - start_m) / SPACING_M - 1e-9))
    for count in range(least, least + 3):
        even = (start_m + (end_m - start_m) * (n + 0.5) / count for n in range(count))
        chosen = {spot[0]: spot for spot in (_nearest(room, wish) for wish in even)}
        if _near_enough(sorted(chosen), start_m, end_m):
            return [chosen[station] for station in sorted(chosen)]
    return _onward(room, start_m, end_m)


def _nearest(room: Sequence[Room], wish: float) -> _Spot:
    """The free station nearest one wished for."""
    best, least = room[0], inf
    for one in room:
        away = one.start_m - wish if one.start_m > wish else wish - one.end_m
        if away < least:
            best, least = one, away
        if away <= 0.0:
            break
    return min(max(wish, best.start_m), best.end_m), best


def _near_enough(stations: Sequence[float], start_m: float, end_m: float) -> bool:
    half = SPACING_M / 2.0 + _ROUNDING_M
    apart = all(b - a <= 2.0 * half for a, b in pairwise(stations))
    return apart and stations[0] - start_m <= half and end_m - stations[-1] <= half


def _onward(room: Sequence[Room], start_m: float, end_m: float) -> list[_Spot]:
    """One after another, each as far on as leaves no place too far from one; past a gap the first there is."""
    chosen: list[_Spot] = []
    reach, last = start_m + SPACING_M / 2.0, float("-inf")
    while last + SPACING_M / 2.0 < end_m:
        within = [one for one in room if one.start_m <= reach and one.end_m > last]
        beyond = [one for one in room if one.start_m > max(reach, last)]
        if within and (at := min(within[-1].end_m, reach)) >= last + LEAST_APART_M:
            chosen.append((at, within[-1]))
        elif beyond:
            chosen.append((beyond[0].start_m, beyond[0]))
        else:
            break
        last = chosen[-1][0]
        reach = last + SPACING_M
    return chosen


def _hole(leg: Leg, row: HeldStretch, spot: _Spot) -> Weep:
    (station, room), half = spot, WEEP_BORE_M / 2.0
    run, low, high = room.run, room.run.offset_m, room.run.offset_m + leg.thickness_m
    outline = tuple(leg.point_at(station + along, left)
                    for along, left in ((-half, low), (half, low), (half, high), (-half, high)))  # fmt: skip
    front = low if row.held > 0 else high
    return Weep("", leg.id, row.held, run.course, station, leg.point_at(station, front),
                room.up_m, run.bottom_m + room.up_m, outline, _pocket(row)[1])  # fmt: skip


def _numbered(holes: Iterable[Weep]) -> tuple[Weep, ...]:
    counts: dict[str, int] = {}
    found = []
    for hole in holes:
        counts[hole.leg] = number = counts.get(hole.leg, 0) + 1
        found.append(changed(hole, id=f"{hole.leg}/weep{number}"))
    return tuple(found)


def _serving(leg: Leg, row: HeldStretch, bored: Sequence[Bored]) -> tuple[Bored, ...]:
    """Of the holes of its pocket those within reach of a stretch, where every place of it has one; empty where one has
    none."""
    (x, y), (along_x, along_y) = leg.start_m, leg.direction
    near, reached = [], []
    for one in bored:
        dx, dy = one.foot_m[0] - x, one.foot_m[1] - y
        station, left = dx * along_x + dy * along_y, dy * along_x - dx * along_y
        if abs(left) <= REACH_M:
            half = sqrt(max(0.0, REACH_M**2 - left * left))  # where the circle of its reach meets the wall's line
            if station - half <= row.end_m and station + half >= row.start_m:
                near.append(one)
                reached.append((station - half, station + half))
    over = any(low <= row.start_m and high >= row.end_m for low, high in joined(reached))
    return tuple(near) if over else ()
