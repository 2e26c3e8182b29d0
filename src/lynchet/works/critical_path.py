"""Critical path of a job: early and late times, floats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative
from lynchet.works.links import SLACK, Link, earliest_starts, free_floats, latest_starts, network


@dataclass(frozen=True)
class PathActivity:
    """One activity with its length and links."""

    name: str
    duration_day: NotNegative
    predecessors: list[str | Link] | None = None
    not_before_day: NotNegative = 0.0


@dataclass(frozen=True)
class CriticalPath:
    """Times of every activity, in the order of the list."""

    duration_day: float
    early_start_day: list[float]
    early_finish_day: list[float]
    late_start_day: list[float]
    late_finish_day: list[float]
    total_float_day: list[float]
    free_float_day: list[float]
    critical: list[str]


def _path_steps(given: Mapping[str, Any], result: CriticalPath) -> list[Step]:
    steps = [
        Step(f"{activity.name}: earliest start", f"lasts {activity.duration_day:g}, may slip {slip:.4g}", start, "day")
        for activity, start, slip in zip(
            given["activities"], result.early_start_day, result.total_float_day, strict=True
        )
    ]
    steps.append(Step("critical", "total float 0 or less", ", ".join(result.critical)))
    return [*steps, Step("duration", "latest early finish", result.duration_day, "day")]


@calculator(
    source="Precedence diagram: Taylor, Management Science, ch. 8; Gueret et al.; Hillier and Lieberman",
    known="SEEN",
    example={
        "activities": [
            {"name": "trench", "duration_day": 2},
            {"name": "base", "duration_day": 1.5, "predecessors": [{"name": "trench", "type": "ss", "lag_day": 1}]},
            {"name": "wall", "duration_day": 3, "predecessors": ["base"]},
        ]
    },
    working=_path_steps,
)
def critical_path(*, activities: list[PathActivity], finish_by_day: float | None = None) -> CriticalPath:
    """Shortest time of a job, and which tasks hold it up (critical path).

    Equation: early start = latest of 0, not_before and, from predecessor i with lag L: fs EF + L, ss ES + L, ff EF + L
    - d, sf ES + L - d; backward likewise from the finish. Total float = late less early start; free float = least
    gap to a follower or to the end.

    Symbols: ES, EF early start and finish; d duration; L lag, negative for a lead; fs finish to start, ss start to
    start, ff finish to finish, sf start to finish.

    Limits: activities are not broken or stretched; one unit of time throughout. A finish wished too early gives
    negative floats.
    """
    net = network(activities)
    durations = [activity.duration_day for activity in activities]
    early = earliest_starts(net, durations, [activity.not_before_day for activity in activities])
    finish = [start + duration for start, duration in zip(early, durations, strict=True)]
    end = max(finish)
    late = latest_starts(net, durations, end if finish_by_day is None else finish_by_day)
    floats = [last - first for first, last in zip(early, late, strict=True)]
    critical = sorted(
        (place for place, slip in enumerate(floats) if slip <= SLACK), key=lambda place: (round(early[place], 9), place)
    )
    return CriticalPath(
        duration_day=end,
        early_start_day=early,
        early_finish_day=finish,
        late_start_day=late,
        late_finish_day=[start + duration for start, duration in zip(late, durations, strict=True)],
        total_float_day=floats,
        free_float_day=free_floats(net, durations, early, end),
        critical=[activities[place].name for place in critical],
    )
