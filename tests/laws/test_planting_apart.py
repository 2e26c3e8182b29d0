"""How far apart plants are set is said as the plant table has it: the same on sheet, list, book and in findings."""

from __future__ import annotations

import pytest

from lynchet.drawings.figures import Figures
from lynchet.planting.plants import plant_table
from lynchet.units.format import apart
from lynchet.units.measures import INCH, System
from lynchet.units.parse import parse

EVERY = plant_table()


@pytest.mark.parametrize("system", ["metric", "us"])
def test_what_is_told_is_the_table_read_back(system: System) -> None:
    """For every plant the words read back give the table's distance: to half an inch, or exactly in metres."""
    for plant in EVERY:
        told = parse(apart(plant.plant_spacing_m, system), "length", system)
        assert told == pytest.approx(plant.plant_spacing_m, abs=INCH / 2 if system == "us" else 1e-9), plant


def test_no_fraction_of_an_inch_is_told() -> None:
    """English lavender of 0.6 m stands 24 inches apart, in words and on sheets, and no plant has a fraction."""
    lavender = next(plant for plant in EVERY if plant.common_name == "English lavender")
    assert apart(lavender.plant_spacing_m, "us") == "24 in" and apart(lavender.plant_spacing_m, "metric") == "0.60 m"
    assert Figures("us").apart(lavender.plant_spacing_m) == "24″"
    assert all("/" not in apart(plant.plant_spacing_m, "us") for plant in EVERY)


def test_the_wider_plant_is_never_told_as_the_narrower() -> None:
    """In the order of the table's distances the inches told never fall."""
    rising = sorted(plant.plant_spacing_m for plant in EVERY)
    told = [int(apart(spacing, "us").split()[0]) for spacing in rising]
    assert told == sorted(told) and min(told) > 0
