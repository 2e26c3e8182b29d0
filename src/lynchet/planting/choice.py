"""Which plants: how a bed suits one, and a mix that shares the bed and flowers through the season.

Data that is missing never counts as good: where the file does not say how moist or acid the soil is, only plants are
chosen that take the usual range; where light or zone is not known, none is chosen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from math import inf

from lynchet.planting.model import Part
from lynchet.planting.plant_fit import BedSite, Moisture, pair_misfits, site_misfits
from lynchet.planting.plants import Plant, SpreadCaution, plant_table, spread_cautions

USUAL_PH = (6.0, 7.0)
"""Bed soil nobody tested. PRACTICE."""
USUAL_MOISTURE: tuple[Moisture, ...] = ("dry", "medium")
"""A drained bed behind a wall that nobody looked at. PRACTICE."""
_HEIGHTS: dict[Part, tuple[float, float]] = {"front": (0.0, 0.35), "middle": (0.25, 0.75), "back": (0.5, 1.4)}
_LEAST_SPACING_M = 0.2
"""Plants set closer are left to those who ask for them: bulbs by the hundred. PRACTICE."""
_CROPS = frozenset({"annual", "vegetable", "small fruit"})
_LATER = frozenset({"vine"})


@dataclass(frozen=True)
class Site:
    """What a bed offers. An empty tuple or None is not known."""

    lights: tuple[str, ...]
    moisture: Moisture | None
    zone: int | None
    ph: float | None
    width_m: float

    @property
    def unknown(self) -> tuple[str, ...]:
        """What could not be tested."""
        given = {"light": bool(self.lights), "moisture": self.moisture, "zone": self.zone, "ph": self.ph}
        return tuple(name for name, value in given.items() if value is None or value is False)

    @property
    def enough(self) -> bool:
        """Whether plants may be chosen for it."""
        return bool(self.lights) and self.zone is not None


@dataclass(frozen=True)
class Wanted:
    """What the plants chosen for a bed should be."""

    food: bool
    kinds: tuple[str, ...]
    avoid: tuple[str, ...]
    season: tuple[int, ...]
    """Months of the growing season; empty where not known."""


@dataclass(frozen=True)
class Slot:
    """Room for some species in one part of a bed."""

    part: Part
    count: int
    deep_m: float
    """Depth of the part, front to back."""


@dataclass(frozen=True)
class Chosen:
    """A plant chosen for a part of a bed, and why."""

    plant: Plant
    part: Part
    reasons: tuple[str, ...]


def misfits(plant: Plant, site: Site) -> tuple[str, ...]:
    """What of a bed does not suit a plant, of what is known of it: light, moisture, zone, ph, width."""
    found: list[str] = []
    for light in site.lights or ("sun",):
        bed = BedSite(light, site.moisture or "medium", "1", site.ph)  # type: ignore[arg-type]
        found += site_misfits(plant, bed, site.zone or plant.zone_min)
    off = set(site.unknown)
    order = ("light", "moisture", "zone", "ph")
    missed = [name for name in order if name in found and name not in off]
    return tuple(missed + (["width"] if _too_wide(plant, site) else []))


def _too_wide(plant: Plant, site: Site) -> bool:
    return plant.spread_m > site.width_m + 1e-9


def part_for(plant: Plant, there: Sequence[Part]) -> Part:
    """Where a plant of the user's own stands: trailing and low ones in front, tall ones behind."""
    wanted: Part = "middle"
    if plant.habit == "trailing" or plant.height_m <= 0.3:
        wanted = "front"
    elif plant.height_m > 0.75 or plant.habit == "climber":
        wanted = "back"
    order: dict[Part, tuple[Part, ...]] = {
        "front": ("front", "middle", "back"), "middle": ("middle", "back", "front"), "back": ("back", "middle", "front")
    }  # fmt: skip
    return next(part for part in order[wanted] if part in there)


