"""Whether a plant suits a bed, and whether two plants can share one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Protocol

from annotated_types import Ge, Gt, Le, Len

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Whole
from lynchet.planting.hardiness import zone_label

Light = Literal["sun", "part", "shade"]
Moisture = Literal["dry", "medium", "wet"]
Texture = Literal["coarse", "medium", "fine"]
ZoneNumber = Annotated[Whole, Ge(1), Le(13)]
Acidity = Annotated[float, Ge(0), Le(14)]
LIGHT: tuple[Light, ...] = ("sun", "part", "shade")
MOISTURE: tuple[Moisture, ...] = ("dry", "medium", "wet")
SLACK = 1e-9


@dataclass(frozen=True)
class PlantNeeds:
    """What a plant grows well in."""

    light: Annotated[list[Light], Len(1)]
    moisture: Annotated[list[Moisture], Len(1)]
    zone_min: ZoneNumber
    zone_max: ZoneNumber
    ph_min: Acidity
    ph_max: Acidity
    soil_texture: Annotated[list[Texture], Len(1)] | None = None


@dataclass(frozen=True)
class SpreadingPlant:
    """What a plant grows well in, and its grown spread."""

    light: Annotated[list[Light], Len(1)]
    moisture: Annotated[list[Moisture], Len(1)]
    zone_min: ZoneNumber
    zone_max: ZoneNumber
    ph_min: Acidity
    ph_max: Acidity
    spread_m: Annotated[float, Gt(0), Le(50)]
    soil_texture: Annotated[list[Texture], Len(1)] | None = None


@dataclass(frozen=True)
class BedSite:
    """What a bed offers; unknown pH or texture is left out."""

    light: Light
    moisture: Moisture
    zone: str
    ph: Acidity | None = None
    soil_texture: Texture | None = None


@dataclass(frozen=True)
class PlantSiteFit:
    """Whether a plant suits a bed, and in what it does not."""

    fits: bool
    misfits: list[str]


@dataclass(frozen=True)
class PlantPair:
    """Whether two plants can share a bed."""

    compatible: bool
    reasons: list[str]
    shared_light: list[str]
    shared_moisture: list[str]
    ph_overlap: float
    centre_distance_m: float


class Needs(Protocol):
    """What the rules read of a plant."""

    @property
    def light(self) -> Sequence[str]:
        """Words of light it grows well in."""

    @property
    def moisture(self) -> Sequence[str]:
        """Words of moisture."""

    @property
    def zone_min(self) -> int:
        """Coldest zone."""

    @property
    def zone_max(self) -> int:
        """Warmest zone."""

    @property
    def ph_min(self) -> float:
        """Most acid soil."""

    @property
    def ph_max(self) -> float:
        """Most limy soil."""

    @property
    def soil_texture(self) -> Sequence[str] | None:
        """Words of texture; None where not known."""


def site_misfits(plant: Needs, site: BedSite, zone: int) -> list[str]:
    """What of a bed does not suit a plant, in a fixed order (kernel, nothing checked).

    Args:
        plant: its needs.
        site: the bed.
        zone: number of the bed's zone.
    """
    tests = [
        ("light", site.light in plant.light),
        ("moisture", site.moisture in plant.moisture),
        ("zone", plant.zone_min <= zone <= plant.zone_max),
        ("ph", site.ph is None or plant.ph_min - SLACK <= site.ph <= plant.ph_max + SLACK),
        ("soil_texture", not site.soil_texture or not plant.soil_texture or site.soil_texture in plant.soil_texture),
    ]
    return [name for name, passed in tests if not passed]


def _refuse_plant(plant: PlantNeeds | SpreadingPlant, key: str) -> None:
    upside = plant.ph_min >= plant.ph_max
    refuse_if(upside, f"{key}.ph_min", f"{plant.ph_min:g} found", f"under ph_max, {plant.ph_max:g}")
    over = plant.zone_min > plant.zone_max
    refuse_if(over, f"{key}.zone_min", f"{plant.zone_min} found", f"up to zone_max, {plant.zone_max}")


def _fit_steps(given: Mapping[str, Any], result: PlantSiteFit) -> list[Step]:
    return [Step("does not suit", "light, moisture, zone, pH, texture in turn", ", ".join(result.misfits) or "nothing")]


@calculator(
    source="Rule of this handbook: every need of the plant met by the bed",
    known="PRACTICE",
    example={
        "plant": {"light": ["sun"], "moisture": ["dry"], "zone_min": 5, "zone_max": 8, "ph_min": 6.5, "ph_max": 8.0},
        "site": {"light": "sun", "moisture": "medium", "zone": "6a"},
    },
    working=_fit_steps,
)
def plant_site_fit(*, plant: PlantNeeds, site: BedSite) -> PlantSiteFit:
    """Whether one plant suits one bed, and in what it does not.

    Equation: light and moisture of the bed among the plant's; zone number, pH within the plant's limits; texture among
    the plant's.

    Symbols: light sun, part, shade; moisture dry, medium, wet; texture coarse, medium, fine; zone as hardiness_zone.

    Limits: limits count as inside. pH is tested where the bed's is known, texture where both are. zone_max is summer
    heat of a continent and does not hold in mild maritime climates.
    """
    _refuse_plant(plant, "plant")
    misfits = site_misfits(plant, site, zone_label(site.zone, "site.zone")[0])
    return PlantSiteFit(not misfits, misfits)


def pair_misfits(one: Needs, two: Needs, min_ph_overlap: float = 0.5) -> list[str]:
    """What keeps two plants from sharing a bed, in a fixed order (kernel, nothing checked)."""
    tests = [
        ("light", bool(set(one.light) & set(two.light))),
        ("moisture", bool(set(one.moisture) & set(two.moisture))),
        ("ph", ph_overlap(one, two) >= min_ph_overlap - SLACK),
        ("zone", max(one.zone_min, two.zone_min) <= min(one.zone_max, two.zone_max)),
    ]
    return [name for name, passed in tests if not passed]


def ph_overlap(one: Needs, two: Needs) -> float:
    """Overlap of the usable pH of two plants, negative where there is a gap."""
    return min(one.ph_max, two.ph_max) - max(one.ph_min, two.ph_min)


def _shared(words: Sequence[str], one: Sequence[str], two: Sequence[str]) -> list[str]:
    return [word for word in words if word in one and word in two]


def _pair_steps(given: Mapping[str, Any], result: PlantPair) -> list[Step]:
    return [
        Step("shared light", "words of both", ", ".join(result.shared_light) or "none"),
        Step("shared moisture", "words of both", ", ".join(result.shared_moisture) or "none"),
        Step("overlap of pH", "least upper less largest lower limit", result.ph_overlap),
        Step("distance of the centres", "half the sum of the spreads", result.centre_distance_m, "m"),
        Step("speaks against", "light, moisture, pH, zone in turn", ", ".join(result.reasons) or "nothing"),
    ]


@calculator(
    source="Rule of this handbook: shared light, moisture, pH and zones",
    known="PRACTICE",
    example={
        "plant_a": {
            "light": ["sun", "part"], "moisture": ["dry", "medium"], "zone_min": 3, "zone_max": 9, "ph_min": 6.0,
            "ph_max": 7.5, "spread_m": 0.5,
        },
        "plant_b": {
            "light": ["sun"], "moisture": ["dry", "medium"], "zone_min": 3, "zone_max": 9, "ph_min": 5.0,
            "ph_max": 8.4, "spread_m": 0.5,
        },
    },
    working=_pair_steps,
)  # fmt: skip
def plant_pair_compatible(
    *, plant_a: SpreadingPlant, plant_b: SpreadingPlant, min_ph_overlap: Annotated[float, Ge(0), Le(7)] = 0.5
) -> PlantPair:
    """Whether two plants can share a bed, and how far apart they stand grown.

    Equation: overlap of pH = least ph_max - largest ph_min; distance of centres = (spread a + spread b)/2.

    Symbols: min_ph_overlap, overlap of pH asked for; reasons, what speaks against, in the order light, moisture, ph,
    zone.

    Limits: a neutral rule: shared words of light and moisture, pH and zones that meet. It knows nothing of vigour.
    """
    _refuse_plant(plant_a, "plant_a")
    _refuse_plant(plant_b, "plant_b")
    light = _shared(LIGHT, plant_a.light, plant_b.light)
    moisture = _shared(MOISTURE, plant_a.moisture, plant_b.moisture)
    overlap = ph_overlap(plant_a, plant_b)
    reasons = pair_misfits(plant_a, plant_b, min_ph_overlap)
    distance = (plant_a.spread_m + plant_b.spread_m) / 2.0
    return PlantPair(not reasons, reasons, light, moisture, overlap, distance)
