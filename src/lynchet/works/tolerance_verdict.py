"""Whether a measured value keeps its limits when the measuring itself is unsure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Any, Literal

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative

SLACK_MM = 1e-6
GUARD_K = 2.0


@dataclass(frozen=True)
class ToleranceVerdict:
    """Decision on one measured value."""

    probability: float
    decision: Literal["accept", "reject", "undecided"]
    margin_mm: float
    accept_from_mm: float | None = None
    accept_to_mm: float | None = None


def chance_inside(measured_mm: float, lower_mm: float, upper_mm: float, uncertainty_mm: float) -> float:
    """Chance that the true value lies within the limits (a missing one at infinity); 0 or 1 without uncertainty."""
    if uncertainty_mm == 0:
        return float(lower_mm - SLACK_MM <= measured_mm <= upper_mm + SLACK_MM)
    from scipy.special import ndtr

    above = (upper_mm - measured_mm) / uncertainty_mm
    below = (lower_mm - measured_mm) / uncertainty_mm
    return float(ndtr(above) - ndtr(below)) if below < 0 else float(ndtr(-below) - ndtr(-above))


def decide(
    measured_mm: float, lower_mm: float, upper_mm: float, guard_mm: float
) -> Literal["accept", "reject", "undecided"]:
    """Accept inside the limits by the guard, reject outside them by it, else undecided."""
    if lower_mm + guard_mm - SLACK_MM <= measured_mm <= upper_mm - guard_mm + SLACK_MM:
        return "accept"
    out = measured_mm < lower_mm - guard_mm - SLACK_MM or measured_mm > upper_mm + guard_mm + SLACK_MM
    return "reject" if out else "undecided"


def _verdict_steps(given: Mapping[str, Any], result: ToleranceVerdict) -> list[Step]:
    guard = given.get("guard_k", GUARD_K) * given["uncertainty_mm"]
    return [
        Step("guard band", f"{given.get('guard_k', GUARD_K):g} x {given['uncertainty_mm']:g}", guard, "mm"),
        Step("inside the nearer limit by", "distance, + inside", result.margin_mm, "mm"),
        Step("chance that it conforms", "normal distribution about the reading", result.probability),
        Step("decision", f"margin {result.margin_mm:.4g} against guard {guard:.4g}", result.decision),
    ]


@calculator(
    source="JCGM 106 (conformity assessment) and ISO 14253-1 (recalled)",
    known="MEMORY",
    example={"measured_mm": 31, "lower_mm": 25, "uncertainty_mm": 2},
    working=_verdict_steps,
)
def tolerance_verdict(
    *,
    measured_mm: float,
    uncertainty_mm: NotNegative,
    lower_mm: float | None = None,
    upper_mm: float | None = None,
    guard_k: NotNegative = GUARD_K,
) -> ToleranceVerdict:
    """Whether a measured value is within its limits, though the measuring is unsure.

    Equation: probability = F((upper - y)/u) - F((lower - y)/u); w = guard_k u; accept when lower + w <= y <= upper - w,
    reject when y < lower - w or y > upper + w, else undecided.

    Symbols: measured_mm, y; uncertainty_mm, u standard; F, normal distribution; margin_mm, distance to the nearer
    limit, + inside.

    Limits: guard_k 0 is the plain rule (never undecided), 1.65 a one-sided 95 % rule, 2 the usual expanded uncertainty.
    """
    refuse_if(lower_mm is None and upper_mm is None, "lower_mm or upper_mm", "no limit", "one limit or both")
    low, high = -inf if lower_mm is None else lower_mm, inf if upper_mm is None else upper_mm
    refuse_if(low >= high, "lower_mm and upper_mm", f"a lower limit of {low:g} not below the upper, {high:g}", "rising")
    guard = guard_k * uncertainty_mm
    refuse_if(
        low + guard > high - guard + SLACK_MM, "uncertainty_mm", f"the uncertainty takes {2 * guard:g} mm",
        f"up to {high - low:g} mm in all",
    )  # fmt: skip
    return ToleranceVerdict(
        probability=chance_inside(measured_mm, low, high, uncertainty_mm),
        decision=decide(measured_mm, low, high, guard),
        margin_mm=min(measured_mm - low, high - measured_mm),
        accept_from_mm=None if lower_mm is None else lower_mm + guard,
        accept_to_mm=None if upper_mm is None else upper_mm - guard,
    )