@lru_cache(maxsize=256)
def alternatives(site: Site, kind: str, avoid: tuple[str, ...], most: int = 3) -> tuple[Plant, ...]:
    """Plants of a kind that suit a bed, the least trouble first; none where too little is known."""
    same = [p for p in candidates(site, Wanted(False, (), avoid, ())) if p.type == kind]
    return tuple(same[:most])


@lru_cache(maxsize=256)
def candidates(site: Site, wanted: Wanted) -> tuple[Plant, ...]:
    """Plants that may be chosen for a bed, in the order of the table."""
    if not site.enough:
        return ()
    return tuple(plant for plant in _suited(replace(site, width_m=inf), wanted) if not _too_wide(plant, site))


@lru_cache(maxsize=64)
def _suited(site: Site, wanted: Wanted) -> tuple[Plant, ...]:
    """Plants that suit a bed of any width: beds differ in width with every corner that moves, in little else."""
    return tuple(plant for plant in _allowed(wanted) if _suits(plant, site))


@lru_cache(maxsize=64)
def _allowed(wanted: Wanted) -> tuple[Plant, ...]:
    """Plants that may be chosen anywhere: that do no known harm, are not kept out and are what is wanted."""
    return tuple(plant for plant in plant_table() if _may(plant, wanted))


def _may(plant: Plant, wanted: Wanted) -> bool:
    if plant.terrace_fit != "yes" or plant.toxicity_caution or plant.habit == "climber" or plant.type in _LATER:
        return False
    if {"runner", "suckers"} & set(plant.spread_mode) or any(c.severity == "avoid" for c in cautions_of(plant)):
        return False
    if plant.plant_spacing_m < _LEAST_SPACING_M - 1e-9:
        return False
    if avoided(plant, wanted.avoid) or (wanted.food and not plant.edible):
        return False
    return plant.type not in _CROPS or wanted.food or plant.type in wanted.kinds


def _suits(plant: Plant, site: Site) -> bool:
    """Fits in all that is known and in the usual range of what is not."""
    moist = (site.moisture,) if site.moisture else USUAL_MOISTURE
    low, high = (site.ph, site.ph) if site.ph is not None else USUAL_PH
    usual = set(moist) <= set(plant.moisture) and plant.ph_min <= low and high <= plant.ph_max
    return usual and not misfits(plant, site)


def avoided(plant: Plant, avoid: Sequence[str]) -> tuple[str, ...]:
    """What of a plant is among what is to be avoided, in the words and the order of the wish."""
    traits = {plant.botanical_name, plant.type}
    traits |= {"trailing"} if plant.habit == "trailing" else set()
    traits |= {"self-seeding"} if "self-seeds" in plant.spread_mode else set()
    traits |= {"toxic"} if plant.toxicity_caution else set()
    traits |= {"spreading"} if cautions_of(plant) or {"runner", "suckers"} & set(plant.spread_mode) else set()
    return tuple(word for word in avoid if word in traits)


def cautions_of(plant: Plant) -> tuple[SpreadCaution, ...]:
    """Cautions about a plant that spreads."""
    return _cautions().get(plant.botanical_name, ())


@cache
def _cautions() -> dict[str, tuple[SpreadCaution, ...]]:
    """Cautions by plant, in file order."""
    found: dict[str, tuple[SpreadCaution, ...]] = {}
    for caution in spread_cautions():
        found[caution.botanical_name] = (*found.get(caution.botanical_name, ()), caution)
    return found


@lru_cache(maxsize=256)
def mix(site: Site, wanted: Wanted, slots: tuple[Slot, ...], there: tuple[Plant, ...]) -> tuple[Chosen, ...]:
    """Plants for the free slots of a bed, one after another: the one that adds most to what is there already.

    Args:
        site: the bed.
        wanted: of the plants.
        slots: free ones, in the order filled.
        there: the user's own plants in this bed.
    """
    pool = [plant for plant in candidates(site, wanted) if plant not in there]
    for other in there:
        pool = _beside(pool, other)
    taken: list[Plant] = list(there)
    parts: list[Slot] = []
    for slot in slots:
        for _ in range(slot.count):
            best = _best(pool, slot, taken, wanted)
            if best is None:
                break
            pool = _beside([plant for plant in pool if plant is not best], best)
            taken.append(best)
            parts.append(slot)
    return tuple(
        Chosen(plant, slot.part, _reasons(plant, slot, [other for other in taken if other is not plant], wanted))
        for plant, slot in zip(taken[len(there) :], parts, strict=True)
    )


