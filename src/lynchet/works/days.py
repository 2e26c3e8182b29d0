"""Days that end safe: which steps go into which day, what is looked at, and how the place is left each evening."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from lynchet.water.short_names import short_names
from lynchet.works.dates import WEEKDAYS, read_date
from lynchet.works.day_plan import day_ends
from lynchet.works.job import Job
from lynchet.works.lifts import lifts_of
from lynchet.works.model import Day, Left, Step, Task
from lynchet.works.steps import closed_trenches, steps_of
from lynchet.works.wall_parts import WallPart
from lynchet.works.working_days import Calendar

_DONE = 1.0 - 1e-9
_NO_BANK_M = 0.01
"""A step in the ground lower than this is no bank. PRACTICE."""
_FINISH = frozenset({"bed soil", "plants", "mulch", "clear up"})


@dataclass(frozen=True)
class _Site:
    """What the evening lines speak of."""

    job: Job
    tasks: Mapping[str, Task]
    parts: Mapping[int, WallPart]
    highest: int


def days_of(job: Job, tasks: Sequence[Task], parts: Mapping[int, WallPart], highest: int) -> tuple[Day, ...]:
    """The job day by day.

    Args:
        job: the plan so far.
        tasks: in order.
        parts: walls by stage, for the height of the banks cut.
        highest: number of the highest terrace.
    """
    wish = job.project.works
    site = _Site(job, {task.id: task for task in tasks}, parts, highest)
    stages = {task.terrace: parts.get(task.terrace, WallPart()) for task in tasks}
    laying = {stage: (part.firsts, lifts_of(part)) for stage, part in stages.items()}
    steps = closed_trenches(steps_of(tasks, laying, wish.crew, wish.day_h), site.tasks)
    if not steps:
        return ()
    ends = day_ends([step.crew_h for step in steps], [step.safe_end for step in steps], wish.day_h)
    if ends is None:  # cannot be: every pair of unsafe and safe step fits in half a day
        ends = list(range(len(steps)))
    dates = _dates(job, len(ends))
    found, first = [], 0
    done: dict[str, float] = {}
    begun: dict[int, None] = {}
    for number, end in enumerate(ends):
        today = tuple(steps[first : end + 1])
        for step in today:
            done[step.task] = done.get(step.task, 0.0) + step.share
            task = site.tasks[step.task]
            if task.terrace and task.kind not in _FINISH:
                begun.setdefault(task.terrace)
        used, open_m = sum(step.crew_h for step in today), _open_trench_m(site, done)
        day = dates[number]
        found.append(
            Day(
                number + 1, day.isoformat() if day else "", WEEKDAYS[day.weekday()] if day else "", today, used,
                wish.day_h - used, tuple(_holds(site, today, done)),
                tuple(_evening(site, done, tuple(begun), (open_m, _away(dates, number)))), open_m,
            )
        )  # fmt: skip
        first = end + 1
    return tuple(found)


def _dates(job: Job, count: int) -> list[date | None]:
    wish = job.project.works
    if wish.start is None:
        return [None] * count
    weekdays = frozenset({5, 6} if wish.weekends else range(5))
    calendar = Calendar(weekdays, frozenset(read_date(day, "works.holidays") for day in wish.holidays), frozenset())
    day = calendar.first(read_date(wish.start, "works.start"))
    found: list[date | None] = []
    for _ in range(count):
        found.append(day)
        day = calendar.step(day, 1)
    return found


def _away(dates: Sequence[date | None], number: int) -> int:
    """Days on which nobody works between a working day, counted from 0, and the next; 0 where none is known."""
    day, after = dates[number], dates[number + 1] if number + 1 < len(dates) else None
    return (after - day).days - 1 if day is not None and after is not None else 0


def _holds(site: _Site, today: Sequence[Step], done: Mapping[str, float]) -> Iterator[str]:
    """Tasks with a hold point that end today; of a trench each part is seen before its stone goes in."""
    for name in dict.fromkeys(step.task for step in today):
        task = site.tasks[name]
        if task.hold and (done[name] > _DONE or task.kind == "trench"):
            yield name


def _open_trench_m(site: _Site, done: Mapping[str, float]) -> float:
    """Length of trench dug and not filled beside its timber; of a trench for a pipe alone, that of the pipe.

    With the first fill of a stage its trench is closed; where nothing is filled, with its last timber.
    """
    if done.get("site/clear up", 0.0) > _DONE:
        return 0.0
    found = 0.0
    for stage, part in site.parts.items():
        closing = (f"{stage}/{kind}" for kind in ("fill", "courses", "first course", "drain"))
        last = next((task for task in closing if task in site.tasks), "")
        if done.get(last, 0.0) <= 0.0:
            found += done.get(f"{stage}/trench", 0.0) * (part.new_m or part.pipe_m)
    return found


def _evening(site: _Site, done: Mapping[str, float], begun: Sequence[int], trench: tuple[float, int]) -> Iterator[Left]:
    """How the place is left: trench, bank, drain, fill, way in.

    Args:
        site: what is spoken of.
        done: share of each task done.
        begun: stages of walls begun.
        trench: length of open trench, and for how many days nobody comes.
    """
    if done.get("site/clear up", 0.0) > _DONE:
        yield Left("all closed")
        if site.job.water.outlets:
            yield Left("outlets free")
        return
    if begun:
        open_m, away = trench
        if open_m > 0.0:
            yield Left("trench open", length_m=open_m, away_days=away)
        elif site.job.walls.runs:
            yield Left("no open trench")
        for below in sorted(begun):
            yield from _bank(site, below, done)
        yield from _drains(site, begun, done)
    yield Left("way clear")


def _drains(site: _Site, begun: Sequence[int], done: Mapping[str, float]) -> Iterator[Left]:
    """Drains of the stages begun: those that do not run yet by name, and whether there are others."""
    stages = [stage for stage in sorted(begun) if f"{stage}/drain" in site.tasks]
    waiting = [stage for stage in stages if done.get(f"{stage}/drain", 0.0) < _DONE]
    if waiting:
        short = short_names((), site.job.water.drains)
        names = (name for stage in waiting if stage in site.parts for name in site.parts[stage].drains)
        yield Left(
            "drain not running", drains=tuple(sorted(map(short.__getitem__, names), key=lambda one: int(one[1:])))
        )
    if len(waiting) < len(stages):
        yield Left("outlets free")


def _bank(site: _Site, stage: int, done: Mapping[str, float]) -> Iterator[Left]:
    """A bench once cut leaves a bank at its back, until the wall there stands and is filled."""
    above = site.parts.get(stage + 1)
    if above is None or above.held_m < _NO_BANK_M or f"{stage}/bench" not in done:
        return
    closing = (f"{stage + 1}/{kind}" for kind in ("fill", "courses", "first course"))
    last = next((task for task in closing if task in site.tasks), None)
    if last is not None and done.get(last, 0.0) <= _DONE:
        yield Left("bank", stage, above.held_m)


def days_at(days: int, likely_h: float, hours: float) -> int:
    """Days with other hours for the same work, as full as these are."""
    return max(1, ceil(days * hours / likely_h - 1e-9)) if likely_h > 0 else days
