"""Activities tied by links: names to places, links to gaps between starts, rings found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, Protocol

from lynchet.core.calculator import refuse_if
from lynchet.core.quick import quick

LinkType = Literal["fs", "ss", "ff", "sf"]
SLACK = 1e-9


@dataclass(frozen=True)
class Link:
    """A predecessor with the kind of link and its lag."""

    name: str
    type: LinkType = "fs"
    lag_day: float = 0.0
    """May be negative (a lead)."""


class Activity(Protocol):
    """What every kind of activity row has."""

    @property
    def name(self) -> str:
        """Its name, used once."""

    @property
    def predecessors(self) -> list[str | Link] | None:
        """Names, or links."""


@quick
@dataclass(frozen=True)
class Tie:
    """One link between two activities by place in the list."""

    before: int
    after: int
    type: LinkType
    lag_day: float

    def gap(self, durations_day: Sequence[float]) -> float:
        """Least time from the start of the one before to the start of the one after."""
        start = durations_day[self.before] if self.type in ("fs", "ff") else 0.0
        end = durations_day[self.after] if self.type in ("ff", "sf") else 0.0
        return start + self.lag_day - end


@dataclass(frozen=True)
class Network:
    """Activities by place, with their ties and an order in which every predecessor comes first."""

    names: tuple[str, ...]
    ties: tuple[Tie, ...]
    order: tuple[int, ...]

    def into(self) -> list[list[Tie]]:
        """Ties by the activity after them."""
        found: list[list[Tie]] = [[] for _ in self.names]
        for tie in self.ties:
            found[tie.after].append(tie)
        return found

    def out_of(self) -> list[list[Tie]]:
        """Ties by the activity before them."""
        found: list[list[Tie]] = [[] for _ in self.names]
        for tie in self.ties:
            found[tie.before].append(tie)
        return found


def network(activities: Sequence[Any], plain: bool = False) -> Network:
    """The network of a list of activity rows.

    Args:
        activities: rows with ``name`` and ``predecessors``.
        plain: only finish-to-start links without lag are taken.

    Raises:
        InputError: no activities, a name twice, a predecessor that is not in the list, a link of another type where
            only plain ones are taken, or links in a ring.
    """
    refuse_if(not activities, "activities", "no activities", "one or more")
    places: dict[str, int] = {}
    for place, activity in enumerate(activities):
        refuse_if(
            activity.name in places, f"activities[{place}].name", f"duplicate name {activity.name!r}", "a name once"
        )
        places[activity.name] = place
    ties = tuple(tie for place, activity in enumerate(activities) for tie in _ties(place, activity, places, plain))
    return Network(tuple(places), ties, _order(tuple(places), ties))


def _ties(place: int, activity: Activity, places: dict[str, int], plain: bool) -> list[Tie]:
    found = []
    for number, written in enumerate(activity.predecessors or []):
        link = Link(written) if isinstance(written, str) else written
        key = f"activities[{place}].predecessors[{number}]"
        refuse_if(
            link.name not in places, key, f"the predecessor {link.name!r} is not in the list", "a name of the list"
        )
        refuse_if(
            plain and (link.type != "fs" or link.lag_day != 0), key,
            f"a link of type {link.type} with lag {link.lag_day:g}", "type fs without lag",
        )  # fmt: skip
        found.append(Tie(places[link.name], place, link.type, link.lag_day))
    return found


def _order(names: tuple[str, ...], ties: tuple[Tie, ...]) -> tuple[int, ...]:
    """Places so that every predecessor comes first, in the order of the list where that is free."""
    waiting = [0] * len(names)
    after: list[list[int]] = [[] for _ in names]
    for tie in ties:
        waiting[tie.after] += 1
        after[tie.before].append(tie.after)
    ready = [place for place, count in enumerate(waiting) if count == 0]
    order: list[int] = []
    while ready:
        place = ready.pop(0)
        order.append(place)
        for follower in after[place]:
            waiting[follower] -= 1
            if waiting[follower] == 0:
                ready.append(follower)
    ring = ", ".join(name for place, name in enumerate(names) if waiting[place] > 0)
    refuse_if(len(order) < len(names), "activities", f"links in a cycle among {ring}", "links that lead forward only")
    return tuple(order)


def earliest_starts(
    net: Network, durations_day: Sequence[float], not_before_day: Sequence[float] | None = None
) -> list[float]:
    """Earliest start of every activity, never before 0 nor its own day (kernel, nothing checked)."""
    start = [0.0] * len(net.names) if not_before_day is None else [max(0.0, day) for day in not_before_day]
    into = net.into()
    for place in net.order:
        for tie in into[place]:
            start[place] = max(start[place], start[tie.before] + tie.gap(durations_day))
    return start


def latest_starts(net: Network, durations_day: Sequence[float], finish_day: float) -> list[float]:
    """Latest start of every activity so that none ends after the finish (kernel, nothing checked)."""
    start = [finish_day - duration for duration in durations_day]
    out_of = net.out_of()
    for place in reversed(net.order):
        for tie in out_of[place]:
            start[place] = min(start[place], start[tie.after] - tie.gap(durations_day))
    return start


def free_floats(
    net: Network, durations_day: Sequence[float], start_day: Sequence[float], end_day: float
) -> list[float]:
    """How far each activity may slip without moving a follower's early start or the end (kernel)."""
    free = [end_day - start - duration for start, duration in zip(start_day, durations_day, strict=True)]
    for tie in net.ties:
        gap = start_day[tie.after] - start_day[tie.before] - tie.gap(durations_day)
        free[tie.before] = min(free[tie.before], gap)
    return free
