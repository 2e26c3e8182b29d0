"""Walls one above the other: do they stand apart, and how high are they for the permit?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Len
from numpy.typing import NDArray

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.core.quick import quick
from lynchet.stability.kinds import PERMIT_CAUTION, SLACK, WALL_CAUTION, Friction, Numbers, deny
from lynchet.stability.ties import wedge_reach

_RATIO = 2.0
"""Setback over lower height above which tiers count as independent (trade FAQ SRW-FAQ-001)."""


def tiers_apart(lower_height_m: Numbers, setback_m: Numbers) -> NDArray[np.bool_]:
    """Whether the upper wall stands clear of the lower one, strictly beyond twice its height (kernel)."""
    return np.asarray(np.asarray(setback_m) > _RATIO * np.asarray(lower_height_m) + SLACK)


@dataclass(frozen=True)
class TierSeparation:
    """Setback of an upper wall against what is needed."""

    minimum_setback_m: float
    independent: bool
    wedge_reach_m: float
    clears_wedge: bool


def _separation_steps(given: Mapping[str, Any], result: TierSeparation) -> list[Step]:
    h, s = given["lower_height_m"], given["setback_m"]
    return [
        Step("least setback", f"2 x {h:g}", result.minimum_setback_m, "m"),
        Step("independent", f"{s:g} > {result.minimum_setback_m:g}", "yes" if result.independent else "no"),
        Step("reach of the wedge", f"{h:g} tan(45° - {given['friction_angle_deg']:g}°/2)", result.wedge_reach_m, "m"),
        Step("clears the wedge", f"{s:g} > {result.wedge_reach_m:.3f}", "yes" if result.clears_wedge else "no"),
    ]


@calculator(
    source="Concrete masonry trade FAQ SRW-FAQ-001 (setback rule); reach of Rankine's wedge",
    known="SEEN",
    example={"lower_height_m": 0.6, "setback_m": 1.5, "friction_angle_deg": 30.0},
    working=_separation_steps,
    caution=WALL_CAUTION + " Not independent: add the upper wall as a load and check the slope as a whole.",
)
def tier_separation(
    *, lower_height_m: Positive, setback_m: NotNegative, friction_angle_deg: Friction
) -> TierSeparation:
    """Whether an upper wall stands far enough back from the one below.

    Equation: minimum setback = 2 x lower height; independent when the setback is above it; reach = H tan(45 - p/2).

    Symbols: lower height from base to top of the lower wall, buried part included; setback face to face; p friction
    angle.

    Limits: a trade rule, not a proof; tiers that are not independent are one slope.
    """
    reach = float(wedge_reach(lower_height_m, friction_angle_deg))
    return TierSeparation(
        minimum_setback_m=_RATIO * lower_height_m,
        independent=bool(tiers_apart(lower_height_m, setback_m)),
        wedge_reach_m=reach,
        clears_wedge=setback_m > reach + SLACK,
    )


Measure = Literal["retained", "exposed", "base_to_top"]


@quick
@dataclass(frozen=True)
class Tier:
    """One wall of several, counted from the bottom."""

    retained_m: NotNegative
    exposed_m: NotNegative | None = None
    """As retained where not given."""
    buried_m: NotNegative = 0.0
    setback_m: NotNegative | None = None
    """Face to face from the tier below; not needed for the lowest."""
    surcharge: bool = False

    def measured_m(self, measure: Measure) -> float:
        """Height as a rule counts it."""
        exposed = self.retained_m if self.exposed_m is None else self.exposed_m
        if measure == "base_to_top":
            return exposed + self.buried_m
        return exposed if measure == "exposed" else self.retained_m


@dataclass(frozen=True)
class PermitRule:
    """How a place counts height and from where on it wants a permit or an engineer."""

    name: str
    measure: Measure
    limit_m: NotNegative
    tiers_add: Literal["never", "always", "setback"] = "never"
    setback_ratio: NotNegative = 2.0
    at_limit_counts: bool = False
    surcharge_counts: bool = False


def chains(tiers: Sequence[Tier], rule: PermitRule) -> list[list[float]]:
    """Heights of the tiers, grouped into those the rule adds up, bottom up."""
    found: list[list[float]] = []
    for index, tier in enumerate(tiers):
        height = tier.measured_m(rule.measure)
        below = found[-1][-1] if found else 0.0
        near = tier.setback_m is not None and tier.setback_m < rule.setback_ratio * below - SLACK
        if index and (rule.tiers_add == "always" or (rule.tiers_add == "setback" and near)):
            found[-1].append(height)
        else:
            found.append([height])
    return found


def triggers(tiers: Sequence[Tier], rule: PermitRule, height_m: float) -> bool:
    """Whether the rule asks for more at this height."""
    reached = height_m >= rule.limit_m - SLACK if rule.at_limit_counts else height_m > rule.limit_m + SLACK
    return reached or (rule.surcharge_counts and any(tier.surcharge for tier in tiers))


@dataclass(frozen=True)
class PermitHeight:
    """Lists by rule, and the whole."""

    height_m: list[float]
    tiers_counted: list[int]
    triggered: list[bool]
    total_retained_m: float
    total_base_to_top_m: float


def _permit_steps(given: Mapping[str, Any], result: PermitHeight) -> list[Step]:
    steps = []
    for row, height, tiers, hit in zip(
        given["rules"], result.height_m, result.tiers_counted, result.triggered, strict=True
    ):
        rule = row if isinstance(row, PermitRule) else PermitRule(**row)
        how = f"{rule.measure.replace('_', ' ')}, tiers added: {rule.tiers_add}, up to {tiers} in a chain"
        steps.append(Step(f"{rule.name}: height", how, height, "m"))
        sign = ">=" if rule.at_limit_counts else ">"
        steps.append(
            Step(f"{rule.name}: asks for more", f"{height:.4g} {sign} {rule.limit_m:g}", "yes" if hit else "no")
        )
    return steps


@calculator(
    source="Rules of the place as the user writes them (local codes count height in different ways)",
    known="PRACTICE",
    example={
        "tiers": [{"retained_m": 0.9, "buried_m": 0.15}, {"retained_m": 0.6, "buried_m": 0.15, "setback_m": 1.2}],
        "rules": [{"name": "permit", "measure": "base_to_top", "limit_m": 1.2, "tiers_add": "setback"}],
    },
    working=_permit_steps,
    caution=PERMIT_CAUTION,
)
def permit_height(*, tiers: Annotated[list[Tier], Len(1)], rules: Annotated[list[PermitRule], Len(1)]) -> PermitHeight:
    """Height of a wall or of tiers as permit rules count it.

    Equation: base to top = exposed + buried. Tiers are chained from the bottom: always, or where the upper tier's
    setback is below ratio x the lower tier's height by the same measure. Height = the tallest chain's sum (never: the
    tallest tier).

    Symbols: retained earth held up, exposed what is seen, buried below the front ground, setback face to face.

    Limits: a comparison with the rules given, no permit. Heights equal to the limit but for rounding are equal.
    """
    for index, tier in enumerate(tiers):
        nothing = tier.measured_m("base_to_top") <= 0
        deny(nothing, f"tiers[{index}].exposed_m", "a tier with nothing exposed and nothing buried", "a height above 0")
        alone = index > 0 and tier.setback_m is None
        deny(alone, f"tiers[{index}].setback_m", "missing: the setback of an upper tier", "its distance face to face")
    by_rule = [chains(tiers, rule) for rule in rules]
    heights = [max(sum(chain) for chain in found) for found in by_rule]
    return PermitHeight(
        height_m=heights,
        tiers_counted=[max(len(chain) for chain in found) for found in by_rule],
        triggered=[triggers(tiers, rule, height) for rule, height in zip(rules, heights, strict=True)],
        total_retained_m=sum(tier.measured_m("retained") for tier in tiers),
        total_base_to_top_m=sum(tier.measured_m("base_to_top") for tier in tiers),
    )
