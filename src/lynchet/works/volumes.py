"""Volumes and counts by stage and by bed, from the soil account and the planting."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from math import dist

from lynchet.core.plane import Point
from lynchet.earth.model import Earth
from lynchet.earth.solids import IN_STONE
from lynchet.terraces.model import Terraces
from lynchet.water.under_beds import TRENCH_M
from lynchet.works.job import Job
from lynchet.works.wall_parts import WallPart

BENCH_KINDS = ("bench cut", "bank cut", "steps cut")
TRENCH_KINDS = ("wall trench", "tie trench", "drain trench", "soakaway pit")
REST = "outside"
"""Banks and trenches, in place of a bed."""
_LEVEL_M, _SOME_M3 = 0.02, 0.02
"""Ground that lies no higher over its bed on average is as good as level with it; less is raked. PRACTICE."""
_DEPTH_M = 0.30
"""Of a trench where nothing says."""


@dataclass(frozen=True)
class Volumes:
    """Cubic metres by stage or bed; bank measure dug, compacted filled, loose carried."""

    topsoil_m3: Mapping[int, float]
    """Stripped."""
    trench_m3: Mapping[int, float]
    bench_m3: Mapping[int, float]
    fill_m3: Mapping[int, float]
    led_away_m3: float
    """Trenches of pipes of roofs and springs, as wide as a spade; bank measure, in no ``trench_m3``."""
    soil_m3: Mapping[str, float]
    mulch_m3: Mapping[str, float]
    plants: Mapping[str, int]
    away_m3: float
    """Loose."""
    trench_depth_m: float
    finish_order: tuple[str, ...]
    """Beds from the farthest from the way in to the nearest."""
    terrace_of: Mapping[str, int]
    dug_for_soil: frozenset[int] = frozenset()
    """Stages whose ground is dug out for bed soil alone."""

    @property
    def stages(self) -> set[int]:
        """Stages with digging or filling."""
        return {*self.topsoil_m3, *self.trench_m3, *self.bench_m3, *self.fill_m3}


def volumes_of(job: Job, parts: Mapping[int, WallPart]) -> Volumes:
    """Volumes of the soil account laid to the stages of the work.

    Trenches are shared out by the length of wall and pipe of each stage, but for those of pipes through beds, which
    are of the stage that lays the pipe (``WallPart.through_m3``); cut and fill by the terrace they belong to.
    """
    moves = job.earth.moves
    terraces = {face.id: face.terrace for face in job.terraces.beds}
    topsoil: dict[int, float] = defaultdict(float)
    bench: dict[int, float] = defaultdict(float)
    fill: dict[int, float] = defaultdict(float)
    for move in moves:
        stage = terraces.get(move.place, move.terrace)
        if move.kind == "topsoil off":
            topsoil[stage] += move.volume_m3
        elif move.kind in BENCH_KINDS:
            bench[stage] += move.volume_m3
        elif move.kind in ("fill", "spread"):
            fill[stage] += move.volume_m3
    trench = sum(move.volume_m3 for move in moves if move.kind in TRENCH_KINDS)
    through = sum(move.volume_m3 for move in moves if move.kind == "drain trench" and move.place in terraces)
    trench -= min(through, sum(part.through_m3 for part in parts.values()))  # dug with the pipes, with what is filled
    dug, led = _led_away_m3(job)
    trench -= dug
    if not moves:
        trench = job.earth.account.trench_m3
        space = sum(bed.fill_m3 for bed in job.earth.beds)
        for bed in job.earth.beds:
            bench[terraces[bed.face]] += bed.cut_m3
            fill[terraces[bed.face]] += job.earth.account.fill_m3 * (bed.fill_m3 / space if space > 0 else 0.0)
    soil, mulch = _bed_volumes(job)
    return Volumes(
        topsoil,
        _shared(trench, parts),
        bench,
        fill,
        led,
        soil,
        mulch,
        _plants(job),
        max(job.earth.account.away_loose_m3, 0.0),
        _trench_depth(job),
        _finish_order(job),
        terraces,
        dug_for_soil(job.earth, job.terraces),
    )


def dug_for_soil(earth: Earth, terraces: Terraces) -> frozenset[int]:
    """Stages without a bench to cut: the ground lies about at its level, and is dug out for bed soil alone."""
    other = {
        move.terrace for move in earth.moves if move.kind in ("bank cut", "steps cut") and move.volume_m3 > _SOME_M3
    }
    cut, wide = defaultdict[int, float](float), defaultdict[int, float](float)
    by_bed = {bed.face: bed.cut_m3 for bed in earth.beds}
    for face in terraces.beds:
        cut[face.terrace] += by_bed.get(face.id, 0.0)
        wide[face.terrace] += face.polygon.area
    return frozenset(stage for stage in wide if stage not in other and cut[stage] <= _LEVEL_M * wide[stage])


def _led_away_m3(job: Job) -> tuple[float, float]:
    """Dug for pipes of roofs and springs, with their outlets: as wide as the soil account has it, the pipe and its
    room, and as wide as a spade. What is dug for the stone of a cut-off drain is as wide as that already."""
    room = 2.0 * job.project.digging.work_room_m
    wider = {pipe.id: max(1.0, TRENCH_M / (pipe.outside_m + room)) for pipe in job.water.led_away}
    moves = (move for move in job.earth.moves if move.kind == "drain trench") if wider else ()
    wider |= {f"{cut.id}{IN_STONE}": 1.0 for cut in job.water.cut_offs}
    named = [(move.volume_m3, move.place.removesuffix("/outlet")) for move in moves]
    rows = [(volume, wider[name]) for volume, name in named if name in wider]
    return sum(volume for volume, _ in rows), sum(volume * times for volume, times in rows)


def _shared(volume: float, parts: Mapping[int, WallPart]) -> dict[int, float]:
    weights = {stage: part.new_m + part.pipe_m for stage, part in parts.items()}
    if sum(weights.values()) <= 0:  # all walls stand, and something is dug beside them
        weights = {stage: part.length_m for stage, part in parts.items()}
    whole = sum(weights.values())
    return {stage: volume * weight / whole for stage, weight in weights.items()} if whole > 0 else {}


def _bed_volumes(job: Job) -> tuple[dict[str, float], dict[str, float]]:
    soil: dict[str, float] = defaultdict(float)
    mulch: dict[str, float] = defaultdict(float)
    beds = {face.id for face in job.terraces.beds}
    for move in job.earth.moves:
        if move.kind in ("bed soil", "topsoil back"):
            soil[move.place if move.place in beds else REST] += move.volume_m3
        elif move.kind == "mulch":
            mulch[move.place if move.place in beds else REST] += move.volume_m3
    if not job.earth.moves:
        for bed in job.earth.beds:
            soil[bed.face], mulch[bed.face] = bed.soil_m3, bed.mulch_m3
    return soil, mulch


def _plants(job: Job) -> dict[str, int]:
    counts: dict[str, int] = defaultdict(int)
    for planting in job.planted.plantings if job.planted is not None else ():
        counts[planting.bed] += planting.count
    return counts


def _trench_depth(job: Job) -> float:
    """Deepest trench in front of a wall: buried timber and its stone bed."""
    buried = max((place.low_m - place.base_m for place in job.stability.places), default=0.0)
    return max(buried, 0.0) + _DEPTH_M / 2.0


def _finish_order(job: Job) -> tuple[str, ...]:
    """Topsoil back outside the beds, then the beds: the farthest from the way in first, or the highest where no way is
    known."""
    way = way_in(job)
    order = {
        face.id: (-dist(_middle(face.outline_m), way) if way is not None else -float(face.terrace))
        for face in job.terraces.beds
    }
    return (REST, *sorted(order, key=lambda bed: (order[bed], bed)))


def way_in(job: Job) -> Point | None:
    """Where everything comes in: the barrow run's start, the truck stop, the heap; None where none is known."""
    run = job.earth.barrow_run
    if run is not None and run.points_m:
        return run.points_m[0]
    return job.project.access.truck_stop_m or job.project.access.heap_m


def _middle(outline_m: tuple[Point, ...]) -> Point:
    return (
        sum(point[0] for point in outline_m) / len(outline_m),
        sum(point[1] for point in outline_m) / len(outline_m),
    )
