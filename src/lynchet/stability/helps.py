"""What the ground and the fixings add at each joint: base friction, the buried course, pins, screws."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from operator import attrgetter

import numpy as np
from numpy.typing import NDArray

from lynchet.core.same import Same
from lynchet.project.model import Project
from lynchet.stability.constants import (
    PIN_DIAMETER_M,
    PIN_FRONT_FALL_DEG,
    PIN_LENGTH_M,
    PIN_SPACING_M,
    TIMBER_ON_SOIL_RATIO,
)
from lynchet.stability.kinds import Array
from lynchet.stability.model import Case, FrontGround, Place
from lynchet.stability.pins import Bar, bar_in_sand
from lynchet.stability.pressure import coulomb_passive


def base_friction_deg(project: Project) -> float:
    """Friction under the lowest course: the soil's own on a stone pad keyed in, less for timber on bare soil."""
    soil = project.soil
    return soil.friction_deg * (1.0 if soil.base == "stone pad" else TIMBER_ON_SOIL_RATIO)


def wall_friction_deg(project: Project) -> float:
    """Friction of the fill on the back: none where the user does not want it counted."""
    return 0.0 if "back friction" in project.brief.helps_off else project.soil.wall_friction_deg


def column(places: Sequence[Place], name: str) -> Array:
    """(places,) one field of every place, as a number; not to be written into, for it is kept for the next who asks."""
    return _column(Same(places), name)


@lru_cache(maxsize=32)
def _column(places: Same[Sequence[Place]], name: str) -> Array:
    found = np.array([*map(attrgetter(name), places.thing)], dtype=np.float64)
    found.flags.writeable = False
    return found


def before(places: Sequence[Place], front: FrontGround) -> NDArray[np.bool_]:
    """(places,) whether this lies in front."""
    return np.array([place.front == front for place in places], dtype=np.bool_)


def dug_depths_m(project: Project, places: Sequence[Place]) -> Array:
    """(places,) how deep the ground in front may be dug one day: only beds are."""
    return np.where(before(places, "bed"), project.brief.dig_depth_m, 0.0)


def _buried_m(places: Sequence[Place]) -> Array:
    return np.maximum(column(places, "low_m") - column(places, "base_m"), 0.0)


def kept_depths_m(project: Project, places: Sequence[Place]) -> Array:
    """(places,) depth of buried timber with ground before it that always stays."""
    kept = np.maximum(_buried_m(places) - dug_depths_m(project, places), 0.0)
    return np.where(before(places, "house"), 0.0, kept)


BALANCED: tuple[Case, ...] = ("wet", "load")


def balanced_m(project: Project, places: Sequence[Place], case: Case) -> Array:
    """(places,) level up to which water behind is taken as balanced by that in front, while drains run: the ground.

    Walls drained at their foot are designed for drained ground: what stands lower than the ground in front presses from
    both sides and soaks away. PRACTICE. With an outlet shut nothing is balanced, unless weep holes let it out.
    """
    low, base = column(places, "low_m"), column(places, "base_m")
    runs = np.array([case in BALANCED or place.weep_m is not None for place in places], dtype=np.bool_)
    return np.where(before(places, "house") | ~runs, base, np.maximum(low, base))


def passive_at(project: Project, places: Sequence[Place]) -> Array:
    """Passive coefficient of the ground in front of each place, less where it falls away."""
    steepest = project.soil.friction_deg - 0.5
    fall = -np.minimum(column(places, "front_fall_deg"), steepest)
    return np.asarray(coulomb_passive(project.soil.friction_deg, 0.0, fall))


def pins_kn_per_m(project: Project, places: Sequence[Place]) -> Array:
    """What the base pins hold by the ground for each metre of wall (Broms 1964, short bar with a free head).

    Ultimate, as the passive pressure is: the safety lies in the factor of sliding. Only ground that stays counts; where
    it falls away in front, or a house stands there, nothing.
    """
    if not project.brief.pins or "pins" in project.brief.helps_off:
        return np.zeros(len(places))
    below = PIN_LENGTH_M - (column(places, "top_m") - column(places, "base_m")) / column(places, "courses")
    bare = np.maximum(dug_depths_m(project, places) - _buried_m(places), 0.0)
    firm = ~before(places, "house") & (column(places, "front_fall_deg") <= PIN_FRONT_FALL_DEG)
    length = np.maximum(below - bare, 1e-6)
    limit = bar_in_sand(Bar(PIN_DIAMETER_M, length, bare), project.soil.unit_weight_kn_m3, project.soil.friction_deg)
    return np.where(firm & (below > bare), limit.ultimate_kn / PIN_SPACING_M, 0.0)
