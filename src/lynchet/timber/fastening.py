"""Where screws and pins go: every course to the one below, a pin in each lapped corner, screws into the ties.

A screw stands in two courses, the upper one and half the lower; so it keeps clear of whatever stands in either.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import dist, inf

import numpy as np

from lynchet.project.model import Project
from lynchet.stability.constants import PIN_DIAMETER_M, SCREW_DIAMETER_M, SCREW_SPACING_M
from lynchet.stability.model import Pin, Stability
from lynchet.timber.laps import Key, Lap, Taken, laps_of, place
from lynchet.timber.model import Fastener, FastenerKind
from lynchet.timber.openings import openings
from lynchet.timber.pins import pin_count, pin_positions_m
from lynchet.timber.sizes import CLEAR_M, CLEAR_PIN_M, CLEAR_TIE_M, CLEAR_WEEP_M, Sizes
from lynchet.walls.model import End, Leg, Piece, Run, Walls

Point = tuple[float, float]
_ROUNDS = 4
"""Times the screws are placed anew, those that found no room first."""
BASE_PIN_APART_M = 2.0 * PIN_DIAMETER_M
"""Between the middles of a corner pin and a pin of the base: one diameter of timber is left. PRACTICE."""
CORNER_PIN_APART_M = 3.0 * PIN_DIAMETER_M
"""Between the middles of corner pins of neighbouring courses, which stand in one timber. PRACTICE."""
NOTCH_APART_M = 4.0 * PIN_DIAMETER_M
"""Corner pin to the edge of a notch. PRACTICE."""


def screws(
    walls: Walls, pieces: Sequence[Piece], stability: Stability, sizes: Sizes, corners: Sequence[Fastener] = ()
) -> tuple[list[Fastener], list[Lap]]:
    """Screws of every course into the one below: two near each joint, one in each piece's end, between them evenly.

    Args:
        walls: legs and runs.
        pieces: as laid.
        stability: ties and base pins, kept clear of.
        sizes: lengths of screws.
        corners: pins of the lapped corners, kept clear of too.

    Returns:
        The screws, and the laps that none holds as they should be held.
    """
    laps = list(laps_of(walls, pieces))
    lengths = np.array([lap.high_m - lap.low_m for lap in laps])
    counts = (pin_count(lengths, SCREW_SPACING_M, 0.0) if laps else np.zeros(0)).astype(int).tolist()
    first: list[int] = []
    for _ in range(_ROUNDS):  # what found no room chooses first in the next round, and its neighbours give way
        places, loose = _places(_taken(walls, stability, corners), laps, counts, first)
        if not loose or set(loose) <= set(first):
            break
        first += [number for number in loose if number not in first]
    numbers: dict[str, int] = defaultdict(int)
    found: list[Fastener] = []
    for lap, stations in zip(laps, places, strict=True):
        for station in stations:
            numbers[lap.upper.id] += 1
            name = f"{lap.upper.id}/s{numbers[lap.upper.id]}"
            found.append(_screw(walls.leg(lap.run.leg), lap, station, name, sizes))
    return found, [laps[number] for number in loose]


def _places(
    taken: Taken, laps: Sequence[Lap], counts: Sequence[int], first: Sequence[int]
) -> tuple[list[list[float]], list[int]]:
    """Stations of the screws of every lap, some laps served first, and the numbers of those left loose."""
    places: list[list[float]] = [[] for _ in laps]
    loose = []
    for number in [*first, *(n for n in range(len(laps)) if n not in first)] if first else range(len(laps)):
        lap, missed = laps[number], False
        keys = ((lap.run.leg, lap.run.course), (lap.run.leg, lap.run.course - 1))
        for wished in pin_positions_m(lap.high_m - lap.low_m, counts[number], 0.0):
            free = place(taken, keys, lap, lap.low_m + wished)
            if free is None:
                missed = True
                continue
            for key in keys:
                taken.add(key, free, CLEAR_M)
            places[number].append(free)
        if missed and lap.loose(places[number]):
            loose.append(number)
    return places, loose


def _taken(walls: Walls, stability: Stability, corners: Sequence[Fastener]) -> Taken:
    """What stands before any screw does: ties, pins of the base, weep holes, pins of the corners."""
    taken = Taken()
    for tie in stability.ties:
        taken.add((tie.leg, tie.course), tie.station_m, CLEAR_TIE_M)
    for bar in stability.pins:
        taken.add((bar.leg, bar.course), bar.station_m, CLEAR_PIN_M)
    for hole in stability.weeps:
        taken.add((hole.leg, hole.course), hole.station_m, CLEAR_WEEP_M)
    for pin in corners:
        for name, station in _beside(walls, pin):
            for course in (pin.course, pin.course - 1):
                taken.add((name, course), station, CLEAR_PIN_M)
    return taken


def _beside(walls: Walls, pin: Fastener) -> Iterator[tuple[str, float]]:
    """Legs in whose timber a pin stands, or beside it, with its station there."""
    for leg in walls.legs:
        station = leg.station_of(pin.point_m)
        x, y = leg.point_at(station)
        if abs(x - pin.point_m[0]) + abs(y - pin.point_m[1]) < 2.0 * leg.thickness_m + 0.2:
            yield leg.id, station


def _screw(leg: Leg, lap: Lap, station: float, name: str, sizes: Sizes) -> Fastener:
    middle = (lap.run.offset_m + lap.below.offset_m + leg.thickness_m) / 2.0
    length = sizes.screw_for(lap.run.top_m - lap.below.top_m, lap.below.top_m - lap.below.bottom_m)
    return upright(name, "screw", leg, (lap.run, station, middle), (SCREW_DIAMETER_M, length))


def upright(
    name: str, kind: FastenerKind, leg: Leg, where: tuple[Run, float, float], size: tuple[float, float]
) -> Fastener:
    """A fastener driven from above at a station and a distance to the left of the line."""
    run, station, left = where
    diameter, length = size
    point = leg.point_at(station, left)
    return Fastener(
        name, kind, leg.id, run.course, station, point, point, diameter, length, run.top_m, run.top_m - length
    )


def corner_pins(
    walls: Walls, pieces: Sequence[Piece], sizes: Sizes, each: Mapping[str, int], base: Sequence[Pin] = ()
) -> list[Fastener]:
    """A pin through each lapped corner into the course below; pins of neighbouring courses stand on crossed diagonals.

    One that would come too near to a pin of the base or to a notch takes the other end of its diagonal.

    Args:
        walls: runs with their ends.
        pieces: as laid.
        sizes: lengths.
        each: pins in each lap of a leg where one is not enough.
        base: pins in the lowest courses.
    """
    by_course: dict[int, list[Piece]] = defaultdict(list)
    for piece in pieces:
        by_course[piece.course].append(piece)
    in_way = _InWay(walls, pieces, base)
    found = []
    for run in walls.runs:
        leg = walls.leg(run.leg)
        for number, end in enumerate((run.start, run.end)):
            if end.kind != "lap" or not end.other:
                continue
            inward = 1.0 if number == 0 else -1.0
            other = walls.leg(end.other)
            sine = abs(leg.direction[0] * other.direction[1] - leg.direction[1] * other.direction[0])
            middle = (end.line_m + end.far_m) / 2.0 + inward * other.thickness_m / (2.0 * max(sine, 0.5))
            lower = by_course[run.course - 1]
            places = _spots(in_way, (leg, run, end), middle, each.get(leg.id, 1), lower)
            for spot, (station, left) in enumerate(places):
                below = _under(lower, leg.point_at(station, left))
                if below is not None:
                    name = f"{run.id}/c{number + 1}" + (f".{spot + 1}" if spot else "")
                    low = below.bottom_m
                    if walls.standing.legs:  # where courses stand off their level the lower one may be let in
                        deeper = _under(by_course[run.course - 2], leg.point_at(station, left), -PIN_DIAMETER_M / 2.0)
                        low = low if deeper is None else max(low, deeper.top_m)
                    length = sizes.pin_for(run.top_m - below.top_m, below.top_m - low)
                    size = (PIN_DIAMETER_M, length)
                    found.append(upright(name, "corner pin", leg, (run, station, left), size))
    return found


def _spots(
    in_way: _InWay, corner: tuple[Leg, Run, End], middle_m: float, count: int, below: Sequence[Piece]
) -> list[Point]:
    """Stations and distances to the left of the pins in a lap; one alone stands where nothing is in its way, if that
    can be, else farthest from the pins of the courses above and below."""
    leg, run, end = corner
    spots = [_spot(leg, run, middle_m, spot) for spot in range(count)]
    legs, at = (leg.id, end.other), (end.node, run.course)
    if count == 1:
        first, place = spots[0], leg.point_at(*spots[0])
        if in_way.meets(legs, run.course, first[0], place):
            spots = [_spot(leg, run, middle_m, 1)]
        elif in_way.nearest_m(at, place) < CORNER_PIN_APART_M:  # narrow timber, or a skew corner
            others = [first, *(_spot(leg, run, middle_m, spot) for spot in (1, 2, 3))]
            free = [one for one in others if _under(below, leg.point_at(*one)) is not None
                    and not in_way.meets(legs, run.course, one[0], leg.point_at(*one))]  # fmt: skip
            away = {one: in_way.nearest_m(at, leg.point_at(*one)) for one in free}
            spots = [max(free, key=away.__getitem__, default=first)]
    in_way.corners[at] += [leg.point_at(*one) for one in spots]
    return spots


def _spot(leg: Leg, run: Run, middle_m: float, spot: int) -> Point:
    """Station and distance to the left: a quarter of the width off the middle, by the course's parity and number; 0
    and 1 lie on one diagonal, 2 and 3 on the other."""
    off = leg.thickness_m / 4.0
    side = 1.0 if (run.course % 2 == 0) == (spot < 2) else -1.0
    along = 1.0 if spot % 2 == 0 else -1.0
    # world diagonals, not the leg's own: the course below belongs to the other leg and takes the other diagonal
    ux, uy = leg.direction
    dx, dy = (off * along, off * along * side)
    return middle_m + dx * ux + dy * uy, run.offset_m + leg.thickness_m / 2.0 + dx * leg.normal[0] + dy * leg.normal[1]


class _InWay:
    """What a pin in a lapped corner keeps off: pins of the base and notches, by leg and course; pins of the corner."""

    def __init__(self, walls: Walls, pieces: Sequence[Piece], base: Sequence[Pin]) -> None:
        self._notches: dict[Key, list[Point]] = defaultdict(list)
        for run, low, high in openings(walls, pieces):
            self._notches[run.leg, run.course].append((low, high))
        self._pins: dict[Key, list[Pin]] = defaultdict(list)
        for pin in base:
            self._pins[pin.leg, pin.course].append(pin)
        self.corners: dict[Key, list[Point]] = defaultdict(list)
        """Pins that stand in a corner, by node and course: each goes from this course into the one below."""

    def nearest_m(self, at: Key, point: Point) -> float:
        """How near the pins of the courses above and below come to a point in a corner."""
        node, course = at
        near = (*self.corners.get((node, course - 1), ()), *self.corners.get((node, course + 1), ()))
        return min((dist(one, point) for one in near), default=inf)

    def meets(self, legs: tuple[str, str], course: int, station: float, point: Point) -> bool:
        """Whether a pin through a course of the first leg into the one below, of the other, comes too near to any."""
        for key in ((leg, number) for leg in legs for number in (course, course - 1)):
            if any(dist(pin.point_m, point) < BASE_PIN_APART_M for pin in self._pins.get(key, ())):
                return True
            beside = self._notches.get(key, ()) if key[0] == legs[0] else ()
            if any(low - NOTCH_APART_M < station < high + NOTCH_APART_M for low, high in beside):
                return True
        return False


def _under(below: Sequence[Piece], point: Point, spare_m: float = 0.015) -> Piece | None:
    """The piece of the course below that lies under a point, with a little to spare, or as near to it."""
    return next((piece for piece in below if _within(piece.outline_m, point, spare_m)), None)


def _within(outline: Sequence[Point], point: Point, spare: float) -> bool:
    """A point inside a convex outline of either hand by at least ``spare``."""
    sides = []
    for (x0, y0), (x1, y1) in pairwise([*outline, outline[0]]):
        long = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
        if long > 1e-9:
            sides.append(((x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)) / long)
    return bool(sides) and (min(sides) >= spare or max(sides) <= -spare)


def tie_screws(
    project: Project, walls: Walls, stability: Stability, sizes: Sizes, each: Mapping[str, int]
) -> list[Fastener]:
    """Level screws through the face into each tie's end, and through its cross-piece into the other end."""
    found = []
    for tie in stability.ties:
        leg = walls.leg(tie.leg)
        run = next(r for r in walls.runs_of(tie.leg, tie.course) if r.inner_m[0] < tie.station_m < r.inner_m[1])
        front = run.offset_m + (0.0 if tie.held > 0 else leg.thickness_m)
        back = front + tie.held * (leg.thickness_m + tie.length_m)
        for part, (head, way) in {"f": (front, tie.held), "x": (back, -tie.held)}.items():
            for number, (aside, up) in enumerate(
                _pattern(each.get(leg.id, 2), leg.thickness_m, project.timber.course_m)
            ):
                station = tie.station_m + aside
                level = (tie.bottom_m + tie.top_m) / 2.0 + up
                found.append(
                    _level(
                        leg, (station, head, way * sizes.tie_screw_m), level, tie.course, f"{tie.id}/{part}{number + 1}"
                    )
                )
    return found


def _pattern(count: int, width: float, height: float) -> list[Point]:
    """Places of 2, 3 or 4 screws in an end, from its middle: along the wall and up."""
    if count <= 2:
        return [(-width / 4.0, 0.0), (width / 4.0, 0.0)]
    four = [(-width / 4.0, -height / 5.0), (width / 4.0, height / 5.0), (width / 4.0, -height / 5.0),
            (-width / 4.0, height / 5.0)]  # fmt: skip
    return four[:count]


def _level(leg: Leg, along: tuple[float, float, float], level: float, course: int, name: str) -> Fastener:
    """A level fastener from its head inward."""
    station, head, reach = along
    half = SCREW_DIAMETER_M / 2.0
    return Fastener(
        name, "tie screw", leg.id, course, station, leg.point_at(station, head), leg.point_at(station, head + reach),
        SCREW_DIAMETER_M, abs(reach), level + half, level - half,
    )  # fmt: skip
