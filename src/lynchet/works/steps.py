"""The tasks cut into steps small enough for a day, in the order in which they are done, each with how it may be left.

Within one stage the work goes on part by part: a stretch of trench is closed with its base stone the same day, and
drain stone and fill follow every course as one lift, so that neither ever stands over the top course laid.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from math import ceil, isfinite

from lynchet.works.lifts import Lift
from lynchet.works.model import Step, Task
from lynchet.works.wall_parts import Item

MOST_OF_DAY = 0.25
"""No step takes more of a day than this: days come out full. PRACTICE."""
MOST_OPEN = 0.5
"""Nor does a stretch of trench with its base stone take more than this, so that a day can always end safe."""
_CLOSED = ("trench", "base")
_LAID = ("pipe trench", "drain")
"""A trench for pipes through a bed is dug, its pipe laid and covered the same day."""
RISING = ("courses", "stone", "fill")
"""What goes up course by course."""
_UNCOVERED = "an open trench in a bed: its pipe is laid and covered the same day"
_OPEN = "an open trench fills with rain, and slumps beside a house: it is closed with stone the same day"
_DUG = ("trench", "pipe trench")
_SLACK = 1e-9


Laying = Mapping[int, tuple[Sequence[Item], Sequence[Lift]]]
"""By stage the pieces of its first courses, and how its walls go up on them."""


def steps_of(tasks: Sequence[Task], laying: Laying, crew: int, day_h: float) -> list[Step]:
    """Every task in steps, in an order in which everything comes after what it needs.

    Args:
        tasks: in such an order already.
        laying: what is laid, by stage.
        crew: people; a task on which fewer can work takes as long as those need.
        day_h: hours of a day.
    """
    found: list[Step] = []
    for _, stage in groupby(tasks, key=lambda task: task.id.split("/")[0]):
        rows = list(stage)
        by_kind = {task.kind: task for task in rows}
        done: set[str] = set()
        for task in rows:
            if task.kind in done:
                continue
            group = next((kinds for kinds in (_CLOSED, _LAID, RISING) if task.kind in kinds), (task.kind,))
            together = [by_kind[kind] for kind in group if kind in by_kind]
            if group is RISING:
                found += _rising(together, laying[task.terrace][1], crew, day_h)
            elif task.kind == "first course":
                found += _first(task, laying[task.terrace][0], crew, day_h)
            else:
                found += _parts(together, crew, day_h)
            done.update(one.kind for one in together)
    return found


def _rising(tasks: Sequence[Task], lifts: Sequence[Lift], crew: int, day_h: float) -> list[Step]:
    """Course by course, each with its lift of stone and fill behind it; long ones in stretches."""
    rows: list[tuple[Task, float, Lift, tuple[str, ...]]] = []
    for lift in lifts:
        for task in tasks:
            share = lift.stone if task.kind == "stone" else lift.courses
            if share <= _SLACK:
                continue
            most = _most(task, crew, day_h)
            if task.kind == "courses":
                parts = _stretches(lift.items, most * task.quantity)
                rows += [(task, metres / task.quantity, lift, names) for names, metres in parts]
            else:
                count = max(1, ceil(share / most - _SLACK))
                rows += [(task, share / count, lift, ())] * count
    of, part = Counter(task.id for task, *_ in rows), Counter[str]()
    found = []
    for task, share, lift, names in rows:
        part[task.id] += 1
        laid = task.kind == "courses"
        top_m = None if laid or not isfinite(lift.top_m) else lift.top_m  # of a stage without timber: as it is drawn
        found.append(
            Step(
                task.id, share, _words(task, part[task.id] - 1, of[task.id]), share * crew_hours(task, crew), True, "",
                part[task.id], of[task.id], lift.course if laid else None, top_m, names,
            )
        )  # fmt: skip
    return found


def _first(task: Task, items: Sequence[Item], crew: int, day_h: float) -> Iterator[Step]:
    """The first courses of a stage, in whole pieces."""
    parts = _stretches(items, _most(task, crew, day_h) * task.quantity)
    for part, (names, metres) in enumerate(parts):
        share = metres / task.quantity
        words, hours = _words(task, part, len(parts)), share * crew_hours(task, crew)
        yield Step(task.id, share, words, hours, True, "", part + 1, len(parts), lays=names)


def _most(task: Task, crew: int, day_h: float) -> float:
    """The largest share of a task that one step may be."""
    return MOST_OF_DAY * day_h / max(crew_hours(task, crew), _SLACK)


def _stretches(items: Sequence[Item], most_m: float) -> list[tuple[tuple[str, ...], float]]:
    """Pieces in the order they are laid, in as few stretches as keep each within a length; one piece is always one, but
    for one that takes longer than a day: it lies where it is to be with the last of its stretches."""
    found: list[tuple[tuple[str, ...], float]] = []
    for name, metres in items:
        if found and found[-1][1] + metres <= most_m + _SLACK:
            names, before = found.pop()
            found.append(((*names, name), before + metres))
        elif metres > (day_m := most_m / MOST_OF_DAY) + _SLACK:
            count = ceil(metres / day_m - _SLACK)
            found += [*[((), metres / count)] * (count - 1), ((name,), metres / count)]
        else:
            found.append(((name,), metres))
    return found


def _parts(tasks: Sequence[Task], crew: int, day_h: float) -> Iterator[Step]:
    """Steps of tasks that go on side by side, in as many parts as keep each round within half a day."""
    hours = {task.id: crew_hours(task, crew) for task in tasks}
    most = sum(hours.values()) / MOST_OPEN if tasks[0].kind in _DUG else 0.0
    most = most if tasks[0].kind == "trench" else max(most, max(hours.values()) / MOST_OF_DAY)
    count = max(1, ceil(most / day_h - _SLACK))
    for part in range(count):
        for task in tasks:
            unsafe = task.kind in _DUG and (task.kind == "trench" or len(tasks) > 1)
            yield Step(
                task.id,
                1.0 / count,
                _words(task, part, count),
                hours[task.id] / count,
                not unsafe,
                "" if not unsafe else _OPEN if task.kind == "trench" else _UNCOVERED,
                part + 1,
                count,
            )


def crew_hours(task: Task, crew: int) -> float:
    """Hours the crew is at a task: by as many as can work on it."""
    return task.hours.likely / min(task.people, crew)


def _words(task: Task, part: int, count: int) -> str:
    if count == 1:
        return task.name
    return f"{task.name} (part {part + 1} of {count})"


def closed_trenches(steps: Sequence[Step], tasks: Mapping[str, Task]) -> list[Step]:
    """The steps with every trench that no base stone follows marked as safe to leave: nothing would ever close it."""
    based = {task.terrace for task in tasks.values() if task.kind == "base"}
    return [
        step
        if step.safe_end or tasks[step.task].kind != "trench" or tasks[step.task].terrace in based
        else replace(step, safe_end=True, why="a shallow trench for a pipe: bridge or fill it")
        for step in steps
    ]
