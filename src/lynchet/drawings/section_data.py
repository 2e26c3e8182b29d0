"""What a straight cut meets: ground before and after, timber, stone, pipes, ties, houses, lot lines.

Stations run along the cut from its low end; levels are the file's. Everything is read from the placed things of the
plan: an outline in plan with its bottom and top becomes a stretch of the cut with these levels.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import hypot
from typing import Any

import numpy as np

from lynchet.core.interpolated import interpolated
from lynchet.drawings.kept import area_of
from lynchet.drawings.landings import ground_pads, pads
from lynchet.drawings.section_kept import kept_of
from lynchet.drawings.section_line import Cut
from lynchet.drawings.source import Planned
from lynchet.earth.finishes import lowered_m
from lynchet.ground.surface import profile
from lynchet.terraces.model import Face, Landing, Level
from lynchet.walls.bank import BANK_SLOPE
from lynchet.water.model import Stone

Point = tuple[float, float]
Interval = tuple[float, float]
_BANK_STEP_M = 0.02
_IN_CUT_M = 0.05
"""A pipe no further off than this is drawn along the cut."""
_ACROSS = 0.25
"""Sine of the angle from which on a pipe counts as cut across: below it the ring would be drawn far too round."""


@dataclass(frozen=True)
class Block:
    """A thing cut across: its stretch of the cut, and its bottom and top at both ends."""

    id: str
    of: str
    """Leg, chain or house it belongs to."""
    start_m: float
    end_m: float
    bottom_m: float
    top0_m: float
    top1_m: float
    row: int = 0

    @property
    def ring(self) -> tuple[Point, ...]:
        """Its outline in stations and levels."""
        return ((self.start_m, self.bottom_m), (self.end_m, self.bottom_m), (self.end_m, self.top1_m),
                (self.start_m, self.top0_m))  # fmt: skip


@dataclass(frozen=True)
class Bore:
    """A pipe cut across."""

    id: str
    station_m: float
    invert_m: float
    bore_m: float
    outside_m: float


@dataclass(frozen=True)
class Lengthways:
    """A part of a pipe that lies along the cut."""

    id: str
    stations_m: Interval
    inverts_m: tuple[float, float]
    bore_m: float


@dataclass(frozen=True)
class Ground:
    """One stretch of finished ground."""

    face: str
    kind: str
    points: tuple[Point, ...]
    planted: tuple[Interval, ...] = ()
    """Stretches of a bed that get bed soil and mulch: not its path strip, landings and steps."""


@dataclass(frozen=True)
class Bands:
    """What lies on and in a bed, from its finished level."""

    lowered_m: float
    """From the finished level down to the soil."""
    mulch_m: float
    soil_m: float


@dataclass(frozen=True)
class Cutting:
    """Everything a cut meets."""

    cut: Cut
    before: tuple[Point, ...]
    after: tuple[Ground, ...]
    timber: tuple[Block, ...]
    stone: tuple[Block, ...]
    treads: tuple[Block, ...]
    houses: tuple[Block, ...]
    bores: tuple[Bore, ...]
    lots: tuple[tuple[str, float], ...]
    beds: tuple[Block, ...] = ()
    """Tamped stone under the lowest timber."""
    pipes: tuple[Lengthways, ...] = ()
    bands: Bands = field(default_factory=lambda: Bands(0.0, 0.0, 0.0))

    def before_at(self, station_m: float) -> float:
        """Level of the ground before at a station."""
        stations, levels = zip(*self.before, strict=True)
        return interpolated(station_m, stations, levels)

    def of_leg(self, leg: str) -> tuple[Block, ...]:
        """Timber of one leg, the lowest first."""
        return tuple(sorted((b for b in self.timber if b.of == leg), key=lambda block: block.bottom_m))


def cutting(plan: Planned, cut: Cut) -> Cutting:
    """Everything a cut meets, each thing once for every stretch of the cut that lies in it."""
    line = cut.line()
    stations, levels = profile(plan.ground.surface, cut.start_m, cut.end_m)
    known = ~np.isnan(levels)
    before = tuple((float(s), float(z)) for s, z in zip(stations[known], levels[known], strict=True))
    return Cutting(
        cut, before, tuple(_after(plan, cut, before)), tuple(_timber(plan, cut, line)), tuple(_stone(plan, cut, line)),
        tuple(_treads(plan, cut, line)), tuple(_houses(plan, cut, line)), tuple(_bores(plan, cut, line)),
        tuple(_lots(plan, cut, line)), tuple(_beds(plan, cut, line)),
        tuple(_lengthways(plan, cut)),
        Bands(lowered_m(plan.project), plan.project.planting.mulch_m, plan.project.bed_soil_m),
    )  # fmt: skip


def stretches(cut: Cut, shape: Any, line: Any) -> list[Interval]:
    """Stretches of the cut inside a shape, in order."""
    from shapely import get_coordinates

    (left, low, right, high), (a, b) = shape.bounds, (cut.start_m, cut.end_m)
    if max(a[0], b[0]) < left or min(a[0], b[0]) > right or max(a[1], b[1]) < low or min(a[1], b[1]) > high:
        return []
    found = shape.intersection(line)
    if found.is_empty:
        return []
    parts = [part for part in getattr(found, "geoms", [found]) if part.geom_type == "LineString" and part.length > 1e-4]
    points = [get_coordinates(part).tolist() for part in parts]
    ends = [sorted((cut.station_of(own[0]), cut.station_of(own[-1]))) for own in points]
    return sorted((a, b) for a, b in ends)


def _timber(plan: Planned, cut: Cut, line: Any) -> Iterable[Block]:
    for run, shape in kept_of(plan).timber.near(cut):
        for a, b in stretches(cut, shape, line):
            yield Block(run.id, run.leg, a, b, run.bottom_m, run.top_m, run.top_m, run.row)


def _beds(plan: Planned, cut: Cut, line: Any) -> Iterable[Block]:
    for thing, shape in kept_of(plan).beds.near(cut):
        for a, b in stretches(cut, shape, line):
            yield Block(thing.id, thing.owner, a, b, thing.bottom_m, thing.top_m, thing.top_m)


def _stone(plan: Planned, cut: Cut, line: Any) -> Iterable[Block]:
    for stone, shape in kept_of(plan).stone.near(cut):
        for a, b in stretches(cut, shape, line):
            yield Block(stone.id, stone.leg, a, b, stone.bottom_m, _top(stone, cut.at(a)), _top(stone, cut.at(b)))


def _top(stone: Stone, point: Point) -> float:
    (ax, ay), (bx, by) = stone.start_m, stone.end_m
    square = (bx - ax) ** 2 + (by - ay) ** 2
    share = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / square if square else 0.0
    return stone.top_start_m + min(1.0, max(0.0, share)) * (stone.top_end_m - stone.top_start_m)


def _treads(plan: Planned, cut: Cut, line: Any) -> Iterable[Block]:
    for (flight, tread), shape in kept_of(plan).treads.near(cut):
        for a, b in stretches(cut, shape, line):
            yield Block(tread.id, flight.id, a, b, tread.bottom_m, tread.top_m, tread.top_m)


def _houses(plan: Planned, cut: Cut, line: Any) -> Iterable[Block]:
    for house in plan.project.houses:
        for a, b in stretches(cut, area_of(house.outline_m), line):
            floor = house.floor_m if house.floor_m is not None else float("nan")
            yield Block(house.name, house.name, a, b, floor, floor, floor)


def _bores(plan: Planned, cut: Cut, line: Any) -> Iterable[Bore]:
    import shapely

    pipes = kept_of(plan).pipes
    met = shapely.intersection(pipes.lines, line)
    # A pipe along the cut is not cut across, be it ever so little askew; only a crossing is drawn as a ring.
    points = (shapely.get_type_id(met) == shapely.GeometryType.POINT) & ~shapely.is_empty(met)
    crossed = np.flatnonzero(points & (_askew(pipes.lines, cut) > _ACROSS))
    for n, (x, y) in zip(crossed.tolist(), shapely.get_coordinates(met[crossed]).tolist(), strict=True):
        (a, (low, high), length), (name, bore, outside) = pipes.ends[n], pipes.of[n]
        share = hypot(x - a[0], y - a[1]) / length
        yield Bore(name, cut.station_of((x, y)), low + share * (high - low), bore, outside)


def _askew(lines: Any, cut: Cut) -> Any:
    """(n,) sine of the angle between straight lines and the cut."""
    import shapely

    ends = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    way = ends[:, 1] - ends[:, 0]
    return np.abs(way[:, 0] * cut.direction[1] - way[:, 1] * cut.direction[0]) / np.hypot(way[:, 0], way[:, 1])


def _lengthways(plan: Planned, cut: Cut) -> Iterable[Lengthways]:
    """Parts of pipes that run in the cut, within its ends."""
    (ux, uy), (x0, y0) = cut.direction, cut.start_m
    for solid in plan.water.solids:
        for (a, b), levels in zip(pairwise(solid.points_m), pairwise(solid.inverts_m), strict=True):
            off = [abs((p[0] - x0) * uy - (p[1] - y0) * ux) for p in (a, b)]
            (s, low), (e, high) = sorted(zip((cut.station_of(a), cut.station_of(b)), levels, strict=True))
            if max(off) > _IN_CUT_M or e - s < 0.02 or e < 0.0 or s > cut.length_m:
                continue
            ends = max(s, 0.0), min(e, cut.length_m)
            inverts = tuple(low + (high - low) * (at - s) / (e - s) for at in ends)
            yield Lengthways(solid.id, ends, (inverts[0], inverts[1]), solid.bore_m)


def _lots(plan: Planned, cut: Cut, line: Any) -> Iterable[tuple[str, float]]:
    from shapely.geometry import LineString

    for lot in plan.project.lot_lines:
        met = LineString(lot.line_m).intersection(line)
        for part in getattr(met, "geoms", [met]):
            if part.geom_type == "Point" and not part.is_empty:
                words = "lot line, by survey" if lot.trust == "survey" else "lot line, guessed"
                yield words, cut.station_of((part.x, part.y))


def _after(plan: Planned, cut: Cut, before: tuple[Point, ...]) -> Iterable[Ground]:
    """Finished ground from the low end up: benches level, all else as before."""
    line = cut.line()
    parts: list[tuple[float, float, Face]] = []
    for face, shape in kept_of(plan).faces.near(cut):
        parts.extend((a, b, face) for a, b in stretches(cut, shape, line))
    parts.sort(key=lambda part: part[:2])
    at = before[0][0] if before else 0.0
    for a, b, covered in parts:
        if a > at + 1e-6:
            yield from _outside(plan, cut, before, (at, a))
        if isinstance(covered.finish, Level):
            level = covered.finish.level_m
            yield from _with_landings(plan, cut, (covered, level), (a, b))
        elif covered.kind != "flight":
            yield Ground(covered.id, covered.kind, _as_before(before, a, b))
        at = max(at, b)
    end = before[-1][0] if before else cut.length_m
    if end > at + 1e-6:
        yield from _outside(plan, cut, before, (at, end))


def _outside(plan: Planned, cut: Cut, before: tuple[Point, ...], stretch: Interval) -> Iterable[Ground]:
    """Ground round the area as before, but for the landings of stone on it."""
    (start, end), line = stretch, cut.line()
    pads = sorted((max(a, start), min(b, end), landing.level_m, landing.where) for _, landing in ground_pads(plan)
                  for a, b in stretches(cut, area_of(_whole(landing)), line) if a < end and b > start)  # fmt: skip
    for a, b, level, where in pads:
        if b - a < 0.02:
            continue
        foot = _bank_foot(before, (a, start), level) if where == "foot" else a
        if foot > start + 1e-6:
            yield Ground("outside", "outside", _as_before(before, start, foot))
        if foot < a - 1e-6:
            yield Ground("outside", "outside", ((foot, level - BANK_SLOPE * (a - foot)), (a, level)))
        yield Ground("outside", "landing", ((a, level), (b, level)))
        start = b
        foot = _bank_foot(before, (b, end), level) if where == "head" else b
        if foot > b + 1e-6:
            yield Ground("outside", "outside", ((b, level), (foot, level - BANK_SLOPE * (foot - b))))
            start = foot
    if end > start + 1e-6:
        yield Ground("outside", "outside", _as_before(before, start, end))


def _bank_foot(before: tuple[Point, ...], reach: Interval, level_m: float) -> float:
    """Where soil banked 1 in 2 against the edge of a landing meets the ground, from the edge on towards the other."""
    edge, end = reach
    stations = np.linspace(edge, end, 1 + max(1, int(abs(end - edge) / _BANK_STEP_M)))
    ground = np.interp(stations, *np.array(before).T)
    over = level_m - BANK_SLOPE * np.abs(stations - edge) - ground
    met = np.flatnonzero(over <= 0.0)
    return float(stations[met[0]] if met.size else end)


def _whole(landing: Landing) -> tuple[Point, ...]:
    """Outline of all the stone of a landing: its strips lie one behind the other."""
    first, last = landing.stone[0].outline_m, landing.stone[-1].outline_m
    return first[0], first[1], last[2], last[3]


def _with_landings(plan: Planned, cut: Cut, bed: tuple[Face, float], stretch: Interval) -> Iterable[Ground]:
    """A bed along the cut, with the landings on it at their own level."""
    (face, level), (start, end), line = bed, stretch, cut.line()
    own = [(part, round(pad.landing.level_m, 6)) for pad in pads(plan) if pad.bed.id == face.id
           for part in stretches(cut, area_of(pad.landing.outline_m), line)]  # fmt: skip
    marks = sorted({start, end, *(s for part, _ in own for s in part if start + 0.02 < s < end - 0.02)})
    joined: list[tuple[float, float, str, float]] = []
    for a, b in pairwise(marks):
        over = [z for (s, e), z in own if s - 1e-6 <= (a + b) / 2 <= e + 1e-6]
        kind, at = ("landing", over[0]) if over and face.kind == "bed" else (face.kind, level)
        if joined and joined[-1][2:] == (kind, at):
            joined[-1] = (joined[-1][0], b, kind, at)
        else:
            joined.append((a, b, kind, at))
    for a, b, kind, at in joined:
        planted = planted_in(plan, cut, face, (a, b)) if kind == "bed" else ()
        yield Ground(face.id, kind, ((a, at), (b, at)), planted)


def planted_in(plan: Planned, cut: Cut, bed: Face, stretch: Interval) -> tuple[Interval, ...]:
    """Stretches of a bed along a cut that are planted: what is walked on and stood on taken off."""
    if bed.kind != "bed":
        return ()
    walked = [*bed.strip_m, *(landing.outline_m for flight in plan.terraces.flights for landing in flight.landings)]
    walked += [tread.outline_m for flight in plan.terraces.flights for tread in flight.treads]
    line, kept = cut.line(), [stretch]
    for a, b in (part for ring in walked for part in stretches(cut, area_of(ring), line)):
        kept = [part for s, e in kept for part in ((s, min(e, a)), (max(s, b), e)) if part[1] - part[0] > 0.02]
    return tuple(kept)


def _as_before(before: tuple[Point, ...], start: float, end: float) -> tuple[Point, ...]:
    stations, levels = zip(*before, strict=True)
    inner = [(s, z) for s, z in before if start + 1e-6 < s < end - 1e-6]
    ends = [(s, interpolated(s, stations, levels)) for s in (start, end)]
    return (ends[0], *inner, ends[1])


def above(found: Cutting, foot_m: float) -> Cutting:
    """The same without pipes that lie under the foot of the picture; those that run down through it end there."""
    bores = tuple(bore for bore in found.bores if bore.invert_m > foot_m)
    pipes = []
    for pipe in found.pipes:
        ends = sorted(zip(pipe.inverts_m, pipe.stations_m, strict=True))
        (low, at), (high, to) = ends
        if high <= foot_m + 0.01:
            continue
        if low < foot_m:
            at, low = at + (to - at) * (foot_m - low) / (high - low), foot_m
        (a, za), (b, zb) = sorted(((at, low), (to, high)))
        pipes.append(replace(pipe, stations_m=(a, b), inverts_m=(za, zb)))
    return replace(found, bores=bores, pipes=tuple(pipes))


def minus(points: tuple[Point, ...], taken: list[Interval]) -> list[tuple[Point, ...]]:
    """The parts of a ground line outside some stretches."""
    stations, levels = zip(*points, strict=True)
    kept: list[Interval] = [(stations[0], stations[-1])]
    for a, b in taken:
        kept = [part for s, e in kept for part in ((s, min(e, a)), (max(s, b), e)) if part[1] - part[0] > 1e-6]
    found = []
    for s, e in sorted(kept):
        inner = [point for point in points if s + 1e-9 < point[0] < e - 1e-9]
        ends = [(station, interpolated(station, stations, levels)) for station in (s, e)]
        found.append((ends[0], *inner, ends[1]))
    return found
