"""Further resources that every schedule keeps too, made from the given ones: they show earlier that room runs out.

Two kinds. Activities of which no two can run together are a resource of one, each needing one. And the demands on one
resource may be changed by any function that keeps "these fit together" true: small ones dropped and large ones taken
for the whole, or demands rounded up to shares (dual feasible functions).
"""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.works.resource_problem import NO_PATH, ResourceProblem

MOST_SHARES = 6


@dataclass(frozen=True)
class Redundant:
    """One further resource: the demand of each activity and the capacity."""

    demands: tuple[int, ...]
    capacity: int


def redundant_resources(problem: ResourceProblem) -> list[Redundant]:
    """The given resources first, then those made from them, each once."""
    found: dict[Redundant, None] = {}
    for k, capacity in enumerate(problem.capacities):
        demands = tuple(demand[k] for demand in problem.demands)
        if any(demands):
            found.update(dict.fromkeys([Redundant(demands, capacity), *_changed(demands, capacity)]))
    for clique in cliques(incompatible(problem)):
        found[Redundant(tuple(clique >> place & 1 for place in range(len(problem.durations))), 1)] = None
    return list(found)


def _changed(demands: tuple[int, ...], capacity: int) -> list[Redundant]:
    """Demands with small ones dropped and large ones whole, and demands rounded down to shares of the capacity."""
    found = []
    for least in sorted({demand for demand in demands if demand > 0 and 2 * demand <= capacity}):
        changed = tuple(
            capacity if demand > capacity - least else demand if demand >= least else 0 for demand in demands
        )
        found.append(Redundant(changed, capacity))
    for shares in range(1, MOST_SHARES + 1):
        # a demand above j/(shares + 1) of the capacity counts as j shares: together they cannot be more than all
        found.append(Redundant(tuple(_shares(demand, capacity, shares) for demand in demands), shares))
    return found


def _shares(demand: int, capacity: int, shares: int) -> int:
    """Largest j with demand above j/(shares + 1) of the capacity."""
    return max(-(-demand * (shares + 1) // capacity) - 1, 0)


def incompatible(problem: ResourceProblem) -> list[int]:
    """For each activity the bits of those it can never run together with."""
    count = len(problem.durations)
    longest = [[NO_PATH] * count for _ in range(count)]
    for place in reversed(problem.order):
        for other, gap in problem.after[place]:
            longest[place][other] = max(longest[place][other], gap)
            for third, further in enumerate(longest[other]):
                if further > NO_PATH:
                    longest[place][third] = max(longest[place][third], gap + further)
    found = [0] * count
    for a in range(count):
        for b in range(count):
            after = longest[a][b] >= problem.durations[a] or longest[b][a] >= problem.durations[b]
            together = zip(problem.demands[a], problem.demands[b], problem.capacities, strict=True)
            if a != b and (after or any(one + two > room for one, two, room in together)):
                found[a] |= 1 << b
    return found


def cliques(apart: list[int]) -> list[int]:
    """Sets of activities (bits) no two of which run together: one grown greedily from every such pair."""
    count = len(apart)
    found: dict[int, None] = {}
    by_degree = sorted(range(count), key=lambda place: -apart[place].bit_count())
    for a in range(count):
        for b in range(a):
            if apart[a] >> b & 1:
                clique, common = 1 << a | 1 << b, apart[a] & apart[b]
                for place in by_degree:
                    if common >> place & 1:
                        clique |= 1 << place
                        common &= apart[place]
                found[clique] = None
    return list(found)
