"""How far ground sloped 1 in 2 outside an edge reaches before it meets the ground, and where a wall stands instead.

On level ground a bank is twice as wide as it is high; on ground that falls away it is wider, and where the ground falls
as steeply as the bank it never ends.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan2, ceil, cos, inf, radians, sin

import numpy as np
from numpy.typing import NDArray

from lynchet.core.intervals import Interval, joined
from lynchet.core.plane import Point, cross, dot, minus, move, unit
from lynchet.ground.model import Surface
from lynchet.ground.surface import beyond, level_at
from lynchet.project.things import House
from lynchet.terraces.model import OUTSIDE, Face, Level, Terraces, WallLine
from lynchet.terraces.worth_a_wall import LEAST_M
from lynchet.walls.bank import BANK_SLOPE, Bank
from lynchet.walls.bank_barriers import Barrier, first_met
from lynchet.walls.bank_barriers import barriers as barriers_of
from lynchet.walls.model import Leg

FURTHEST_M = 10.0
"""Banks are followed so far out. PRACTICE: one that is wider is no edge of a bed."""
LITTLE_M = 0.3
"""Round a corner, and round the end of a front, a bank may reach so much further than its width. PRACTICE."""
_ALONG_M, _OUT_M = 0.25, 0.1
_MEASURED_M = 0.35
"""Ground so near to a level measured counts as measured."""
_SAME_M = 1e-6
_CLOSE_M, _HALVINGS = 0.005, 8
_CORNER_M = 1e-4
_STRAIGHT, FAN = radians(1.0), radians(20.0)
"""Edges that turn less run on; a cone is shaped in parts of this angle at most."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Ray:
    """A line on the plan down a bank: square to its edge, fanned round a corner, or along a valley."""

    station_m: float
    way: Point
    """The bank falls 1 in 2 along a metre of it; in a valley such a metre lies a metre off both edges."""
    raised: int
    """1 where the bed stands over the ground at the edge, -1 where it lies under it, 0 where they are level."""
    reach_m: float
    """Along it, to where the bank meets the ground; infinite where it does not within ``FURTHEST_M``."""
    known_m: float
    """So far out the ground is measured; past it it is taken to go on as it falls across the yard."""


@dataclass(frozen=True)
class Reach:
    """The rays of one bed along one edge, in order."""

    line: str
    face: str
    level_m: float
    rays: tuple[Ray, ...]

    def corners_m(self, width_m: float) -> float:
        """How far the bank reaches round the corners at its ends, of those up to which it is shaped as it meets the
        ground there within a width (m); infinite where it does not end."""
        found = 0.0
        for rays in (self.rays, self.rays[::-1]):
            round_it = [ray.reach_m for ray in rays if abs(ray.station_m - rays[0].station_m) < _SAME_M]
            if len(round_it) > 1 and round_it[-1] <= width_m + _SAME_M:  # the last of them is square to the edge
                found = max(found, *round_it)
        return found

    def past(self, width_m: float) -> list[Interval]:
        """Stations between which the bank does not meet the ground within a width (m): a wall stands there."""
        found = []
        for one, other in pairwise(self.rays):
            a, b = (min(ray.reach_m, 2.0 * FURTHEST_M) - width_m for ray in (one, other))
            if max(a, b) <= _SAME_M or other.station_m - one.station_m < _SAME_M:
                continue
            cut = one.station_m + (other.station_m - one.station_m) * (a / (a - b) if a != b else 0.0)
            found.append((one.station_m if a > 0.0 else cut, other.station_m if b > 0.0 else cut))
        return joined(found, 1e-9)


def bank_reaches(
    terraces: Terraces, surface: Surface, legs: Mapping[str, Leg], houses: Sequence[House]
) -> dict[str, tuple[Reach, ...]]:
    """Of every edge that ends as a bank, the banks of the beds along it.

    Args:
        terraces: lines, beds and their levels.
        surface: the ground.
        legs: the lines with the levels beside them, by id.
        houses: of the file; no bank lies against one.
    """
    banks = [line for line in terraces.lines if line.finish == "bank" and line.bank_width_m > 0.0]
    found = barriers_of(terraces, houses) if banks else []
    return {line.id: tuple(_reaches(line, found, terraces, surface, legs[line.id])) for line in banks}


