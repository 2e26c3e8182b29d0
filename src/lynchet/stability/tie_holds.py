"""What one tie holds in the ground: friction beyond the sliding wedge or its cross-piece, the larger, never both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import radians, tan
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lynchet.core.same import Same
from lynchet.project.model import Project
from lynchet.stability.anchors import Anchor, face_hold, passive_reach, wedge_overlap
from lynchet.stability.checks import water_at
from lynchet.stability.constants import TIE_SAFETY
from lynchet.stability.kinds import Array
from lynchet.stability.model import Case, Place
from lynchet.stability.pressure import at_rest
from lynchet.stability.thrust import WATER_KN_M3
from lynchet.stability.ties import TieTimber, timber_grip, wedge_reach

Holds = Literal["friction", "cross-piece"]
FRICTION_RATIO = 0.75
DUG_SAFETY = 1.0
"""With the bed dug over its whole depth a tie must still hold what it really carries. PRACTICE."""


@dataclass(frozen=True)
class Laid:
    """One tie as it lies."""

    below_top: int
    """Courses below the top course of the wall."""
    length_m: float
    cross_m: float
    spacing_m: float = 0.0


@dataclass(frozen=True)
class Cover:
    """The ground over a tie, from the surface it may be dug down to."""

    soil_kn_m3: float
    under_kn_m3: float
    """Buoyant, below the standing water."""
    dry_m: float
    """From the surface to the water."""

    def stress_kpa(self, depth_m: float) -> float:
        """Effective weight of the ground over a depth."""
        dry = min(depth_m, self.dry_m)
        return self.soil_kn_m3 * dry + self.under_kn_m3 * (depth_m - dry)

    def sum_kn_per_m(self, depth_m: float) -> float:
        """The same summed from the surface down to a depth."""
        dry = min(depth_m, self.dry_m)
        wet = depth_m - dry
        return 0.5 * self.soil_kn_m3 * dry**2 + self.soil_kn_m3 * dry * wet + 0.5 * self.under_kn_m3 * wet**2


def cover_of(project: Project, place: Place, case: Case, dug_m: float) -> Cover:
    """The ground over the ties of a place: buoyant below the water that stands behind the wall in a case."""
    soil, water = project.soil, water_at(place, case)
    dry = float("inf") if water is None else max(place.high_m - dug_m - water, 0.0)
    return Cover(soil.unit_weight_kn_m3, soil.saturated_unit_weight_kn_m3 - WATER_KN_M3, dry)


@dataclass(frozen=True)
class Grip:
    """Ultimate hold of ties of one row, an entry for each length tried."""

    friction_kn: Array
    """Of the timber beyond the sliding wedge."""
    face_kn_per_m: Array
    """Of each metre of cross-piece."""


def hold_kn(project: Project, place: Place, case: Case, tie: Laid) -> tuple[float, Holds]:
    """What one tie holds, and by what."""
    level = water_at(place, case)
    alike = next(one for one in _WATERS if water_at(place, one) == level)
    return _hold_kn(Same(project), Same(place), alike, tie.below_top, (tie.length_m, tie.cross_m))


_WATERS: tuple[Case, ...] = ("dry", "wet", "one outlet shut", "all shut")
"""Cases that differ for a tie at all: by the water over it."""


@lru_cache(maxsize=2048)
def _hold_kn(
    project: Same[Project], place: Same[Place], case: Case, below_top: int, size: tuple[float, float]
) -> tuple[float, Holds]:
    """The same, whatever the spacing; layouts tried one after the other ask for it again and again."""
    hold, by_cross = holds_kn(project.thing, place.thing, case, below_top, ([size[0]], [size[1]]))
    return float(hold[0, 0]), "cross-piece" if by_cross[0, 0] else "friction"


def holds_kn(
    project: Project, place: Place, case: Case, below_top: int, sizes: tuple[Sequence[float], Sequence[float]]
) -> tuple[Array, NDArray[np.bool_]]:
    """What a tie holds for every length and cross-piece: undug with a factor of 2, the bed dug out with a factor of 1.

    Friction beyond the sliding wedge or the cross-piece, the larger: the two are never added.
    Source: tie_friction_length and anchor_capacity (kind face), with the effective weight of the ground.

    Args:
        sizes: lengths and cross-pieces, metres.

    Returns:
        (lengths, cross-pieces): kN, and whether the cross-piece holds more.
    """
    lengths, cross = np.array(sizes[0]), np.array(sizes[1])
    found = []
    for dug, safety in ((0.0, TIE_SAFETY), (project.brief.dig_depth_m, DUG_SAFETY)):
        grip = grip_of(project, place, case, below_top, (lengths, dug))
        friction, face = grip.friction_kn[:, None], grip.face_kn_per_m[:, None] * cross
        found.append((np.maximum(friction, face) / safety, face > friction))
    (whole, by_whole), (spaded, by_spaded) = found
    return np.minimum(whole, spaded), np.where(whole <= spaded, by_whole, by_spaded)


def grip_of(project: Project, place: Place, case: Case, below_top: int, what: tuple[Array, float]) -> Grip:
    """Friction and cross-piece of the ties of a row, the ground taken off to a depth.

    Args:
        what: lengths, and the depth dug.
    """
    lengths, dug_m = what
    soil, width, height = project.soil, project.timber.thickness_m, place.course_m
    ground = cover_of(project, place, case, dug_m)
    over = place.high_m - dug_m - (place.top_m - below_top * height)
    if over <= 0:
        return Grip(np.zeros_like(lengths), np.zeros_like(lengths))
    middle, under = over + height / 2.0, over + height
    weight = ground.stress_kpa(middle) / middle
    timber = TieTimber(width, height, middle, weight, soil.friction_deg)
    per_m = float(timber_grip(timber, FRICTION_RATIO, at_rest(soil.friction_deg)))
    friction = per_m * np.maximum(lengths - inside_wedge_m(project, place, below_top, dug_m), 0.0)
    apart = wedge_m(project, place, place.high_m - dug_m - place.base_m)
    apart += float(passive_reach(under, soil.friction_deg))
    overlap = np.minimum(wedge_overlap(apart - (lengths - width), soil.friction_deg), under)
    top = np.maximum(over, overlap)
    free = np.maximum(under**2 - top**2, 1e-9)
    mean = 2.0 * (ground.sum_kn_per_m(under) - np.array([ground.sum_kn_per_m(float(z)) for z in top])) / free
    return Grip(friction, np.asarray(face_hold(Anchor(under, height, mean, soil.friction_deg, overlap))))


def inside_wedge_m(project: Project, place: Place, below_top: int, dug_m: float = 0.0) -> float:
    """Length of a tie of this row that lies in the sliding wedge and holds nothing, measured at its top."""
    over = max(place.high_m - dug_m - (place.top_m - below_top * place.course_m), 0.0)
    return wedge_m(project, place, max(place.high_m - dug_m - place.base_m - over, 0.0))


def wedge_m(project: Project, place: Place, height_m: float) -> float:
    """How far back the sliding wedge reaches over a height; on rising ground further."""
    friction = project.soil.friction_deg
    level = float(wedge_reach(height_m, friction))
    rise = tan(radians(min(place.backslope_deg, friction - 0.5)))
    return level / max(1.0 - rise * tan(radians(45.0 - friction / 2.0)), 0.1)
