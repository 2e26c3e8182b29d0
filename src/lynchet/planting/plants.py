"""The plant table: garden plants for terrace beds, with what is known against them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from lynchet.planting.bloom import bloom_months
from lynchet.planting.plant_fit import SpreadingPlant


@dataclass(frozen=True)
class Plant:
    """One row. What is blank is not known; an empty toxicity does not mean safe.

    Sizes are those of a grown plant in a garden. Sources by field stand in the file's own columns.
    """

    botanical_name: str
    common_name: str
    type: str
    habit: str
    spread_mode: tuple[str, ...]
    height_m: float
    spread_m: float
    plant_spacing_m: float
    root_depth_m: float
    light: tuple[str, ...]
    moisture: tuple[str, ...]
    zone_min: int
    zone_max: int
    soil_texture: tuple[str, ...]
    ph_min: float
    ph_max: float
    evergreen: str
    bloom_months: tuple[int, ...]
    """1 to 12, in order of flowering; empty where no flower is of note."""
    flower_colour: str
    showy: bool
    pollinator: str
    edible: str
    """Part eaten, or empty."""
    native_range: str
    toxicity_caution: str
    erosion_control: bool
    terrace_fit: str
    """"yes", or what speaks against."""

    def needs(self) -> SpreadingPlant:
        """What the fit and pair rules ask of a plant."""
        return SpreadingPlant(
            light=list(self.light),  # type: ignore[arg-type]
            moisture=list(self.moisture),  # type: ignore[arg-type]
            zone_min=self.zone_min,
            zone_max=self.zone_max,
            ph_min=self.ph_min,
            ph_max=self.ph_max,
            spread_m=self.spread_m,
            soil_texture=list(self.soil_texture) or None,  # type: ignore[arg-type]
        )


@dataclass(frozen=True)
class SpreadCaution:
    """A caution about a plant that spreads, everywhere or in a region."""

    botanical_name: str
    caution: str
    region: str
    severity: Literal["watch", "avoid"]


@cache
def plant_table() -> tuple[Plant, ...]:
    """Every plant, in file order (by type, then botanical name)."""
    return tuple(_plant(row) for row in _rows("plants"))


@cache
def spread_cautions() -> tuple[SpreadCaution, ...]:
    """Every caution about spreading; to be shown wherever its plant is proposed."""
    return tuple(SpreadCaution(**row) for row in _rows("spread_caution"))  # type: ignore[arg-type]


def _rows(name: str) -> list[dict[str, str]]:
    text = files("lynchet.planting").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _plant(row: dict[str, str]) -> Plant:
    values: dict[str, Any] = {key: row[key] for key in _TEXTS}
    values |= {key: tuple(row[key].split("|")) for key in ("spread_mode", "light", "moisture", "soil_texture")}
    values |= {key: float(row[key]) for key in _NUMBERS}
    values |= {key: int(row[key]) for key in ("zone_min", "zone_max")}
    values |= {key: row[key] == "yes" for key in ("showy", "erosion_control")}
    return Plant(**values, bloom_months=tuple(bloom_months(row["bloom_months"])))


_NUMBERS = ("height_m", "spread_m", "plant_spacing_m", "root_depth_m", "ph_min", "ph_max")
_TEXTS = (
    "botanical_name", "common_name", "type", "habit", "evergreen", "flower_colour", "pollinator", "edible",
    "native_range", "toxicity_caution", "terrace_fit",
)  # fmt: skip
