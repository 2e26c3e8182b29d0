"""The shortest schedule as an integer programme over days: for links that let a start hang on a later one."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, inf

import numpy as np

from lynchet.works.resource_problem import ResourceProblem

Row = tuple[dict[int, float], float, float]
"""Coefficients by column, least and most."""


def shortest_by_programme(
    problem: ResourceProblem, horizon: int, seconds: float, nodes: int | None = None
) -> tuple[list[int] | None, int]:
    """Starts of a shortest schedule no longer than a horizon, and a proven bound (kernel).

    One column for each activity and day it may start on, the last for the end. Nothing found gives None.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    days = [range(head, horizon - tail + 1) for head, tail in zip(problem.heads, problem.tails, strict=True)]
    first = [0, *np.cumsum([len(window) for window in days]).tolist()]
    end = first[-1]
    rows = list(_rows(problem, days, first))
    entries = [(value, row, column) for row, (part, _, _) in enumerate(rows) for column, value in part.items()]
    values, places, columns = zip(*entries, strict=True)
    matrix = csr_array((values, (places, columns)), shape=(len(rows), end + 1))
    cost = np.zeros(end + 1)
    cost[end] = 1.0
    found = milp(
        cost,
        integrality=np.ones(end + 1),
        bounds=Bounds(0, np.append(np.ones(end), horizon)),
        constraints=LinearConstraint(matrix, [row[1] for row in rows], [row[2] for row in rows]),
        options={"time_limit": seconds, "mip_rel_gap": 0.0} | ({} if nodes is None else {"node_limit": nodes}),
    )
    bound = problem.bound if found.mip_dual_bound is None else max(problem.bound, ceil(found.mip_dual_bound - 1e-6))
    if found.x is None:
        return None, bound
    return [int(np.argmax(found.x[first[p] : first[p + 1]])) + window.start for p, window in enumerate(days)], bound


def _rows(problem: ResourceProblem, days: list[range], first: list[int]) -> Iterator[Row]:
    """Each starts once and ends in time; gaps are kept; no day needs more than there is."""
    end = first[-1]
    for place, window in enumerate(days):
        yield dict.fromkeys(range(first[place], first[place + 1]), 1), 1, 1
        yield _starts(first[place], window, -1.0) | {end: 1.0}, problem.tails[place], inf
    for before, after, gap in problem.gaps:
        yield _starts(first[after], days[after], 1.0) | _starts(first[before], days[before], -1.0), gap, inf
    for k, capacity in enumerate(problem.capacities):
        for day in range(max(window.stop for window in days) + max(problem.durations)):
            yield _use(problem, days, first, (k, day)), -inf, capacity


def _starts(column: int, window: range, sign: float) -> dict[int, float]:
    """The start of one activity as a sum over its columns."""
    return {column + number: sign * day for number, day in enumerate(window)}


def _use(problem: ResourceProblem, days: list[range], first: list[int], what: tuple[int, int]) -> dict[int, float]:
    """Use of one resource on one day as a sum over the columns of those that may run then."""
    k, day = what
    found = {}
    for place, window in enumerate(days):
        begun = range(max(window.start, day - problem.durations[place] + 1), min(window.stop, day + 1))
        for start in begun if problem.demands[place][k] else ():
            found[first[place] + start - window.start] = float(problem.demands[place][k])
    return found
