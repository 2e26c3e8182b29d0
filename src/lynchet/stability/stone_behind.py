"""How high the drain stone stands behind a wall, along it: a weep hole above it would let out nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from typing import NamedTuple

from lynchet.core.frame import Point
from lynchet.core.intervals import Interval, joined
from lynchet.walls.model import Leg, Walls
from lynchet.water.model import Stone, Water

_ROUNDING_M = 1e-6
_BESIDE_M = 0.1
"""So far past its end, or from where something bars it, water still runs into it: at a corner the stone of the next
wall takes over. PRACTICE."""


class StoneTop(NamedTuple):
    """Top of the stone of one stretch of one wall; it may slope."""

    start_m: float
    end_m: float
    """Stations at which it lies at the timber, or right beside it."""
    ends_m: tuple[float, float]
    """Stations of the ends of its strip, the smaller first."""
    tops_m: tuple[float, float]
    """Levels there."""

    def near(self, start_m: float, end_m: float) -> bool:
        """Whether it lies behind some of a stretch, or right beside it."""
        return self.start_m < end_m and self.end_m > start_m

    def reaching(self, level_m: float) -> Interval | None:
        """Stations at which it stands as high as a level, or that lie right beside such; None where none does."""
        first, last = self.tops_m[0] - level_m, self.tops_m[1] - level_m
        if max(first, last) < -_ROUNDING_M:
            return None
        at = self.ends_m[0] + (self.ends_m[1] - self.ends_m[0]) * first / (first - last) if first * last < 0.0 else 0.0
        low = max(self.start_m, at - _BESIDE_M) if first < 0.0 else self.start_m
        high = min(self.end_m, at + _BESIDE_M) if last < 0.0 else self.end_m
        return (low, high) if low < high else None


def stone_tops(walls: Walls, water: Water) -> Mapping[tuple[str, str], Sequence[StoneTop]]:
    """By leg and chain, the stone behind it: of strips cut at other things what lies right behind the timber."""
    found: dict[tuple[str, str], list[StoneTop]] = {}
    for stone in water.stone:
        leg = walls.leg(stone.leg)
        ends = (leg.station_of(stone.start_m), stone.top_start_m), (leg.station_of(stone.end_m), stone.top_end_m)
        (start, low), (end, high) = sorted(ends)
        if end > start:
            own = found.setdefault((stone.leg, stone.chain), [])
            own += [StoneTop(first, last, (start, end), (low, high)) for first, last in _at_the_back(leg, stone)]
    return found


def _at_the_back(leg: Leg, stone: Stone) -> list[Interval]:
    """Stations of the timber's back no farther than a hand from a strip of stone; none where something bars all of it,
    two where something bars its middle."""
    (x, y), (left_x, left_y) = leg.start_m, leg.normal
    middle = (stone.start_m[0] - x) * left_x + (stone.start_m[1] - y) * left_y
    side = 1.0 if middle > leg.thickness_m / 2.0 else -1.0
    ring = [
        (leg.station_of((px, py)), side * ((px - x) * left_x + (py - y) * left_y - middle) + stone.width_m / 2.0)
        for px, py in stone.outline_m
    ]
    beside = [(at, sqrt(_BESIDE_M**2 - off * off)) for at, off in ring if abs(off) <= _BESIDE_M]
    sides = (_near(one, other) for one, other in zip(ring, [*ring[1:], ring[0]], strict=True))
    return joined([*((at - far, at + far) for at, far in beside), *(one for one in sides if one is not None)])


def _near(one: Point, other: Point) -> Interval | None:
    """Stations of what of a side of a strip, (station, distance from the timber) at its ends, lies near the timber."""
    (at, off), (far_at, far_off) = (one, other) if one[1] <= other[1] else (other, one)
    if off > _BESIDE_M:
        return None
    if far_off > _BESIDE_M:
        far_at = at + (far_at - at) * (_BESIDE_M - off) / (far_off - off)
    return min(at, far_at), max(at, far_at)
