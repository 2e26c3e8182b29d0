"""Plants and beds of a planting sheet in rows: letters, numbers, distances, light and sun."""

from __future__ import annotations

from string import ascii_uppercase

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.source import Planned
from lynchet.planting.model import LIGHT_WORDS, Species
from lynchet.units.format import area

Cells = tuple[str, ...]
LIGHT_SAID = LIGHT_WORDS | {"unknown": "light not known"}


def letters(plan: Planned) -> tuple[tuple[Species, str, int], ...]:
    """Every species with its letter and how many there are, in the order first planted."""
    found: dict[str, tuple[Species, int]] = {}
    for planting in plan.planted.plantings:
        name = planting.species.botanical_name
        species, count = found.get(name, (planting.species, 0))
        found[name] = (species, count + planting.count)
    names = [*ascii_uppercase, *(a + b for a in ascii_uppercase for b in ascii_uppercase)]
    return tuple((species, names[n], count) for n, (species, count) in enumerate(found.values()))


def plant_rows(plan: Planned, figures: Figures) -> list[Cells]:
    """Letter, name, botanical name, number, distance apart."""
    return [
        (letter, printable(one.common_name), printable(one.botanical_name), str(count), figures.apart(one.spacing_m))
        for one, letter, count in letters(plan)
    ]


def bed_rows(plan: Planned, figures: Figures) -> list[Cells]:
    """Bed, its light, hours of sun, ground to plant, number of plants."""
    rows: list[Cells] = []
    for bed in plan.planted.beds:
        sun = plan.planted.sun_of(bed.bed)
        hours = f"{sun.season_h:.0f} h" if sun and sun.season_h is not None else "–"
        count = sum(planting.count for planting in plan.planted.plantings_of(bed.bed))
        light = LIGHT_SAID[sun.light if sun else "unknown"]
        rows.append((bed.bed[1:], light, hours, area(bed.soil_m2, figures.system), str(count)))
    return rows
