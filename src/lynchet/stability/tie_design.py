"""Which ties a wall needs: rows, spacing and length at its worst section, the least timber first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from lynchet.project.model import Project
from lynchet.stability.anchors import Anchor, face_hold, passive_reach, wedge_overlap
from lynchet.stability.checks import Table, active_at
from lynchet.stability.constants import FACE_SCREWS_KN, TIE_SAFETY
from lynchet.stability.diagrams import Diagram
from lynchet.stability.kinds import tangent
from lynchet.stability.loads import strip_pressure
from lynchet.stability.model import CASES, Case, Place, TieCheck
from lynchet.stability.pressure import at_rest
from lynchet.stability.thresholds import required
from lynchet.stability.thrust import WATER_KN_M3, Behind, ThrustLayer, soil_diagram
from lynchet.stability.ties import TieRow, TieTimber, share_of_rows, timber_grip, wedge_reach

Holds = Literal["friction", "cross-piece"]
LENGTHS_M = (1.2, 1.8, 2.4, 3.0, 3.6)
SPACINGS_M = (2.4, 1.8, 1.5, 1.2, 0.9)
"""8, 6, 5, 4 and 3 ft: the habit of the trade. PRACTICE."""
CROSSES_M = (0.9, 1.2, 1.8)
"""Cross-pieces; never longer than the spacing."""
FRICTION_RATIO = 0.75
DUG_SAFETY = 1.0
"""With the bed dug over its whole depth a tie must still hold what it really carries. PRACTICE."""


@dataclass(frozen=True)
class Design:
    """Ties of one wall: rows counted down from its top course, one length, one spacing."""

    below_top: tuple[int, ...]
    """Courses below the top course, the lowest row first (so falling)."""
    length_m: float
    spacing_m: float
    cross_m: float

    @property
    def timber_per_m(self) -> float:
        """Metres of tie and cross-piece for each metre of wall: what a cheaper design has less of."""
        return len(self.below_top) * (self.length_m + self.cross_m) / self.spacing_m


def course_height_m(place: Place) -> float:
    """Height of one course at a place."""
    return (place.top_m - place.base_m) / place.courses


def fits(project: Project, place: Place, below_top: int) -> bool:
    """True where a tie this far under the top course lies over the lowest course and under the depth of digging."""
    top = place.top_m - below_top * course_height_m(place)
    return 0 < below_top < place.courses - 1 and top <= place.high_m - project.brief.dig_depth_m + 1e-6


def designs(project: Project, table: Table, places: Sequence[Place], worst: int) -> list[Design]:
    """Designs that hold the worst place of a wall in every case, the least timber first."""
    place = places[worst]
    possible = [below for below in range(place.courses - 1, 0, -1) if fits(project, place, below)]
    found = []
    for below in _row_sets(possible):
        shares = {case: _shares(project, table, worst, place, below, case) for case in _cases(table, worst)}
        if not all(_base_holds(table, worst, case, base) for case, (_, base) in shares.items()):
            continue
        needs = np.max([rows for rows, _ in shares.values()], axis=0)
        for length in LENGTHS_M:
            for cross in CROSSES_M:
                hold = np.array([hold_kn(project, place, Laid(row, length, cross))[0] for row in below])
                limit = float(np.min(np.minimum(hold, FACE_SCREWS_KN) / np.maximum(needs, 1e-9)))
                spacing = next((s for s in SPACINGS_M if s <= limit + 1e-9), None)
                if spacing is not None and cross <= spacing + 1e-9:
                    found.append(Design(below, length, spacing, cross))
    return sorted(found, key=lambda d: (round(d.timber_per_m, 6), d.below_top, d.length_m))


def _row_sets(possible: Sequence[int]) -> Iterator[tuple[int, ...]]:
    for count in (1, 2, 3):
        yield from combinations(possible, count)


def _cases(table: Table, number: int) -> list[Case]:
    return [CASES[index] for index in sorted(set(table.case[table.place == number]))]


def _row_at(table: Table, number: int, case: Case, joint: int = 0) -> int:
    found = np.flatnonzero((table.place == number) & (table.case == CASES.index(case)) & (table.joint == joint))
    return int(found[0])


def _shares(
    project: Project, table: Table, number: int, place: Place, below: Sequence[int], case: Case
) -> tuple[list[float], float]:
    """What each row holds in kN per metre of wall, the lowest first, and what is left to the base."""
    height = course_height_m(place)
    rows = [TieRow((place.courses - 0.5 - row) * height, 1.0) for row in below]
    resisting = float(np.asarray(table.forces.resisting)[_row_at(table, number, case)])
    shares = share_of_rows(diagram(project, place, case), rows, max(resisting, 0.0), required(case))
    return list(shares.row_kn_per_m), shares.base_kn_per_m


def _base_holds(table: Table, number: int, case: Case, base_kn: float) -> bool:
    return base_capacity(table, number, case) >= required(case) * base_kn - 1e-9


def base_capacity(table: Table, number: int, case: Case) -> float:
    """Friction under the base with the larger of the buried course and the pins, kN per metre."""
    row = _row_at(table, number, case)
    grip = float(np.asarray(table.forces.vertical)[row] * tangent(table.friction_deg[row]))
    return grip + max(float(table.buried_kn[row]), float(table.pins_kn[row]))


def diagram(project: Project, place: Place, case: Case) -> Diagram:
    """Level pressure on the back from the ground behind down to the base: soil, water, loads and the tier above."""
    coefficient, angle = active_at(project, place, case)
    soil = project.soil
    height = max(place.high_m - place.base_m, 1e-6)
    level = {"wet": place.wet_m, "load": place.wet_m, "one outlet shut": place.one_shut_m, "all shut": place.all_shut_m}
    water = level.get(case)
    depth = None if water is None or water <= place.base_m else max(place.high_m - water, 0.0)
    layer = ThrustLayer(
        height, soil.unit_weight_kn_m3, soil.saturated_unit_weight_kn_m3,
        coefficient=coefficient * float(np.cos(np.radians(angle))),
    )  # fmt: skip
    base = soil_diagram([layer], Behind(place.surcharge_kpa if case == "load" else 0.0, depth))
    z = np.unique(np.concatenate([base.depth_m, np.linspace(0.0, height, 9)]))
    pressure = np.interp(z, base.depth_m, base.pressure_kpa)
    if depth is not None and water is not None:
        pressure = pressure + WATER_KN_M3 * np.maximum(water - (place.high_m - z), 0.0)
    if place.tier_kpa > 0:
        factor = 2.0 if place.tier_doubled else 1.0
        near = max(place.tier_near_m, 1e-6)
        pressure = pressure + factor * strip_pressure(place.tier_kpa, near, place.tier_width_m, np.maximum(z, 1e-9))
    return Diagram(z, pressure)


@dataclass(frozen=True)
class Laid:
    """One tie as it lies."""

    below_top: int
    length_m: float
    cross_m: float
    spacing_m: float = 0.0


def hold_kn(project: Project, place: Place, tie: Laid) -> tuple[float, Holds]:
    """What one tie holds: undug with a factor of 2, or with the bed dug to its full depth with a factor of 1.

    Friction beyond the sliding wedge or the cross-piece, the larger: the two are never added.
    Source: tie_friction_length and anchor_capacity (kind face) of the stability contract.
    """
    undug = _grip(project, place, tie, 0.0)
    dug = _grip(project, place, tie, project.brief.dig_depth_m)
    whole, spaded = max(undug) / TIE_SAFETY, max(dug) / DUG_SAFETY
    governing = undug if whole <= spaded else dug
    return min(whole, spaded), "cross-piece" if governing[1] > governing[0] else "friction"


def _grip(project: Project, place: Place, tie: Laid, dug_m: float) -> tuple[float, float]:
    """Ultimate friction and ultimate cross-piece of one tie in kN, the ground taken off to a depth."""
    soil, width = project.soil, project.timber.thickness_m
    height = course_height_m(place)
    cover = max(place.high_m - dug_m - (place.top_m - tie.below_top * height), 0.0)
    timber = TieTimber(width, height, cover + height / 2.0, soil.unit_weight_kn_m3, soil.friction_deg)
    wall = place.high_m - dug_m - place.base_m
    beyond = tie.length_m - float(wedge_reach(max(wall - cover, 0.0), soil.friction_deg))
    friction = float(timber_grip(timber, FRICTION_RATIO, at_rest(soil.friction_deg))) * max(beyond, 0.0)
    under = cover + height
    apart = float(wedge_reach(wall, soil.friction_deg) + passive_reach(under, soil.friction_deg))
    overlap = float(wedge_overlap(apart - (tie.length_m - width), soil.friction_deg))
    block = Anchor(under, height, soil.unit_weight_kn_m3, soil.friction_deg, min(overlap, under))
    return friction, float(face_hold(block)) * tie.cross_m


def check_ties(
    project: Project, table: Table, places: Sequence[Place], number: int, rows: Sequence[Laid]
) -> list[TieCheck]:
    """The ties standing at one place, in every case.

    Args:
        rows: the ties of each row there with the spacing found on the wall, the lowest first.
    """
    place = places[number]
    found = []
    for case in _cases(table, number):
        needs, base = _shares(project, table, number, place, [row.below_top for row in rows], case)
        worst: tuple[float, float, Holds] = (-1.0, 1.0, "friction")
        for need, tie in zip(needs, rows, strict=True):
            kn, by = hold_kn(project, place, tie)
            if need * tie.spacing_m / max(kn, 1e-9) > worst[0] / worst[1]:
                worst = (need * tie.spacing_m, max(kn, 1e-9), by)
        found.append(TieCheck(place, case, max(worst[0], 0.0), worst[1], worst[2], FACE_SCREWS_KN, base,
                              base_capacity(table, number, case)))  # fmt: skip
    return found
