"""Duration of a job from three times for each task (PERT)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Annotated, Any

from annotated_types import Gt, Lt

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.works.links import SLACK, Link, Network, network

CAUTION = "The chance flatters: other paths than the longest are ignored. Say so beside it."


@dataclass(frozen=True)
class ThreeTimes:
    """One activity with its optimistic, likely and pessimistic time."""

    name: str
    optimistic_day: float
    likely_day: float
    pessimistic_day: float
    predecessors: list[str | Link] | None = None


@dataclass(frozen=True)
class LikelyDuration:
    """Expected duration with its spread."""

    expected_day: list[float]
    variance_day2: list[float]
    duration_day: float
    path: list[str]
    path_variance_day2: float
    path_sd_day: float
    probability: float | None = None
    date_day: float | None = None


def expected(low: float, likely: float, high: float) -> float:
    """Mean (a + 4 m + b)/6 of three estimates."""
    return (low + 4.0 * likely + high) / 6.0


def expected_and_variance(optimistic: float, likely: float, pessimistic: float) -> tuple[float, float]:
    """Mean (a + 4 m + b)/6 and variance ((b - a)/6)^2."""
    return expected(optimistic, likely, pessimistic), ((pessimistic - optimistic) / 6.0) ** 2


def longest_path(net: Network, mean: Sequence[float], variance: Sequence[float]) -> tuple[list[int], float, float]:
    """Places, length and variance of the longest path; of paths equally long the one of largest variance (kernel)."""
    best: dict[int, tuple[float, float, int]] = {}
    into = net.into()
    for place in net.order:
        length, spread, source = 0.0, 0.0, -1
        for tie in into[place]:
            other = best[tie.before]
            longer = other[0] > length + SLACK
            if source < 0 or longer or (other[0] > length - SLACK and other[1] > spread):
                length, spread, source = other[0], other[1], tie.before
        best[place] = (length + mean[place], spread + variance[place], source)
    longest = max(value[0] for value in best.values())
    end = max(
        (place for place in best if best[place][0] >= longest - SLACK), key=lambda place: (best[place][1], -place)
    )
    path = [end]
    while best[path[-1]][2] >= 0:
        path.append(best[path[-1]][2])
    return path[::-1], best[end][0], best[end][1]


def _likely_steps(given: Mapping[str, Any], result: LikelyDuration) -> list[Step]:
    steps = [
        Step(
            f"{a.name}: expected",
            f"({a.optimistic_day:g} + 4 x {a.likely_day:g} + {a.pessimistic_day:g})/6",
            mean,
            "day",
        )
        for a, mean in zip(given["activities"], result.expected_day, strict=True)
    ]
    steps += [
        Step("longest path", "largest sum of expected times", ", ".join(result.path)),
        Step("duration", "its sum", result.duration_day, "day"),
        Step("standard deviation", "root of the sum of its variances", result.path_sd_day, "day"),
    ]
    if result.probability is not None:
        how = f"normal distribution at ({given['target_day']:g} - {result.duration_day:.4g})/{result.path_sd_day:.4g}"
        steps.append(Step("chance of the target", how, result.probability))
    return steps


@calculator(
    source="PERT: Taylor, Introduction to Management Science, ch. 8; Hillier and Lieberman, Operations Research",
    known="SEEN",
    example={
        "activities": [
            {"name": "dig", "optimistic_day": 1, "likely_day": 2, "pessimistic_day": 4},
            {"name": "build", "optimistic_day": 2, "likely_day": 3, "pessimistic_day": 7, "predecessors": ["dig"]},
        ],
        "target_day": 6,
    },
    working=_likely_steps,
    caution=CAUTION,
)
def pert_duration(
    *,
    activities: list[ThreeTimes],
    target_day: float | None = None,
    confidence: Annotated[float, Gt(0), Lt(1)] | None = None,
) -> LikelyDuration:
    """Expected duration of a job and the chance of a date, from three times a task.

    Equation: mean (a + 4 m + b)/6; variance ((b - a)/6)^2; longest path of means; chance = normal distribution at
    (target - duration)/sd; date = duration + z sd.

    Symbols: a optimistic, m likely, b pessimistic time; confidence, the chance wanted of the date.

    Limits: other paths than the longest are ignored, which flatters. Links finish to start without lag.
    """
    net = network(activities, plain=True)
    for place, row in enumerate(activities):
        times = (row.optimistic_day, row.likely_day, row.pessimistic_day)
        shown = ", ".join(f"{time:g}" for time in times)
        refuse_if(min(times) < 0, f"activities[{place}]", f"a negative time among {shown}", "0 or more")
        refuse_if(
            not times[0] <= times[1] <= times[2], f"activities[{place}]", f"times out of order: {shown}",
            "optimistic, likely, pessimistic in rising order",
        )  # fmt: skip
    both = [expected_and_variance(a.optimistic_day, a.likely_day, a.pessimistic_day) for a in activities]
    mean, variance = [pair[0] for pair in both], [pair[1] for pair in both]
    path, length, spread = longest_path(net, mean, variance)
    sd = sqrt(spread)
    return LikelyDuration(
        expected_day=mean,
        variance_day2=variance,
        duration_day=length,
        path=[activities[place].name for place in path],
        path_variance_day2=spread,
        path_sd_day=sd,
        probability=None if target_day is None else chance_of(target_day, length, sd),
        date_day=None if confidence is None else length + sd * _normal_quantile(confidence),
    )


def chance_of(target_day: float, duration_day: float, sd_day: float) -> float:
    """Chance that the duration is at or below the target; without spread 0 or 1, equal counts as met."""
    if sd_day == 0:
        return 1.0 if target_day >= duration_day - SLACK else 0.0
    from scipy.special import ndtr

    return float(ndtr((target_day - duration_day) / sd_day))


def _normal_quantile(chance: float) -> float:
    from scipy.special import ndtri

    return float(ndtri(chance))
