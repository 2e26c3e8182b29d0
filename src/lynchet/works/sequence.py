"""The order of work: early starts and slack of every task, and the fewest days with work side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, inf

from lynchet.core.changed import changed
from lynchet.works.links import Network, Tie, earliest_starts, latest_starts
from lynchet.works.model import Task
from lynchet.works.resource_problem import reduced
from lynchet.works.resource_schedule import shortest_schedule

SLOTS_A_DAY = 16
"""The search for the fewest days counts in sixteenths of a day, each task rounded down: its answer is a lower bound."""
_MOST_STATES = 6000
"""States of the search for the fewest days, whatever time they take: the same days on every machine. OWN."""
_MOST_TASKS = 150


@dataclass(frozen=True)
class LeastDays:
    """Days that no order of the same work can be below."""

    days: int
    proven: bool


def timed(tasks: Sequence[Task], day_h: float) -> list[Task]:
    """The tasks with their earliest starts and slack, in working days, each done by as many as can work on it."""
    net = _network(tasks)
    durations = [task.hours.likely / task.people / day_h for task in tasks]
    early = earliest_starts(net, durations)
    end = max((start + duration for start, duration in zip(early, durations, strict=True)), default=0.0)
    late = latest_starts(net, durations, end)
    return [
        changed(task, day_start=first, float_days=max(last - first, 0.0))
        for task, first, last in zip(tasks, early, late, strict=True)
    ]


def _network(tasks: Sequence[Task]) -> Network:
    """Links from finish to start; the tasks stand in an order already in which all that is needed comes before."""
    places = {task.id: place for place, task in enumerate(tasks)}
    ties = tuple(Tie(places[name], place, "fs", 0.0) for place, task in enumerate(tasks) for name in task.after)
    return Network(tuple(places), ties, tuple(range(len(tasks))))


def least_days(tasks: Sequence[Task], crew: int, day_h: float) -> LeastDays | None:
    """Fewest days with tasks side by side; None where there are too many to look.

    Args:
        tasks: with what must come before each.
        crew: people.
        day_h: hours of a day.
    """
    if not 0 < len(tasks) <= _MOST_TASKS:
        return None
    slots = [int(task.hours.likely / task.people / day_h * SLOTS_A_DAY + 1e-9) for task in tasks]
    demands = [[task.people] for task in tasks]
    problem, _ = reduced(_network(tasks), slots, demands, [crew])
    mirror = problem.mirrored(
        [tail - duration for tail, duration in zip(problem.tails, problem.durations, strict=True)]
    )
    starts, bound = shortest_schedule(problem, mirror, inf, _MOST_STATES)
    length = problem.length(starts) if problem.durations else bound
    return LeastDays(max(1, ceil(bound / SLOTS_A_DAY - 1e-9)), length <= bound)
