"""Where weep holes may be bored: timber over the ground in front, under what is held, with nothing else there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt

from lynchet.core.changed import changed
from lynchet.core.intervals import Interval, common, joined, without
from lynchet.core.quick import quick
from lynchet.core.standing import Open
from lynchet.stability.held_stretches import HeldStretch
from lynchet.stability.model import WEEP_BORE_M, WEEP_FALL_M
from lynchet.stability.stone_behind import StoneTop
from lynchet.terraces.model import Flight
from lynchet.walls.model import End, Leg, Run, Walls

OVER_GROUND_M = 0.02
"""Lower edge of the bore at the front over the ground there, so that no soil closes it. PRACTICE."""
UNDER_TOP_M = 0.02
"""Upper edge of the bore at the back under the ground held, where it would let out no water. PRACTICE."""
HEIGHTS = (0.25, 0.5, 0.75)
"""Of its course at which a hole is bored, the lowest that clears the ground: no nearer to an edge of the timber than a
bore, and told by plain shares. PRACTICE."""
NOTCH_CLEAR_M = 0.15
JOINT_CLEAR_M = 0.15
EDGE_M = WEEP_BORE_M / 4.0
"""Of timber left over a bore at the back, where it lies higher than in front, and under it in front. PRACTICE."""
STEEL_CLEAR_M = 0.04
"""From the middle of a bore to that of a pin."""
BEFORE_M = 0.3
"""Steps that come nearer to the timber than this stand before it: no hole could be rinsed there. PRACTICE."""
STEP_CLEAR_M = 0.04
"""From the side of a step to the middle of a bore. PRACTICE."""
_EDGE_UP_M = WEEP_BORE_M / 2.0 + EDGE_M
_BORED_M = WEEP_FALL_M + WEEP_BORE_M
"""From the lower edge of a bore in front to its upper edge at the back."""


@quick
@dataclass(frozen=True)
class Room:
    """A stretch at each station of which a hole may be bored through one run."""

    start_m: float
    end_m: float
    run: Run
    up_m: float
    """Over the underside of its course, at the front."""


def steps_before(leg: Leg, flights: Sequence[Flight]) -> list[Interval]:
    """Stations of a wall with steps set against it, a little more on both sides."""
    (x, y), (along_x, along_y), (left_x, left_y) = leg.start_m, leg.direction, leg.normal
    found = []
    for tread in (tread for flight in flights for tread in flight.treads):
        away = [(px - x, py - y) for px, py in tread.outline_m]
        lefts = [dx * left_x + dy * left_y for dx, dy in away]
        if min(lefts) < leg.thickness_m + BEFORE_M and max(lefts) > -BEFORE_M:
            stations = [dx * along_x + dy * along_y for dx, dy in away]
            found.append((min(stations) - STEP_CLEAR_M, max(stations) + STEP_CLEAR_M))
    return found


Lap = tuple[Run, End, float]
"""A run, one of its ends at a lapped corner, +1 where the run lies after that end."""
Laps = Mapping[tuple[str, int], Sequence[Lap]]
"""By leg and course, the laps of the course above, whichever of the two legs laps."""


def laps_above(walls: Walls) -> Laps:
    """The lapped corners: a pin of each goes through the course below."""
    found: dict[tuple[str, int], list[Lap]] = {}
    for run in walls.runs:
        for end, inward in ((run.start, 1.0), (run.end, -1.0)):
            if end.kind == "lap" and end.other:
                for leg in (run.leg, end.other):
                    found.setdefault((leg, run.course - 1), []).append((run, end, inward))
    return found


@dataclass(frozen=True)
class Free:
    """Where holes may lie in the courses of one wall, whatever the ground: clear of laps, ends, other timber, notches,
    standing joints and pins of corners."""

    walls: Walls
    leg: str
    gaps: Sequence[Open]
    """Notches and other openings of the wall."""
    laps: Laps
    _known: dict[int, list[Interval]] = field(default_factory=dict)

    def of(self, course: int) -> list[Interval]:
        """Free stations of a course."""
        if course not in self._known:
            taken = [(low - NOTCH_CLEAR_M, high + NOTCH_CLEAR_M) for at, low, high in self.gaps if at == course]
            joints = self.walls.standing.cuts(self.leg, course) or ()
            taken += [(joint - JOINT_CLEAR_M, joint + JOINT_CLEAR_M) for joint in joints]
            taken += [self._about_pins(lap) for lap in self.laps.get((self.leg, course), ())]
            self._known[course] = without(_windows(self.walls, self.leg, course), taken)
        return self._known[course]

    def _about_pins(self, lap: Lap) -> Interval:
        """Stations about the pins of a lap: they stand a quarter of the width off its middle, this way or that."""
        run, end, inward = lap
        leg, other = self.walls.leg(run.leg), self.walls.leg(end.other)
        (x, y), (dx, dy) = leg.direction, other.direction
        half = other.thickness_m / (2.0 * max(abs(x * dy - y * dx), 0.5))
        middle = leg.point_at((end.line_m + end.far_m) / 2.0 + inward * half, run.offset_m + leg.thickness_m / 2.0)
        at, reach = self.walls.leg(self.leg).station_of(middle), leg.thickness_m / 4.0 * sqrt(2.0) + STEEL_CLEAR_M
        return at - reach, at + reach


def rooms(walls: Walls, leg: Leg, row: HeldStretch, taken: Sequence[Interval], free: Free) -> list[Room]:
    """Room along a stretch, free of all that is in the way; the lowest where two serve.

    Args:
        walls: runs.
        leg: the wall.
        row: a stretch of it.
        taken: stations where no hole may be, whatever its height.
        free: of the wall.

    Returns:
        Disjoint, in order along the wall.
    """
    found: list[Room] = []
    for run, up, where in _heights(walls, leg, row):
        left = common(where, free.of(run.course))
        left = without(left, [*taken, *((one.start_m, one.end_m) for one in found)]) if left else left
        found += [Room(low, high, run, up) for low, high in left]
    return sorted(found, key=lambda room: room.start_m)


def in_stone(room: Sequence[Room], stone: Sequence[StoneTop]) -> list[Room]:
    """What of each begins in stone: water in full stone runs into the bore, whose lower edge at the back is no higher.

    Args:
        room: in order along one wall.
        stone: of its pocket, behind that wall.
    """
    found = []
    for one in room:
        edge = one.run.bottom_m + one.up_m + WEEP_FALL_M - WEEP_BORE_M / 2.0
        near = [top.reaching(edge) for top in stone if top.near(one.start_m, one.end_m)]
        left = common([(one.start_m, one.end_m)], joined(where for where in near if where is not None))
        found += [changed(one, start_m=low, end_m=high) for low, high in left]
    return found


def _heights(walls: Walls, leg: Leg, row: HeldStretch) -> Iterator[tuple[Run, float, list[Interval]]]:
    """Runs with heights in them and where those would do, the lowest first: clear of the ground in front and under the
    ground held; and no higher than a course over the ground in front, but for the lowest that does."""
    low, high = _levels(row)
    least, most = min(low) + OVER_GROUND_M, max(high) - _BORED_M - UNDER_TOP_M
    lower: list[Interval] = []
    for course in range(row.segment.base, row.segment.top + 1):
        for run in walls.runs_of(leg.id, course):
            start, end, course_m = *run.inner_m, run.top_m - run.bottom_m
            if start >= row.end_m or end <= row.start_m:
                continue
            for share in HEIGHTS:
                up_m = share * course_m
                under = run.bottom_m + up_m - WEEP_BORE_M / 2.0
                whole = _EDGE_UP_M <= up_m <= course_m - WEEP_FALL_M - _EDGE_UP_M
                if not (whole and least <= under <= most):
                    continue
                seen = _rising(row, under - OVER_GROUND_M - low[0], under - OVER_GROUND_M - low[1])
                let_out = _rising(row, high[0] - under - (over := _BORED_M + UNDER_TOP_M), high[1] - under - over)
                clear = max(start, seen[0], let_out[0]), min(end, seen[1], let_out[1])
                if clear[0] < clear[1]:
                    if where := _not_higher(row, clear, lower, under + _BORED_M - course_m, low):
                        yield run, up_m, where
                    lower.append(clear)


def _not_higher(
    row: HeldStretch, clear: Interval, lower: Sequence[Interval], highest_m: float, low_m: tuple[float, float]
) -> list[Interval]:
    """What of a clear stretch no lower height serves, or where this one is no higher than a course over the ground."""
    if not lower:
        return [clear]
    near = common([clear], [_rising(row, low_m[0] - highest_m, low_m[1] - highest_m)])
    if near == [clear] or any(first <= clear[0] and clear[1] <= last for first, last in lower):
        return near
    return joined([*without([clear], lower), *near])


def _levels(row: HeldStretch) -> tuple[tuple[float, float], tuple[float, float]]:
    """Ground in front and ground held at both ends of a stretch, straight between them."""
    (left0, right0), (left1, right1) = (row.span.levels_at(station) for station in (row.start_m, row.end_m))
    left, right = (left0, left1), (right0, right1)
    return (right, left) if row.held > 0 else (left, right)


def _rising(row: HeldStretch, first: float, last: float) -> Interval:
    """Where on a stretch something straight with these values at its ends is 0 or more; of no length where nowhere."""
    if first >= 0.0 <= last:
        return row.start_m, row.end_m
    if first < 0.0 > last:
        return row.end_m, row.start_m
    zero = row.start_m + (row.end_m - row.start_m) * first / (first - last)
    return (row.start_m, zero) if first > 0.0 else (zero, row.end_m)


def _windows(walls: Walls, leg: str, course: int) -> list[Interval]:
    return [window for one in walls.windows(leg, course, WEEP_BORE_M) for window in one.stations_m]
