"""The shortest plan of work in which no crew or machine is needed twice at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from time import monotonic
from typing import Annotated

from annotated_types import Ge, Len

from lynchet.core.calculator import calculator, refuse_if
from lynchet.core.kinds import ByValue, Positive
from lynchet.works.layered_search import LayeredSearch
from lynchet.works.links import Link, Network, network
from lynchet.works.resource_problem import ResourceProblem, reduced
from lynchet.works.serial_schedule import good_schedule
from lynchet.works.timed_programme import shortest_by_programme

WholeAmount = Annotated[int, ByValue(), Ge(0)]
TIME_LIMIT_S = 60.0
WIDTHS = (30, 300, 2000)
"""Widths of the quick searches before the whole one."""


@dataclass(frozen=True)
class Resource:
    """A crew, a machine, a place."""

    name: str
    capacity: WholeAmount


@dataclass(frozen=True)
class ResourceActivity:
    """One activity with what it needs of each resource."""

    name: str
    duration_day: WholeAmount
    demand: list[WholeAmount]
    predecessors: list[str | Link] | None = None


@dataclass(frozen=True)
class ResourceSchedule:
    """A shortest schedule, or the best found with a proven bound."""

    makespan_day: int
    bound_day: int
    proven: bool
    start_day: list[int]
    peak: list[int]


def shortest_schedule(
    problem: ResourceProblem, mirror: ResourceProblem, seconds: float, most: int | None = None
) -> tuple[list[int], int]:
    """Starts of the shortest schedule found, and the length that none can be below (kernel).

    Args:
        problem: activities that use resources.
        mirror: the same run backward.
        seconds: time to search.
        most: states (or nodes) each search looks at; None: time alone stops it.
    """
    if not problem.durations:
        return [], problem.bound
    stop_at = monotonic() + seconds
    best = good_schedule(problem, mirror)
    if not problem.forward_only():
        if mirror.forward_only():
            late, bound = shortest_schedule(mirror, problem, seconds, most)
            return _turned(mirror, late), bound
        chosen, bound = shortest_by_programme(problem, problem.length(best), seconds, most)
        return best if chosen is None else chosen, bound
    bound = problem.bound
    while bound < problem.length(best) and not LayeredSearch(problem, bound).possible():
        bound += 1
    for width in (*WIDTHS, None):
        for side in (problem, mirror):
            length = problem.length(best)
            if length <= bound:
                return best, length
            if side is mirror and (width is None or not mirror.forward_only()):
                continue
            found = LayeredSearch(side, length - 1).run(stop_at, width, inf if most is None else most)
            if found.starts is not None:
                best = found.starts if side is problem else _turned(mirror, found.starts)
            if found.complete:
                return best, problem.length(best)
    return best, bound


def _turned(problem: ResourceProblem, starts: Sequence[int]) -> list[int]:
    """Starts of the mirrored problem for a schedule of this one."""
    end = problem.length(starts)
    return [end - start - duration for start, duration in zip(starts, problem.durations, strict=True)]


def all_starts(net: Network, durations: Sequence[int], fixed: dict[int, int]) -> list[int]:
    """Starts of every activity: those fixed, and the others as early as links allow."""
    starts = [0] * len(net.names)
    into = net.into()
    for place in net.order:
        earliest = max([0, *(starts[tie.before] + int(tie.gap(durations)) for tie in into[place])])
        starts[place] = fixed.get(place, earliest)
    return starts


def peaks(starts: Sequence[int], durations: Sequence[int], demands: Sequence[Sequence[int]], count: int) -> list[int]:
    """Largest use of each resource at any time."""
    running = [
        [place for place, start in enumerate(starts) if start <= day < start + durations[place]] for day in set(starts)
    ]
    return [max((sum(demands[place][k] for place in now) for now in running), default=0) for k in range(count)]


@calculator(
    source="Resource-constrained project scheduling: Patterson set; Kolisch and Sprecher, PSPLIB, j30",
    known="SEEN",
    example={
        "resources": [{"name": "crew", "capacity": 3}],
        "activities": [
            {"name": "dig", "duration_day": 2, "demand": [2]},
            {"name": "haul", "duration_day": 3, "demand": [1]},
            {"name": "wall", "duration_day": 2, "demand": [2], "predecessors": ["dig"]},
        ],
    },
)
def resource_schedule(
    *,
    resources: list[Resource],
    activities: Annotated[list[ResourceActivity], Len(1)],
    time_limit_s: Positive = TIME_LIMIT_S,
) -> ResourceSchedule:
    """Shortest plan of work for the crews and machines there are.

    Equation: least makespan with every link kept and, at every time, the running activities' demand within each
    capacity.

    Symbols: demand, whole numbers, one for each resource; links as in critical_path with whole lags; bound_day, proven
    lower bound; proven, whether the plan is a shortest one; peak, largest use of each resource.

    Limits: activities run unbroken from a whole start; those of no duration use nothing. Of plans equally short any may
    be returned. Within the time the best found is returned with its bound.
    """
    net = network(activities)
    for place, activity in enumerate(activities):
        _check(activity, f"activities[{place}]", resources)
    durations = [activity.duration_day for activity in activities]
    demands = [activity.demand for activity in activities]
    problem, busy = reduced(net, durations, demands, [resource.capacity for resource in resources])
    path = all_starts(net, durations, {})
    longest = max(start + duration for start, duration in zip(path, durations, strict=True))
    mirror = problem.mirrored(
        [tail - duration for tail, duration in zip(problem.tails, problem.durations, strict=True)]
    )
    chosen, bound = shortest_schedule(problem, mirror, time_limit_s)
    starts = all_starts(net, durations, dict(zip(busy, chosen, strict=True)))
    length = max(start + duration for start, duration in zip(starts, durations, strict=True))
    least = max(bound, longest)
    return ResourceSchedule(length, least, length <= least, starts, peaks(starts, durations, demands, len(resources)))


def _check(activity: ResourceActivity, key: str, resources: Sequence[Resource]) -> None:
    refuse_if(
        len(activity.demand) != len(resources), f"{key}.demand", f"{len(activity.demand)} numbers of demand",
        f"{len(resources)}, one for each resource",
    )  # fmt: skip
    for need, resource in zip(activity.demand, resources, strict=True):
        refuse_if(
            need > resource.capacity, f"{key}.demand", f"a demand of {need} above the capacity of {resource.name!r}",
            f"up to {resource.capacity}",
        )  # fmt: skip
    for link in activity.predecessors or []:
        lag = 0.0 if isinstance(link, str) else link.lag_day
        refuse_if(lag != int(lag), f"{key}.predecessors", f"a lag of {lag:g}, not whole", "whole days")
