"""Place the base pins: along the lowest course of every wall, clear of notches, nodes and things that stay."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil

import numpy as np

from lynchet.core.frame import Point
from lynchet.core.quick import quick
from lynchet.stability.constants import PIN_DIAMETER_M, PIN_LENGTH_M, PIN_SPACING_M
from lynchet.stability.model import Pin
from lynchet.stability.obstacles import Obstacles, round_things
from lynchet.stability.places import Yard
from lynchet.walls.model import Leg, Run

END_CLEAR_M = 0.15
NOTCH_CLEAR_M = 0.15
WEEP_CLEAR_M = 0.10
APART_M = 4.0 * PIN_DIAMETER_M
"""NDS 2018, Table 12.5.1B, C."""
_SHIFTS = (0.0, 0.1, -0.1, 0.2, -0.2, 0.3, -0.3)


def lay_out_pins(yard: Yard, blocked: Obstacles) -> list[Pin]:
    """Pins through the lowest course of every segment, 1.2 m apart at most, two to a run at least."""
    if not yard.project.brief.pins:
        return []
    rows = [_Row(leg, _wishes(yard, leg)) for leg in yard.walls.legs]
    for shift in _SHIFTS:
        left = [(row, n) for row in rows for n in row.left(yard, shift)]
        free = _free([(row.leg, row.wishes[n].run, row.wishes[n].station_m + shift) for row, n in left], blocked)
        for (row, n), is_free in zip(left, free, strict=True):
            station = row.wishes[n].station_m + shift
            if is_free and _apart(row.stood, station):
                insort(row.stood, station)
                row.taken[n] = station
        if all(len(row.taken) == len(row.wishes) for row in rows):
            break
    return [pin for row in rows for pin in row.pins()]


@quick
@dataclass(frozen=True)
class _Wish:
    """A pin wished for in a run, between the ends of what stands of it."""

    run: Run
    station_m: float
    low_m: float
    high_m: float


@dataclass
class _Row:
    """Pins of one leg: each at the free place nearest the wish where its run is the lowest course, or nowhere."""

    leg: Leg
    wishes: list[_Wish]
    taken: dict[int, float] = field(default_factory=dict)
    """Stations found, by number of the wish."""
    stood: list[float] = field(default_factory=list)
    """The same in order along the leg."""

    def left(self, yard: Yard, shift_m: float) -> list[int]:
        """Numbers of wishes without a place yet that have room when moved along."""
        wishes = enumerate(self.wishes)
        return [n for n, wish in wishes if n not in self.taken and _has_room(yard, self.leg, wish, shift_m)]

    def pins(self) -> list[Pin]:
        """Those that found a place."""
        order = enumerate(sorted(self.taken), start=1)
        return [_pin(self.leg, self.wishes[n].run, self.taken[n], number) for number, n in order]


def _wishes(yard: Yard, leg: Leg) -> list[_Wish]:
    return [
        _Wish(run, station, low, high)
        for segment in leg.segments
        for run in yard.walls.runs_of(leg.id, segment.base)
        for low, high in [(max(run.inner_m[0], segment.start_m), min(run.inner_m[1], segment.end_m))]
        for station in _stations(low + END_CLEAR_M, high - END_CLEAR_M)
    ]


def _apart(stood: Sequence[float], station: float) -> bool:
    """Whether a pin keeps clear of those of the same leg, whatever run they stand in."""
    at = bisect_left(stood, station)
    return all(abs(station - other) >= APART_M for other in stood[max(0, at - 1) : at + 1])


def _stations(low: float, high: float) -> list[float]:
    if high <= low:
        return []
    count = max(2, ceil((high - low) / PIN_SPACING_M) + 1) if high - low > 0.3 else 1
    if count == 1:
        return [0.5 * (low + high)]
    return [low + (high - low) * index / (count - 1) for index in range(count)]


def _has_room(yard: Yard, leg: Leg, wish: _Wish, shift_m: float) -> bool:
    """True where a wish moved along the wall stays in its run, off notches, weep holes and joints that stand."""
    station = wish.station_m + shift_m
    if any(abs(station - hole) < WEEP_CLEAR_M for hole in yard.weeps.stations_m(leg.id, wish.run.course)):
        return False
    if yard.at_standing_joint(leg.id, wish.run.course, station):
        return False
    return wish.low_m + 0.05 < station < wish.high_m - 0.05 and all(
        station <= low - NOTCH_CLEAR_M or station >= high + NOTCH_CLEAR_M for _, low, high in yard.gaps[leg.id]
    )


def _free(tries: Sequence[tuple[Leg, Run, float]], blocked: Obstacles) -> list[bool]:
    """Which of these pins would meet nothing."""
    if not tries:
        return []
    points = np.array([_point(leg, run, station) for leg, run, station in tries])
    levels = np.array([(run.top_m - PIN_LENGTH_M, run.top_m) for _, run, _ in tries])
    hits = blocked.hits_round(points, PIN_DIAMETER_M, levels, but=[leg.id for leg, _, _ in tries])
    if not blocked.ties:
        return [not hit for hit in hits.tolist()]
    shapes = round_things(points, PIN_DIAMETER_M)
    return [
        not hit and not blocked.meets_tie(shape, bottom, top)
        for hit, shape, (bottom, top) in zip(hits, shapes, levels.tolist(), strict=True)
    ]


def _point(leg: Leg, run: Run, station_m: float) -> Point:
    return leg.point_at(station_m, run.offset_m + leg.thickness_m / 2.0)


def _pin(leg: Leg, run: Run, station_m: float, number: int) -> Pin:
    return Pin(
        f"{leg.id}/pin{number}",
        leg.id,
        run.course,
        station_m,
        _point(leg, run, station_m),
        PIN_DIAMETER_M,
        run.top_m,
        run.top_m - PIN_LENGTH_M,
    )
