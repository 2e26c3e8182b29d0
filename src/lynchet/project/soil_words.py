"""Soils in plain words: the classes of the unified classification as people on site call them."""

from __future__ import annotations

from lynchet.project.model import Soil

# Group names of the unified soil classification (ASTM D2487; MEMORY), shortened.
_CLASSES = {
    "GW": "clean gravel of all sizes", "GP": "clean gravel of few sizes", "GM": "silty gravel", "GC": "clayey gravel",
    "SW": "clean sand of all sizes", "SP": "clean sand of few sizes", "SM": "silty sand", "SC": "clayey sand",
    "SM-SC": "silty, clayey sand", "ML": "silt", "CL": "lean clay", "ML-CL": "silty clay", "OL": "organic silt",
    "MH": "elastic silt", "CH": "fat clay", "OH": "organic clay", "PT": "peat",
}  # fmt: skip


def soil_name(soil: Soil) -> str:
    """What a soil is called in a sentence: "sandy soil", "silty sand (class SM)".

    Args:
        soil: as the file says it, by feel or by class.
    """
    if soil.label != soil.unified_class:
        return "soil as tested" if soil.label == "as tested" else f"{soil.label} soil"
    words = _CLASSES.get(soil.label.upper())
    return f"{words} (class {soil.label})" if words else f"soil of class {soil.label}"
