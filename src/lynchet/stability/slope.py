"""The whole slope: when it must be looked at, and what the search for the worst slip circle says."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from lynchet.core.findings import Finding, Verdict
from lynchet.stability.model import Place, SlopeCheck, TierCheck
from lynchet.stability.places import Yard

STEEP = 1.0 / 3.0
STEEP_CLAY = 0.25
TOGETHER_M = 1.2
SOURCE = "Triggers and factors 1.3, 1.5 (1.1 with all outlets shut): PRACTICE after slope-manual values, MEMORY"


def triggers(yard: Yard, places: Sequence[Place], tiers: Sequence[TierCheck]) -> list[str]:
    """Why the whole slope must be looked at, in plain words; empty where it need not."""
    found = []
    slope = hypot(*yard.terraces.fall)
    if any(not tier.independent for tier in tiers):
        found.append("walls so near each other that they count as one")
    if slope > STEEP:
        found.append(f"ground steeper than 1 in 3 ({slope:.0%})")
    together = _together_m(places, tiers)
    if together > TOGETHER_M + 1e-9:
        found.append(f"walls in one section together {together:.2f} m high")
    if yard.project.springs:
        found.append("a spring")
    if any(place.surcharge_kpa > 0 for place in places):
        found.append("a load above a wall")
    if yard.project.soil.clay and slope > STEEP_CLAY:
        found.append(f"clay on ground steeper than 1 in 4 ({slope:.0%})")
    return found


def _together_m(places: Sequence[Place], tiers: Sequence[TierCheck]) -> float:
    tallest: dict[str, float] = {}
    for place in places:
        tallest[place.leg] = max(tallest.get(place.leg, 0.0), place.retained_m)
    above = {tier.lower: tier.upper for tier in tiers}
    best = 0.0
    for start in tallest:
        leg, total, seen = start, 0.0, set()
        while leg in tallest and leg not in seen:
            seen.add(leg)
            total += tallest[leg]
            leg = above.get(leg, "")
        best = max(best, total)
    return best


def check_slope(yard: Yard, places: Sequence[Place], tiers: Sequence[TierCheck], slip_ends: int) -> list[SlopeCheck]:
    """The checks of the whole slope; empty where nothing asks for one."""
    why = triggers(yard, places, tiers)
    return [SlopeCheck(tuple(why), "wet", None)] if why else []


def slope_findings(checks: Sequence[SlopeCheck]) -> list[Finding]:
    """One finding for the worst case of the whole slope."""
    found = []
    for check in checks:
        found.append(
            Finding(
                code="stability.slope",
                verdict=Verdict.ASK,
                text=f"The whole slope must be looked at by an engineer: {'; '.join(check.triggers)}.",
                place="site",
                case=check.case,
                source=SOURCE,
                ask="engineer",
            )
        )
    return found
