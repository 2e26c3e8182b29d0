"""Activities that share crews and machines, cut down to what the search for a shortest schedule needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from lynchet.works.links import Network, earliest_starts

NO_PATH = -(10**9)


@dataclass(frozen=True)
class ResourceProblem:
    """Activities that use some resource, with least gaps between their starts. All whole numbers."""

    durations: tuple[int, ...]
    demands: tuple[tuple[int, ...], ...]
    """By activity, then resource."""
    capacities: tuple[int, ...]
    gaps: tuple[tuple[int, int, int], ...]
    """(before, after, least time from start to start)."""
    heads: tuple[int, ...]
    """Earliest start of each."""
    tails: tuple[int, ...]
    """Least time from the start of each to the end of all that hangs on it."""

    @cached_property
    def before(self) -> list[list[tuple[int, int]]]:
        """(activity before, gap) for each."""
        found: list[list[tuple[int, int]]] = [[] for _ in self.durations]
        for first, second, gap in self.gaps:
            found[second].append((first, gap))
        return found

    @cached_property
    def after(self) -> list[list[tuple[int, int]]]:
        """(activity after, gap) for each."""
        found: list[list[tuple[int, int]]] = [[] for _ in self.durations]
        for first, second, gap in self.gaps:
            found[first].append((second, gap))
        return found

    @cached_property
    def order(self) -> list[int]:
        """Places so that every one before comes first."""
        waiting = [len(before) for before in self.before]
        ready = [place for place, count in enumerate(waiting) if count == 0]
        order = []
        while ready:
            place = ready.pop()
            order.append(place)
            for other, _ in self.after[place]:
                waiting[other] -= 1
                if waiting[other] == 0:
                    ready.append(other)
        return order

    @cached_property
    def bound(self) -> int:
        """Length below which no schedule can be: the longest path, or the work of one resource over its capacity."""
        longest = max((head + tail for head, tail in zip(self.heads, self.tails, strict=True)), default=0)
        works = [
            sum(duration * demand[k] for duration, demand in zip(self.durations, self.demands, strict=True))
            for k in range(len(self.capacities))
        ]
        return max([longest, *(-(-work // room) for work, room in zip(works, self.capacities, strict=True) if room)])

    def forward_only(self) -> bool:
        """Whether no gap is negative, so that a start never hangs on a later one."""
        return all(gap >= 0 for _, _, gap in self.gaps)

    def length(self, starts: Sequence[int]) -> int:
        """End of all that hangs on these starts."""
        return max((start + tail for start, tail in zip(starts, self.tails, strict=True)), default=0)

    def mirrored(self, heads: Sequence[int]) -> ResourceProblem:
        """The same problem with time run backward; ``heads`` are the earliest starts there."""
        durations = self.durations
        gaps = tuple((b, a, gap + durations[b] - durations[a]) for a, b, gap in self.gaps)
        tails = tuple(head + duration for head, duration in zip(self.heads, durations, strict=True))
        return ResourceProblem(durations, self.demands, self.capacities, gaps, tuple(heads), tails)


def longest_gaps(net: Network, durations: Sequence[int]) -> list[list[int]]:
    """Longest path from start to start between every two activities; ``NO_PATH`` where there is none."""
    out_of = net.out_of()
    gaps = [[NO_PATH] * len(net.names) for _ in net.names]
    for place in reversed(net.order):
        row = gaps[place]
        for tie in out_of[place]:
            step = int(tie.gap(durations))
            row[tie.after] = max(row[tie.after], step)
            for other, further in enumerate(gaps[tie.after]):
                if further > NO_PATH:
                    row[other] = max(row[other], step + further)
    return gaps


def reduced(
    net: Network, durations: Sequence[int], demands: Sequence[Sequence[int]], capacities: Sequence[int]
) -> tuple[ResourceProblem, list[int]]:
    """The problem of the activities that use a resource for some time, and their places in the network.

    The others only pass gaps on. A gap that two others make up is left out.
    """
    busy = [place for place, duration in enumerate(durations) if duration > 0 and any(demands[place])]
    gaps = longest_gaps(net, durations)
    heads = [int(start) for start in earliest_starts(net, durations)]
    tails = [max([durations[p], *(gap + durations[k] for k, gap in enumerate(gaps[p]) if gap > NO_PATH)]) for p in busy]
    kept = [
        (a, b, gaps[p][q])
        for a, p in enumerate(busy)
        for b, q in enumerate(busy)
        if gaps[p][q] > NO_PATH
        and not any(min(gaps[p][m], gaps[m][q]) > NO_PATH and gaps[p][m] + gaps[m][q] >= gaps[p][q] for m in busy)
    ]
    problem = ResourceProblem(
        tuple(durations[p] for p in busy),
        tuple(tuple(demands[p]) for p in busy),
        tuple(capacities),
        tuple(kept),
        tuple(heads[p] for p in busy),
        tuple(tails),
    )
    return problem, busy
