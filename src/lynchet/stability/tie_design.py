"""Which ties a wall needs: rows, spacing and length at its worst section, the least timber first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from lynchet.core.same import Same
from lynchet.project.model import Project, Soil
from lynchet.stability.checks import Table, active_at, water_at
from lynchet.stability.constants import FACE_SCREWS_KN
from lynchet.stability.diagrams import Diagram
from lynchet.stability.helps import balanced_m
from lynchet.stability.kinds import Array, tangent
from lynchet.stability.loads import strip_pressure
from lynchet.stability.model import Case, Place, TieCheck
from lynchet.stability.thresholds import LOW_WALL_M, STANDS, required
from lynchet.stability.thrust import WATER_KN_M3, Behind, ThrustLayer, soil_diagram
from lynchet.stability.tie_holds import Holds, Laid, hold_kn, holds_kn
from lynchet.stability.ties import TieForce, TieRow, share_of_rows

LENGTHS_M = (1.2, 1.8, 2.4, 3.0, 3.6)
SPACINGS_M = (2.4, 1.8, 1.5, 1.2, 0.9)
"""8, 6, 5, 4 and 3 ft: the habit of the trade. PRACTICE."""
CROSSES_M = (0.9, 1.2, 1.8)
"""Cross-pieces; never longer than the spacing."""
MOST_ROWS = 3
MOST_TRIED = 6


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


def fits(project: Project, place: Place, below_top: int) -> bool:
    """True where a tie this far under the top course lies over the lowest course and under the depth of digging."""
    top = place.top_m - below_top * place.course_m
    return 0 < below_top < place.courses - 1 and top <= place.high_m - project.brief.dig_depth_m + 1e-6


def designs(project: Project, table: Table, place: Place, number: int, behind: Mapping[Case, Diagram]) -> list[Design]:
    """Designs that hold a place of a wall in all these cases, the least timber first; the fewest rows that can.

    Args:
        number: of the place.
        behind: pressures on the back by case.
    """
    possible = rows_tried(project, place)
    holds = {(below, case): holds_kn(project, place, case, below, (LENGTHS_M, CROSSES_M))[0]
             for below in possible for case in behind}  # fmt: skip
    lowest = {below for below in possible if _base_holds(table, number, place, below, behind)}
    found: list[Design] = []
    for count in range(1, MOST_ROWS + 1):
        for below in combinations(possible, count):
            if below[0] in lowest:
                found += _sized(table, (place, number), below, behind, holds)
        if found:
            break
    return sorted(found, key=lambda d: (round(d.timber_per_m, 6), d.below_top, d.length_m))


def rows_tried(project: Project, place: Place) -> list[int]:
    """Courses under the top in which a row may lie, the lowest first; in a high wall every second of them."""
    possible = [below for below in range(place.courses - 1, 0, -1) if fits(project, place, below)]
    return possible if len(possible) <= MOST_TRIED else possible[::2][:MOST_TRIED]


def most_needed(table: Table, numbers: Sequence[int]) -> int:
    """The place whose ties have most to do: where the turning moment outgrows what holds it most."""
    resisting, turning = np.asarray(table.forces.resisting), np.asarray(table.forces.overturning)

    def lack(number: int) -> float:
        rows = [(case, table.row(number, case)) for case in table.cases_of(number)]
        return max(required(case) * float(turning[row]) - float(resisting[row]) for case, row in rows)

    return max(numbers, key=lambda number: (round(lack(number), 9), -number))


def _base_holds(table: Table, number: int, place: Place, below: int, behind: Mapping[Case, Diagram]) -> bool:
    """True where the base carries what the lowest row leaves to it, in every case; for a low wall with care."""
    low = place.retained_m <= LOW_WALL_M + 1e-9
    return all(
        base_capacity(table, number, case)
        >= (STANDS if low else required(case)) * _shares(table, number, place, [below], (case, pressure)).base_kn_per_m
        - 1e-9
        for case, pressure in behind.items()
    )


def _sized(
    table: Table,
    what: tuple[Place, int],
    below: Sequence[int],
    behind: Mapping[Case, Diagram],
    holds: Mapping[tuple[int, Case], Array],
) -> list[Design]:
    """The widest spacing of the habit for every length and cross-piece of these rows."""
    place, number = what
    shares = [_shares(table, number, place, below, pair).row_kn_per_m for pair in behind.items()]
    needs = np.maximum(np.max(shares, axis=0), 1e-9)
    limit = np.full((len(LENGTHS_M), len(CROSSES_M)), np.inf)
    for row, need in zip(below, needs, strict=True):
        for case in behind:
            limit = np.minimum(limit, np.minimum(holds[row, case], FACE_SCREWS_KN) / need)
    found = []
    for i, length in enumerate(LENGTHS_M):
        for j, cross in enumerate(CROSSES_M):
            spacing = next((s for s in SPACINGS_M if s <= limit[i, j] + 1e-9), None)
            if spacing is not None and cross <= spacing + 1e-9:
                found.append(Design(tuple(below), length, spacing, cross))
    return found


def _shares(table: Table, number: int, place: Place, below: Sequence[int], what: tuple[Case, Diagram]) -> TieForce:
    """What each row holds in kN per metre of wall, the lowest first, and what is left to the base."""
    case, pressure = what
    heights = tuple(row_height_m(place, row) for row in below)
    resisting = float(np.asarray(table.forces.resisting)[table.row(number, case)])
    return _shared(Same(pressure), heights, max(resisting, 0.0), required(case))


@lru_cache(maxsize=2048)
def _shared(pressure: Same[Diagram], heights_m: tuple[float, ...], resisting: float, factor: float) -> TieForce:
    """The same of rows at their heights: ties of other lengths and spacings in the same rows share alike."""
    return share_of_rows(pressure.thing, [TieRow(height, 1.0) for height in heights_m], resisting, factor)


def row_height_m(place: Place, below_top: int) -> float:
    """Middle of the course of a row above the base."""
    return (place.courses - 0.5 - below_top) * place.course_m


def base_capacity(table: Table, number: int, case: Case) -> float:
    """Friction under the base with the larger of the buried course and the pins, kN per metre."""
    row = table.row(number, case)
    grip = float(np.asarray(table.forces.vertical)[row] * tangent(table.friction_deg[row]))
    return max(grip, 0.0) + float(table.more_kn[row])


def diagram(project: Project, place: Place, case: Case) -> Diagram:
    """Level pressure on the back from the ground behind down to the base: soil, water, loads and the tiers above.

    An earthquake shakes the wall's own weight beside: small against the ground's push, and left to the base.
    """
    coefficient, angle = active_at(project, place, case)
    soil, height = project.soil, max(place.high_m - place.base_m, 1e-6)
    front = min(float(balanced_m(project, [place], case)[0]) - place.base_m, height)
    water = (water_at(place, case) or float("-inf")) - place.base_m
    layers = _layers(soil, coefficient * float(np.cos(np.radians(angle))), (height, water, front))
    base = soil_diagram(layers, Behind(place.surcharge_kpa if case == "load" else 0.0))
    z = np.unique(np.concatenate([base.depth_m, np.linspace(0.0, height, 9), [height - front]]))
    pressure = np.interp(z, base.depth_m, base.pressure_kpa)
    pressure = pressure + WATER_KN_M3 * np.maximum(water - np.maximum(height - z, min(front, max(water, 0.0))), 0.0)
    for strip in place.strips:
        near = max(strip.near_m, 1e-6)
        pressure = pressure + strip.factor * strip_pressure(strip.kpa, near, strip.width_m, np.maximum(z, 1e-9))
    return Diagram(z, pressure)


def _layers(soil: Soil, coefficient: float, heights: tuple[float, float, float]) -> list[ThrustLayer]:
    """Moist ground, ground under water, and ground with water on both sides (moist weight, as in ``push``).

    Args:
        soil: its weights.
        coefficient: level part of the active one.
        heights: of ground, water and the ground in front, above the base.
    """
    height, water, front = heights
    wet = min(max(water, front), height)
    moist, under = soil.unit_weight_kn_m3, soil.saturated_unit_weight_kn_m3 - WATER_KN_M3
    rows = ((height - wet, moist), (wet - front, under), (front, moist))
    return [ThrustLayer(thick, weight, coefficient=coefficient) for thick, weight in rows if thick > 1e-9]


def check_ties(
    project: Project, table: Table, what: tuple[Place, int], rows: Sequence[Laid], behind: Mapping[Case, Diagram]
) -> list[TieCheck]:
    """The ties standing at one place, in every case.

    Args:
        what: the place and its number.
        rows: the ties of each row there with the spacing found on the wall, the lowest first.
        behind: pressures on the back by case.
    """
    place, number = what
    top_row = place.courses - 1 - min(row.below_top for row in rows)
    lie = tuple((row_height_m(place, row.below_top), row.spacing_m) for row in rows)
    found = []
    for case, pressure in behind.items():
        shares = _shares(table, number, place, [row.below_top for row in rows], (case, pressure))
        worst: tuple[float, float, Holds] = (-1.0, 1.0, "friction")
        for need, tie in zip(shares.row_kn_per_m, rows, strict=True):
            kn, by = hold_kn(project, place, case, tie)
            if need * tie.spacing_m / max(kn, 1e-9) > worst[0] / worst[1]:
                worst = (need * tie.spacing_m, max(kn, 1e-9), by)
        found.append(TieCheck(place, case, max(worst[0], 0.0), worst[1], worst[2], FACE_SCREWS_KN,
                              shares.base_kn_per_m, base_capacity(table, number, case), top_row, lie))  # fmt: skip
    return found
