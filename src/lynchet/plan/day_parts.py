"""What is laid and placed on which day: pieces, ties, timbers of steps, fixings, and the share of every task."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial

from lynchet.earth.solids import Owners
from lynchet.plan.building_days import BuildingDays, days_of
from lynchet.plan.model import Plan
from lynchet.stability.constants import PIN_LENGTH_M
from lynchet.stability.model import Tie
from lynchet.terraces.step_frames import StepPiece
from lynchet.walls.model import Piece
from lynchet.works.listed import listed
from lynchet.works.model import Day, Task, Works


@dataclass(frozen=True)
class Share:
    """What is done of one task on one day."""

    task: Task
    start: float
    """Share of the task done before."""
    end: float
    """Share done in the evening."""
    first: int
    """First of its parts done today, from 1."""
    last: int
    of: int
    crew_h: float
    top_m: float | None = None
    """Of drain stone and fill: the level to which they rise today."""
    lays: tuple[str, ...] = ()
    """Ids of the pieces and ties laid, in order."""

    @property
    def whole(self) -> bool:
        """Whether the task begins and ends today."""
        return self.first == 1 and self.last == self.of

    @property
    def quantity(self) -> float:
        """Of the task, in its measure."""
        return self.task.quantity * (self.end - self.start)


@dataclass(frozen=True)
class DayParts:
    """Everything of one day."""

    day: Day
    shares: tuple[Share, ...]
    """One a task, two where stone or fill is left over from the evening before, in the order they are done today."""
    pieces: tuple[Piece, ...] = ()
    """In the order they are laid: course by course from below, along each wall."""
    ties: tuple[Tie, ...] = ()
    treads: tuple[StepPiece, ...] = ()
    """Timbers of steps."""
    fixings: Mapping[tuple[str, float], int] = field(default_factory=dict)
    """Count by kind and length (m, to 0.1 mm): "base pin", "screw", "corner pin", "tie screw"."""

    plants: Mapping[str, int] = field(default_factory=dict)
    """Count by bed."""

    def share(self, kind: str) -> tuple[Share, ...]:
        """Of the tasks of one kind."""
        return tuple(one for one in self.shares if one.task.kind == kind)


def day_parts(plan: Plan) -> tuple[DayParts, ...]:
    """Every day with what it takes; every piece, tie and timber of steps that is still to come is on one day."""
    days, done = days_of(plan), dict[str, float]()
    order = {leg.id: n for n, leg in enumerate(plan.walls.legs)}
    pieces = sorted(plan.pieces, key=lambda one: (one.course, order[one.leg], min(one.start_m)))
    ties = sorted(plan.stability.ties, key=lambda one: (one.course, order[one.leg], one.station_m))
    fixings = [(pin.id, ("base pin", round(PIN_LENGTH_M, 4))) for pin in plan.stability.pins]
    fixings += [(one.id, (str(one.kind), round(one.length_m, 4))) for one in plan.timber.fasteners]
    plants = [thing for thing in days.things if thing.kind == "plant"]
    found = []
    for day in plan.works.days:
        today = partial(_on, days, day.number)
        found.append(DayParts(
            day, tuple(_shares(day, plan.works, done)), tuple(one for one in pieces if today(one.id)),
            tuple(one for one in ties if today(one.id)), tuple(one for one in plan.timber.steps if today(one.tread)),
            Counter(size for name, size in fixings if today(name)),
            Counter(thing.owner for thing in plants if today(thing.id)),
        ))  # fmt: skip
    return tuple(found)


def _on(days: BuildingDays, number: int, thing: str) -> bool:
    return days.day_of(thing) == number


def _shares(day: Day, works: Works, done: dict[str, float]) -> Iterator[Share]:
    for steps in listed(day.steps):
        task = steps[0].task
        start = done.get(task, 0.0)
        done[task] = start + sum(step.share for step in steps)
        hours = sum(step.crew_h for step in steps)
        last = steps[-1]
        yield Share(works.task(task), start, done[task], steps[0].part, last.part, last.of, hours, last.top_m,
                    tuple(name for step in steps for name in step.lays))  # fmt: skip


def drains_of(plan: Plan, stage: int) -> tuple[str, ...]:
    """Ids of the drains laid with the walls of a stage."""
    owners = Owners(plan.terraces, plan.walls, plan.water)
    return tuple(drain.id for drain in plan.water.drains if owners.of_pipe(drain.id) == stage)
