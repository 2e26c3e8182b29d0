"""Pressure on the ground under the base of every place, against what the ground may carry."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from lynchet.project.model import Project
from lynchet.stability.bearing import Base, ultimate_of
from lynchet.stability.checks import Table, kept_depth_m
from lynchet.stability.constants import BEARING_SAFETY, LOOSE_BASE_KPA
from lynchet.stability.gravity import base_pressures
from lynchet.stability.model import CASES, BaseCheck, Place

PAD_SPREAD_M = 0.15
"""A stone pad this thick spreads the pressure two to one on the soil under it. PRACTICE."""


def check_bases(project: Project, table: Table, places: Sequence[Place]) -> list[BaseCheck]:
    """The most pressed case of every place; sections whose resultant leaves the base are left to overturning.

    Allowable: the smaller of the formula (Vesic, strip, vertical load, over 3) and, for soil nobody looked at or clay,
    the presumptive 72 kPa (International Building Code 2021, Table 1806.2, class 5).
    """
    pressures = base_pressures(table.forces, project.timber.thickness_m)
    found = []
    for number, place in enumerate(places):
        rows = np.flatnonzero((table.place == number) & (table.joint == 0) & (pressures.effective_width_m > 1e-3))
        if not len(rows):
            continue
        spread = PAD_SPREAD_M if project.soil.base == "stone pad" else 0.0
        width = pressures.effective_width_m[rows] + spread
        pressure = np.asarray(table.forces.vertical)[rows] / width
        worst = int(np.argmax(pressure))
        found.append(
            BaseCheck(
                place,
                CASES[table.case[rows[worst]]],
                float(pressure[worst]),
                allowable_kpa(project, place, float(width[worst])),
                float(pressures.effective_width_m[rows[worst]]),
            )
        )
    return found


def allowable_kpa(project: Project, place: Place, width_m: float) -> float:
    """What the ground under a base of this effective width may carry."""
    soil = project.soil
    cover = kept_depth_m(project, place)
    base = Base(
        width_m=width_m,
        depth_m=cover + (PAD_SPREAD_M if soil.base == "stone pad" else 0.0),
        soil_kn_m3=soil.unit_weight_kn_m3,
        friction_deg=soil.friction_deg,
        cohesion_kpa=soil.cohesion_kpa,
    )
    formula = float(ultimate_of("vesic", base)) / BEARING_SAFETY
    return formula if soil.known and not soil.clay else min(formula, LOOSE_BASE_KPA)
