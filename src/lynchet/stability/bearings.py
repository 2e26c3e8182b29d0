"""Pressure on the ground under the base of every place, against what the ground may carry."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from lynchet.core.findings import Working
from lynchet.project.model import Project
from lynchet.stability.bearing import Base, ultimate_of
from lynchet.stability.checks import Table
from lynchet.stability.constants import BEARING_SAFETY, LOOSE_BASE_KPA
from lynchet.stability.helps import kept_depths_m
from lynchet.stability.kinds import Array
from lynchet.stability.model import CASES, BaseCheck, Place

PAD_SPREAD_M = 0.15
"""A stone pad this thick spreads the pressure two to one on the soil under it. PRACTICE."""


def check_bases(project: Project, table: Table, places: Sequence[Place], tied: Collection[int] = ()) -> list[BaseCheck]:
    """The most pressed case of every place; sections whose resultant leaves the base are left to overturning.

    Ties keep a wall upright, so that a tied place (by number) presses over its whole width.
    Allowable: the smaller of the formula (Vesic, strip, vertical load, water at the base, over 3) and, for soil nobody
    looked at or clay, the presumptive 72 kPa (International Building Code 2021, Table 1806.2, class 5).
    """
    thickness = project.timber.thickness_m
    forces, base = table.forces, np.maximum(table.first, 0)
    vertical, resisting, overturning = (
        np.asarray(part)[base] for part in (forces.vertical, forces.resisting, forces.overturning)
    )
    x = (resisting - overturning) / np.where(vertical > 1e-6, vertical, np.inf)
    width = thickness - 2.0 * np.abs(thickness / 2.0 - x)
    width = np.where(np.isin(np.arange(len(places)), list(tied))[:, None], thickness, width)
    width = np.where(vertical > 1e-6, width, 0.0)
    pad = _pad_m(project)
    pressure = np.where(width > 1e-3, vertical / (np.maximum(width, 1e-3) + pad), 0.0)
    worst = np.argmax(np.where(table.first >= 0, pressure, -np.inf), axis=1)  # the first of equals
    number = np.flatnonzero(pressure[np.arange(len(worst)), worst] > 0)
    case, pressed = worst[number], number.tolist()
    pressure, width = pressure[number, case], width[number, case]
    allowable = allowable_kpa(project, [places[number] for number in pressed], width + pad)
    columns = (case, pressure, np.asarray(allowable, dtype=np.float64), width)
    return [
        BaseCheck(places[number], CASES[case], *numbers)
        for number, case, *numbers in zip(pressed, *(column.tolist() for column in columns), strict=True)
    ]


def weakest_bases(bases: Sequence[BaseCheck]) -> list[BaseCheck]:
    """The base of each leg with the least capacity for its pressure, the first of equals."""
    weakest: dict[str, tuple[float, BaseCheck]] = {}
    for base in bases:
        factor = base.allowable_kpa / max(base.pressure_kpa, 1e-9)
        if base.place.leg not in weakest or factor < weakest[base.place.leg][0]:
            weakest[base.place.leg] = factor, base
    return [base for _, base in weakest.values()]


def _pad_m(project: Project) -> float:
    return PAD_SPREAD_M if project.soil.base == "stone pad" else 0.0


def _depth_m(project: Project, places: Sequence[Place]) -> Array:
    """(places,) of the ground that carries, under ground in front that stays."""
    return kept_depths_m(project, places) + _pad_m(project)


def bearing_working(project: Project, check: BaseCheck) -> Working:
    """What the ground under one base could carry at most, as the calculator shows it."""
    soil, depth = project.soil, float(_depth_m(project, [check.place])[0])
    return "bearing_capacity", (
        ("method", "vesic"),
        ("width_m", check.effective_width_m + _pad_m(project)),
        ("depth_m", depth),
        ("unit_weight_kn_m3", soil.unit_weight_kn_m3),
        ("friction_angle_deg", soil.friction_deg),
        ("cohesion_kpa", soil.cohesion_kpa),
        ("water_depth_m", depth),
    )


def allowable_kpa(project: Project, places: Sequence[Place], width_m: Array) -> Array:
    """What the ground under bases of these effective widths, one for each place, may carry."""
    soil = project.soil
    depth = _depth_m(project, places)
    base = Base(
        width_m=width_m,
        depth_m=depth,
        soil_kn_m3=soil.unit_weight_kn_m3,
        friction_deg=soil.friction_deg,
        cohesion_kpa=soil.cohesion_kpa,
        water_depth_m=depth,
    )
    formula = ultimate_of("vesic", base) / BEARING_SAFETY
    return formula if soil.known and not soil.clay else np.minimum(formula, LOOSE_BASE_KPA)
