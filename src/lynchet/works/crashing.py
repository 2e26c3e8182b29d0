"""What a day sooner costs: tasks shortened at least cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor
from typing import Annotated, Any

import numpy as np

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Words
from lynchet.works.links import SLACK, Link, Network, earliest_starts, network


@dataclass(frozen=True)
class CrashActivity:
    """One activity that money may shorten."""

    name: str
    duration_day: NotNegative
    cost_money: NotNegative
    shortest_day: NotNegative | None = None
    crash_cost_money: Annotated[float | None, Words("crash cost")] = None
    """Cost at the shortest."""
    predecessors: list[str | Link] | None = None

    def least_day(self) -> float:
        """Shortest duration."""
        return self.duration_day if self.shortest_day is None else self.shortest_day

    def slope_money_per_day(self) -> float:
        """Cost of a day less; zero where it cannot be shortened."""
        saved = self.duration_day - self.least_day()
        return ((self.crash_cost_money or 0.0) - self.cost_money) / saved if saved > 0 else 0.0


@dataclass(frozen=True)
class CrashSchedule:
    """Durations chosen and what they cost."""

    cost_money: float
    direct_money: float
    overhead_money: float
    extra_money: float
    duration_day: float
    normal_duration_day: float
    shortest_duration_day: float
    normal_cost_money: float
    durations_day: list[float]


def project_length(net: Network, durations_day: Sequence[float]) -> float:
    """Earliest finish of the whole network."""
    starts = earliest_starts(net, durations_day)
    return max(start + duration for start, duration in zip(starts, durations_day, strict=True))


def cheapest_durations(
    net: Network, activities: Sequence[CrashActivity], finish_day: float, overhead_per_day: float, whole: bool
) -> list[float]:
    """Durations of least total cost that end by the finish (kernel: linear, or with whole days integer, programme).

    Columns: a duration and a start for each activity, then the end of the whole.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    count = len(activities)
    cost = np.zeros(2 * count + 1)
    cost[:count] = [-activity.slope_money_per_day() for activity in activities]
    cost[-1] = overhead_per_day
    rows = np.zeros((len(net.ties) + count, 2 * count + 1))
    for row, tie in enumerate(net.ties):  # start after - start before - duration before >= 0
        rows[row, [count + tie.after, count + tie.before, tie.before]] += (1.0, -1.0, -1.0)
    for place in range(count):  # end - start - duration >= 0
        rows[len(net.ties) + place, [2 * count, count + place, place]] = (1.0, -1.0, -1.0)
    low, high = np.zeros(2 * count + 1), np.full(2 * count + 1, finish_day)
    low[:count] = [activity.least_day() for activity in activities]
    high[:count] = [activity.duration_day for activity in activities]
    kinds = np.zeros(2 * count + 1)
    kinds[:count] = whole
    found = milp(
        cost,
        integrality=kinds,
        bounds=Bounds(low, high),
        constraints=LinearConstraint(rows, lb=0.0),
        options={"mip_rel_gap": 0.0},
    )
    assert found.x is not None, found.message
    chosen = np.clip(found.x[:count], low[:count], high[:count])
    return [float(day) for day in (np.round(chosen) if whole else chosen)]


def _crash_steps(given: Mapping[str, Any], result: CrashSchedule) -> list[Step]:
    steps = [Step("normal duration", "all at their normal length", result.normal_duration_day, "day")]
    for activity, chosen in zip(given["activities"], result.durations_day, strict=True):
        if chosen < activity.duration_day - SLACK:
            how = f"{activity.duration_day:g} to {chosen:g} at {activity.slope_money_per_day():.4g} a day"
            steps.append(Step(f"shorten {activity.name}", how, activity.duration_day - chosen, "day"))
    return [
        *steps,
        Step("duration", "earliest finish with these", result.duration_day, "day"),
        Step("extra", "shortening alone", result.extra_money, "money"),
        Step("cost", "direct and running cost", result.cost_money, "money"),
    ]


@calculator(
    source="Time-cost trade-off by programming: Hillier and Lieberman, Introduction to Operations Research (recalled)",
    known="MEMORY",
    example={
        "activities": [
            {"name": "dig", "duration_day": 4, "shortest_day": 2, "cost_money": 400, "crash_cost_money": 700},
            {"name": "lay", "duration_day": 3, "cost_money": 300, "predecessors": ["dig"]},
        ],
        "finish_by_day": 6,
    },
    working=_crash_steps,
)
def crash_schedule(
    *,
    activities: list[CrashActivity],
    finish_by_day: float | None = None,
    overhead_money_per_day: Annotated[NotNegative, Words("overhead per day")] = 0.0,
    whole_days: bool = True,
) -> CrashSchedule:
    """Least cost of finishing by a day.

    Equation: least sum of cost, which rises on a straight line from normal to crash, plus overhead x duration; every
    activity starts after its predecessors end.

    Symbols: duration_day and cost_money, normal; shortest_day and crash_cost_money, at the shortest; extra_money,
    direct less normal cost; overhead_money_per_day, running cost of the site.

    Limits: links finish to start without lag; with whole_days every length is whole. Where two plans cost the same,
    either may be returned.
    """
    net = network(activities, plain=True)
    for place, activity in enumerate(activities):
        _check(activity, f"activities[{place}]", whole_days)
    normal = project_length(net, [activity.duration_day for activity in activities])
    shortest = project_length(net, [activity.least_day() for activity in activities])
    wish = normal if finish_by_day is None else min(finish_by_day, normal)
    refuse_if(wish < shortest - SLACK, "finish_by_day", f"a finish by {wish:g}", f"{shortest:g} or later")
    finish = max(floor(wish + SLACK) if whole_days else wish, shortest)
    chosen = cheapest_durations(net, activities, finish, overhead_money_per_day, whole_days)
    normal_cost = sum(activity.cost_money for activity in activities)
    extra = sum(
        activity.slope_money_per_day() * (activity.duration_day - day)
        for activity, day in zip(activities, chosen, strict=True)
    )
    length = project_length(net, chosen)
    overhead = overhead_money_per_day * length
    return CrashSchedule(
        cost_money=normal_cost + extra + overhead,
        direct_money=normal_cost + extra,
        overhead_money=overhead,
        extra_money=extra,
        duration_day=length,
        normal_duration_day=normal,
        shortest_duration_day=shortest,
        normal_cost_money=normal_cost,
        durations_day=chosen,
    )


def _check(activity: CrashActivity, key: str, whole: bool) -> None:
    least, crash = activity.least_day(), activity.crash_cost_money
    refuse_if(
        least > activity.duration_day, f"{key}.shortest_day", f"the shortest, {least:g}, is above the duration",
        f"up to {activity.duration_day:g}",
    )  # fmt: skip
    days = (activity.duration_day, least)
    refuse_if(
        whole and any(day != floor(day) for day in days), key, f"{days[0]:g} and {days[1]:g} days are not whole",
        "whole numbers of days, or whole_days false",
    )  # fmt: skip
    if least < activity.duration_day:
        refuse_if(crash is None, f"{key}.crash_cost_money", "no crash cost", "the cost at the shortest")
        refuse_if(
            crash is not None and crash < activity.cost_money, f"{key}.crash_cost_money", f"a crash cost of {crash}",
            f"not below the normal cost, {activity.cost_money:g}",
        )  # fmt: skip
