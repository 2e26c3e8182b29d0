"""How well a reading is known: repeats and single components put together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor, sqrt
from statistics import fmean, stdev
from typing import Annotated, Any, Literal

from annotated_types import Gt, Len, Lt

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive, Words

SLACK = 1e-9
Shape = Literal["rectangular", "triangular", "arcsine"]
DIVISOR: dict[str, float] = {"rectangular": sqrt(3.0), "triangular": sqrt(6.0), "arcsine": sqrt(2.0)}
K2 = 2.0


@dataclass(frozen=True)
class Component:
    """One source of doubt, told in exactly one of three ways."""

    name: str
    standard: NotNegative | None = None
    half_width: NotNegative | None = None
    expanded: NotNegative | None = None
    shape: Shape = "rectangular"
    k: Annotated[Positive, Words("expanded k")] = 2.0
    sensitivity: float = 1.0
    """mm per unit of the component."""
    degrees: Positive | None = None
    """Degrees of freedom."""

    def part_mm(self) -> float:
        """Its standard uncertainty in mm."""
        size = self.standard if self.standard is not None else None
        if self.half_width is not None:
            size = self.half_width / DIVISOR[self.shape]
        elif self.expanded is not None:
            size = self.expanded / self.k
        return abs(self.sensitivity) * (size or 0.0)


@dataclass(frozen=True)
class ReadingUncertainty:
    """Combined and expanded uncertainty; lists hold the repeats first, then the components."""

    combined_mm: float
    k: float
    expanded_mm: float
    contributions_mm: list[float]
    share_pct: list[float]
    mean_mm: float | None = None
    sd_mm: float | None = None
    mean_uncertainty_mm: float | None = None
    effective_degrees: float | None = None


def effective_degrees(parts: Sequence[float], degrees: Sequence[float | None], combined: float) -> float | None:
    """Welch and Satterthwaite: combined^4/sum(part^4/degrees); None where no part with degrees is above zero."""
    below = sum(part**4 / free for part, free in zip(parts, degrees, strict=True) if free is not None)
    return combined**4 / below if below > 0 else None


def coverage_factor(coverage_pct: float, degrees: float | None) -> float:
    """Two-sided factor: Student's t for whole degrees (one at least), normal where there are none."""
    from scipy.special import ndtri, stdtrit

    chance = 0.5 + coverage_pct / 200.0
    if degrees is None:
        return float(ndtri(chance))
    return float(stdtrit(max(floor(degrees + SLACK), 1), chance))


def _uncertainty_steps(given: Mapping[str, Any], result: ReadingUncertainty) -> list[Step]:
    names = ["repeats"] if result.mean_mm is not None else []
    names += [component.name for component in given.get("components") or []]
    steps = [
        Step(f"part of {name}", f"{share:.3g} percent of the whole", part, "mm")
        for name, part, share in zip(names, result.contributions_mm, result.share_pct, strict=True)
    ]
    return [
        *steps,
        Step("combined", "root of the sum of squares", result.combined_mm, "mm"),
        Step("coverage factor k", f"rule {given.get('rule', 't')}", result.k),
        Step("expanded", f"{result.k:.4g} x {result.combined_mm:.4g}", result.expanded_mm, "mm"),
    ]


@calculator(
    source="GUM (JCGM 100), H.1 seen, 4.4.3 recalled; NPL Good Practice Guide 11 (recalled)",
    known="SEEN",
    example={
        "readings_mm": [812.0, 813.0, 811.5], "components": [{"name": "tape", "half_width": 1.0}],
    },
    working=_uncertainty_steps,
)  # fmt: skip
def reading_uncertainty(
    *,
    readings_mm: Annotated[list[float], Len(2)] | None = None,
    components: list[Component] | None = None,
    coverage_pct: Annotated[float, Gt(0), Lt(100)] = 95.0,
    rule: Literal["t", "k2"] = "t",
) -> ReadingUncertainty:
    """How well a measured length is known, from repeats and single doubts.

    Equation: repeats s/sqrt(n) with n - 1 degrees; component standard, half width/sqrt(3), sqrt(6), sqrt(2), or
    expanded/k, times sensitivity; combined = root of the sum of squares; effective degrees = combined^4/
    sum(part^4/degrees); expanded = k x combined.

    Symbols: half_width with a shape, rectangular by default; sensitivity, mm per unit of the component; k, Student's t
    for the coverage and the whole effective degrees, or 2 by rule k2.

    Limits: no correlation between the parts.
    """
    refuse_if(
        readings_mm is None and not components, "readings_mm or components", "neither is given: give one",
        "repeats, components, or both",
    )  # fmt: skip
    parts: list[float] = []
    degrees: list[float | None] = []
    mean = spread = None
    if readings_mm is not None:
        mean, spread = fmean(readings_mm), stdev(readings_mm)
        parts.append(spread / sqrt(len(readings_mm)))
        degrees.append(len(readings_mm) - 1.0)
    for place, component in enumerate(components or []):
        ways = sum(value is not None for value in (component.standard, component.half_width, component.expanded))
        refuse_if(ways != 1, f"components[{place}]", f"{ways} of the three ways to tell it",
                  "exactly one of standard, half_width, expanded")  # fmt: skip
        parts.append(component.part_mm())
        degrees.append(component.degrees)
    combined = sqrt(sum(part**2 for part in parts))
    effective = effective_degrees(parts, degrees, combined)
    k = K2 if rule == "k2" else coverage_factor(coverage_pct, effective)
    return ReadingUncertainty(
        combined_mm=combined,
        k=k,
        expanded_mm=k * combined,
        contributions_mm=parts,
        share_pct=[100.0 * part**2 / combined**2 if combined > 0 else 0.0 for part in parts],
        mean_mm=mean,
        sd_mm=spread,
        mean_uncertainty_mm=None if readings_mm is None else parts[0],
        effective_degrees=effective,
    )
