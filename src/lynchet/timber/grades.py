"""What the stamp says, as strength: species and grade as people write them, the weakest of the table where unsaid."""

from __future__ import annotations

import re
from typing import get_args

from lynchet.project.model import Timber as Wood
from lynchet.project.model import Units
from lynchet.timber.eu_strength import StrengthClass, adjusted_strength_eu
from lynchet.timber.model import Strength
from lynchet.timber.us_reference import Grade, ReferenceStrength, SizeClass, Species, reference_strength_us
from lynchet.timber.us_strength import Table, adjusted_strength_us
from lynchet.timber.values import INCH_M

THICK_M = 4.4 * INCH_M
"""Timbers of 5 x 5 in nominal and larger stand in tables of their own."""
DEEPEST_M = 11.25 * INCH_M
THICKEST_M = 4.0 * INCH_M
"""Largest sides of dimension lumber."""
WEAKEST: Species = "hem_fir"
WEAKEST_CLASS: StrengthClass = "C14"
EARTH_FACTOR = 1.35
"""Partial factor on lasting loads. EN 1990, Table A1.2(B) (MEMORY)."""
US_CREEP = 2.0
"""Lasting sag over immediate, wet timber. NDS 2018, 3.5.2."""
_WORDS: tuple[tuple[str, Species], ...] = (
    ("southern", "southern_pine"), ("yellow pine", "southern_pine"), ("douglas", "douglas_fir_larch"),
    ("hem", "hem_fir"), ("spruce", "spruce_pine_fir"), ("spf", "spruce_pine_fir"),
)  # fmt: skip
_LABEL: dict[Species, str] = {
    "southern_pine": "southern pine", "douglas_fir_larch": "Douglas fir-larch", "hem_fir": "hem-fir",
    "spruce_pine_fir": "spruce-pine-fir",
}  # fmt: skip
_GRADE: dict[Grade, str] = {"select_structural": "select structural", "no1": "No. 1", "no2": "No. 2"}


def strength_of(wood: Wood, units: Units) -> Strength:
    """Strength of the file's timber across the wall, wet, under a lasting load.

    A European class ("C24") in species or grade counts as such. A species the tables hold is taken in its grade, in the
    lowest one where none is named. Anything else: the weakest of the European table in a metric file, of the United
    States tables otherwise, and said to be assumed.
    """
    named = re.search(r"\bC\s?(\d\d)\b", f"{wood.species} {wood.grade}", re.IGNORECASE)
    classes = get_args(StrengthClass)
    if named and f"C{named[1]}" in classes:
        return _european(wood, f"C{named[1]}", assumed=False)  # type: ignore[arg-type]
    species = next((one for words, one in _WORDS if words in wood.species.lower()), None)
    if species is None and units == "metric":
        return _european(wood, WEAKEST_CLASS, assumed=True)
    grade = _grade(wood.grade)
    if species == "spruce_pine_fir" and min(wood.course_m, wood.thickness_m) >= THICK_M:
        species, grade = None, None  # no table for it in this size
    assumed = species is None or grade is None
    return _american(wood, species or WEAKEST, grade or "no2", assumed)


def _grade(text: str) -> Grade | None:
    plain = text.lower()
    if "select" in plain:
        return "select_structural"
    found = re.search(r"(?:no\.?|#|number|grade)?\s*([12])\b", plain)
    return None if found is None else "no1" if found[1] == "1" else "no2"


def _european(wood: Wood, name: StrengthClass, assumed: bool) -> Strength:
    found = adjusted_strength_eu(strength_class=name, depth_m=wood.thickness_m)
    return Strength(
        practice="eu",
        label=f"strength class {name}",
        assumed=assumed,
        bending_mpa=found.bending_mpa,
        shear_mpa=found.shear_mpa * found.crack_factor,
        modulus_mpa=found.final_modulus_mpa,
        specific_gravity=found.mean_density_kg_m3 / 1000.0 / 1.12,
        density_kg_m3=found.density_kg_m3,
        connection_factor=found.modification_factor / 1.3,
        load_factor=EARTH_FACTOR,
        source="EN 338:2016, Table 1; EN 1995-1-1, 2.4.1, 3.1.3, 3.2, service class 3; EN 1990 (MEMORY)",
    )


def _american(wood: Wood, species: Species, grade: Grade, assumed: bool) -> Strength:
    reference, table, width, depth = _reference(wood, species, grade)
    found = adjusted_strength_us(
        table=table, bending_mpa=reference.bending_mpa, shear_mpa=reference.shear_mpa,
        bearing_mpa=reference.bearing_mpa, modulus_mpa=reference.modulus_mpa, width_m=width, depth_m=depth,
        southern_pine=species == "southern_pine",
    )  # fmt: skip
    return Strength(
        practice="us",
        label=f"{_LABEL[species]} {_GRADE[grade]}",
        assumed=assumed,
        bending_mpa=found.bending_mpa,
        shear_mpa=found.shear_mpa,
        modulus_mpa=found.modulus_mpa / US_CREEP,
        specific_gravity=reference.specific_gravity,
        density_kg_m3=1000.0 * reference.specific_gravity,
        connection_factor=found.duration_factor,
        load_factor=1.0,
        source=f"NDS Supplement 2018, Table {reference.table} (partly MEMORY); NDS 2018, 2.3, 4.3",
    )


def _reference(wood: Wood, species: Species, grade: Grade) -> tuple[ReferenceStrength, Table, float, float]:
    """Reference values, their table and the sides (width, depth along the load) they are adjusted for."""
    width, depth = wood.course_m, wood.thickness_m
    if min(width, depth) >= THICK_M:
        size: SizeClass = "timber" if species == "southern_pine" else "posts_timbers"
        return reference_strength_us(species=species, size_class=size, grade=grade), "4D", width, depth
    wide = min(max(width, depth), DEEPEST_M)
    thin = min(width, depth, THICKEST_M)
    table: Table = "4B" if species == "southern_pine" else "4A"
    lowest: Grade = "no1" if species == "southern_pine" and grade == "select_structural" else grade
    found = reference_strength_us(species=species, size_class="dimension", grade=lowest, depth_m=wide)
    return found, table, (thin if width <= depth else wide), (wide if width <= depth else thin)
