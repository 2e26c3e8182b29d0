"""Sliding and overturning at every joint of every place in every case: bare, and with what helps in the soil."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lynchet.project.model import Project
from lynchet.stability.constants import (
    PIN_DIAMETER_M,
    PIN_LENGTH_M,
    PIN_SAFETY,
    PIN_SPACING_M,
    TIMBER_FRICTION,
    TIMBER_ON_SOIL_RATIO,
    fixings,
)
from lynchet.stability.gravity import BaseForces, overturning_factor_of, sliding_factor_of
from lynchet.stability.joints import buried_help
from lynchet.stability.kinds import Array
from lynchet.stability.model import CASES, Case, Place
from lynchet.stability.pins import Bar, bar_in_sand
from lynchet.stability.pressure import coulomb_active, coulomb_passive, seismic_angle
from lynchet.stability.push import Ground, Rows, forces


@dataclass(frozen=True)
class Table:
    """One row for each place, joint and case, with what pushes and what holds there."""

    place: NDArray[np.intp]
    joint: NDArray[np.intp]
    case: NDArray[np.intp]
    """Index into ``CASES``."""
    forces: BaseForces
    friction_deg: Array
    """Of the joint: base friction at joint 0, timber on timber above."""
    buried_kn: Array
    buried_turn: Array
    pins_kn: Array
    screws_kn: Array
    sliding_bare: Array
    sliding: Array
    overturning_bare: Array
    overturning: Array


def base_friction_deg(project: Project) -> float:
    """Friction under the lowest course: the soil's own on a stone pad keyed in, less for timber on bare soil."""
    soil = project.soil
    return soil.friction_deg * (1.0 if soil.base == "stone pad" else TIMBER_ON_SOIL_RATIO)


def ground_of(project: Project) -> Ground:
    """Weights of soil and timber."""
    timber, soil = project.timber, project.soil
    return Ground(
        timber.thickness_m, timber.unit_weight_kn_m3, soil.unit_weight_kn_m3, soil.saturated_unit_weight_kn_m3
    )


def check(project: Project, places: Sequence[Place]) -> Table:
    """Every joint of every place in every case that applies."""
    place, joint, case = _indices(project, places)
    rows = _rows(project, places, place, joint, case)
    found = forces(rows, ground_of(project))
    return _with_helps(project, places, (place, joint, case), found)


def _indices(project: Project, places: Sequence[Place]) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
    triples = []
    for index, place in enumerate(places):
        for number, case in enumerate(CASES):
            if _applies(project, place, case):
                triples += [(index, joint, number) for joint in range(place.courses)]
    table = np.array(triples, dtype=np.intp).reshape(-1, 3)
    return table[:, 0], table[:, 1], table[:, 2]


def _applies(project: Project, place: Place, case: Case) -> bool:
    if case == "load":
        return place.surcharge_kpa > 0
    if case == "earthquake":
        return project.brief.earthquake > 0
    return case == "dry" or place.wet_m is not None


def _rows(
    project: Project,
    places: Sequence[Place],
    place: NDArray[np.intp],
    joint: NDArray[np.intp],
    case: NDArray[np.intp],
) -> Rows:
    def of(name: str) -> Array:
        values = [getattr(one, name) for one in places]
        return np.array([np.nan if value is None else float(value) for value in values])[place]

    level = of("base_m") + joint * (of("top_m") - of("base_m")) / of("courses")
    names = [CASES[number] for number in case]
    water = np.select(
        [np.isin(names, ["wet", "load"]), np.array(names) == "one outlet shut", np.array(names) == "all shut"],
        [of("wet_m"), of("one_shut_m"), of("all_shut_m")],
        default=np.nan,
    )
    coefficient, angle = _coefficients(project, places)
    quake = np.array(names) == "earthquake"
    k = np.where(quake, _seismic(project, places)[place] if quake.any() else 0.0, coefficient[place])
    return Rows(
        timber_m=of("top_m") - level,
        soil_m=np.maximum(of("high_m") - level, 0.0),
        water_m=np.maximum(np.nan_to_num(water, nan=-np.inf) - level, 0.0),
        coefficient=k,
        angle_deg=angle[place],
        lean_deg=of("lean_deg"),
        surcharge_kpa=np.where(np.array(names) == "load", of("surcharge_kpa"), 0.0),
        tier_kpa=of("tier_kpa"),
        tier_near_m=of("tier_near_m"),
        tier_width_m=of("tier_width_m"),
        tier_factor=1.0 + of("tier_doubled"),
        quake=np.where(quake, project.brief.earthquake, 0.0),
    )


