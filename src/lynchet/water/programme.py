"""The exact choice for one chain: which sinks, where the pipe parts at high points, at which inverts.

On a chain with its sinks chosen the least inverts are unique: going out from a sink at invert y, the next node has
max(its floor, y + fall x length). So only sinks and high points are to be chosen, which a small dynamic programme does
exactly: with f(j) the least cost of draining nodes 0 to j, f(j) = min over sinks at v and starts i <= v <= j of
f(i) + high point at i + cost of the pipe from v down to i and up to j + cost of the sink, or f(j - 1) + stone alone
where the held height allows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from lynchet.core.quick import quick
from lynchet.water.settings import Settings

_NEVER = float("inf")
_SLACK_M = 1e-9


@dataclass(frozen=True)
class Course:
    """A chain as the programme sees it: bounds by node, lengths by edge (one less)."""

    floors_m: tuple[float, ...]
    ceilings_m: tuple[float, ...]
    lows_m: tuple[float, ...]
    """Low ground, above which a raised pipe costs."""
    lengths_m: tuple[float, ...]
    stone_cost: tuple[float | None, ...]
    """Points per metre of edges that stone alone may drain; None where a pipe must lie."""

    @cached_property
    def walked(self) -> dict[tuple[float, ...], tuple[list[float], list[float]]]:
        """What pipes cost from sinks asked of before, by node, invert, fall and price of rising: a net asks of each
        some twenty times."""
        return {}

    @cached_property
    def parts(self) -> dict[tuple[int, int], Course]:
        """Stretches of the chain asked for before, by their first and last node."""
        return {}

    def part(self, first: int, last: int) -> Course:
        """The nodes first to last alone."""
        if (first, last) not in self.parts:
            self.parts[first, last] = Course(
                self.floors_m[first : last + 1], self.ceilings_m[first : last + 1], self.lows_m[first : last + 1],
                self.lengths_m[first:last], self.stone_cost[first:last],
            )  # fmt: skip
        return self.parts[first, last]


@quick
@dataclass(frozen=True)
class Sink:
    """A way out at a node: the invert there and its cost in points."""

    node: int
    invert_m: float
    cost: float


@dataclass(frozen=True)
class Reach:
    """One pipe: nodes first to last, falling to the sink (index into the sinks given)."""

    first: int
    last: int
    sink: int
    inverts_m: tuple[float, ...]


@dataclass(frozen=True)
class Chosen:
    """The cheapest layout."""

    cost: float
    reaches: tuple[Reach, ...]


def best_layout(course: Course, sinks: list[Sink], settings: Settings) -> Chosen | None:
    """The cheapest layout of an open chain; None where none is possible.

    Args:
        course: bounds; at least two nodes.
        sinks: ways out, each within its node's bounds.
        settings: least fall and costs.
    """
    count = len(course.floors_m)
    by_node = _unbeaten(sinks, count)
    ended, skipped = [_NEVER] * count, [_NEVER] * count
    skipped[0] = 0.0
    back: list[tuple[int, int]] = [(-1, -1)] * count
    for v in range(count):
        stone = course.stone_cost[v - 1] if v else None
        if stone is not None:
            skipped[v] = min(ended[v - 1], skipped[v - 1]) + stone * course.lengths_m[v - 1]
        walks = [(number, *_walks(course, sinks[number], settings)) for number in by_node[v]]
        for number, left, _ in walks:
            _settle(ended, back, v, _start(ended, skipped, left[1:], v - 1, settings), (number, sinks[number].cost))
        for number, left, right in walks:
            cost, first = _start(ended, skipped, left, v, settings)
            for step, more in enumerate(right[1:], 1):
                _settle(ended, back, v + step, (cost + more, first), (number, sinks[number].cost))
    total = min(ended[-1], skipped[-1])
    if total == _NEVER:
        return None
    return Chosen(total, _traced(course, sinks, settings, (ended, skipped, back)))


def _unbeaten(sinks: list[Sink], count: int) -> list[list[int]]:
    """Sinks by node, without those that another of the node beats in cost and is no higher than: these lead nowhere
    that the other does not for less."""
    by_node: list[list[int]] = [[] for _ in range(count)]
    least = [_NEVER] * count
    for number in sorted(range(len(sinks)), key=lambda number: (sinks[number].invert_m, sinks[number].cost)):
        node, cost = sinks[number].node, sinks[number].cost
        if cost <= least[node] + 2e-9:
            by_node[node].append(number)
            least[node] = min(least[node], cost)
    return [sorted(numbers) for numbers in by_node]


def best_round(course: Course, sinks: list[Sink], settings: Settings) -> Chosen | None:
    """The cheapest layout of a closed chain: cut at every node in turn, where two pipes then part.

    Args:
        course: bounds; as many edges as nodes.
        sinks: ways out.
        settings: least fall and costs.

    Returns:
        Node numbers of its reaches run on past the last node by the count of nodes.
    """
    count = len(course.floors_m)
    best: Chosen | None = None
    for cut in range(count):
        turned = _turned(course, cut)
        moved = [Sink((sink.node - cut) % count, sink.invert_m, sink.cost) for sink in sinks]
        again = [Sink(count, sink.invert_m, sink.cost) for sink in moved if sink.node == 0]
        index = [*range(len(sinks)), *(i for i, sink in enumerate(moved) if sink.node == 0)]
        found = best_layout(turned, [*moved, *again], settings)
        if found is not None and (best is None or found.cost + settings.cost_high_point < best.cost - 1e-9):
            reaches = tuple(Reach(r.first + cut, r.last + cut, index[r.sink], r.inverts_m) for r in found.reaches)
            best = Chosen(found.cost + settings.cost_high_point, reaches)
    return best


def _turned(course: Course, cut: int) -> Course:
    def nodes(values: tuple[float, ...]) -> tuple[float, ...]:
        return (*values[cut:], *values[: cut + 1])

    return Course(
        nodes(course.floors_m), nodes(course.ceilings_m), nodes(course.lows_m),
        course.lengths_m[cut:] + course.lengths_m[:cut], course.stone_cost[cut:] + course.stone_cost[:cut],
    )  # fmt: skip


def level_rule(course: Course, sink: Sink, end: int, fall: float) -> list[float]:
    """Least inverts from a sink out to a node, the sink's first.

    Args:
        course: bounds.
        sink: where it starts.
        end: last node, on either side.
        fall: least fall.
    """
    step = 1 if end >= sink.node else -1
    inverts = [sink.invert_m]
    for node in range(sink.node + step, end + step, step):
        length = course.lengths_m[min(node, node - step)]
        inverts.append(max(course.floors_m[node], inverts[-1] + fall * length))
    return inverts


def _walks(course: Course, sink: Sink, settings: Settings) -> tuple[list[float], list[float]]:
    """Cost of the pipe from a sink to each node down to the first and up to the last that can be reached."""
    asked = sink.node, sink.invert_m, settings.fall, settings.cost_raise
    known = course.walked.get(asked)
    if known is None:
        known = course.walked[asked] = _walk(course, sink, -1, settings), _walk(course, sink, 1, settings)
    return known


def _walk(course: Course, sink: Sink, way: int, settings: Settings) -> list[float]:
    # Plain comparisons in place of max: a yard asks for some ten thousand of these steps.
    floors, ceilings, lows, lengths = course.floors_m, course.ceilings_m, course.lows_m, course.lengths_m
    fall, price = settings.fall, settings.cost_raise
    y, cost, costs = sink.invert_m, 0.0, [0.0]
    raised = y - lows[sink.node]
    raised = raised if raised > 0.0 else 0.0
    nodes = range(sink.node + 1, len(floors)) if way > 0 else range(sink.node - 1, -1, -1)
    before = 1 if way > 0 else 0
    for node in nodes:
        length, floor = lengths[node - before], floors[node]
        y += fall * length
        y = floor if floor > y else y
        if y > ceilings[node] + _SLACK_M:
            break
        last, raised = raised, y - lows[node]
        raised = raised if raised > 0.0 else 0.0
        cost += price * length * (last + raised) / 2
        costs.append(cost)
    return costs


def _start(
    ended: list[float], skipped: list[float], left: list[float], last: int, settings: Settings
) -> tuple[float, int]:
    """The cheapest start of a pipe whose cost down to node ``last - n`` is ``left[n]``."""
    best, first = _NEVER, -1
    parting = settings.cost_high_point
    for n, more in enumerate(left):
        node = last - n
        parted, bare = ended[node] + parting, skipped[node]
        cost = (bare if bare < parted else parted) + more
        if cost < best - 1e-9:
            best, first = cost, node
    return best, first


def _settle(
    ended: list[float], back: list[tuple[int, int]], node: int, start: tuple[float, int], sink: tuple[int, float]
) -> None:
    cost = start[0] + sink[1]
    if cost < ended[node] - 1e-9:
        ended[node], back[node] = cost, (start[1], sink[0])


def _traced(
    course: Course,
    sinks: list[Sink],
    settings: Settings,
    tables: tuple[list[float], list[float], list[tuple[int, int]]],
) -> tuple[Reach, ...]:
    ended, skipped, back = tables
    reaches: list[Reach] = []
    node, run = len(ended) - 1, ended[-1] <= skipped[-1]
    while node > 0:
        if not run:
            node -= 1
            run = ended[node] <= skipped[node]
            continue
        first, number = back[node]
        down = level_rule(course, sinks[number], first, settings.fall)
        up = level_rule(course, sinks[number], node, settings.fall)
        reaches.append(Reach(first, node, number, (*reversed(down), *up[1:])))
        node = first
        run = ended[node] + settings.cost_high_point <= skipped[node]
    return tuple(reversed(reaches))
