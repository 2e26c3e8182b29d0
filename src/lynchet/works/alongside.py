"""What is done along with a task and takes hours of its own: holes bored, notches sawn, a wall brought back to its
level, landings of steps that have no timber, aprons of outlets, soakaways and trenches of cut-off drains filled with
stone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from lynchet.earth.stone_placed import aprons_m3, cut_offs_m3, flight_stone_m3, pits_m3
from lynchet.terraces.step_frames import StepPiece
from lynchet.timber.steps import packed_timbers
from lynchet.walls.model import Piece
from lynchet.walls.off_level import brought_back
from lynchet.works.job import Job
from lynchet.works.model import TaskKind
from lynchet.works.wall_parts import Stages, WallPart

WEEP_H = 0.1
"""Person hours to bore a weep hole, brush it and tack its cloth on. PRACTICE."""
NOTCH_H = 0.5
"""Person hours to saw a notch for a pipe through one course that stands, and to brush its cuts. PRACTICE."""
PACKING_H_M = 0.1
"""Person hours to cut, lay and level a metre of packing. PRACTICE."""
THINNED_H_M = 0.3
"""Person hours to take the underside off a metre of timber and to treat the cut. PRACTICE."""
LANDING_KINDS: tuple[TaskKind, ...] = (
    "steps", "fill", "courses", "first course", "stone", "drain", "bench", "trench", "topsoil",
)  # fmt: skip
"""Kinds of tasks that bring the stone of landings, the first that a stage has."""
PIT_KINDS: tuple[TaskKind, ...] = ("drain", "stone")
"""Kinds of tasks that bring a soakaway, the first that the lowest stage with one of them has."""
_BEFORE_STONE: tuple[TaskKind, ...] = ("drain", "stone", "fill")


class Beside(NamedTuple):
    """Something done along with a task."""

    hours: float
    """Person hours."""
    said: str
    """How they were found."""


class Alongside:
    """What goes with the tasks of each stage; asked stage by stage, rising."""

    def __init__(self, job: Job, stages: Stages, stone_h_m3: Mapping[TaskKind, float]) -> None:
        """Bundle what is asked.

        Args:
            job: the plan so far.
            stages: which stage builds what.
            stone_h_m3: person hours for a cubic metre of drain stone ("stone") and of base stone ("base").
        """
        self._job, self._stone_h_m3 = job, stone_h_m3
        self._landings_m3: dict[int, float] = defaultdict(float)
        for flight in job.terraces.flights:
            if not flight.treads:
                self._landings_m3[stages.of_flight(flight.id)] += flight_stone_m3(flight)
        stands = job.walls.standing
        self._through = [one for one in job.stability.weeps if stands.stands(one.leg, one.course, one.station_m)]
        self._pieces = {piece.id: piece for piece in job.pieces} if stands.any_stands or job.stability.weeps else {}
        self._bored: dict[tuple[str, int], list[float]] = defaultdict(list)
        """Stations of weep holes by leg and course."""
        for hole in job.stability.weeps:
            self._bored[hole.leg, hole.course].append(hole.station_m)
        self._back = _brought_back(job)
        self._steps: dict[int, list[tuple[float, float]]] = defaultdict(list)
        """Of each stage how thick timbers of steps are packed (below 0: sawn thinner), and how long they are."""
        for off, timber in _packed_steps(job):
            self._steps[stages.of_flight(timber.flight)].append((off, timber.length_m))
        self._pits_m3 = pits_m3(job.water)
        self._aprons_m3 = aprons_m3(job.water)

    def bores(self, walls: WallPart, present: Sequence[TaskKind]) -> dict[TaskKind, tuple[str, ...]]:
        """Weep holes bored through timber that stands, by the task they go with: each before its stone goes in.

        Args:
            walls: the stage.
            present: kinds of its tasks.
        """
        found: dict[TaskKind, tuple[str, ...]] = {}
        for leg in dict.fromkeys(hole.leg for hole in self._through if hole.leg in walls.legs):
            laid: dict[TaskKind, bool] = {
                kind: any(piece.leg == leg for piece in self._laid(walls, kind)) for kind in ("first course", "courses")
            }
            wished = [kind for kind in present if laid.get(kind) or kind in _BEFORE_STONE]
            kind = next((one for one in wished if laid.get(one)), next(iter(wished), None))
            if kind is not None:
                mine = [hole for hole in self._through if hole.leg == leg]
                found[kind] = (*found.get(kind, ()), *(hole.id for hole in mine))
                self._through = [hole for hole in self._through if hole.leg != leg]
        return found

    def laid_holes(self, walls: WallPart, kind: TaskKind) -> int:
        """Weep holes through the timber that a task lays."""
        return sum(
            max(piece.start_m) < station < min(piece.end_m)
            for piece in (self._laid(walls, kind) if self._bored else ())
            for station in self._bored.get((piece.leg, piece.course), ())
        )

    def beside(self, stage: int, walls: WallPart, kind: TaskKind, present: Sequence[TaskKind]) -> Iterator[Beside]:
        """What else goes with the task of a kind.

        Args:
            stage, walls: the stage.
            kind: of the task.
            present: kinds of the tasks of the stage.
        """
        if kind == "drain" and walls.sawn:
            yield Beside(NOTCH_H * walls.sawn, f"{NOTCH_H:g} h for each course a notch is sawn through (PRACTICE)")
        if self._back:
            yield from _packed([(-self._back[at], long) for at, long in self._at_back(walls, kind)])
        if kind == "steps":
            yield from _packed(self._steps.get(stage, ()))
        landings = self._landings_m3.get(stage, 0.0)
        if landings > 0.0 and kind == next((one for one in LANDING_KINDS if one in present), None):
            yield Beside(self._stone_h_m3["base"] * landings, "with the stone of landings")
        if self._pits_m3 > 0.0 and kind == next((one for one in PIT_KINDS if one in present), None):
            yield Beside(self._stone_h_m3["stone"] * self._pits_m3, "with the stone of soakaways")
            self._pits_m3 = 0.0
        if self._aprons_m3 and kind == "drain":
            yield from self._aprons(self._outlets_of(walls.legs))

    def outside(self, kind: TaskKind) -> Iterator[Beside]:
        """What else goes with the pipes of roofs and springs.

        Args:
            kind: of the task.
        """
        stone = cut_offs_m3(self._job.water) if kind == "drain" else 0.0
        if stone > 0.0:
            yield Beside(self._stone_h_m3["stone"] * stone, "with the stone of cut-off drains")
        if kind == "drain":
            water = self._job.water
            own = {cut.outlet for cut in water.cut_offs} | {pipe.outlet for pipe in water.roof_pipes}
            yield from self._aprons(own)

    def _outlets_of(self, legs: Iterable[str]) -> set[str]:
        """Outlets of the drains behind walls."""
        water, mine = self._job.water, set(legs)
        chains = {chain.id for chain in water.chains if not mine.isdisjoint(edge.leg for edge in chain.edges)}
        drains = {drain.id for drain in water.drains if drain.chain in chains}
        return {outlet.id for outlet in water.outlets if not drains.isdisjoint(outlet.drains)}

    def _aprons(self, outlets: set[str]) -> Iterator[Beside]:
        """Stone of the aprons of outlets that have not been laid yet."""
        stone = sum(self._aprons_m3.pop(name) for name in sorted(outlets & self._aprons_m3.keys()))
        if stone > 0.0:
            yield Beside(self._stone_h_m3["stone"] * stone, "with the stone of outlet aprons")

    def _at_back(self, walls: WallPart, kind: TaskKind) -> list[tuple[tuple[str, int], float]]:
        """Leg and course, and length, of pieces a task lays that bring a wall back to its level."""
        laid = (((piece.leg, piece.course), piece.mean_length_m) for piece in self._laid(walls, kind))
        return [(at, long) for at, long in laid if at in self._back]

    def _laid(self, walls: WallPart, kind: TaskKind) -> list[Piece]:
        """Pieces that a task lays."""
        rows: Iterable[list[tuple[str, float]]] = ()
        if kind == "first course":
            rows = (walls.firsts,)
        elif kind == "courses":
            rows = (row.items for row in walls.rows.values())
        return [self._pieces[name] for row in rows for name, _ in row if name in self._pieces]


def _packed(rows: Sequence[tuple[float, float]]) -> Iterator[Beside]:
    """Hours of packing and of sawing off, from how thick (sawn below 0) and how long each is."""
    packed, sawn = (sum(long for thick, long in rows if (thick > 0) == over) for over in (True, False))
    if packed:
        yield Beside(PACKING_H_M * packed, f"{PACKING_H_M:g} h for each metre of packing (PRACTICE)")
    if sawn:
        yield Beside(THINNED_H_M * sawn, f"{THINNED_H_M:g} h for each metre taken thinner (PRACTICE)")


def _packed_steps(job: Job) -> Iterator[tuple[float, StepPiece]]:
    if job.walls.standing.any_stands:
        yield from packed_timbers(job.project.timber.course_m, job.timber.steps, job.terraces)


def packing_of(job: Job) -> list[tuple[str, float, float]]:
    """Packing under the courses that bring walls back to their level, and under boxes of steps that share a rise out.

    Returns:
        For each wall that stands too low and each flight (its id, how thick m, how long m).
    """
    steps: dict[tuple[str, float], float] = defaultdict(float)
    for off, timber in _packed_steps(job):
        if off > 0:
            steps[timber.flight, off] += timber.length_m
    return [*_under_walls(job), *((flight, thick, long) for (flight, thick), long in steps.items())]


def _under_walls(job: Job) -> list[tuple[str, float, float]]:
    back = _brought_back(job)
    low = {key: -off for key, off in back.items() if off < 0}
    long = dict.fromkeys(low, 0.0)
    for piece in job.pieces if low else ():
        at = piece.leg, piece.course
        if at in low and not job.walls.standing.stands(*at, 0.5 * (min(piece.start_m) + max(piece.end_m))):
            long[at] += piece.mean_length_m
    return [(leg, thick, long[leg, course]) for (leg, course), thick in low.items()]


def _brought_back(job: Job) -> dict[tuple[str, int], float]:
    """Leg and course that bring a wall back to its level, and how far off it stands there (m, down is negative)."""
    standing = job.walls.standing
    if not standing.any_stands:
        return {}
    rows = ((leg.id, *brought_back(leg, standing.leg(leg.id))) for leg in job.walls.legs if leg.segments)
    return {(leg, course): off for leg, course, off in rows if course >= 0}
