"""How much ground grown plants cover, and a bed shared among species."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import floor, sqrt
from typing import Annotated, Any

import numpy as np
from annotated_types import Gt, Le, Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.circles import circle_area
from lynchet.core.kinds import NotNegative, Positive
from lynchet.planting.plant_counts import Pattern, Spacing, row_spacing

Array = NDArray[np.float64]
Spread = Annotated[float, Gt(0), Le(50)]


@dataclass(frozen=True)
class CanopyCover:
    """Share of ground under grown plants."""

    cover_fraction: float
    full_cover_spread_m: float


@dataclass(frozen=True)
class Species:
    """One species of a mix."""

    name: str
    share: NotNegative
    spacing_m: Spacing
    pattern: Pattern
    spread_m: Spread


@dataclass(frozen=True)
class BedMix:
    """A bed shared among species; lists in the order given."""

    share_pct: list[float]
    species_area_m2: list[float]
    count_by_area: list[float]
    count: list[int]
    total_count: int
    fill_fraction: float
    cover_fraction: float


def full_cover_spread(spacing_m: float, pattern: str) -> float:
    """Spread from which grown plants leave no ground open: sqrt(2) s, or 2 s/sqrt(3) staggered."""
    return spacing_m * (2.0 / sqrt(3.0) if pattern == "triangular" else sqrt(2.0))


def cover_fraction(spread_m: ArrayLike, spacing_m: float, pattern: str) -> Array:
    """Share of ground under discs of this spread on an endless lattice, up to 1."""
    spread, s = np.asarray(spread_m, dtype=float), spacing_m
    touching = np.maximum(spread, s)
    lens = touching**2 / 2.0 * np.arccos(s / touching) - s / 2.0 * np.sqrt(touching**2 - s**2)
    neighbours = 3.0 if pattern == "triangular" else 2.0
    share = (circle_area(spread) - neighbours * lens) / (s * row_spacing(s, pattern))
    return np.asarray(np.where(spread >= full_cover_spread(s, pattern), 1.0, np.minimum(share, 1.0)), dtype=float)


def _cover_steps(given: Mapping[str, Any], result: CanopyCover) -> list[Step]:
    spread, spacing = given["spread_m"], given["spacing_m"]
    how = f"discs of {spread:g} m at {spacing:g} m, overlaps counted once"
    return [
        Step("spread that closes the ground", given["pattern"], result.full_cover_spread_m, "m"),
        Step("share of the ground covered", how, result.cover_fraction),
    ]


@calculator(
    source="Area of overlapping discs (lens of two circles) on a square or triangular lattice",
    known="DERIVED",
    example={"spread_m": 0.6, "spacing_m": 0.5, "pattern": "square"},
    working=_cover_steps,
)
def canopy_cover(*, spread_m: Spread, spacing_m: Spacing, pattern: Pattern) -> CanopyCover:
    """Share of the ground that grown plants cover at a spacing.

    Equation: square (pi D^2/4 - 2 lens)/s^2, full from D = sqrt(2) s; triangular (pi D^2/4 - 3 lens)/(s^2 sqrt(3)/2),
    full from D = 2 s/sqrt(3); lens = (D^2/2) acos(s/D) - (s/2) sqrt(D^2 - s^2) for D > s.

    Symbols: D, spread of a grown plant; s, spacing; lens, overlap of two neighbours.

    Limits: plants as discs on an endless grid; the edge of a bed is not looked at.
    """
    return CanopyCover(float(cover_fraction(spread_m, spacing_m, pattern)), full_cover_spread(spacing_m, pattern))


def nearest_count(count: float, share: float) -> int:
    """A count to the nearest whole plant, halves up; at least one where there is a share."""
    return max(floor(count + 0.5 + 1e-6), 1) if share > 0 else 0


def _mix_steps(given: Mapping[str, Any], result: BedMix) -> list[Step]:
    steps = []
    for index, species in enumerate(given["species"]):
        area = result.species_area_m2[index]
        steps.append(Step(f"{species.name}: area", f"{result.share_pct[index]:.4g} % of the bed", area, "m2"))
        how = f"{result.count_by_area[index]:.4g}, to the nearest plant"
        steps.append(Step(f"{species.name}: plants", how, result.count[index]))
    return [*steps, Step("share of the ground covered", "grown, by the shares", result.cover_fraction)]


@calculator(
    source="Shares of the area at each species' own spacing; cover as canopy_cover",
    known="DERIVED",
    example={
        "area_m2": 12.0,
        "species": [
            {"name": "grass", "share": 3, "spacing_m": 0.45, "pattern": "triangular", "spread_m": 0.5},
            {"name": "flower", "share": 2, "spacing_m": 0.4, "pattern": "triangular", "spread_m": 0.45},
        ],
    },
    working=_mix_steps,
)
def bed_mix(*, area_m2: Positive, species: Annotated[list[Species], Len(1)]) -> BedMix:
    """Share a bed among species: area, plants and cover of each.

    Equation: species area = area x share/sum of shares; plants = species area/(spacing x row spacing), to the nearest
    whole, halves up, at least one; fill = sum of plants x cell/area; cover = sum of share x cover.

    Symbols: share, any numbers that stand to each other as the areas do; cell, ground of one plant; spread, of the
    grown plant.

    Limits: edges are not looked at. A fill above 1 means too many plants for the bed.
    """
    names = [each.name for each in species]
    refuse_if("" in names, "name", "an empty name", "a name for every species")
    refuse_if(len(set(names)) < len(names), "name", "a name used twice", "each name once")
    total = sum(each.share for each in species)
    refuse_if(total <= 0, "share", "every share is 0", "one share above 0")
    shares = [each.share / total for each in species]
    cells = [each.spacing_m * row_spacing(each.spacing_m, each.pattern) for each in species]
    counts = [area_m2 * share / cell for share, cell in zip(shares, cells, strict=True)]
    whole = [nearest_count(count, share) for count, share in zip(counts, shares, strict=True)]
    covers = [float(cover_fraction(each.spread_m, each.spacing_m, each.pattern)) for each in species]
    return BedMix(
        share_pct=[100.0 * share for share in shares],
        species_area_m2=[area_m2 * share for share in shares],
        count_by_area=counts,
        count=whole,
        total_count=sum(whole),
        fill_fraction=sum(n * cell for n, cell in zip(whole, cells, strict=True)) / area_m2,
        cover_fraction=sum(share * cover for share, cover in zip(shares, covers, strict=True)),
    )
