"""Soil round the ends of fronts at banks where it lies against the front of a wall: weep holes under it are covered."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from lynchet.core.changed import changed
from lynchet.core.intervals import Interval, joined, without
from lynchet.stability.model import WEEP_BORE_M
from lynchet.stability.weep_room import OVER_GROUND_M, Room
from lynchet.walls.bank_end import BankEnd, Facet
from lynchet.walls.model import Leg

_BEFORE_M = 0.02
"""So far in front of the timber the soil is looked at."""


class Soil(NamedTuple):
    """Between two stations of a wall soil lies before it, straight between two levels."""

    start_m: float
    end_m: float
    start_level_m: float
    end_level_m: float

    def over(self, level_m: float) -> Interval | None:
        """Where it stands over a level; None where nowhere."""
        first, last = self.start_level_m - level_m, self.end_level_m - level_m
        if max(first, last) <= 0.0:
            return None
        if min(first, last) >= 0.0:
            return self.start_m, self.end_m
        zero = self.start_m + (self.end_m - self.start_m) * first / (first - last)
        return (self.start_m, zero) if first > 0.0 else (zero, self.end_m)


def soil_before(leg: Leg, held: int, ends: Sequence[BankEnd]) -> list[Soil]:
    """Soil of the ends of banks before a wall.

    Args:
        leg: the wall.
        held: +1 where it holds the ground on its left, -1 on its right.
        ends: of the yard.
    """
    off = -_BEFORE_M if held > 0 else leg.thickness_m + _BEFORE_M
    (x0, y0), (x1, y1), wide = leg.start_m, leg.end_m, leg.thickness_m + _BEFORE_M
    found = []
    for end in ends:
        west, south, east, north = end.polygon.bounds
        apart = (west > max(x0, x1) + wide or east < min(x0, x1) - wide
                 or south > max(y0, y1) + wide or north < min(y0, y1) - wide)  # fmt: skip
        if not apart:
            found += [soil for facet in end.facets for soil in _crossed(leg, off, facet)]
    return found


def _crossed(leg: Leg, off_m: float, facet: Facet) -> list[Soil]:
    """What of a facet lies along a line so far left of a wall's."""
    ring, (a, b, c) = facet
    (x0, y0), (left_x, left_y) = leg.start_m, leg.normal
    lefts = [(x - x0) * left_x + (y - y0) * left_y - off_m for x, y in ring]
    if min(lefts) > 0.0 or max(lefts) < 0.0:
        return []
    stations, met = [leg.station_of(point) for point in ring], []
    for i in range(3):
        (p, u), (q, v) = (lefts[i - 1], stations[i - 1]), (lefts[i], stations[i])
        if p * q <= 0.0 and p != q:
            met.append(u + (v - u) * p / (p - q))
    if len(met) < 2 or max(met) - min(met) < 1e-6:
        return []
    levels = [a * x + b * y + c for x, y in (leg.point_at(at, off_m) for at in (min(met), max(met)))]
    return [Soil(min(met), max(met), *levels)]


def clear_of_soil(room: Sequence[Room], soil: Sequence[Soil]) -> list[Room]:
    """What of each place for holes lies over the soil before the wall, by as much as over the ground.

    Args:
        room: of one wall.
        soil: before it.
    """
    if not soil:
        return list(room)
    found = []
    for one in room:
        least = one.run.bottom_m + one.up_m - WEEP_BORE_M / 2.0 - OVER_GROUND_M
        over = joined(part for part in (before.over(least) for before in soil) if part is not None)
        found += [changed(one, start_m=low, end_m=high) for low, high in without([(one.start_m, one.end_m)], over)]
    return found
