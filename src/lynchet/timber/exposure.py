"""Which treatment and which metal coating a timber needs where it lies."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lynchet.core.calculator import calculator, refuse_if
from lynchet.core.kinds import Positive

Place = Literal["under_cover", "above_ground", "ground", "fresh_water", "salt_water"]
Replacement = Literal["easy", "hard", "critical"]
Treatment = Literal["copper", "creosote", "none"]
Coating = Literal["zinc", "hot_dip", "plain_steel", "stainless"]

_CATEGORY = {"under_cover": "UC2", "above_ground": "UC3B", "fresh_water": "UC4C", "salt_water": "UC5"}
_IN_GROUND = {"easy": "UC4A", "hard": "UC4B", "critical": "UC4C"}
_USE_CLASS = {"under_cover": 2, "above_ground": 3, "ground": 4, "fresh_water": 4, "salt_water": 5}
THICK_STEEL_M = 0.0127


def use_category(place: Place, replacement: Replacement = "hard") -> str:
    """AWPA U1 use category."""
    return _IN_GROUND[replacement] if place == "ground" else _CATEGORY[place]


def least_coating(place: Place, treatment: Treatment, fastener_diameter_m: float | None = None) -> Coating:
    """Least coating of a steel fastener, after IRC R317.3."""
    if place == "salt_water":
        return "stainless"
    if place == "under_cover" and treatment == "none":
        return "zinc"
    if fastener_diameter_m is not None and fastener_diameter_m >= THICK_STEEL_M - 1e-12:
        return "plain_steel"
    return "hot_dip"


@dataclass(frozen=True)
class Exposure:
    """Classes of the place and the least coating of its steel."""

    use_category: str
    """AWPA."""
    use_class: int
    """EN 335."""
    service_class: int
    """EN 1995."""
    least_coating: Coating


@calculator(
    source="AWPA U1; EN 335; EN 1995-1-1, 2.3.1.3; IRC R317.3",
    known="MEMORY",
    example={"place": "ground", "replacement": "hard", "treatment": "copper", "fastener_diameter_m": 0.0127},
    caution="Wear gloves and a mask when you cut treated timber, never burn it; keep it from food beds where the label "
    "says so. Treat every cut end. Local codes rule.",
)
def timber_exposure(
    *,
    place: Place,
    replacement: Replacement = "hard",
    treatment: Treatment = "copper",
    fastener_diameter_m: Positive | None = None,
) -> Exposure:
    """Treatment class of a timber and coating of its fasteners by where it lies.

    Equation: use category UC2, UC3B, in the ground UC4A (easy to replace), UC4B (hard), UC4C (critical), fresh water
    UC4C, salt water UC5; use class 2, 3, 4, 4, 5; service class 2 under cover, else 3. Coating: salt water stainless;
    untreated under cover zinc; steel of 12.7 mm and more plain; else hot-dip galvanised.

    Symbols: place where the timber lies; replacement how hard it is to renew; treatment of the wood.

    Limits: untreated timber is refused in the ground and in water. The stamp on the timber must name the class.
    """
    buried = place in ("ground", "fresh_water", "salt_water")
    refuse_if(
        treatment == "none" and buried,
        "treatment",
        f"no treatment in {place} found",
        "copper or creosote in ground or water",
    )
    return Exposure(
        use_category=use_category(place, replacement),
        use_class=_USE_CLASS[place],
        service_class=2 if place == "under_cover" else 3,
        least_coating=least_coating(place, treatment, fastener_diameter_m),
    )
