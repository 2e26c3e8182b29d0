"""Heights as place rules count them, tier by tier up the slope."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.project.model import Project
from lynchet.stability.model import HeightCheck, Place, TierCheck
from lynchet.stability.tiers import PermitRule, Tier, chains, triggers


def check_heights(project: Project, places: Sequence[Place], tiers: Sequence[TierCheck]) -> list[HeightCheck]:
    """Every rule of the place against every stack of walls met going up the slope."""
    stacks = _stacks(places, tiers)
    found = []
    for rule in project.place.heights:
        permit = PermitRule(
            rule.name, rule.measure, rule.limit_m, rule.tiers_add, rule.setback_ratio, rule.at_limit_counts,
            rule.surcharge_counts,
        )  # fmt: skip
        heights = [max(map(sum, chains(stack, permit))) for _, stack in stacks]
        over = [triggers(stack, permit, height) for (_, stack), height in zip(stacks, heights, strict=True)]
        if not stacks:
            continue
        worst = max(range(len(stacks)), key=lambda n: (over[n], heights[n]))
        legs, stack = stacks[worst]
        count = max(map(len, chains(stack, permit)))
        working = ("permit_height", (("tiers", [dict(vars(tier)) for tier in stack]), ("rules", [dict(vars(permit))])))
        found.append(HeightCheck(
            rule.name, rule.measure, heights[worst], rule.limit_m, count, over[worst], legs, working))  # fmt: skip
    return found


def _stacks(places: Sequence[Place], tiers: Sequence[TierCheck]) -> list[tuple[tuple[str, ...], list[Tier]]]:
    """Walls one above the other, from each lowest one up by the nearest wall above."""
    walls = _tallest(places)
    above: dict[str, TierCheck] = {}
    for check in tiers:
        if check.lower not in above or check.setback_m < above[check.lower].setback_m:
            above[check.lower] = check
    upper = {check.upper for check in above.values()}
    found = []
    for start in walls:
        if start in upper:
            continue
        legs, stack, setback = [start], [_tier(walls[start], None)], None
        while (link := above.get(legs[-1])) is not None and link.upper in walls and link.upper not in legs:
            setback = link.setback_m
            legs.append(link.upper)
            stack.append(_tier(walls[link.upper], setback))
        found.append((tuple(legs), stack))
    return found


def _tallest(places: Sequence[Place]) -> dict[str, Place]:
    found: dict[str, Place] = {}
    for place in places:
        if place.leg not in found or place.retained_m > found[place.leg].retained_m:
            found[place.leg] = place
    return found


def _tier(place: Place, setback_m: float | None) -> Tier:
    return Tier(
        retained_m=place.retained_m,
        exposed_m=max(place.top_m - place.low_m, place.retained_m),
        buried_m=place.buried_m,
        setback_m=setback_m,
        surcharge=place.surcharge_kpa > 0,
    )