def _beside(pool: Sequence[Plant], other: Plant) -> list[Plant]:
    """Plants that can share a bed with another."""
    odd = _at_odds(other.botanical_name)
    return [plant for plant in pool if plant.botanical_name not in odd]


@lru_cache(maxsize=512)
def _at_odds(name: str) -> frozenset[str]:
    """Plants of the table that cannot share a bed with one of them."""
    every = plant_table()
    one = next(plant for plant in every if plant.botanical_name == name)
    return frozenset(plant.botanical_name for plant in every if pair_misfits(plant, one))


def _best(pool: Sequence[Plant], slot: Slot, taken: Sequence[Plant], wanted: Wanted) -> Plant | None:
    low, high = _HEIGHTS[slot.part]
    room = [
        plant
        for plant in pool
        if low <= plant.height_m <= high
        and plant.plant_spacing_m <= slot.deep_m + 1e-9
        and (slot.part == "front" or plant.habit != "trailing")
    ]
    months = set(wanted.season) - _in_flower(taken)
    worth = [_worth(plant, slot, months, wanted) for plant in room]
    most = max(worth, default=0.0)
    best = [plant for plant, value in zip(room, worth, strict=True) if value == most]
    return max(best, key=lambda plant: _backwards(plant.botanical_name), default=None)


def _backwards(name: str) -> tuple[int, ...]:
    """Of two of equal worth the first by name."""
    return tuple(-ord(letter) for letter in name)


def _in_flower(taken: Sequence[Plant]) -> set[int]:
    """Months in which some plant flowers."""
    return {month for plant in taken if plant.showy for month in plant.bloom_months}


def new_months(plant: Plant, taken: Sequence[Plant], season: Sequence[int]) -> list[int]:
    """Months of the season in which this plant would be the first to flower."""
    if not plant.showy:
        return []
    covered = _in_flower(taken)
    return [month for month in season if month in plant.bloom_months and month not in covered]


def _worth(plant: Plant, slot: Slot, months: set[int], wanted: Wanted) -> float:
    """Own weights (PRACTICE): bloom that is missing first, then insects, then trouble with spreading.

    Args:
        plant: which.
        slot: where.
        months: of the season without a plant in flower.
        wanted: kinds.
    """
    worth = 3.0 * len(months.intersection(plant.bloom_months)) if plant.showy else 0.0
    worth += 1.0 * (plant.pollinator == "yes") + 0.5 * (plant.evergreen == "yes")
    worth += 3.0 * (plant.type in wanted.kinds) + 2.0 * (slot.part == "front" and plant.habit == "trailing")
    return worth - 1.5 * len(cautions_of(plant))


def _reasons(plant: Plant, slot: Slot, others: Sequence[Plant], wanted: Wanted) -> tuple[str, ...]:
    """Why a plant was chosen, once all the others of its bed are known."""
    said = ["suits the bed's light, soil and zone, and what grows beside it"]
    months = new_months(plant, others, wanted.season)
    if months:
        said.append("flowers in " + ", ".join(MONTHS[month - 1] for month in months) + ", when nothing else does")
    if slot.part == "front" and plant.habit == "trailing":
        said.append("hangs over the edge")
    if slot.part == "back":
        said.append("stands taller behind")
    if plant.pollinator == "yes":
        said.append("feeds insects")
    if wanted.food and plant.edible:
        said.append(f"eaten: {plant.edible}")
    return tuple(said)


MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip
