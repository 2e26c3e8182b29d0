"""What a day says of the ground at the foot and the head of steps: landings on beds, and stone where no bed is.

Steps of one riser are the top of their wall alone: no timber of theirs is laid on any day, so their landings are told
with the courses and the fill of the terrace they are built with.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from lynchet.core.same import Same
from lynchet.drawings.day_places import Naming
from lynchet.drawings.landings import landing_m
from lynchet.plan.building_days import days_of
from lynchet.plan.day_parts import Share
from lynchet.plan.model import Plan
from lynchet.terraces.model import Flight


def landing_sentences(named: Naming, share: Share) -> Iterator[str]:
    """What is to be done for landings with a share of a task; nothing for most.

    Args:
        named: names of the plan.
        share: of the task, on one day.
    """
    flights = named.plan.terraces.flights
    ended = share.last == share.of
    if share.task.kind == "fill" and ended:
        mine = [one for one in flights if not one.treads and _stage(named, one) == share.task.terrace]
        padded = [one for one in mine if _on_beds(named, one)]
        yield from _said(named, "landings", padded)
    for end, text in (("foot", "steps_foot"), ("head", "steps_head")):
        yield from _said(named, text, [one for one in flights if _comes(named, f"{one.id}/{end}.", share)])


def _said(named: Naming, text: str, flights: list[Flight]) -> Iterator[str]:
    """The same for flights whose landings are equally deep, the shallowest first."""
    depths = {one.id: landing_m(named.plan, one) for one in flights}
    for deep in sorted(set(depths.values())):
        names = ", ".join(named.flight(one.id) for one in flights if depths[one.id] == deep)
        for line in named.words.many(f"day.step.{text}"):
            yield line.format(flights=names, landing=named.long(deep))


def _stage(named: Naming, flight: Flight) -> int:
    return named.built.of_flight(flight.id)


def _on_beds(named: Naming, flight: Flight) -> bool:
    beds = {bed.id for bed in named.plan.terraces.beds}
    return any(landing.face in beds for landing in flight.landings)


def _comes(named: Naming, things: str, share: Share) -> bool:
    """Whether the last stone whose name begins so is laid with this share."""
    last = _last(Same(named.plan)).get((things, share.task.id), -1.0)
    return share.start - 1e-9 <= last < share.end + 1e-9 if last >= 0.0 else False


@lru_cache(maxsize=2)
def _last(plan: Same[Plan]) -> dict[tuple[str, str], float]:
    """Of things with one task whose names begin alike, up to the point after the stroke, the greatest share."""
    found: dict[tuple[str, str], float] = {}
    for name, one in days_of(plan.thing).coming.items():
        key = name[: name.find(".", name.find("/")) + 1], one.task
        found[key] = max(one.share, found.get(key, -1.0))
    return found
