"""What the planting stage says: light of each bed, wishes that do not suit, what is not known, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Finding, Verdict
from lynchet.planting.choice import MONTHS, Site, alternatives
from lynchet.planting.model import AVOIDED, LIGHT_WORDS, BedPlanting, BedSun, Calendar, PlantCaution, Planting
from lynchet.planting.plants import Plant
from lynchet.planting.regions import names_region
from lynchet.planting.shade import Shade
from lynchet.project.model import Project
from lynchet.project.model import Site as Place
from lynchet.units.format import apart, length, small
from lynchet.water.holes_dug import hole_words

TABLE = "Lynchet's plant table; most values are recalled (MEMORY): check the label"
ROOTS_M = 0.45
"""Most roots of garden plants lie above this depth: 18 in. PRACTICE."""
_ROOTS = {"metric": "450 mm", "us": "18 in"}
_MISFIT = {
    "light": "it wants {}, and the bed has {}",
    "moisture": "it wants soil that is {}, and the bed is {}",
    "zone": "it is hardy in zones {}, and this is zone {}",
    "ph": "it wants a pH of {}, and the bed has {}",
    "width": "it grows {} wide, and the bed is {} wide",
}


def named(plant: Plant | Planting) -> str:
    """Common and botanical name."""
    known = plant if isinstance(plant, Plant) else plant.species
    return f"{known.common_name} ({known.botanical_name})"


def first_upper(text: str) -> str:
    """With a capital to begin a sentence."""
    return text[:1].upper() + text[1:]


def light_findings(suns: Sequence[BedSun], place: Place, shades: Sequence[Shade], asked: bool) -> Iterable[Finding]:
    """The light of each bed, or what to write so that it can be worked out."""
    keys = {"latitude": place.latitude_deg, "longitude": place.longitude_deg, "north": place.north_deg}
    missing = [f"`site.{name}`" for name, value in keys.items() if value is None]
    verdict = Verdict.WATCH if asked else Verdict.OK
    if missing and suns:
        yield Finding(
            "planting.light_unknown", verdict,
            f"How much sun the beds get is not known: write {', '.join(missing)} (true north: its bearing clockwise "
            "from straight up the page). No plant is chosen for light nobody knows.", "site",
        )  # fmt: skip
        return
    undecided = [sun.bed for sun in suns if sun.light == "unknown"]
    untold = [shade for shade in shades if shade.write]
    if untold and suns:
        what = "; ".join(dict.fromkeys(f"{shade.write} of {shade.what}" for shade in untold))
        so = f" It decides the light of {', '.join(undecided)}, which is left as not known." if undecided else ""
        yield Finding(
            "planting.height_unknown", verdict if undecided else Verdict.OK,
            f"Not in the file: {what}. The sun is given as what it may be, from without it to as tall as such things "
            f"get.{so}", "site",
        )  # fmt: skip
    for sun in suns:
        if sun.season_h is not None and sun.low_h is not None and sun.high_h is not None:
            near = [LIGHT_WORDS[light] for light in sun.lights if light != sun.light]
            also = f", perhaps {' or '.join(near)}" if near else ""
            yield Finding(
                "planting.light", Verdict.OK,
                f"Bed {sun.bed} gets {sun.season_h:.1f} hours of direct sun a day in the growing season "
                f"({sun.low_h:.1f} to {sun.high_h:.1f}): {LIGHT_WORDS[sun.light]}{also}.", sun.bed,
                demand=sun.season_h, unit="h",
                source="Full sun from 6 h, part shade from 3 h: CSU Extension, Ashland Garden Club; other sources draw "
                "the lower line at 2 or 4 h",
                working=("light_class", (("sun_h", sun.season_h),)),
            )  # fmt: skip


def untested_findings(project: Project, wished: bool) -> Iterable[Finding]:
    """Zone, moisture and acidity nobody gave."""
    planting = project.planting
    if planting.zone is None:
        yield Finding(
            "planting.zone_unknown", Verdict.WATCH if wished else Verdict.OK,
            "Whether plants live through the winter here is not known: write `planting.zone`, the hardiness zone. "
            "No plant is chosen without it, and your own are not tested for it.", "site",
        )  # fmt: skip
    soil = {"moisture": planting.moisture, "ph": planting.ph}
    names = [f"`planting.{name}`" for name, value in soil.items() if value is None]
    if names:
        yield Finding(
            "planting.soil_unknown", Verdict.OK,
            f"Not in the file: {' and '.join(names)}. Plants are chosen that take soil from dry to medium and a pH of "
            "6 to 7, where it is not said; your own are not tested for it. A soil test tells.", "site",
        )  # fmt: skip


def wet_findings(project: Project, wishes: Sequence[Plant]) -> Iterable[Finding]:
    """Water that stood in a test hole within reach of roots, where the file says nothing of moisture."""
    met = [hole for hole in project.holes if hole.water_depth_m is not None and hole.water_depth_m < ROOTS_M]
    if project.planting.moisture is not None or not met:
        return
    hole = min(met, key=lambda one: one.water_depth_m or 0.0)
    units, depth = project.units, hole.water_depth_m or 0.0
    where = f"{small(depth, units)} under the ground" if depth > 0.0 else "at the surface"
    dry = [plant.common_name for plant in wishes if "wet" not in plant.moisture]
    many = len(dry) > 1
    yours = f" Of yours {enumerated(dry)} {'are not plants' if many else 'is no plant'} for wet soil." if dry else ""
    yield Finding(
        "planting.wet_ground", Verdict.WATCH,
        f"Water stood {where} in {hole_words(hole.name, start=False)}, and `planting.moisture` is not in the file: "
        f"plants are chosen for medium soil, and roots rot in standing water.{yours} Look in the wet season how high "
        f"it stands under the finished beds; if nearer than {_ROOTS[units]}, write "
        '`planting.moisture = "wet"`.', "site", demand=ROOTS_M, capacity=depth, unit="m",
        source="PRACTICE: depth of most roots",
    )  # fmt: skip


def wish_findings(
    plantings: Sequence[Planting], unplaced: Sequence[Plant], sites: dict[str, Site], project: Project
) -> Iterable[Finding]:
    """Wishes that do not suit the best bed there is, those no bed has room for, and kinds of which none is planted."""
    why = "none in the table suits a bed as well as others do, in light, soil and zone as far as these are known"
    if not project.planting.suggest:
        why = "your file asks for no suggestions (`planting.suggest`)"
    for kind in project.planting.kinds:
        if sites and all(planting.species.type != kind for planting in plantings):
            yield Finding(
                "planting.wish", Verdict.WATCH,
                f'You wished for plants of the kind "{kind}", and none is planted: {why}. Name one in '
                "`planting.wishes` to have it all the same.", "site", source=TABLE,
            )  # fmt: skip
    yield from _avoided_findings(plantings)
    for planting in plantings:
        if set(planting.misfits) & set(_MISFIT):
            site = sites[planting.bed]
            like = alternatives(site, planting.species.type, project.planting.avoid)
            other = f" In this bed would do: {', '.join(named(plant) for plant in like)}." if like else ""
            yield Finding(
                "planting.wish", Verdict.WATCH,
                f"Your {named(planting)} does not suit bed {planting.bed}, the best there is for it: "
                f"{_why(planting, site, project)}. It is kept.{other}", planting.bed, source=TABLE,
            )  # fmt: skip
    for plant in unplaced:
        yield Finding(
            "planting.no_room", Verdict.WATCH,
            f"No bed has room for your {named(plant)}, clear of walls, pipes, ties and steps: it stands "
            f"{apart(plant.plant_spacing_m, project.units)} apart.", "site",
        )  # fmt: skip


def _avoided_findings(plantings: Sequence[Planting]) -> Iterable[Finding]:
    """Plants the user named that the user also wishes to avoid: each told once, and kept."""
    told: set[str] = set()
    for planting in plantings:
        words = [name.removeprefix(AVOIDED) for name in planting.misfits if name.startswith(AVOIDED)]
        if not words or planting.species.botanical_name in told:
            continue
        told.add(planting.species.botanical_name)
        known = f" (known: {planting.species.toxicity_caution})" if "toxic" in words else ""
        yield Finding(
            "planting.wish", Verdict.WATCH,
            f"You named {named(planting)} in `planting.wishes`, and what is {_or(words)}{known} in `planting.avoid`: "
            "both cannot be had. It is kept, as the plant you named; take one of the two out of the file.",
            planting.bed, source=TABLE,
        )  # fmt: skip


def _why(planting: Planting, site: Site, project: Project) -> str:
    from lynchet.planting.names import plant_named

    plant, units = plant_named(planting.species.botanical_name), project.units
    said = {
        "light": (_or(LIGHT_WORDS[w] for w in plant.light), _or(LIGHT_WORDS[w] for w in site.lights)),
        "moisture": (_or(plant.moisture), site.moisture),
        "zone": (f"{plant.zone_min} to {plant.zone_max}", site.zone),
        "ph": (f"{plant.ph_min:g} to {plant.ph_max:g}", None if site.ph is None else f"{site.ph:.3g}"),
        "width": (length(plant.spread_m, units), length(site.width_m, units)),
    }
    return "; ".join(_MISFIT[name].format(*said[name]) for name in planting.misfits if name in said)


def _or(words: Iterable[str]) -> str:
    return " or ".join(words)


def mix_findings(beds: Sequence[BedPlanting], calendar: Calendar) -> Iterable[Finding]:
    """Months without a flower, and when to plant."""
    for bed in beds:
        if bed.empty_months:
            months = ", ".join(MONTHS[month - 1] for month in bed.empty_months)
            yield Finding(
                "planting.bloom", Verdict.OK, f"Bed {bed.bed} has no plant in flower in {months}.", bed.bed,
                source=TABLE,
            )  # fmt: skip
    if any(bed.cover_grown is not None for bed in beds):
        windows = [
            f"from {first} to {last} (month-day)"
            for first, last in (
                (calendar.spring_from, calendar.spring_to), (calendar.autumn_from, calendar.autumn_to)
            )
            if first
        ]  # fmt: skip
        when = f"Plant {' or '.join(windows)}." if windows else (
            "When to plant is not known: write `planting.last_frost` and `planting.first_frost`, from a weather "
            "station's table."
        )  # fmt: skip
        yield Finding("planting.when", Verdict.OK, when, "site", source="Weeks before and after frost: PRACTICE")


def caution_findings(found: Sequence[PlantCaution], project: Project) -> Iterable[Finding]:
    """Poisonous and spreading plants, and timber round food."""
    wish = project.planting
    region = project.planting.region
    for caution in found:
        if not caution.botanical_name:
            continue  # said of every planting, on the sheets
        if caution.kind == "poison":
            people, pets = set(caution.harms) & {"people", "skin"}, set(caution.harms) & {"people", "animals"}
            near = (wish.children and people) or (wish.pets and pets) or (wish.food and "people" in caution.harms)
            verdict = Verdict.WATCH if near else Verdict.OK
        elif caution.kind == "spread":
            here = caution.region == "everywhere" or names_region(region, caution.region)
            verdict = Verdict.OK if caution.severity == "watch" else Verdict.ASK if here else Verdict.WATCH
        else:
            continue
        yield Finding(
            f"planting.{caution.kind}", verdict, caution.text, "site", source=TABLE,
            ask="office" if verdict is Verdict.ASK else "",
        )  # fmt: skip
    if project.planting.food:
        yield _food(project)


def _food(project: Project) -> Finding:
    timber = project.timber
    test = "Test the soil before food is grown in it, and line the wall with a sheet where the label says so."
    if timber.treatment == "creosote":
        return Finding(
            "planting.food_timber", Verdict.STOP,
            "Creosote timber never goes round food: its tar is taken up and rubs off. Take new timber with today's "
            "copper treatments, stamped for ground contact.", "site", source="PRACTICE",
            withholds=("cut-sheet", "order-list"), cause="stability.creosote",
        )  # fmt: skip
    if timber.treatment == "unknown" or timber.reused:
        return Finding(
            "planting.food_timber", Verdict.WATCH,
            f"Food beds: what the timber was treated with is not known. Old treatments hold arsenic. {test}", "site",
            source="PRACTICE",
        )  # fmt: skip
    return Finding("planting.food_timber", Verdict.OK, f"Food beds in treated timber: {test}", "site",
                   source="PRACTICE")  # fmt: skip
