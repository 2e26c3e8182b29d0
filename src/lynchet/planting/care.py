"""What each bed comes to: ground covered, months in flower, water, and when to plant."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from lynchet.planting.cover import cover_fraction
from lynchet.planting.frost import day_number, day_text
from lynchet.planting.model import BedPlanting, BedWater, Calendar, Planting
from lynchet.planting.open_ground import OpenBed, rings_of
from lynchet.planting.plant_counts import row_spacing
from lynchet.planting.sun_year import Season, season_months
from lynchet.planting.watering import establishment_watering, water_volume
from lynchet.project.planting_wish import Planting as Wish

WEEK_MM = 25.4
"""Water of a dry week: an inch (Purdue Landscape Report)."""
DRIP = 0.85
"""Share of drip water that reaches the roots (Purdue Landscape Report)."""
DRIP_ROWS_M = 0.45
"""From drip line to drip line. PRACTICE."""
FIRST_YEAR = 0.4
"""Spread after a year over grown spread, but for annual crops. PRACTICE."""
_SPRING_DAYS = 42
_AUTUMN_DAYS = (63, 42)
"""Spring planting in the six weeks after the last frost; autumn planting from nine to six weeks before the first one,
so that roots take hold. PRACTICE."""


def own_ground_m2(planting: Planting) -> float:
    """Ground a species has as its own: plants times planting distance times distance of the staggered rows."""
    spacing = planting.species.spacing_m
    return planting.count * spacing * row_spacing(spacing, planting.pattern)


def bed_planting(bed: OpenBed, plantings: Sequence[Planting], season: Season | None) -> BedPlanting:
    """One bed in sum."""
    own = [(planting, own_ground_m2(planting)) for planting in plantings]
    total = sum(ground for _, ground in own)
    bloom = sorted({month for planting in plantings for month in planting.species.bloom_months})
    empty = [month for month in season_months(season) if month not in bloom] if season and plantings else []
    return BedPlanting(
        bed=bed.face.id,
        level_m=bed.face.level_m,
        area_m2=bed.face.area_m2,
        soil_m2=bed.area_m2,
        soil_outlines_m=tuple(tuple(map(tuple, ring.tolist())) for ring in rings_of(bed.soil)),
        width_m=bed.width_m,
        gap_m2=max(0.0, bed.area_m2 - total),
        cover_year1=_cover(own, bed.area_m2, FIRST_YEAR),
        cover_grown=_cover(own, bed.area_m2, 1.0),
        bloom_months=tuple(bloom),
        empty_months=tuple(empty),
    )


def _cover(own: Sequence[tuple[Planting, float]], soil_m2: float, share: float) -> float | None:
    if not own or soil_m2 <= 0:
        return None
    covered = 0.0
    for planting, ground in own:
        species = planting.species
        grown = 1.0 if species.type in ("annual", "vegetable") else share
        covered += ground * _covered(grown * species.spread_m, species.spacing_m, planting.pattern)
    return min(1.0, covered / soil_m2)


@lru_cache(maxsize=512)
def _covered(spread_m: float, spacing_m: float, pattern: str) -> float:
    """Share of its ground that a species covers; kept by value, for the same few species come plan after plan."""
    return float(cover_fraction(spread_m, spacing_m, pattern))


def bed_water(bed: OpenBed, plantings: Sequence[Planting]) -> BedWater:
    """Water of a dry week over the planted ground, and drip lines along the bed."""
    area = min(bed.area_m2, sum(own_ground_m2(planting) for planting in plantings))
    rows = max(1, round(bed.width_m / DRIP_ROWS_M)) if plantings else 0
    weekly = 1000.0 * float(water_volume(area, WEEK_MM, DRIP))
    return BedWater(
        bed=bed.face.id,
        area_m2=area,
        weekly_l=weekly,
        first_weeks_l=max(weekly, 1000.0 * sum(7.0 * _first_watering_m3(planting) for planting in plantings)),
        drip_line_m=rows * bed.area_m2 / bed.width_m if rows else 0.0,
        drip_rows=rows,
    )


def _first_watering_m3(planting: Planting) -> float:
    """Most water of one watering of new plants: a third of the root ball (University of Minnesota Extension)."""
    ball = (2.0 * planting.ball_m) ** 2 * (planting.soil_m - planting.bottom_m)
    new = establishment_watering(kind="shrub", container_m3=ball, plant_count=planting.count)
    return new.per_watering_high_m3 * planting.count


def calendar_of(wish: Wish, season: Season | None) -> Calendar:
    """Season and planting windows."""
    first, last = season.months if season else (None, None)
    known = season is not None and season.known
    spring = (wish.last_frost, _later(wish.last_frost, _SPRING_DAYS)) if wish.last_frost else (None, None)
    before = [_later(wish.first_frost, -days) for days in _AUTUMN_DAYS] if wish.first_frost else [None, None]
    return Calendar(first, last, known, *spring, *before)


def _later(day: str | None, days: int) -> str | None:
    return None if day is None else day_text((day_number(day, "autumn", "frost") + days - 1) % 365 + 1)
