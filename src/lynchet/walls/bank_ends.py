"""Where fronts end at banks: the soil of the upper bank goes on at 1 in 2 round the end of the timber.

Looked at along rays fanned round the end of the front (round the head of the upper bank where that is dug), from the
front, over the lower bed and its bank, to the upper bank. The level along a ray is that of the highest slope of 1 in 2
that runs down to it from the upper bank and the ground beside it; it ends where that comes down to the lower bed, its
bank or the ground.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, ceil, cos, dist, inf, pi, radians, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.plane import Point, distance_to_segment, dot, minus, move, unit
from lynchet.ground.model import Surface
from lynchet.project.things import House
from lynchet.terraces.model import OUTSIDE, Face, Level, Side, Terraces, WallLine
from lynchet.terraces.worth_a_wall import LEAST_M
from lynchet.walls.bank import BANK_SLOPE, Bank
from lynchet.walls.bank_end import BankEnd
from lynchet.walls.bank_reach import FAN, FURTHEST_M, LITTLE_M, Ray, Reach, first_zeros, ground_at
from lynchet.walls.model import Leg

_OUT_M = 0.1
_ASIDE_M = 1e-3
_NEAR_M, _PAST_M = 0.02, 0.01
_ALONG = 0.5 * pi + radians(1.0)
"""A ray so near to the edge stands for the one along it, and shows where the lower bed ends."""
_HELD_M = 0.05
"""What lies against the timber of the upper bed ends there."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Shaped:
    """The yard outside as it is known when ends of banks are looked at."""

    terraces: Terraces
    surface: Surface
    houses: Sequence[House]
    reaches: Mapping[str, Sequence[Reach]]
    banks: Sequence[Bank]

    def ground(self, points: Array) -> Array:
        """Levels of the ground at plan points (n, 2), measured or gone on."""
        return ground_at(self.surface, points, self.terraces.fall)


@dataclass(frozen=True)
class Meeting:
    """The end of a front at an edge whose two beds both end as banks there."""

    line: WallLine
    at_m: Point
    out: Point
    aside: Point
    """Unit vector along the edge, toward the lower bed."""
    upper: Face
    lower: Face
    up: Ray
    low: Ray

    @property
    def step_m(self) -> float:
        """The upper bed's level over the lower one's."""
        return self.upper.level_m - self.lower.level_m


@dataclass(frozen=True, eq=False)
class Crest:
    """Out from the edge along the end of the upper bank, and along the ground past it as far as the lower is dug."""

    off_m: Array
    places: Array
    levels_m: Array

    def over(self, points: Array) -> Array:
        """Levels at plan points (n, 2) of the highest slope of 1 in 2 that runs down to them from it."""
        found = np.full(len(points), -inf)
        for place, level in zip(self.places, self.levels_m, strict=True):
            found = np.maximum(found, level - BANK_SLOPE * np.hypot(*(points - place).T))
        return found


def bank_ends(shaped: Shaped, legs: Mapping[str, Leg]) -> tuple[tuple[BankEnd, ...], tuple[Meeting, ...]]:
    """The ends of banks as they are shaped, the lowest first, and those for which there is no room.

    Args:
        shaped: ground, beds and banks.
        legs: with the walls that are built on them, by id.
    """
    lines = [line for line in shaped.terraces.lines if line.id in shaped.reaches]
    found = [one for line in lines for one in _meetings(line, shaped, legs[line.id])]
    ends: list[BankEnd] = []
    without: list[Meeting] = []
    for one in sorted(found, key=lambda one: one.upper.level_m):
        end = _shaped(one, shaped, ends)
        if end is None:
            without.append(one)
        else:
            ends.append(end)
    return tuple(ends), tuple(without)


def _meetings(line: WallLine, shaped: Shaped, leg: Leg) -> Iterator[Meeting]:
    out, reaches = (-leg.normal[0], -leg.normal[1]), shaped.reaches[line.id]
    for one, other in pairwise(line.sides):
        beds = [_bed(side, shaped.terraces) for side in (one, other)]
        at = one.end_m
        if beds[0] is None or beds[1] is None or abs(beds[0].level_m - beds[1].level_m) <= LEAST_M:
            continue
        if any(leg.segment_at(at + off) is not None for off in (-_NEAR_M, _NEAR_M)):
            continue
        rays = [_ray(reaches, bed.id, at) for bed in beds if bed is not None]
        if any(ray is None or ray.reach_m == inf for ray in rays):
            continue
        way, high = leg.direction, beds[0].level_m > beds[1].level_m
        order = (0, 1) if high else (1, 0)
        aside = way if high else (-way[0], -way[1])
        (upper, up), (lower, low) = ((beds[i], rays[i]) for i in order)
        assert upper is not None and lower is not None and up is not None and low is not None
        yield Meeting(line, leg.point_at(at), out, aside, upper, lower, up, low)


def _bed(side: Side, terraces: Terraces) -> Face | None:
    face = terraces.face(side.left)
    return face if side.right == OUTSIDE and face is not None and isinstance(face.finish, Level) else None


def _ray(reaches: Sequence[Reach], face: str, station_m: float) -> Ray | None:
    rays = [ray for reach in reaches if reach.face == face for ray in reach.rays]
    return next((ray for ray in rays if abs(ray.station_m - station_m) < _ASIDE_M), None)


def _shaped(one: Meeting, shaped: Shaped, made: Sequence[BankEnd]) -> BankEnd | None:
    """The end as it is shaped; None where it finds no room: before the lower bed ends, at steps, a path or a
    house, or in the width of the bank."""
    front = _front(one, shaped.terraces)
    if front is None:
        return None
    crest = _crest(one, shaped)
    rays = _fan(one, front, one.up.reach_m if one.up.raised < 0 else 0.0)
    starts = np.array([move(one.at_m, one.out, far) for far, _ in rays])
    angles = np.array([angle for _, angle in rays])
    ways = np.outer(np.cos(angles), one.out) + np.outer(np.sin(angles), one.aside)
    fan = starts, ways, [far == 0.0 for far, _ in rays]
    reach = _reach(one, shaped, made, (crest, fan), min(FURTHEST_M, 2.0 * one.step_m / BANK_SLOPE + 1.0))
    if np.isinf(reach).any():  # seldom: most come down so near
        reach = _reach(one, shaped, made, (crest, fan), FURTHEST_M)
    if np.isinf(reach).any() or not reach.any():
        return None
    toes = starts + reach[:, None] * ways
    edge = one.line.start_m, one.line.end_m
    if any(distance_to_segment(_point(toe), *edge) > one.line.bank_width_m + LITTLE_M
           for toe, angle in zip(toes, angles, strict=True) if angle < _ALONG):  # fmt: skip
        return None
    low = crest.over(toes)
    tops = _tops(one, crest, [far for far, _ in rays], (toes, low))
    return BankEnd(
        one.line.id, one.upper.id, one.lower.id, one.upper.level_m, one.step_m,
        tuple(_point(place) for place, _ in tops), tuple(level for _, level in tops),
        tuple(_point(toe) for toe in toes), tuple(low.tolist()),
    )  # fmt: skip


def _reach(
    one: Meeting,
    shaped: Shaped,
    made: Sequence[BankEnd],
    soil: tuple[Crest, tuple[Array, Array, Sequence[bool]]],
    far_m: float,
) -> Array:
    """How far out along each ray the soil comes down; infinite where it does not so far out, or may not lie."""
    crest, (starts, ways, from_front) = soil
    out = np.arange(0.0, far_m + _OUT_M / 2, _OUT_M)
    points = starts[:, None, :] + out[None, :, None] * ways[:, None, :] + _ASIDE_M * np.array(one.aside)
    levels = crest.over(points.reshape(-1, 2)).reshape(points.shape[:2])
    under, barred = _under(one, shaped, made, (points, levels))
    gap = levels - under
    gap[from_front, 0] = one.step_m  # there the lower bed begins
    reach = first_zeros(out, gap)
    return np.where((barred & (out[None, :] < reach[:, None])).any(axis=1), inf, reach)


def _tops(one: Meeting, crest: Crest, far: Sequence[float], toes: tuple[Array, Array]) -> list[tuple[Point, float]]:
    """Where the soil at each toe comes down from, and the level there: the start of its ray, so far out; where the
    ground beside the toe of the upper bank stands over the cone from the front, that toe."""
    foot, found = one.up.reach_m, []
    turns = one.up.raised > 0 and crest.off_m[-1] > foot + _NEAR_M
    for out, toe, level in zip(far, *toes, strict=True):
        over = turns and level > crest.levels_m[0] - BANK_SLOPE * dist(toe, one.at_m) + _ASIDE_M
        out = foot if over else out
        found.append((move(one.at_m, one.out, out), float(np.interp(out, crest.off_m, crest.levels_m))))
    return found


def _front(one: Meeting, terraces: Terraces) -> float | None:
    """The angle at which the front leaves the edge, from straight out round over the lower bed; None without one."""
    beds = {one.upper.id, one.lower.id}
    for line in terraces.lines:
        for here, there, side in (
            (line.start_m, line.end_m, line.sides[0]), (line.end_m, line.start_m, line.sides[-1]),
        ):  # fmt: skip
            if line.role != "edge" and {side.left, side.right} == beds and dist(here, one.at_m) < _NEAR_M:
                way = unit(minus(there, here))
                return atan2(dot(way, one.aside), dot(way, one.out)) % (2.0 * pi)
    return None


def _crest(one: Meeting, shaped: Shaped) -> Crest:
    far, foot = max(one.up.reach_m, one.low.reach_m if one.low.raised < 0 else 0.0), one.up.reach_m
    past = np.arange(foot + _OUT_M, far, _OUT_M).tolist()  # the bank itself falls 1 in 2: its higher end tells it all
    off = np.array(sorted({0.0, foot, far, *past}))
    places = np.array(one.at_m) + off[:, None] * np.array(one.out)
    bank = one.upper.level_m - one.up.raised * BANK_SLOPE * off
    return Crest(off, places, np.where(off <= foot, bank, shaped.ground(places) if far > foot else bank))


def _fan(one: Meeting, front: float, head: float) -> list[tuple[float, float]]:
    """Rays from the front round to straight out, with one beside the edge: how far out from the edge each begins, and
    its angle."""
    if head == 0.0:
        return [(0.0, angle) for angle in (*_parts(front, _ALONG), *_parts(_ALONG, 0.0), 0.0)]
    if front >= pi:  # what lies behind the end of the front is not seen from the head of the bank
        return [*((0.0, angle) for angle in (*_parts(front, pi), pi)),
                *((head, angle) for angle in (*_parts(pi, _ALONG), *_parts(_ALONG, 0.0), 0.0))]  # fmt: skip
    far = [share * one.step_m / BANK_SLOPE for share in (0.3, 0.65, 1.0)]
    seen = [atan2(q * sin(front) + _PAST_M, q * cos(front) - head) for q in far]  # against the timber of the front
    return [(head, angle) for angle in (pi, *seen, *_parts(seen[-1], 0.0)[1:], 0.0)]


def _parts(first: float, last: float) -> list[float]:
    """Angles from the first to the last, the last left out."""
    count = max(1, ceil((first - last) / FAN))
    return [first + (last - first) * i / count for i in range(count)]


def _under(
    one: Meeting, shaped: Shaped, made: Sequence[BankEnd], over: tuple[Array, Array]
) -> tuple[Array, NDArray[np.bool_]]:
    """What lies under rays, and where no soil may lie.

    Args:
        one: the meeting.
        shaped: the yard.
        made: ends shaped before, which lie lower.
        over: (rays, places, 2) plan points along rays, and (rays, places) the levels of the soil there.

    Returns:
        (rays, places) levels, over the soil's where it ends against the upper bed; and whether it may not lie there.
    """
    import shapely

    flat, levels = over[0].reshape(-1, 2), over[1].reshape(-1)
    found, barred = shaped.ground(flat), np.zeros(len(flat), dtype=np.bool_)
    box = shapely.box(*flat.min(axis=0), *flat.max(axis=0))
    own = (one.line.id, one.upper.id)
    banks = [bank for bank in shaped.banks if (bank.line, bank.face) != own]
    outside: list[Bank | BankEnd] = [*banks, *made]
    for bank in outside:
        on = _on(bank.polygon, flat, box)
        if on.any():
            found[on] = bank.levels_at(flat[on])
    below, above = (_on(face.polygon, flat, box) for face in (one.lower, one.upper))
    found[below] = one.lower.level_m
    for end in (end for end in made if end.onto == one.lower.id):
        on = below & _on(end.polygon, flat, box)
        found[on] = np.maximum(found[on], end.levels_at(flat[on])) if on.any() else found[on]
    found[above & ~below] = levels[above & ~below] + _HELD_M
    rest = [shapely.Polygon(house.outline_m) for house in shaped.houses]
    rest += [face.polygon for face in shaped.terraces.faces if face.id not in (one.lower.id, one.upper.id)]
    for shape in rest:
        barred |= _on(shape, flat, box) & ~below & ~above
    rays = below.reshape(over[1].shape).copy()
    rays[:, 0] = False  # on the edge
    barred |= np.maximum.accumulate(rays, axis=1).reshape(-1) & ~below & ~above
    found[barred] = levels[barred] - _HELD_M  # so that no ray ends there
    return found.reshape(over[1].shape), barred.reshape(over[1].shape)


def _on(shape: Any, flat: Array, box: Any) -> NDArray[np.bool_]:
    """Which plan points lie on a shape, those of a box round them all."""
    import shapely

    if not shape.intersects(box):
        return np.zeros(len(flat), dtype=np.bool_)
    return np.asarray(shapely.intersects_xy(shape, flat))


def _point(at: Any) -> Point:
    return float(at[0]), float(at[1])
