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

from lynchet.terraces.built_with import BuiltWith
from lynchet.walls.bedding import STONE_BED_M, stone_beds
from lynchet.walls.model import Leg
from lynchet.water.model import Stone, Water
from lynchet.water.under_beds import pipes_under_beds, trench_m3
from lynchet.works.job import Job
from lynchet.works.laying import Cell, Laying, cell_at

Item = tuple[str, float]
"""Id of a piece or a tie, and its length in metres, with its cross-piece."""


@dataclass
class Row:
    """One course of the lattice above the lowest, in one stage."""

    items: list[Item] = field(default_factory=list)
    """Pieces and ties in the order they are laid."""
    bottom_m: float = inf
    top_m: float = inf
    """Lowest of its pieces."""

    @property
    def metres(self) -> float:
        """Of timber, ties and cross-pieces of the course counted."""
        return sum(metres for _, metres in self.items)


@dataclass
class WallPart:
    """What one stage of the walls takes. Lengths in metres, volumes in cubic metres, as placed."""

    legs: list[str] = field(default_factory=list)
    length_m: float = 0.0
    """Of wall, in plan."""
    new_m: float = 0.0
    """Of it, where not even the lowest course stands."""
    firsts: list[Item] = field(default_factory=list)
    """Pieces of first courses, in the order they are laid."""
    course_m: float = 0.0
    """Of timber of all other courses, ties and cross-pieces."""
    base_m3: float = 0.0
    stone_m3: float = 0.0
    """Drain stone."""
    pipe_m: float = 0.0
    """With and without holes."""
    through_m3: float = 0.0
    """Trenches of their own for pipes through beds."""
    drains: list[str] = field(default_factory=list)
    """Ids."""
    sawn: int = 0
    """Courses that stand through which notches for pipes are still to be sawn, one by one."""
    treads: int = 0
    held_m: float = 0.0
    """Most that is held of the ground of this stage."""
    top_m: float = -inf
    """Highest timber."""
    rows: dict[int, Row] = field(default_factory=dict)
    """Of ``course_m``, by course."""
    stones: list[Stone] = field(default_factory=list)
    """Drain stone."""

    @property
    def first_m(self) -> float:
        """Of timber of first courses."""
        return sum(metres for _, metres in self.firsts)

    def work_on(self, leg: str) -> None:
        """A wall line that is worked on."""
        if leg not in self.legs:
            self.legs.append(leg)

    def lay(self, course: int, item: Item, bottom_m: float, top_m: float) -> None:
        """Timber of a course above the first."""
        self.course_m += item[1]
        row = self.rows.setdefault(course, Row())
        row.items.append(item)
        row.bottom_m, row.top_m = min(row.bottom_m, bottom_m), min(row.top_m, top_m)


class Stages(BuiltWith):
    """Which stage builds what: the terrace it is built with."""

    def __init__(self, job: Job) -> None:
        super().__init__(job.terraces)


def wall_parts(job: Job, stages: Stages) -> dict[int, WallPart]:
    """The walls by stage, rising; their lengths and volumes add up to what is placed, less what stands already."""
    parts: dict[int, WallPart] = defaultdict(WallPart)
    laying = Laying(job.walls, job.pieces, stages)
    cells = {leg.id: laying.cells(leg.id) for leg in job.walls.legs if leg.segments}
    for leg in job.walls.legs:
        for cell in cells.get(leg.id, ()):
            part = parts[cell.stage]
            part.length_m += cell.end_m - cell.start_m
            if not job.walls.standing.stands(leg.id, cell.base, cell.middle_m):
                part.new_m += cell.end_m - cell.start_m
            part.work_on(leg.id)
    _timber(job, laying, parts)
    for leg in job.walls.legs:
        for stage, volume in _stone_beds(job, leg, cells.get(leg.id, [])):
            parts[stage].base_m3 += volume
    _drains(job, stages, parts)
    for flight in job.terraces.flights:
        parts[stages.of_flight(flight.id)].treads += len(flight.treads)
    _held(job, stages, parts)
    return {stage: parts[stage] for stage in sorted(parts)}


def _held(job: Job, stages: Stages, parts: Mapping[int, WallPart]) -> None:
    """What the walls hold, by the stage whose ground it is: timber there may be laid with an earlier one."""
    for place in job.stability.places:
        span = job.walls.leg(place.leg).span_at(place.station_m)
        part = parts.get(stages.of(span.high_face, span.low_face))
        if part is not None:
            part.held_m = max(part.held_m, place.high_m - place.low_m)


def _timber(job: Job, laying: Laying, parts: Mapping[int, WallPart]) -> None:
    """Courses and ties that are still to come, by stage."""
    standing = job.walls.standing
    for laid in laying.laid.values():
        piece, part = laid.piece, parts[laid.stage]
        part.top_m = max(part.top_m, piece.top_m)
        if standing.stands(piece.leg, piece.course, 0.5 * (min(piece.start_m) + max(piece.end_m))):
            continue
        part.work_on(piece.leg)
        metres = piece.mean_length_m
        if laid.first:
            part.firsts.append((piece.id, metres))
        else:
            part.lay(piece.course, (piece.id, metres), piece.bottom_m, piece.top_m)
    for tie in job.stability.ties:
        if not standing.stands(tie.leg, tie.course, tie.station_m):
            metres = tie.length_m - job.project.timber.thickness_m + tie.cross_length_m
            parts[laying.of_tie(tie)].lay(tie.course, (tie.id, metres), tie.bottom_m, tie.top_m)


def _stone_beds(job: Job, leg: Leg, cells: list[Cell]) -> Iterator[tuple[int, float]]:
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
            yield cell_at(cells, middle).stage, left * leg.thickness_m * STONE_BED_M


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
        part = parts[own[drain.id]]
        part.pipe_m += length_of(drain.points_m)
        part.drains.append(drain.id)
    standing, half_m = job.walls.standing, job.project.drain.outside_m / 2.0
    for notch in job.water.notches if standing.any_stands else ():
        known = standing.leg(notch.leg)
        if known is not None:
            parts[own.get(notch.drain, 1)].sawn += len(known.closed(notch.courses, notch.station_m, half_m))
    under = pipes_under_beds(job.terraces, job.water.solids)
    for solid in job.water.solids:
        part = parts[own.get(solid.drain, 1)]
        part.pipe_m += solid.length_m
        part.through_m3 += trench_m3([one for one in under if one.pipe == solid.id], job.project.bed_soil_m)


def led_away_m(water: Water) -> float:
    """Length of the pipes of roofs and springs, which no wall drain takes in."""
    return sum(length_of(pipe.points_m) for pipe in water.led_away)


def length_of(points_m: tuple[tuple[float, float], ...]) -> float:
    """Length of a line in plan."""
    return sum(dist(a, b) for a, b in pairwise(points_m))
