"""What stands at the end of a day: how much of every task is done, and with which task each placed thing comes.

Timber is there with the step that lays it. Other tasks done in shares go along their walls: trench, base and drain from
one end on; drain stone and fill go up in lifts behind each course. A thing is there from the share of its task at which
its middle is reached.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import dist, inf

from lynchet.core.same import Same
from lynchet.plan.building_steps import BuildingSteps
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed, placed
from lynchet.plan.weep_places import pieces_of_holes
from lynchet.stability.model import Pin
from lynchet.timber.model import Fastener
from lynchet.timber.to_come import Carriers
from lynchet.walls.model import Piece
from lynchet.works.alongside import LANDING_KINDS, PIT_KINDS

_ALL = 1.0 - 1e-9
_TASKS: dict[str, tuple[str, ...]] = {
    "stone bed": ("base", "first course"),
    "stone": ("stone", "drain", "courses", "first course"),
    "drain pipe": ("drain", "stone"), "fitting": ("drain", "stone"),
    "fabric": ("drain", "stone", "courses", "first course"),
    "solid pipe": ("drain", "stone"), "outlet": ("drain", "stone"), "soakaway": PIT_KINDS,
    "step": ("steps", "courses", "first course"), "step timber": ("steps", "courses", "first course"),
    "pin": ("first course", "courses"),
    "weep hole": ("first course", "courses"),
}  # fmt: skip
"""Kinds of tasks that may bring a thing, the first that the plan has."""
_SAME_M = 1e-6


@dataclass(frozen=True)
class Coming:
    """With which task a thing comes, and from which share of it; no task: it stands from the beginning."""

    task: str
    share: float


class BuildingDays:
    """Shares of the tasks by day, and the tasks that bring the placed things."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.tasks = {task.id: task for task in plan.works.tasks}
        self._stages = BuildingSteps(plan)
        self._legs = {leg.id: leg for leg in plan.walls.legs}
        self._built = sorted({task.terrace for task in plan.works.tasks} - {0})
        self._away = {pipe.id for pipe in plan.water.led_away}
        self._courses = {piece.id: (piece.leg, piece.course) for piece in plan.pieces}
        self._courses |= {one.id: (one.leg, one.course) for one in plan.timber.fasteners}
        for tie in plan.stability.ties:
            self._courses[tie.id] = self._courses[f"{tie.id}/cross"] = (tie.leg, tie.course)
        self._on: dict[str, list[tuple[int, float]]] = defaultdict(list)
        """Of every task the days on which some of it is done, and its share."""
        self._laid: dict[str, Coming] = {}
        """Pieces and ties with the steps that lay them."""
        self._lifts: dict[str, list[tuple[float, float]]] = defaultdict(list)
        """Of drain stone and fill: share done with each lift, and the level it may rise to."""
        done: dict[str, float] = defaultdict(float)
        for day in plan.works.days:
            for step in day.steps:
                self._on[step.task].append((day.number, step.share))
                for n, name in enumerate(step.lays):
                    share = done[step.task] + step.share * (n + 0.5) / len(step.lays)
                    self._laid[name] = self._laid[f"{name}/cross"] = Coming(step.task, share)
                done[step.task] += step.share
                if step.top_m is not None:
                    self._lifts[step.task].append((done[step.task], step.top_m))
        self.things = tuple(placed(plan))
        self.coming: Mapping[str, Coming] = self._all_coming()
        self._days: dict[Coming, int] = {}

    def done(self, day: int) -> Mapping[str, float]:
        """Share of every task done at the end of a day; 0 = before the work begins."""
        found: dict[str, float] = defaultdict(float)
        for one in self.plan.works.days:
            if one.number <= day:
                for step in one.steps:
                    found[step.task] += step.share
        return {task: 1.0 if share > _ALL else share for task, share in found.items()}

    def stands(self, thing: str, done: Mapping[str, float]) -> bool:
        """Whether a placed thing is there."""
        coming = self.coming[thing]
        return not coming.task or (done.get(coming.task, 0.0) > coming.share - 1e-9 and coming.task in done)

    def day_of(self, thing: str) -> int:
        """The day on which a placed thing comes; 0 = it stands already, or no day brings it."""
        coming = self.coming[thing]
        found = self._days.get(coming)
        if found is None:
            found = self._days[coming] = self._reached_on(coming)
        return found

    def _reached_on(self, coming: Coming) -> int:
        done = 0.0
        for day, share in self._on.get(coming.task, ()) if coming.task else ():
            done += share
            if done > coming.share - 1e-9:
                return day
        return 0

    def rises_to(self, task: str, share: float) -> float:
        """Level drain stone or fill may have reached when a share of it is done: the top of the course before it."""
        lifts = self._lifts.get(task, ())
        return next((top for end, top in lifts if share <= end + 1e-9), inf)

    def course_of(self, thing: str) -> tuple[str, int]:
        """Leg and course of a piece, a screw or a pin.

        Raises:
            KeyError: a thing of another kind.
        """
        return self._courses[thing]

    def stage_of(self, thing: Placed) -> int:
        """The terrace a placed thing is built with; 0 = the whole site."""
        laid = self._laid.get(thing.id)
        return self._stages.of(thing) if laid is None else self.tasks[laid.task].terrace

    def _all_coming(self) -> dict[str, Coming]:
        stands = Coming("", 0.0)
        timber = {piece.id for piece in self.plan.pieces} | {tie.id for tie in self.plan.stability.ties}
        found = {name: self._laid.get(name, stands) for one in timber for name in (one, f"{one}/cross")}
        others = [thing for thing in self.things if thing.id not in found]
        tasks = {thing.id: self._task_of(thing) for thing in others}
        groups: dict[tuple[str, str], list[Placed]] = defaultdict(list)
        for thing in others:
            groups[tasks[thing.id], thing.kind].append(thing)
        for (task, _), group in groups.items():
            found.update(self._shares(task, group))
        for stone in (part for cut in self.plan.water.cut_offs for part in cut.stone):  # with the pipe that lies in it
            found[stone.id] = found[stone.pipe]
        self._with_timber(found)
        return found

    def _with_timber(self, found: dict[str, Coming]) -> None:
        """A pin or screw comes with the timber it goes through, and is needed on no day without it."""
        carriers = Carriers(self.plan.pieces, self.plan.stability.ties)
        fixings: tuple[Pin | Fastener, ...] = (*self.plan.stability.pins, *self.plan.timber.fasteners)
        for pin in fixings:
            timber = carriers.of(pin)
            if timber is not None:
                found[pin.id] = found[timber.id]
        for hole, own in pieces_of_holes(self.plan).items():  # bored as soon as its timber lies
            found[hole] = found[own]

    def _shares(self, task: str, group: list[Placed]) -> Iterable[tuple[str, Coming]]:
        """Each thing of one kind of one task with the share at which its middle is reached."""
        ordered = sorted(group, key=self._along)
        sizes = [_size(one) for one in ordered]
        whole, before = sum(sizes) or 1.0, 0.0
        for thing, size in zip(ordered, sizes, strict=True):
            # Stone rises in its trench all along: it is there from the first layer on. A landing lies on the last fill.
            share = 0.0 if thing.kind == "stone" else (before + size / 2.0) / whole
            yield thing.id, Coming(task, 1.0 if thing.kind == "stone bed" and task.endswith("/fill") else share)
            before += size

    def _along(self, thing: Placed) -> tuple[int, float, str]:
        """Place along the walls, in the order of the legs; drains from their lowest point up."""
        if thing.kind in ("drain pipe", "solid pipe", "fitting", "fabric", "outlet"):
            return 0, thing.bottom_m, thing.id
        legs = list(self._legs)
        leg = self._legs.get(thing.owner)
        if leg is None:
            return len(legs), 0.0, thing.id
        return legs.index(leg.id), leg.station_of(_middle(thing)), thing.id

    def _task_of(self, thing: Placed) -> str:
        if thing.kind == "plant":
            return self._known((f"{thing.owner}/plants",))
        if thing.owner.removesuffix("/outlet") in self._away:
            return self._known(("site/drain",))
        if thing.kind == "stone bed" and thing.owner not in self._legs:
            kinds: tuple[str, ...] = LANDING_KINDS
        else:
            kinds = _TASKS.get(thing.kind, ("courses", "first course"))
        if thing.kind == "stone bed" and self._built_on(thing):
            return ""
        stage = max(1, self._stage_under(thing) if thing.kind == "stone bed" else self._stages.of(thing))
        return self._known(f"{one}/{kind}" for one in self._from(stage) for kind in kinds)

    def _from(self, stage: int) -> list[int]:
        """A stage, then those after it, then those before: whatever is placed comes with some task."""
        return sorted(self._built, key=lambda one: (one < stage, abs(one - stage)))

    def _stage_under(self, bed: Placed) -> int:
        """Stage of a bed of stone: that of the first timber laid on it."""
        on = (self.tasks[self._laid[piece.id].task].terrace for piece in self._on_bed(bed) if piece.id in self._laid)
        return min(on, default=self._stages.of(bed))

    def _built_on(self, bed: Placed) -> bool:
        """Whether all timber that lies on a bed of stone stands already."""
        on = self._on_bed(bed)
        return bool(on) and not any(piece.id in self._laid for piece in on)

    def _on_bed(self, bed: Placed) -> list[Piece]:
        """Timber of a wall that lies on a bed of stone."""
        leg = self._legs.get(bed.owner)
        if leg is None:
            return []
        ends = [leg.station_of(point) for point in bed.outline_m]
        start, end = min(ends), max(ends)
        return [
            piece for piece in self.plan.pieces
            if piece.leg == leg.id and abs(piece.bottom_m - bed.top_m) < _SAME_M
            and min(max(piece.end_m), end) > max(min(piece.start_m), start)
        ]  # fmt: skip

    def _known(self, wished: Iterable[str]) -> str:
        return next((task for task in wished if task in self.tasks), "")


def days_of(plan: Plan) -> BuildingDays:
    """The days of a plan, worked out once for all who ask."""
    return _days_of(Same(plan))


@lru_cache(maxsize=2)
def _days_of(plan: Same[Plan]) -> BuildingDays:
    return BuildingDays(plan.thing)


def _middle(thing: Placed) -> tuple[float, float]:
    n = len(thing.outline_m)
    return sum(x for x, _ in thing.outline_m) / n, sum(y for _, y in thing.outline_m) / n


def _size(thing: Placed) -> float:
    """How much of its task a thing is: its girth in plan, near enough twice its length."""
    ring = thing.outline_m
    return sum(dist(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True))
