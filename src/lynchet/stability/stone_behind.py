"""How high the drain stone stands behind a wall, along it: a weep hole above it would let out nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lynchet.core.intervals import Interval
from lynchet.walls.model import Leg, Walls
from lynchet.water.model import Stone, Water

_ROUNDING_M = 1e-6
_BESIDE_M = 0.1
"""So far past its end water still runs into it: there the stone of the next wall takes over. PRACTICE."""


class StoneTop(NamedTuple):
    """Top of the stone of one stretch of one wall; it may slope."""

    start_m: float
    end_m: float
    start_top_m: float
    end_top_m: float

    def near(self, start_m: float, end_m: float) -> bool:
        """Whether it lies behind some of a stretch, or right beside it."""
        return self.start_m - _BESIDE_M < end_m and self.end_m + _BESIDE_M > start_m

    def reaching(self, level_m: float) -> Interval | None:
        """Stations at which it stands as high as a level, or that lie right beside such; None where none does."""
        first, last = self.start_top_m - level_m, self.end_top_m - level_m
        if max(first, last) < -_ROUNDING_M:
            return None
        at = self.start_m + (self.end_m - self.start_m) * first / (first - last) if first * last < 0.0 else 0.0
        return (at if first < 0.0 else self.start_m) - _BESIDE_M, (at if last < 0.0 else self.end_m) + _BESIDE_M


def stone_tops(walls: Walls, water: Water) -> Mapping[tuple[str, str], Sequence[StoneTop]]:
    """By leg and chain, the stone behind it: of strips cut at other things what lies right behind the timber."""
    found: dict[tuple[str, str], list[StoneTop]] = {}
    for stone in water.stone:
        leg = walls.leg(stone.leg)
        ends = (leg.station_of(stone.start_m), stone.top_start_m), (leg.station_of(stone.end_m), stone.top_end_m)
        (start, low), (end, high) = sorted(ends)
        stations = _at_the_back(leg, stone)
        if not stations or end <= start:
            continue
        first, last = max(start, min(stations)), min(end, max(stations))
        if first <= last:
            rise = (high - low) / (end - start)
            tops = low + rise * (first - start), low + rise * (last - start)
            found.setdefault((stone.leg, stone.chain), []).append(StoneTop(first, last, *tops))
    return found


def _at_the_back(leg: Leg, stone: Stone) -> list[float]:
    """Stations of the corners of a strip of stone that lie along the timber; none where it lies farther off."""
    (x, y), (left_x, left_y) = leg.start_m, leg.normal
    middle = (stone.start_m[0] - x) * left_x + (stone.start_m[1] - y) * left_y
    side = 1.0 if middle > leg.thickness_m / 2.0 else -1.0
    return [
        leg.station_of((px, py))
        for px, py in stone.outline_m
        if side * ((px - x) * left_x + (py - y) * left_y - middle) + stone.width_m / 2.0 <= _BESIDE_M
    ]
