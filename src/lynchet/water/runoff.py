"""How much of the rain runs off: rational peak flow and the runoff equation by curve number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import floor
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le, Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Fraction, NotNegative, Positive

Array = NDArray[np.float64]
CurveNumber = Annotated[float, Gt(0), Le(100)]
MM_H_M2_PER_M3_S = 3_600_000.0
"""Rain of 1 mm/h on this many square metres is 1 m3/s."""
ABSTRACTION = 0.2
"""Initial abstraction as a share of the retention."""
HARD_CURVE_NUMBER = 98.0
UNCONNECTED_LIMIT = 0.30
"""Largest impervious fraction for which unconnected hard ground counts less."""


@dataclass(frozen=True)
class RunoffArea:
    """One kind of ground in a catchment."""

    area_m2: Positive
    runoff_coefficient: Fraction
    fast: bool = False
    """Part of the small fast part (roof, paving) that is also checked alone."""


@dataclass(frozen=True)
class PeakFlow:
    """Peak flow of a catchment."""

    mean_coefficient: float
    total_area_m2: float
    whole_flow_m3_s: float
    governs: Literal["whole", "fast"]
    design_flow_m3_s: float
    design_flow_l_s: float
    fast_flow_m3_s: float | None = None


@dataclass(frozen=True)
class Runoff:
    """Runoff of one storm."""

    retention_mm: float
    initial_abstraction_mm: float
    runoff_mm: float


@dataclass(frozen=True)
class CurvePart:
    """One part of a catchment with its curve number."""

    area_m2: Positive
    curve_number: CurveNumber
    """Of the pervious ground where part of it is hard."""
    impervious_fraction: Fraction = 0.0
    unconnected_fraction: Fraction = 0.0
    """Share of the hard part that drains onto pervious ground."""


@dataclass(frozen=True)
class CompositeCurve:
    """Area-weighted curve number."""

    part_curve_numbers: list[float]
    curve_number: float
    curve_number_whole: int


def raised_coefficient(runoff_coefficient: ArrayLike, frequency_factor: ArrayLike = 1.0) -> Array:
    """Runoff coefficient raised for a rarer storm, never above 1 (any shapes that go together)."""
    raised = np.asarray(runoff_coefficient, dtype=float) * np.asarray(frequency_factor, dtype=float)
    return np.asarray(np.minimum(raised, 1.0))


def rational_flow_m3_s(runoff_coefficient: ArrayLike, intensity_mm_h: ArrayLike, area_m2: ArrayLike) -> Array:
    """Rational method: Q = C i A in m3/s (any shapes that go together)."""
    rain = np.asarray(intensity_mm_h, dtype=float) * np.asarray(area_m2, dtype=float)
    return np.asarray(np.asarray(runoff_coefficient, dtype=float) * rain / MM_H_M2_PER_M3_S)


def retention_mm(curve_number: ArrayLike) -> Array:
    """Potential retention S = 25400/CN - 254 in mm."""
    return np.asarray(25400.0 / np.asarray(curve_number, dtype=float) - 254.0)


def curve_runoff_mm(retention: ArrayLike, rain_mm: ArrayLike) -> Array:
    """Runoff depth (P - Ia)^2/(P - Ia + S) with Ia = 0.2 S, zero up to Ia (mm; any shapes that go together)."""
    kept = np.asarray(retention, dtype=float)
    excess = np.maximum(np.asarray(rain_mm, dtype=float) - ABSTRACTION * kept, 0.0)
    wet = excess > 0
    return np.asarray(np.where(wet, excess**2 / np.where(wet, excess + kept, 1.0), 0.0))


def part_curve_number(
    curve_number: ArrayLike, impervious_fraction: ArrayLike, unconnected_fraction: ArrayLike
) -> Array:
    """Curve number of a partly hard area: CN + f (98 - CN) k, with k = 1 - u/2 up to f = 0.30, else 1."""
    soft = np.asarray(curve_number, dtype=float)
    hard = np.asarray(impervious_fraction, dtype=float)
    share = np.where(hard <= UNCONNECTED_LIMIT, 1.0 - 0.5 * np.asarray(unconnected_fraction, dtype=float), 1.0)
    return np.asarray(soft + hard * (HARD_CURVE_NUMBER - soft) * share)


def _rational_steps(given: Mapping[str, Any], result: PeakFlow) -> list[Step]:
    areas, factor = given["areas"], given.get("frequency_factor", 1.0)
    parts = " + ".join(
        f"{raised_coefficient(area.runoff_coefficient, factor):.3g} x {area.area_m2:g}" for area in areas
    )
    steps = [
        Step("mean runoff coefficient C", f"({parts})/{result.total_area_m2:g}", result.mean_coefficient),
        Step(
            "flow of the whole area",
            f"C i A = {result.mean_coefficient:.4g} x {given['intensity_mm_h']:g} mm/h x {result.total_area_m2:g} m2"
            " / 3,600,000",
            result.whole_flow_m3_s,
            "m3_s",
        ),
    ]
    if result.fast_flow_m3_s is not None:
        how = f"the same over the fast areas alone at {given['fast_intensity_mm_h']:g} mm/h"
        steps.append(Step("flow of the fast part alone", how, result.fast_flow_m3_s, "m3_s"))
    return [*steps, Step("design flow", f"the larger: the {result.governs} area", result.design_flow_l_s, "l_s")]


@calculator(
    source="FHWA, HEC-22, 3rd ed., 2009, 3.2.2 (frequency factor recalled); Bedient et al., Example 6-7",
    known="SEEN",
    example={"areas": [{"area_m2": 167.0, "runoff_coefficient": 0.3}], "intensity_mm_h": 197.0},
    working=_rational_steps,
)
def rational_peak_flow(
    *,
    areas: Annotated[list[RunoffArea], Len(1)],
    intensity_mm_h: NotNegative,
    fast_intensity_mm_h: NotNegative | None = None,
    frequency_factor: Annotated[float, Ge(1)] = 1.0,
) -> PeakFlow:
    """Peak flow of rain from a yard, roof or slope (rational method).

    Equation: Q = C i A/3 600 000 in m3/s with i in mm/h and A in m2; C = sum(C A)/sum(A), each C first multiplied by
    the frequency factor and cut to 1.

    Symbols: areas, each with its runoff coefficient (share of the rain that runs off); intensity_mm_h, i at the time
    the whole area needs; fast_intensity_mm_h, i at the shorter time of the parts marked fast.

    Limits: small catchments with even rain. The larger of the whole area and of the fast part alone is the design flow;
    a tie counts as whole.
    """
    fast = np.array([area.fast for area in areas])
    refuse_if(
        bool(fast.any()) and fast_intensity_mm_h is None, "fast_intensity_mm_h", "missing, but an area is marked fast",
        "the rain intensity at the fast part's own time",
    )  # fmt: skip
    area = np.array([part.area_m2 for part in areas], dtype=float)
    coefficient = raised_coefficient([part.runoff_coefficient for part in areas], frequency_factor)
    total = float(area.sum())
    mean = float((coefficient * area).sum() / total)
    whole = float(rational_flow_m3_s(mean, intensity_mm_h, total))
    alone = None
    if fast_intensity_mm_h is not None:
        alone = float(rational_flow_m3_s(coefficient, fast_intensity_mm_h, area)[fast].sum())
    design = max(whole, alone or 0.0)
    return PeakFlow(
        mean_coefficient=mean,
        total_area_m2=total,
        whole_flow_m3_s=whole,
        governs="whole" if design == whole else "fast",
        design_flow_m3_s=design,
        design_flow_l_s=1000.0 * design,
        fast_flow_m3_s=alone,
    )


def _curve_steps(given: Mapping[str, Any], result: Runoff) -> list[Step]:
    s, rain, start = result.retention_mm, given["rain_mm"], result.initial_abstraction_mm
    how = f"({rain:g} - {start:.4g})^2/({rain:g} - {start:.4g} + {s:.4g})" if rain > start else "no runoff up to Ia"
    return [
        Step("retention S", f"25400/{given['curve_number']:g} - 254", s, "mm"),
        Step("initial abstraction Ia", f"0.2 x {s:.4g}", start, "mm"),
        Step("runoff", how, result.runoff_mm, "mm"),
    ]


@calculator(
    source="USDA SCS, TR-55, Urban Hydrology for Small Watersheds, 2nd ed., 1986, chapter 2",
    known="SEEN",
    example={"curve_number": 70, "rain_mm": 152.4},
    working=_curve_steps,
)
def curve_number_runoff(*, curve_number: CurveNumber, rain_mm: NotNegative) -> Runoff:
    """Depth of runoff from a storm by curve number.

    Equation: S = 25400/CN - 254; Ia = 0.2 S; Q = (P - Ia)^2/(P - Ia + S), zero where P is not above Ia (mm).

    Symbols: curve_number, CN of soil and cover; rain_mm, P of the storm.

    Limits: depth of a whole storm, not a peak flow.
    """
    kept = float(retention_mm(curve_number))
    return Runoff(kept, ABSTRACTION * kept, float(curve_runoff_mm(kept, rain_mm)))


@calculator(
    source="USDA SCS, TR-55, 2nd ed., 1986, figures 2-3 and 2-4 and the equations of appendix F (partly recalled)",
    known="MEMORY",
    example={"parts": [{"area_m2": 300.0, "curve_number": 61, "impervious_fraction": 0.35}]},
)
def composite_curve_number(*, parts: Annotated[list[CurvePart], Len(1)]) -> CompositeCurve:
    """Curve number of ground of several kinds, partly hard.

    Equation: CNc = CN + f (98 - CN) k per part, k = 1 - 0.5 u for f up to 0.30, else 1; weighted by area.

    Symbols: f, impervious fraction of the part; u, share of the hard part that drains onto pervious ground.

    Limits: parts are not rounded before weighting; the whole number rounds halves up.
    """
    numbers = part_curve_number(
        [part.curve_number for part in parts],
        [part.impervious_fraction for part in parts],
        [part.unconnected_fraction for part in parts],
    )
    area = np.array([part.area_m2 for part in parts], dtype=float)
    mean = float((numbers * area).sum() / area.sum())
    return CompositeCurve(numbers.tolist(), mean, floor(mean + 0.5 + 1e-9))
