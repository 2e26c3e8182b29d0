"""A slope left as it is and planted: how steep it may be, and what it asks for instead of walls."""

from __future__ import annotations

from lynchet.core.findings import Finding, Verdict
from lynchet.units.format import slope as slope_text

MOWN = 1.0 / 5.0
"""Up to this rain runs off slowly enough for beds without help. PRACTICE."""
PLANTED = 1.0 / 3.0
"""Up to this plants alone hold the soil once they have closed. PRACTICE."""
HELD = 1.0 / 2.0
"""Up to this with a mat pegged down until they have; a bank stands no steeper. PRACTICE."""


def planted_slope(steepness: float, clay: bool, spring: bool) -> Finding:
    """What leaving the slope asks for.

    Args:
        steepness: mean rise over run of the ground, 0 or more.
        clay: the soil is clay.
        spring: ground water comes out of it.

    Returns:
        ``watch`` where plants hold it, with what they need; ``ask`` where the ground itself must be looked at.
    """
    said = f"The slope stays as it is ({slope_text(steepness)}) and is planted"
    if spring or steepness > HELD or (clay and steepness > PLANTED):
        why = "water comes out of it" if spring else "it is steeper than a bank of such soil stands by itself"
        text = f"{said}; but {why}: ask an engineer whether it stands, walls or no walls."
        return Finding("terraces.planted_slope", Verdict.ASK, text, "site", demand=steepness, capacity=HELD,
                       source="PRACTICE: banks at 1 in 2", ask="engineer")  # fmt: skip
    if steepness > PLANTED:
        need = "a mat pegged down over the whole of it, and plants that root through it; nothing is dug in wet months"
    elif steepness > MOWN:
        need = "mulch and close planting in its first two years, until roots hold the soil; no bare rows down the slope"
    else:
        need = "rows across the slope; it can be worked as it is"
    return Finding("terraces.planted_slope", Verdict.WATCH, f"{said}: {need}. Nothing on it is level.", "site",
                   demand=steepness, capacity=HELD,
                   source="PRACTICE: planting up to 1 in 3, with a mat to 1 in 2")  # fmt: skip
