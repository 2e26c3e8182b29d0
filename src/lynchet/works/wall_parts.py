"""The walls taken apart by the order in which they must be built: the lowest first.

Stage ``t`` builds all that holds the bed of terrace ``t``, and all that stands on the bed below it and holds the bank
or another bed there. The last stage, one past the highest terrace, builds what stands on the highest bed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from math import dist, inf

from lynchet.core.quick import quick
from lynchet.terraces.built_with import BuiltWith
from lynchet.walls.bedding import STONE_BED_M, stone_beds
from lynchet.walls.model import Leg, Run
from lynchet.water.model import Stone
from lynchet.works.job import Job


@dataclass
class Row:
    """One course of the lattice above the lowest, in one stage."""

    metres: float = 0.0
    """Of timber, ties and cross-pieces of the course counted."""
    bottom_m: float = inf
    top_m: float = inf
    """Lowest of its runs."""


@dataclass
class WallPart:
    """What one stage of the walls takes. Lengths in metres, volumes in cubic metres, as placed."""

    legs: list[str] = field(default_factory=list)
    length_m: float = 0.0
    """Of wall, in plan."""
    new_m: float = 0.0
    """Of it, where not even the lowest course stands."""
    first_m: float = 0.0
    """Of timber of the lowest courses."""
    course_m: float = 0.0
    """Of timber of all other courses, ties and cross-pieces."""
    base_m3: float = 0.0
    stone_m3: float = 0.0
    """Drain stone."""
    pipe_m: float = 0.0
    """With and without holes."""
    treads: int = 0
    held_m: float = 0.0
    """Most the walls of this stage hold."""
    top_m: float = -inf
    """Highest timber."""
    rows: dict[int, Row] = field(default_factory=dict)
    """Of ``course_m``, by course."""
    stones: list[Stone] = field(default_factory=list)
    """Drain stone."""

    def lay(self, course: int, metres: float, bottom_m: float, top_m: float) -> None:
        """Timber of a course above the lowest."""
        self.course_m += metres
        row = self.rows.setdefault(course, Row())
        row.metres += metres
        row.bottom_m, row.top_m = min(row.bottom_m, bottom_m), min(row.top_m, top_m)


@quick
@dataclass(frozen=True)
class _Cell:
    """A stretch of a leg of one stage and one base course."""

    start_m: float
    end_m: float
    stage: int
    base: int

    @property
    def middle_m(self) -> float:
        """Station of its middle."""
        return 0.5 * (self.start_m + self.end_m)


class Stages(BuiltWith):
    """Which stage builds what: the terrace it is built with."""

    def __init__(self, job: Job) -> None:
        super().__init__(job.terraces)


def wall_parts(job: Job, stages: Stages) -> dict[int, WallPart]:
    """The walls by stage, rising; their lengths and volumes add up to what is placed, less what stands already."""
    parts: dict[int, WallPart] = defaultdict(WallPart)
    cells = {leg.id: _cells(leg, stages) for leg in job.walls.legs if leg.segments}
    for leg in job.walls.legs:
        for cell in cells.get(leg.id, ()):
            part = parts[cell.stage]
            part.length_m += cell.end_m - cell.start_m
            if not job.walls.standing.stands(leg.id, cell.base, cell.middle_m):
                part.new_m += cell.end_m - cell.start_m
            if leg.id not in part.legs:
                part.legs.append(leg.id)
    _timber(job, cells, parts)
    for leg in job.walls.legs:
        for stage, volume in _stone_beds(job, leg, cells.get(leg.id, [])):
            parts[stage].base_m3 += volume
    _drains(job, stages, parts)
    for flight in job.terraces.flights:
        parts[stages.of_flight(flight.id)].treads += len(flight.treads)
    for place in job.stability.places:
        held = place.high_m - place.low_m
        part = parts[_at(cells[place.leg], place.station_m).stage]
        if held > part.held_m:
            part.held_m = held
    return {stage: parts[stage] for stage in sorted(parts)}


def _timber(job: Job, cells: Mapping[str, list[_Cell]], parts: Mapping[int, WallPart]) -> None:
    """Courses and ties that are still to come, by stage."""
    standing = job.walls.standing
    for run in job.walls.runs:
        for cell, metres, middle in _shares(run, cells[run.leg]):
            part = parts[cell.stage]
            part.top_m = max(part.top_m, run.top_m)
            if standing.stands(run.leg, run.course, middle):
                continue
            if cell.base == run.course:
                part.first_m += metres
            else:
                part.lay(run.course, metres, run.bottom_m, run.top_m)
    for tie in job.stability.ties:
        if not standing.stands(tie.leg, tie.course, tie.station_m):
            part = parts[_at(cells[tie.leg], tie.station_m).stage]
            metres = tie.length_m - job.project.timber.thickness_m + tie.cross_length_m
            part.lay(tie.course, metres, tie.bottom_m, tie.top_m)


def _cells(leg: Leg, stages: Stages) -> list[_Cell]:
    found: list[_Cell] = []
    for segment in leg.segments:
        for span in leg.spans:
            if span.end_m <= segment.start_m or span.start_m >= segment.end_m:
                continue
            start, end = max(segment.start_m, span.start_m), min(segment.end_m, span.end_m)
            if end - start <= 1e-9:
                continue
            stage = stages.of(span.high_face, span.low_face)
            if found and found[-1].end_m == start and (found[-1].stage, found[-1].base) == (stage, segment.base):
                start = found.pop().start_m
            found.append(_Cell(start, end, stage, segment.base))
    return found or [_Cell(0.0, leg.length_m, 1, leg.lowest_course)]


def _at(cells: list[_Cell], station_m: float) -> _Cell:
    """The cell at a station, or the nearest."""
    best, least = cells[0], inf
    for cell in cells:
        if cell.start_m <= station_m <= cell.end_m:
            return cell
        off = cell.start_m - station_m if station_m < cell.start_m else station_m - cell.end_m
        if off < least:
            best, least = cell, off
    return best


def _shares(run: Run, cells: list[_Cell]) -> Iterator[tuple[_Cell, float, float]]:
    """A run's length by cells, each with a station in its middle; what reaches past them (laps) goes with the
    nearest, and with the middle of the run."""
    start = 0.5 * (run.start.line_m + run.start.far_m)
    end = 0.5 * (run.end.line_m + run.end.far_m)
    left = end - start
    best, most = None, -1.0
    for cell in cells:
        low, high = max(start, cell.start_m), min(end, cell.end_m)
        if high <= low:
            continue
        yield cell, high - low, 0.5 * (low + high)
        left -= high - low
        if high - low > most:
            best, most = cell, high - low
    if abs(left) > 0:
        middle = 0.5 * sum(run.inner_m)
        yield best or _at(cells, 0.5 * (start + end)), left, middle


def _stone_beds(job: Job, leg: Leg, cells: list[_Cell]) -> Iterator[tuple[int, float]]:
    """Stone under the lowest course of every segment, by stage."""
    for bed in stone_beds(job.walls, leg):
        left = bed.end_m - bed.start_m
        for cell in cells:
            low, high = max(bed.start_m, cell.start_m), min(bed.end_m, cell.end_m)
            if high > low:
                left -= high - low
                there = job.walls.standing.stands(leg.id, bed.run.course, 0.5 * (low + high))
                yield cell.stage, 0.0 if there else (high - low) * leg.thickness_m * STONE_BED_M
        middle = 0.5 * (bed.start_m + bed.end_m)
        if left != 0 and not job.walls.standing.stands(leg.id, bed.run.course, middle):
            yield _at(cells, middle).stage, left * leg.thickness_m * STONE_BED_M


def _drains(job: Job, stages: Stages, parts: Mapping[int, WallPart]) -> None:
    """Drain stone and pipes by stage."""
    chains = {chain.id: chain for chain in job.water.chains}

    def stage_of(chain_id: str, edge: int = 0) -> int:
        chain = chains[chain_id]
        return stages.of(chain.high_face, chain.edges[edge].low_face)

    for stone in job.water.stone:
        part = parts[stage_of(stone.chain, stone.edge)]
        part.stone_m3 += stone.volume_m3
        part.stones.append(stone)
    own = {drain.id: stage_of(drain.chain) for drain in job.water.drains}
    for drain in job.water.drains:
        parts[own[drain.id]].pipe_m += length_of(drain.points_m)
    for solid in job.water.solids:
        parts[own.get(solid.drain, 1)].pipe_m += solid.length_m


def length_of(points_m: tuple[tuple[float, float], ...]) -> float:
    """Length of a line in plan."""
    return sum(dist(a, b) for a, b in pairwise(points_m))
