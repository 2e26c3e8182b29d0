"""Heights as place rules count them, tier by tier up the slope, each wall where it is highest by that count."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from operator import itemgetter

from lynchet.core.changed import changed
from lynchet.project.model import Project
from lynchet.stability.model import HeightCheck, Place, TierCheck
from lynchet.stability.places import base_and_top
from lynchet.stability.tiers import Measure, PermitRule, Tier, chains, triggers
from lynchet.walls.limits import standing_spans
from lynchet.walls.model import Leg, Walls

_Section = tuple[float, float, float]
"""Ground held, timber seen, timber buried: as ``Tier`` begins."""
_MEASURED: dict[Measure, Callable[[_Section], float]] = {
    "exposed": itemgetter(1),
    "base_to_top": lambda section: section[1] + section[2],
}
"""As ``Tier.measured_m``."""
_MOST_STACKS = 2000
"""So many ways up a slope are looked at; no yard comes near."""


def check_heights(
    project: Project, walls: Walls, places: Sequence[Place], tiers: Sequence[TierCheck]
) -> list[HeightCheck]:
    """Every rule of the place against every stack of walls met going up the slope.

    Each wall counts with the place along it where it is highest as that rule measures it: ground held, timber seen, or
    lowest timber to top need not be greatest at the same place.
    """
    by_measure: dict[Measure, list[tuple[tuple[str, ...], list[Tier]]]] = {}
    measures = {rule.measure for rule in project.place.heights}
    most = _most_held(places)
    along = {name: [*_along(walls, walls.leg(name))] for name in most} if measures - {"retained"} else {}
    for measure in measures:
        by_measure[measure] = _stacks(_highest(most, along, measure), tiers)
    found = []
    for rule in project.place.heights:
        permit = PermitRule(
            rule.name, rule.measure, rule.limit_m, rule.tiers_add, rule.setback_ratio, rule.at_limit_counts,
            rule.surcharge_counts,
        )  # fmt: skip
        stacks = by_measure[rule.measure]
        heights = [max(map(sum, chains(stack, permit))) for _, stack in stacks]
        over = [triggers(stack, permit, height) for (_, stack), height in zip(stacks, heights, strict=True)]
        if not stacks:
            continue
        worst = max(range(len(stacks)), key=lambda n: (over[n], heights[n]))
        legs, stack = stacks[worst]
        counted = _counted(legs, chains(stack, permit))
        working = ("permit_height", (("tiers", [dict(vars(tier)) for tier in stack]), ("rules", [dict(vars(permit))])))
        found.append(HeightCheck(
            rule.name, rule.measure, heights[worst], rule.limit_m, len(counted), over[worst], legs, counted,
            working, _loaded(stacks[worst], permit, heights[worst]) if over[worst] else ()))  # fmt: skip
    return found


def _loaded(stack: tuple[tuple[str, ...], list[Tier]], permit: PermitRule, height_m: float) -> tuple[str, ...]:
    """The walls with a load above that alone set a rule off; none where its height does."""
    legs, tiers = stack
    if triggers(tiers, changed(permit, surcharge_counts=False), height_m):
        return ()
    return tuple(leg for leg, tier in zip(legs, tiers, strict=True) if tier.surcharge)


def _counted(legs: Sequence[str], found: Sequence[Sequence[float]]) -> tuple[str, ...]:
    """The walls whose heights make up the tallest sum, the first of equals."""
    tallest = max(range(len(found)), key=lambda n: sum(found[n]))
    start = sum(map(len, found[:tallest]))
    return tuple(legs[start : start + len(found[tallest])])


def _stacks(walls: Mapping[str, Tier], tiers: Sequence[TierCheck]) -> list[tuple[tuple[str, ...], list[Tier]]]:
    """Walls one above the other, from each lowest one up; where two stand above one wall, a stack by way of each."""
    above: dict[str, list[TierCheck]] = {}
    for check in sorted(tiers, key=lambda one: one.setback_m):
        if check.upper in walls:
            above.setdefault(check.lower, []).append(check)
    upper = {check.upper for checks in above.values() for check in checks}
    found: list[tuple[tuple[str, ...], list[Tier]]] = []
    lowest = [name for name in walls if name not in upper]
    rising: list[tuple[tuple[str, ...], list[Tier]]] = [((name,), [walls[name]]) for name in reversed(lowest)]
    while rising and len(found) < _MOST_STACKS:
        legs, stack = rising.pop()
        links = [link for link in above.get(legs[-1], ()) if link.upper not in legs]
        if not links:
            found.append((legs, stack))
        for link in reversed(links):
            rising.append(((*legs, link.upper), [*stack, changed(walls[link.upper], setback_m=link.setback_m)]))
    met = {name for legs, _ in found for name in legs}
    return [*found, *(((name,), [walls[name]]) for name in walls if name not in met)]


def _most_held(places: Sequence[Place]) -> dict[str, Tier]:
    """By wall, the cross-section looked at for stability that holds the most ground, the first of equals."""
    found: dict[str, Place] = {}
    for place in places:
        if place.leg not in found or place.retained_m > found[place.leg].retained_m:
            found[place.leg] = place
    return {leg: _tier(place) for leg, place in found.items()}


def _highest(most: Mapping[str, Tier], along: Mapping[str, Sequence[_Section]], measure: Measure) -> dict[str, Tier]:
    """By wall, the cross-section that is highest as measured; of ground held the one looked at for stability."""
    found = dict(most)
    if measure == "retained":
        return found
    for name, held in most.items():
        high = max(along[name], key=_MEASURED[measure], default=None)
        if high is not None and _MEASURED[measure](high) > held.measured_m(measure):
            found[name] = Tier(*high, surcharge=held.surcharge)
    return found


def _along(walls: Walls, leg: Leg) -> Iterator[_Section]:
    """Every cross-section at which a height may be greatest: where a level bends, or base or top steps."""
    for span, start, end in standing_spans(leg):
        for segment in leg.segments:
            if segment.end_m <= start or segment.start_m >= end:
                continue
            a, b = max(start, segment.start_m), min(end, segment.end_m)
            if b - a <= 1e-6:
                continue
            base_m, top_m = base_and_top(walls, leg, segment, (a + b) / 2)
            for station in (a, b):
                low_m, high_m = sorted(span.levels_at(station))
                held_m = high_m - low_m
                yield held_m, max(top_m - low_m, held_m), max(0.0, low_m - base_m)


def _tier(place: Place) -> Tier:
    return Tier(
        retained_m=place.retained_m,
        exposed_m=max(place.top_m - place.low_m, place.retained_m),
        buried_m=place.buried_m,
        surcharge=place.surcharge_kpa > 0,
    )
