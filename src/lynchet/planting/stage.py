"""The planting stage: sun on the beds, the user's own plants, plants that share a bed with them, water, calendar."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Literal

from lynchet.core.findings import Finding
from lynchet.ground.model import Ground
from lynchet.planting.bed_light import FULL, LIVE, Grid, bed_suns
from lynchet.planting.beds import given_beds, planted_beds
from lynchet.planting.care import bed_planting, bed_water, calendar_of
from lynchet.planting.choice import Site, Wanted, avoided, cautions_of
from lynchet.planting.hardiness import zone_label
from lynchet.planting.harm import harmed, told_for_whom, what_to_do
from lynchet.planting.keep_clear import Buried, kept_clear
from lynchet.planting.model import AVOIDED, BedSun, PlantCaution, Planted, Planting
from lynchet.planting.names import plant_named
from lynchet.planting.open_ground import OpenBed, open_beds, sample_points
from lynchet.planting.plants import Plant
from lynchet.planting.saying import (
    caution_findings,
    first_upper,
    light_findings,
    mix_findings,
    named,
    untested_findings,
    wet_findings,
    wish_findings,
)
from lynchet.planting.shade import shades
from lynchet.planting.sun_year import Season, growing_season, season_months
from lynchet.project.model import Project
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Walls


def planting(
    project: Project,
    ground: Ground,
    terraces: Terraces,
    walls: Walls,
    buried: Buried,
    effort: Literal["live", "full"] = "full",
) -> Planted:
    """Plants for every bed.

    Args:
        project: the file.
        ground: for the foot of what throws shade.
        terraces: beds, flights.
        walls: timber.
        buried: pipes, outlets, ties.
        effort: how finely the sun is looked at.
    """
    beds = open_beds(terraces, walls)
    season = _season(project)
    found = shades(project, ground, walls)
    fine = LIVE if effort == "live" else FULL
    grids = [
        Grid(bed.face.id, bed.face.level_m, sample_points(bed.soil, fine.points)) for bed in beds if bed.area_m2 > 0
    ]
    suns = bed_suns(project.site, project.frame, grids, found, season, fine)
    sites = [_site(project, bed, suns) for bed in beds]
    wishes = [plant_named(name) for name in project.planting.wishes]
    given = given_beds(wishes, beds, sites, _wanted(project, season), project.planting.suggest)
    placed = planted_beds(given, beds, sites, kept_clear(project, terraces, walls, buried))
    rows = [_held_to(row, project.planting.avoid) for row in placed]
    by_bed = [[row for row in rows if row.bed == bed.face.id] for bed in beds]
    there = {row.species.botanical_name for row in rows}
    bare = Planted(
        sun=suns,
        beds=tuple(bed_planting(bed, own, season) for bed, own in zip(beds, by_bed, strict=True)),
        plantings=tuple(rows),
        water=tuple(bed_water(bed, own) for bed, own in zip(beds, by_bed, strict=True)),
        calendar=calendar_of(project.planting, season),
        cautions=tuple(_cautions(rows, project)),
        unplaced=tuple(plant.botanical_name for plant in wishes if plant.botanical_name not in there),
        findings=(),
    )
    said = [
        *light_findings(suns, project.site, found, bool(wishes)),
        *((*untested_findings(project, bool(wishes)), *wet_findings(project, wishes)) if beds else ()),
        *_wish_findings(bare, [(bed.face.id, site) for bed, site in zip(beds, sites, strict=True)], project),
        *mix_findings(bare.beds, bare.calendar),
        *caution_findings(bare.cautions, project),
    ]
    return replace(bare, findings=tuple(said))


def _season(project: Project) -> Season | None:
    latitude = project.site.latitude_deg
    if latitude is None:
        return None
    return growing_season(latitude, project.planting.last_frost, project.planting.first_frost)


def _site(project: Project, bed: OpenBed, suns: Sequence[BedSun]) -> Site:
    wish = project.planting
    sun = next((sun for sun in suns if sun.bed == bed.face.id), None)
    zone = zone_label(wish.zone)[0] if wish.zone is not None else None
    return Site(sun.lights if sun else (), wish.moisture, zone, wish.ph, round(bed.width_m, 2))


def _wanted(project: Project, season: Season | None) -> Wanted:
    wish = project.planting
    return Wanted(bool(wish.food), wish.kinds, wish.avoid, tuple(season_months(season)) if season else ())


def _held_to(row: Planting, avoid: tuple[str, ...]) -> Planting:
    """A plant the user named, with what the user avoids of it among what speaks against it."""
    against = avoided(plant_named(row.species.botanical_name), avoid) if row.wished else ()
    return replace(row, misfits=(*row.misfits, *(AVOIDED + word for word in against))) if against else row


def _wish_findings(planted: Planted, sites: Sequence[tuple[str, Site]], project: Project) -> Iterable[Finding]:
    unplaced = [plant_named(name) for name in planted.unplaced]
    return wish_findings(planted.plantings, unplaced, dict(sites), project)


def _cautions(rows: Sequence[Planting], project: Project) -> Iterable[PlantCaution]:
    """What is known against the plants set out, each plant once."""
    plants: dict[str, Plant] = {}
    for row in rows:
        plants.setdefault(row.species.botanical_name, plant_named(row.species.botanical_name))
    for name, plant in plants.items():
        if plant.toxicity_caution:
            known = plant.toxicity_caution
            do = what_to_do(known, plant.edible, bool(project.planting.food))
            text = f"{first_upper(named(plant))}: {told_for_whom(known)}. {do}"
            yield PlantCaution(name, "poison", text, harms=harmed(known))
    for name, plant in plants.items():
        for row_ in cautions_of(plant):
            where = "everywhere" if row_.region == "everywhere" else f"in: {row_.region}"
            do = " Do not plant it there." if row_.severity == "avoid" else ""
            text = f"{first_upper(named(plant))}: {row_.caution} ({where}).{do}"
            yield PlantCaution(name, "spread", text, row_.region, row_.severity)
    if plants:
        yield PlantCaution(
            "", "poison", "A plant of which nothing is said may still be poisonous or spread: look each one up, and "
            "the lists of plants forbidden where you are.",
        )  # fmt: skip
    if project.planting.food is not False and plants:
        yield PlantCaution(
            "", "food", "Food beds: only timber treated for ground contact with today's copper treatments, never "
            "creosote; test the soil.",
        )  # fmt: skip
