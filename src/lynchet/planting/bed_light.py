"""Sun on each bed and the light class it puts the bed in, with the band within which it is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from lynchet.core.frame import Frame
from lynchet.planting.light import light_index
from lynchet.planting.model import BedSun, LightWord, SunPoint
from lynchet.planting.shade import Shade, screens_of
from lynchet.planting.sun_sweep import swept_hours
from lynchet.planting.sun_year import Season, month_shares, sample_declinations, season_share, true_places
from lynchet.project.model import Site

Array = NDArray[np.float64]
LEAF_M = 0.10
"""Leaves of a young plant over the soil: what the sun is looked for at. PRACTICE."""
_WORDS: tuple[LightWord, ...] = ("shade", "part", "sun")


@dataclass(frozen=True)
class SunEffort:
    """How finely the sun is looked at."""

    points: int
    """Places on a bed, about."""
    declinations: int
    """Between the solstices, these included."""
    low_deg: float
    """What stands lower over the horizon than this is left out."""
    band_h: float
    """Half width of the band that days and low things leave, hours."""
    grid_share: float = 0.0
    """On top: this times the scatter of the places over the root of their number (the mean of few places is off)."""


LIVE = SunEffort(points=6, declinations=4, low_deg=1.5, band_h=0.6, grid_share=2.0)
FULL = SunEffort(points=60, declinations=13, low_deg=0.5, band_h=0.15, grid_share=0.5)


@dataclass(frozen=True)
class Grid:
    """Where the sun is looked for on one bed."""

    bed: str
    level_m: float
    points_m: Array
    """(n, 2) in the own frame."""


def bed_suns(
    site: Site, frame: Frame, grids: Sequence[Grid], shades: Sequence[Shade], season: Season | None, effort: SunEffort
) -> tuple[BedSun, ...]:
    """The sun on every bed; "unknown" where latitude, longitude or true north is not given.

    Args:
        site: latitude, longitude, north.
        frame: of the project.
        grids: one for each bed.
        shades: all that throws shade.
        season: of growing; None where the latitude is not known.
        effort: how finely.
    """
    latitude, longitude, north = site.latitude_deg, site.longitude_deg, site.north_deg
    if season is None or latitude is None or longitude is None or north is None or not grids:
        return tuple(BedSun(grid.bed, "unknown", ()) for grid in grids)
    at = np.concatenate([np.column_stack([_true(g.points_m, frame, north), _leaves(g)]) for g in grids])
    days = sample_declinations(effort.declinations)

    def hours(highest: bool) -> Array:
        screens = screens_of(shades, highest)
        for ends in (slice(0, 2), slice(2, 4)):
            screens[:, ends] = _true(screens[:, ends], frame, north)
        return swept_hours(days, latitude, at, screens, effort.low_deg)

    darkest = hours(True)
    brightest = hours(False) if any(shade.write for shade in shades) else darkest
    shares = {
        "season": season_share(season, effort.declinations, longitude),
        "months": month_shares(effort.declinations, longitude),
    }
    found, start = [], 0
    for grid in grids:
        end = start + len(grid.points_m)
        found.append(_bed(grid, (darkest[start:end], brightest[start:end]), shares, effort))
        start = end
    return tuple(found)


def _leaves(grid: Grid) -> Array:
    return np.full(len(grid.points_m), grid.level_m + LEAF_M)


def _true(points: Array, frame: Frame, north_deg: float) -> Array:
    """Own frame to east, north."""
    return true_places(np.column_stack(frame.outward((points[:, 0], points[:, 1]))), north_deg)


def _bed(grid: Grid, hours: tuple[Array, Array], shares: Mapping[str, Array], effort: SunEffort) -> BedSun:
    dark, bright = (each[..., 0] + each[..., 1] for each in hours)  # (points, declinations)
    season, months = shares["season"], shares["months"]
    least, most = float((dark @ season).mean()), float((bright @ season).mean())
    middle = round((least + most) / 2.0, 2)
    parts = (hours[0] + hours[1]).mean(axis=0) / 2.0
    morning, afternoon, open_sky = (float(parts[:, kind] @ season) for kind in range(3))
    each = ((dark + bright) / 2.0) @ season
    band_h = effort.band_h + effort.grid_share * float(each.std()) / sqrt(len(each))
    low, high = max(0.0, round(least - band_h, 2)), min(24.0, round(most + band_h, 2))
    lights = tuple(_WORDS[i] for i in range(int(light_index(high)), int(light_index(low)) - 1, -1))
    told = most - least < band_h or len(lights) == 1  # a height not known must not decide the class
    return BedSun(
        bed=grid.bed,
        light=_WORDS[int(light_index(middle))] if told else "unknown",
        lights=lights if told else (),
        season_h=middle,
        low_h=low,
        high_h=high,
        morning_h=morning,
        afternoon_h=afternoon,
        open_sky_h=open_sky,
        months_h=tuple(float(h) for h in months @ ((dark + bright) / 2.0).mean(axis=0)),
        points=tuple(
            SunPoint((float(x), float(y)), round(float(h), 2)) for (x, y), h in zip(grid.points_m, each, strict=True)
        ),
    )
