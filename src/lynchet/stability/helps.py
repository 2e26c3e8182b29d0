"""What the ground and the fixings add at each joint: base friction, the buried course, pins, screws."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from lynchet.project.model import Project
from lynchet.stability.constants import (
    PIN_DIAMETER_M,
    PIN_FRONT_FALL_DEG,
    PIN_LENGTH_M,
    PIN_SPACING_M,
    TIMBER_ON_SOIL_RATIO,
)
from lynchet.stability.kinds import Array
from lynchet.stability.model import Case, Place
from lynchet.stability.pins import Bar, bar_in_sand
from lynchet.stability.pressure import coulomb_passive


def base_friction_deg(project: Project) -> float:
    """Friction under the lowest course: the soil's own on a stone pad keyed in, less for timber on bare soil."""
    soil = project.soil
    return soil.friction_deg * (1.0 if soil.base == "stone pad" else TIMBER_ON_SOIL_RATIO)


def wall_friction_deg(project: Project) -> float:
    """Friction of the fill on the back: none where the user does not want it counted."""
    return 0.0 if "back friction" in project.brief.helps_off else project.soil.wall_friction_deg


def dug_depth_m(project: Project, place: Place) -> float:
    """How deep the ground in front may be dug one day: only beds are."""
    return project.brief.dig_depth_m if place.front == "bed" else 0.0


def kept_depth_m(project: Project, place: Place) -> float:
    """Depth of buried timber with ground before it that always stays."""
    if place.front == "house":
        return 0.0
    return max(0.0, place.buried_m - dug_depth_m(project, place))


BALANCED: tuple[Case, ...] = ("wet", "load")


def balanced_m(project: Project, place: Place, case: Case) -> float:
    """Level up to which water behind is taken as balanced by that in front: the ground in front, while drains run.

    Walls drained at their foot are designed for drained ground: what stands lower than the ground in front presses from
    both sides and soaks away. PRACTICE. With an outlet shut nothing is balanced, unless gaps in the foot let it out.
    """
    runs = case in BALANCED or project.brief.weeps
    return max(place.low_m, place.base_m) if runs and place.front != "house" else place.base_m


def passive_at(project: Project, places: Sequence[Place]) -> Array:
    """Passive coefficient of the ground in front of each place, less where it falls away."""
    steepest = project.soil.friction_deg - 0.5
    fall = np.array([-min(place.front_fall_deg, steepest) for place in places])
    return np.asarray(coulomb_passive(project.soil.friction_deg, 0.0, fall))


def pins_kn_per_m(project: Project, places: Sequence[Place]) -> Array:
    """What the base pins hold by the ground for each metre of wall (Broms 1964, short bar with a free head).

    Ultimate, as the passive pressure is: the safety lies in the factor of sliding. Only ground that stays counts; where
    it falls away in front, or a house stands there, nothing.
    """
    if not project.brief.pins or "pins" in project.brief.helps_off:
        return np.zeros(len(places))
    below = np.array([PIN_LENGTH_M - place.course_m for place in places])
    bare = np.array([max(0.0, dug_depth_m(project, place) - place.buried_m) for place in places])
    firm = np.array([p.front != "house" and p.front_fall_deg <= PIN_FRONT_FALL_DEG for p in places])
    length = np.maximum(below - bare, 1e-6)
    limit = bar_in_sand(Bar(PIN_DIAMETER_M, length, bare), project.soil.unit_weight_kn_m3, project.soil.friction_deg)
    return np.where(firm & (below > bare), limit.ultimate_kn / PIN_SPACING_M, 0.0)