def _reaches(
    line: WallLine,
    barriers: Sequence[Barrier],
    terraces: Terraces,
    surface: Surface,
    leg: Leg,
) -> Iterator[Reach]:
    out = (-leg.normal[0], -leg.normal[1])
    beds: list[tuple[Face, int]] = []
    ways: list[tuple[float, Point]] = []
    levels: list[float] = []
    for side in line.sides:
        bed = terraces.face(side.left)
        if side.right != OUTSIDE or bed is None or not isinstance(bed.finish, Level):
            continue
        bends = [span.end_m for span in leg.spans if side.start_m < span.end_m < side.end_m]
        count = max(2, int((side.end_m - side.start_m) / _ALONG_M) + 2)
        stations = sorted({*np.linspace(side.start_m, side.end_m, count).tolist(), *bends})
        mine = [(station, out) for station in stations]
        mine = _with_corners(line, terraces, (side.start_m, side.end_m, bed.id), mine)
        beds.append((bed, len(mine)))
        ways += mine
        levels += [bed.finish.level_m] * len(mine)
    if not ways:
        return
    rays = _rays(leg, ways, np.array(levels), (surface, terraces.fall), line.bank_width_m + _OUT_M)
    far = [i for i, ray in enumerate(rays) if ray.reach_m == inf]
    if far:  # the few that do not end in their width: how wide would do is told
        again = _rays(leg, [ways[i] for i in far], np.array(levels)[far], (surface, terraces.fall), FURTHEST_M)
        for i, ray in zip(far, again, strict=True):
            rays[i] = ray
    starts, along = np.array([leg.point_at(ray.station_m) for ray in rays]), np.array([ray.way for ray in rays])
    met = iter(first_met(starts, along, [one for one in barriers if one.line != line.id]))
    left = iter(rays)
    for bed, count in beds:
        yield Reach(line.id, bed.id, bed.level_m, tuple(_stopped(next(left), bed, *next(met)) for _ in range(count)))


def _stopped(ray: Ray, bed: Face, off_m: float, barrier: Barrier | None) -> Ray:
    """A bank that is filled ends at a bed that lies no lower there; at a lower one, at a house, and where it is dug,
    it does not end as a bank may."""
    if barrier is None or off_m >= ray.reach_m:
        return ray
    face = barrier.bed
    level = bed.level_m - BANK_SLOPE * off_m
    ends = face is not None and (face is bed or (ray.raised > 0 and face.level_m >= level))
    return replace(ray, reach_m=off_m if ends else inf)


def _with_corners(
    line: WallLine, terraces: Terraces, stretch: tuple[float, float, str], ways: list[tuple[float, Point]]
) -> list[tuple[float, Point]]:
    """Rays with those round the corners at which the stretch ends.

    Round a corner that stands out the bank goes on as part of a cone; where the next edge is a bank of the same bed
    too, each does half of it. In a corner that goes in, rays that would cross the next edge are left out, or laid
    along it.
    """
    start, end, bed = stretch
    found = list(ways)
    for first in (True, False):
        if (start > _SAME_M) if first else (end < line.length_m - _SAME_M):
            continue
        at = start if first else end
        other = next_edge(line, terraces, first)
        if other is None or other.finish == "house" or other.source[:1] != "A":  # a path goes on there, say
            continue
        both = other.finish == "bank" and _beds(other, first) == (bed, OUTSIDE)
        mine, its = unit(minus(line.end_m, line.start_m)), unit(minus(other.end_m, other.start_m))
        turn = atan2(cross(its, mine), dot(its, mine)) if first else atan2(cross(mine, its), dot(mine, its))
        if turn > _STRAIGHT:
            fan = [(at, way) for way in _fan(mine, (-turn if first else turn) * (0.5 if both else 1.0))]
            found = [*reversed(fan), *found] if first else [*found, *fan]
        elif turn < -_STRAIGHT:
            found = _in_the_valley(line, other, found, (first, both))
    return found


def next_edge(line: WallLine, terraces: Terraces, first: bool) -> WallLine | None:
    """The edge of the area that ends where a line starts (``first``), or starts where it ends."""
    x, y = line.start_m if first else line.end_m
    for other in terraces.lines:
        there = other.end_m if first else other.start_m
        if other is not line and other.role == "edge" and max(abs(there[0] - x), abs(there[1] - y)) <= _CORNER_M:
            return other
    return None