def wall_friction_deg(project: Project) -> float:
    """Friction of the fill on the back: none where the user does not want it counted."""
    return 0.0 if "back friction" in project.brief.helps_off else project.soil.wall_friction_deg


def _coefficients(project: Project, places: Sequence[Place]) -> tuple[Array, Array]:
    """Coulomb's active coefficient and the thrust's angle at each place; ground too steep to stand counts as steep as
    it can just stand (the whole slope is then looked at apart)."""
    friction, back = project.soil.friction_deg, wall_friction_deg(project)
    slope = np.minimum(np.array([p.backslope_deg for p in places], dtype=float), friction - 0.5)
    lean = np.array([p.lean_deg for p in places], dtype=float)
    return np.asarray(coulomb_active(friction, back, slope, lean)), back - lean


def active_at(project: Project, place: Place, case: Case) -> tuple[float, float]:
    """Active coefficient and thrust angle (degrees) at one place in one case."""
    coefficient, angle = _coefficients(project, [place])
    if case == "earthquake":
        coefficient = _seismic(project, [place])
    return float(coefficient[0]), float(angle[0])


def _seismic(project: Project, places: Sequence[Place]) -> Array:
    friction, back = project.soil.friction_deg, wall_friction_deg(project)
    shake = float(seismic_angle(project.brief.earthquake))
    steepest = friction - shake - 0.5
    slope = np.minimum(np.array([p.backslope_deg for p in places], dtype=float), max(steepest, 0.0))
    lean = np.array([p.lean_deg for p in places], dtype=float)
    return np.asarray(coulomb_active(friction, back, slope, lean, shake))


def _with_helps(
    project: Project,
    places: Sequence[Place],
    index: tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]],
    found: BaseForces,
) -> Table:
    place, joint, case = index
    off = project.brief.helps_off
    base = base_friction_deg(project)
    friction = np.where(joint == 0, base, np.degrees(np.arctan(TIMBER_FRICTION)))
    buried, turn = _buried(project, places, place, joint)
    pins = np.where(joint == 0, pin_kn_per_m(project), 0.0)
    counted = np.zeros_like(buried) if "buried course" in off else buried
    pinned = np.zeros_like(pins) if "pins" in off or not project.brief.pins else pins
    screws = np.where(joint > 0, 0.0 if "screws" in off else fixings(project.timber.course_m).screws_kn_per_m, 0.0)
    more = np.maximum(counted, pinned) + screws
    helped = BaseForces(
        found.vertical, found.horizontal, found.resisting + (0.0 if "buried course" in off else turn), found.overturning
    )
    return Table(
        place, joint, case, found, friction, counted, turn, pinned, screws,
        sliding_bare=sliding_factor_of(found, friction),
        sliding=sliding_factor_of(found, friction, more),
        overturning_bare=overturning_factor_of(found),
        overturning=overturning_factor_of(helped),
    )  # fmt: skip


def pin_kn_per_m(project: Project) -> float:
    """What the base pins hold by the ground (Broms, short free-headed bar), for each metre of wall."""
    soil = project.soil
    length = PIN_LENGTH_M - project.timber.course_m
    limit = bar_in_sand(Bar(PIN_DIAMETER_M, length), soil.unit_weight_kn_m3, soil.friction_deg)
    return float(limit.ultimate_kn) / PIN_SAFETY / PIN_SPACING_M


def _buried(
    project: Project, places: Sequence[Place], place: NDArray[np.intp], joint: NDArray[np.intp]
) -> tuple[Array, Array]:
    """Passive push of the ground in front above each joint: in a bed only of what lies below the depth it is dug."""
    depth = np.array([kept_depth_m(project, one) for one in places])
    height = np.array([(one.top_m - one.base_m) / one.courses for one in places])
    fall = np.array([-min(one.front_fall_deg, project.soil.friction_deg) for one in places])
    passive = np.asarray(coulomb_passive(project.soil.friction_deg, 0.0, fall))
    above = np.maximum(depth[place] - joint * height[place], 0.0)
    return buried_help(passive[place], project.soil.unit_weight_kn_m3, above)


def kept_depth_m(project: Project, place: Place) -> float:
    """Depth of buried timber with ground before it that always stays."""
    if place.front == "house":
        return 0.0
    return max(0.0, place.buried_m - (project.brief.dig_depth_m if place.front == "bed" else 0.0))
