"""What is planted where: sun on the beds, plants with their places, soil and water, calendar, cautions.

Plan points are in the own frame, levels metres in the file's datum. What is not known is ``None`` (a number), an empty
tuple (a list) or the word "unknown"; it is never taken as good.

Ids come from the file: bed = face id ("B2"); planting "B2/1" in the order planted; plant "B2/1/7" along its rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from lynchet.core.findings import Finding
from lynchet.core.quick import quick
from lynchet.planting.harm import Harmed

Point = tuple[float, float]
LightWord = Literal["sun", "part", "shade", "unknown"]
LIGHT_WORDS = {"sun": "full sun", "part": "part shade", "shade": "shade", "unknown": "not known"}
"""What findings, sheets and book call the light of a bed."""
Part = Literal["front", "middle", "back"]
AVOIDED = "you avoid: "
"""Begins what speaks against a plant because the user wishes to avoid such plants."""


@quick
@dataclass(frozen=True)
class SunPoint:
    """Direct sun at one place of a bed, mean of the growing season."""

    point_m: Point
    season_h: float
    """Hours a day; the middle of what is possible where a height is not known."""


@dataclass(frozen=True)
class BedSun:
    """Sun on one bed, hours a day, means over the bed."""

    bed: str
    light: LightWord
    """Class of ``season_h``; "unknown" where the file does not say enough, or a height not known decides it."""
    lights: tuple[LightWord, ...]
    """Every class within the band, the sunniest first; empty where unknown. A plant must take all of them."""
    season_h: float | None = None
    low_h: float | None = None
    """Least and most within the band: grid, days, and heights nobody gave."""
    high_h: float | None = None
    morning_h: float | None = None
    afternoon_h: float | None = None
    open_sky_h: float | None = None
    """Hours with the sun over a level horizon."""
    months_h: tuple[float, ...] = ()
    """January to December; empty where unknown."""
    points: tuple[SunPoint, ...] = ()


@quick
@dataclass(frozen=True)
class Species:
    """A plant of the table as it is planted here."""

    botanical_name: str
    common_name: str
    type: str
    habit: str
    height_m: float
    spread_m: float
    spacing_m: float
    root_depth_m: float
    bloom_months: tuple[int, ...]
    flower_colour: str
    """Empty where no flower is of note."""
    edible: str
    """Part eaten, or empty."""
    evergreen: str
    toxicity_caution: str
    """What is known against it; empty does not mean safe."""


@quick
@dataclass(frozen=True)
class Plant:
    """One plant in its place."""

    id: str
    point_m: Point
    ball_m: float
    """Half width of the root ball, a square in plan."""
    bottom_m: float
    """Underside of its hole."""
    soil_m: float
    """Level of the soil round it."""
    top_m: float
    """Top of the grown plant."""


@quick
@dataclass(frozen=True)
class Planting:
    """One species in one part of one bed."""

    id: str
    bed: str
    part: Part
    species: Species
    wished: bool
    """The user's own; else chosen here."""
    reasons: tuple[str, ...]
    """Why it stands here, in words."""
    misfits: tuple[str, ...]
    """What speaks against it here, in words (wishes are kept, but told); what the user avoids begins with
    ``AVOIDED``."""
    unknown: tuple[str, ...]
    """What could not be tested because the file does not say: light, zone, moisture, ph."""
    points_m: tuple[Point, ...]
    """Places of the plants, row by row."""
    ball_m: float
    bottom_m: float
    soil_m: float
    top_m: float
    """Of every plant, as in :class:`Plant`."""
    pattern: Literal["triangular"] = "triangular"

    @property
    def count(self) -> int:
        """Plants set out."""
        return len(self.points_m)

    @cached_property
    def plants(self) -> tuple[Plant, ...]:
        """Every plant, numbered along the rows from 1."""
        sizes = self.ball_m, self.bottom_m, self.soil_m, self.top_m
        return tuple(Plant(f"{self.id}/{n}", point, *sizes) for n, point in enumerate(self.points_m, start=1))


@dataclass(frozen=True)
class BedPlanting:
    """One bed as planted."""

    bed: str
    level_m: float
    area_m2: float
    """Of the bed."""
    soil_m2: float
    """Ground open to plants: the walls' timber with its lean along the whole leg, steps and the way between flights,
    and path strip taken off. Drain stone stays in: roots have its cover of soil, and what reaches deeper keeps clear of
    pipes. It is not the ground that earth mulches, which is counted by what comes up to the surface."""
    soil_outlines_m: tuple[tuple[Point, ...], ...]
    """Outer rings of that ground."""
    width_m: float
    """Width of a strip of the same area and girth."""
    gap_m2: float
    """Ground no plant has as its own (its planting distance squared, staggered)."""
    cover_year1: float | None
    """Share of the open ground under leaves; None without plants."""
    cover_grown: float | None
    bloom_months: tuple[int, ...]
    """Months with a plant in flower."""
    empty_months: tuple[int, ...]
    """Months of the growing season without one."""


@dataclass(frozen=True)
class BedWater:
    """Water one bed wants in a dry week, and the drip line that gives it."""

    bed: str
    area_m2: float
    weekly_l: float
    first_weeks_l: float
    """In a week of the first twelve after planting, at most."""
    drip_line_m: float
    drip_rows: int


@dataclass(frozen=True)
class Calendar:
    """When to plant. Days as MM-DD; None where the file gives no frost dates."""

    season_from: int | None
    """First and last month of the growing season, as used for sun and bloom."""
    season_to: int | None
    season_known: bool
    """True where it comes from the file's frost dates."""
    spring_from: str | None = None
    spring_to: str | None = None
    autumn_from: str | None = None
    autumn_to: str | None = None


@dataclass(frozen=True)
class PlantCaution:
    """Something to know before a plant is bought."""

    botanical_name: str
    kind: Literal["poison", "spread", "food"]
    text: str
    region: str = ""
    """Where a caution about spreading holds; "everywhere" = the plant's own habit."""
    severity: Literal["watch", "avoid"] = "watch"
    harms: tuple[Harmed, ...] = ()
    """Of poison: who may be harmed."""


@dataclass(frozen=True)
class Planted:
    """What the planting stage gives."""

    sun: tuple[BedSun, ...]
    beds: tuple[BedPlanting, ...]
    plantings: tuple[Planting, ...]
    water: tuple[BedWater, ...]
    calendar: Calendar
    cautions: tuple[PlantCaution, ...]
    unplaced: tuple[str, ...]
    """Wishes no bed has room for, by botanical name."""
    findings: tuple[Finding, ...]

    @cached_property
    def counts(self) -> dict[str, int]:
        """Plants to buy by botanical name, in the order first planted."""
        found: dict[str, int] = {}
        for planting in self.plantings:
            name = planting.species.botanical_name
            found[name] = found.get(name, 0) + planting.count
        return found

    def sun_of(self, bed: str) -> BedSun | None:
        """The sun on one bed."""
        return next((sun for sun in self.sun if sun.bed == bed), None)

    def plantings_of(self, bed: str) -> tuple[Planting, ...]:
        """What grows in one bed."""
        return tuple(planting for planting in self.plantings if planting.bed == bed)