def _beds(line: WallLine, first: bool) -> tuple[str, str]:
    """What lies left and right of the edge before a corner (``first``) or after it, there."""
    side = line.sides[-1] if first else line.sides[0]
    return side.left, side.right


def _fan(way: Point, turn: float) -> list[Point]:
    """Unit vectors from the one square to a line round by an angle (radians), the first left out."""
    count = max(1, ceil(abs(turn) / FAN))
    out = (way[1], -way[0])
    angles = [turn * (i + 1) / count for i in range(count)]
    return [(out[0] * cos(a) - out[1] * sin(a), out[0] * sin(a) + out[1] * cos(a)) for a in angles]


def _in_the_valley(
    line: WallLine, other: WallLine, ways: list[tuple[float, Point]], corner: tuple[bool, bool]
) -> list[tuple[float, Point]]:
    """Rays beside a corner that goes in: with one along the valley between two banks of one bed, else with one laid
    along the next edge, where that stands so that a ray square to the line would cross it."""
    first, both = corner
    way, its = unit(minus(line.end_m, line.start_m)), unit(minus(other.end_m, other.start_m))
    at, out = ways[0][0] if first else ways[-1][0], (way[1], -way[0])
    share = 1.0 + dot(way, its)
    if both and share > 0.2:
        valley = ((out[0] + its[1]) / share, (out[1] - its[0]) / share)
        along = abs(dot(valley, way)) * line.bank_width_m
        kept = [one for one in ways if abs(one[0] - at) >= along]
        if kept:
            return [(at, valley), *kept] if first else [*kept, (at, valley)]
    leaving, inward = ((-its[0], -its[1]), way) if first else (its, (-way[0], -way[1]))
    if dot(leaving, out) > 0.05 and dot(leaving, inward) > _SAME_M:
        ray = (at, (leaving[0] / dot(leaving, out), leaving[1] / dot(leaving, out)))
        return [ray, *ways[1:]] if first else [*ways[:-1], ray]
    return ways


def _rays(
    leg: Leg, ways: Sequence[tuple[float, Point]], levels_m: Array, ground_fall: tuple[Surface, Point], far_m: float
) -> list[Ray]:
    surface, fall = ground_fall
    off = np.arange(0.0, far_m + _OUT_M / 2, _OUT_M)
    starts, along = np.array([leg.point_at(station) for station, _ in ways]), np.array([way for _, way in ways])
    points = starts[:, None, :] + off[None, :, None] * along[:, None, :]
    ground = level_at(surface, points.reshape(-1, 2)).reshape(points.shape[:2])
    blank = np.isnan(ground)
    last = np.where(blank.any(axis=1), np.maximum(blank.argmax(axis=1) - 1, 0), len(off) - 1)
    if blank.any():
        ground[blank] = beyond(surface, points[blank], fall)
    gap = levels_m[:, None] - ground
    raised = np.where(np.abs(gap[:, 0]) <= LEAST_M, 0.0, np.sign(gap[:, 0]))
    over = raised[:, None] * gap - BANK_SLOPE * off[None, :]

    def over_at(rows: NDArray[np.intp], far: Array) -> Array:
        there = ground_at(surface, starts[rows] + far[:, None] * along[rows], fall)
        return raised[rows] * (levels_m[rows] - there) - BANK_SLOPE * far

    reach = np.where(raised != 0.0, closer_zeros(first_zeros(off, over), over_at), 0.0)
    return [
        Ray(station, way, int(sign), far, known)
        for (station, way), sign, far, known in zip(
            ways, raised.tolist(), reach.tolist(), off[last].tolist(), strict=True
        )
    ]


def first_zeros(off: Array, over: Array) -> Array:
    """Where each row first comes down to zero, straight between its samples; infinite where it does not."""
    under = over <= 0.0
    i = under.argmax(axis=1)
    before = np.maximum(i - 1, 0)
    rows = np.arange(len(over))
    high, low = over[rows, before], over[rows, i]
    share = high / np.where(high > low, high - low, 1.0)
    found = np.where(i > 0, off[before] + (off[i] - off[before]) * share, 0.0)
    return np.where(under.any(axis=1), found, inf)


def closer_zeros(found: Array, over_at: Callable[[NDArray[np.intp], Array], Array]) -> Array:
    """Zeros found between samples, where the ground is no straight line between them: at the rim of what is measured
    thin triangles may drop by a quarter of a metre at once, and soil would end in the air.

    Args:
        found: (n,) distances out, straight between samples; infinite, or 0, where there is none to look for.
        over_at: the heights over the ground of some of the rows, so far out.
    """
    rows = np.flatnonzero(np.isfinite(found) & (found > 0.0))
    at = found[rows]
    over = over_at(rows, at)
    far = np.abs(over) > _CLOSE_M
    if not far.any():
        return found
    rows, at, over = rows[far], at[far], over[far]
    low = np.floor(at / _OUT_M) * _OUT_M
    high = low + _OUT_M
    for _ in range(_HALVINGS):
        low, high = np.where(over > 0.0, at, low), np.where(over > 0.0, high, at)
        at = 0.5 * (low + high)
        over = over_at(rows, at)
    closer = found.copy()
    closer[rows] = at
    return closer


def ground_at(surface: Surface, points: Array, fall: Point) -> Array:
    """Levels of the ground at plan points (n, 2), measured or gone on as it falls."""
    found = level_at(surface, points)
    blank = np.isnan(found)
    if blank.any():
        found[blank] = beyond(surface, points[blank], fall)
    return found


def banks_of(
    reaches: Mapping[str, Sequence[Reach]], legs: Mapping[str, Leg], surface: Surface, fall: Point
) -> tuple[Bank, ...]:
    """The banks as they are shaped: beside the walls that stand on their lines, each with the line of its toe.

    Args:
        reaches: of every edge that ends as a bank.
        legs: with the walls that are built on them, by id.
        surface: the ground.
        fall: its mean gradient, uphill.
    """
    found = []
    for name, beds in reaches.items():
        leg = legs[name]
        for reach in beds:
            rays = _cut_at_walls(leg, reach, (surface, fall))
            for sign in (1, -1):
                found += [_bank(leg, reach, part) for part in _stretches(leg, rays, sign)]
    return tuple(found)


def _stretches(leg: Leg, rays: Sequence[Ray], sign: int) -> Iterator[list[Ray]]:
    """Rays in order along each stretch without a wall on which the bank is filled (1) or dug (-1)."""
    row: list[Ray] = []
    found: list[list[Ray]] = []
    for one, other in pairwise(rays):
        signs, middle = {one.raised, other.raised}, 0.5 * (one.station_m + other.station_m)
        ends = max(one.reach_m, other.reach_m) < inf
        if sign in signs and -sign not in signs and ends and leg.segment_at(middle) is None:
            row = [*(row or [one]), other]
        elif row:
            found.append(row)
            row = []
    found.append(row)
    for row in found:
        if row and row[-1].station_m - row[0].station_m > _SAME_M:  # no part of a cone round a corner by itself
            yield row


def _cut_at_walls(leg: Leg, reach: Reach, ground_fall: tuple[Surface, Point]) -> list[Ray]:
    """The rays, and one where a wall begins or ends between two of them."""
    ends = {at for segment in leg.segments for at in (segment.start_m, segment.end_m)}
    stations = [ray.station_m for ray in reach.rays]
    new = [at for at in sorted(ends) if stations[0] < at < stations[-1]
           and min(abs(at - station) for station in stations) > _SAME_M]  # fmt: skip
    if not new:
        return list(reach.rays)
    out = (-leg.normal[0], -leg.normal[1])
    rays = _rays(leg, [(at, out) for at in new], np.full(len(new), reach.level_m), ground_fall, FURTHEST_M)
    return sorted([*reach.rays, *rays], key=lambda ray: ray.station_m)


def _bank(leg: Leg, reach: Reach, rays: Sequence[Ray]) -> Bank:
    top = tuple(leg.point_at(ray.station_m) for ray in rays)
    raised = next(ray.raised for ray in rays if ray.raised)
    return Bank(
        reach.line, reach.face, raised, reach.level_m, top,
        tuple(move(at, ray.way, ray.reach_m) for at, ray in zip(top, rays, strict=True)),
        tuple(reach.level_m - raised * BANK_SLOPE * ray.reach_m for ray in rays),
        all(ray.reach_m <= ray.known_m + _MEASURED_M for ray in rays),
    )  # fmt: skip
