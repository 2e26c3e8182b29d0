"""Filter fabric (drainage geotextile) against the soil it lies on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from annotated_types import Ge

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive
from lynchet.core.tables import read_table
from lynchet.water.filters import at_most
from lynchet.water.gradation import Percent

LEAST_AOS_MM = 0.15
TOO_FINE_PCT = 85.0
FINE_SOIL_PCT = 50.0
FINE_SOIL_AOS_MM = 0.3
CRITICAL_FACTOR = 10.0


@dataclass(frozen=True)
class FabricCheck:
    """Whether a fabric suits a soil."""

    min_permittivity_per_s: float
    max_aos_mm: float
    class_ok: bool
    clogging_ok: bool
    soil_too_fine: bool
    passes: bool
    retention_factor: float | None = None
    retention_max_aos_mm: float | None = None
    retention_ok: bool | None = None
    permeability_ok: bool | None = None


def fabric_class(fines_pct: float) -> tuple[float, float]:
    """Least permittivity (1/s) and largest opening (mm) for soil with these fines."""
    table = read_table("water", "fabric_classes")
    limits = zip(
        table.column("fines_up_to_pct"), table.column("limit_included"), table.column("min_permittivity_per_s"),
        table.column("max_aos_mm"), strict=True,
    )  # fmt: skip
    return next(
        (permittivity, aos)
        for up_to, included, permittivity, aos in limits
        if fines_pct < up_to or (included and fines_pct == up_to)
    )


def retention_factor(fines_pct: float, uniformity: float, fabric: str) -> float:
    """B of the retention rule AOS <= B d85."""
    if fines_pct >= FINE_SOIL_PCT:
        return 1.0 if fabric == "woven" else 1.8
    if uniformity <= 2.0 or uniformity >= 8.0:
        return 1.0
    return 0.5 * uniformity if uniformity <= 4.0 else 8.0 / uniformity


def retention_aos_mm(factor: float, d85_mm: float, fines_pct: float) -> float:
    """Largest opening that holds the soil; never above 0.3 mm for fine soil."""
    largest = factor * d85_mm
    return min(largest, FINE_SOIL_AOS_MM) if fines_pct >= FINE_SOIL_PCT else largest


def _fabric_steps(given: Mapping[str, Any], result: FabricCheck) -> list[Step]:
    steps = [
        Step("least permittivity", f"class for {given['fines_pct']:g} percent fines", result.min_permittivity_per_s,
             "per_s"),
        Step("largest opening", "the same class", result.max_aos_mm, "mm"),
        Step("does not clog", f"{given['aos_mm']:g} against 0.15 mm", "yes" if result.clogging_ok else "no"),
    ]  # fmt: skip
    if result.retention_factor is not None and result.retention_max_aos_mm is not None:
        how = f"{result.retention_factor:.4g} x {given['d85_mm']:g}"
        steps.append(Step("largest opening by retention", how, result.retention_max_aos_mm, "mm"))
    return steps


@calculator(
    source="UFGS 02373 (quoting AASHTO M 288); UFC 3-270-04, 12.5; retention, permeability FHWA-NHI-07-092 (recalled)",
    known="SEEN",
    example={"fines_pct": 12.0, "aos_mm": 0.212, "permittivity_per_s": 1.5, "d85_mm": 0.5, "uniformity": 5.0},
    working=_fabric_steps,
)
def fabric_check(
    *,
    fines_pct: Percent,
    aos_mm: Positive,
    permittivity_per_s: Positive,
    d85_mm: Positive | None = None,
    uniformity: Annotated[float, Ge(1)] | None = None,
    fabric: Literal["woven", "nonwoven"] = "nonwoven",
    soil_permeability_m_s: Positive | None = None,
    fabric_permeability_m_s: Positive | None = None,
    critical: bool = False,
) -> FabricCheck:
    """Whether a filter fabric suits the soil it lies on.

    Equation: permittivity and AOS by class of fines; AOS at least 0.15 mm; AOS at most B d85; fabric at least as
    permeable as the soil, ten times if critical.

    Symbols: fines_pct, soil passing 0.075 mm; aos_mm, apparent opening size; uniformity, D60/D10 of the soil; B by
    uniformity below 50 % fines, else 1 woven and 1.8 nonwoven.

    Limits: soil of 85 % fines and more is too fine for any. Gap-graded, dispersive or layered soil and loose silt need
    a design for the site.
    """
    refuse_if(
        (soil_permeability_m_s is None) != (fabric_permeability_m_s is None),
        "soil_permeability_m_s and fabric_permeability_m_s", "one permeability without the other", "both or neither",
    )  # fmt: skip
    refuse_if(
        d85_mm is not None and fines_pct < FINE_SOIL_PCT and uniformity is None, "uniformity",
        "no uniformity beside d85", "D60/D10 of a soil with less than 50 percent fines",
    )  # fmt: skip
    least, largest = fabric_class(fines_pct)
    keys: dict[str, Any] = {}
    if d85_mm is not None:
        factor = retention_factor(fines_pct, uniformity or 1.0, fabric)
        allowed = retention_aos_mm(factor, d85_mm, fines_pct)
        keys = {"retention_factor": factor, "retention_max_aos_mm": allowed, "retention_ok": at_most(aos_mm, allowed)}
    if soil_permeability_m_s is not None and fabric_permeability_m_s is not None:
        needed = soil_permeability_m_s * (CRITICAL_FACTOR if critical else 1.0)
        keys["permeability_ok"] = at_most(needed, fabric_permeability_m_s)
    class_ok, clogging_ok = permittivity_per_s >= least and aos_mm <= largest, aos_mm >= LEAST_AOS_MM
    too_fine = fines_pct >= TOO_FINE_PCT
    asked = keys.get("retention_ok", True) and keys.get("permeability_ok", True)
    return FabricCheck(
        min_permittivity_per_s=least,
        max_aos_mm=largest,
        class_ok=class_ok,
        clogging_ok=clogging_ok,
        soil_too_fine=too_fine,
        passes=class_ok and clogging_ok and not too_fine and asked,
        **keys,
    )
