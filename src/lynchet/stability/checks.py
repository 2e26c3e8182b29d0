"""Sliding and overturning at every joint of every place in every case: bare, and with what helps in the soil."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lynchet.project.model import Project
from lynchet.stability.constants import TIMBER_FRICTION, fixings
from lynchet.stability.gravity import BaseForces, overturning_factor_of, sliding_factor_of
from lynchet.stability.helps import (
    BALANCED,
    balanced_m,
    base_friction_deg,
    column,
    kept_depths_m,
    passive_at,
    pins_kn_per_m,
    wall_friction_deg,
)
from lynchet.stability.joints import buried_help, held_beside
from lynchet.stability.kinds import Array, tangent
from lynchet.stability.model import CASES, Case, Place
from lynchet.stability.pressure import coulomb_active, seismic_angle
from lynchet.stability.push import Ground, Pushes, Rows, StripRows, forces

Numbers = NDArray[np.intp]


@dataclass(frozen=True)
class Table:
    """One row for each place, case and joint, in this order; with what pushes and what holds there."""

    place: Numbers
    joint: Numbers
    case: Numbers
    """Index into ``CASES``."""
    first: Numbers
    """(places, cases): row of the base joint; -1 where the case does not apply."""
    pushes: Pushes
    friction_deg: Array
    """Of the joint: base friction at joint 0, timber on timber above."""
    buried_kn: Array
    buried_turn: Array
    pins_kn: Array
    screws_kn: Array
    screws_turn: Array
    """Screws hold the course above a joint down; the base has none."""

    @cached_property
    def forces(self) -> BaseForces:
        """Summed, the ground in front not counted."""
        return self.pushes.forces

    @cached_property
    def more_kn(self) -> Array:
        """What holds beside friction: pins and buried part share the ground in front, the larger counts."""
        return held_beside(self.buried_kn, self.pins_kn, self.screws_kn)

    @cached_property
    def sliding_bare(self) -> Array:
        """Own weight and back friction alone."""
        return sliding_factor_of(self.forces, tangent(self.friction_deg))

    @cached_property
    def sliding(self) -> Array:
        """With every help in the soil."""
        return sliding_factor_of(self.forces, tangent(self.friction_deg), self.more_kn)

    @cached_property
    def overturning_bare(self) -> Array:
        """Own weight and back friction alone."""
        return overturning_factor_of(self.forces)

    @cached_property
    def overturning(self) -> Array:
        """With the ground in front and the screws."""
        return overturning_factor_of(self.forces, self.buried_turn + self.screws_turn)

    def row(self, place: int, case: Case, joint: int = 0) -> int:
        """Row of one joint of one place in a case that applies."""
        return int(self.first[place, CASES.index(case)]) + joint

    def cases_of(self, place: int) -> list[Case]:
        """Cases that apply at a place."""
        return self._cases[place]

    @cached_property
    def _cases(self) -> list[list[Case]]:
        applies = self.first >= 0
        return [[case for case, yes in zip(CASES, row, strict=True) if yes] for row in applies.tolist()]


def ground_of(project: Project) -> Ground:
    """Weights of soil and timber."""
    timber, soil = project.timber, project.soil
    return Ground(
        timber.thickness_m, timber.unit_weight_kn_m3, soil.unit_weight_kn_m3, soil.saturated_unit_weight_kn_m3
    )


def check(project: Project, places: Sequence[Place]) -> Table:
    """Every joint of every place in every case that applies."""
    index = _indices(project, places)
    rows = _rows(project, places, index)
    return _with_helps(project, places, index, rows)


def geometry(project: Project, places: Sequence[Place]) -> tuple[Numbers, Rows]:
    """Row of the base joint of every place and case, and what stands at every joint, before any help."""
    index = _indices(project, places)
    return index.first, _rows(project, places, index)


@dataclass(frozen=True)
class _Index:
    place: Numbers
    joint: Numbers
    case: Numbers
    first: Numbers


def _indices(project: Project, places: Sequence[Place]) -> _Index:
    wet = np.array([one.wet_m is not None for one in places], dtype=np.bool_)
    loaded = np.array([one.surcharge_kpa > 0 for one in places], dtype=np.bool_)
    quake = np.full(len(places), project.brief.earthquake > 0)
    own = {"dry": np.full(len(places), True), "load": loaded, "earthquake": quake}
    applies = np.column_stack([own.get(name, wet) for name in CASES])
    place, case = np.nonzero(applies)
    counts = np.array([one.courses for one in places], dtype=np.intp)[place]
    starts = np.cumsum(counts) - counts
    first = np.full(applies.shape, -1, dtype=np.intp)
    first[place, case] = starts
    joint = np.arange(int(counts.sum())) - np.repeat(starts, counts)
    return _Index(np.repeat(place, counts), joint.astype(np.intp), np.repeat(case, counts), first)


def water_at(place: Place, case: Case) -> float | None:
    """Level water stands at behind a place in a case; None without any. A load comes on wet ground."""
    if case in ("wet", "load"):
        return place.wet_m
    return {"one outlet shut": place.one_shut_m, "all shut": place.all_shut_m}.get(case)


def _water_levels(places: Sequence[Place]) -> Array:
    """(places, cases) as ``water_at``, minus infinity without any."""
    none = float("-inf")
    levels = ((one.wet_m, one.one_shut_m, one.all_shut_m) for one in places)
    rows = np.array([[none if level is None else level for level in row] for row in levels]).reshape(-1, 3)
    column: dict[Case, int] = {"wet": 0, "load": 0, "one outlet shut": 1, "all shut": 2}
    dry = np.full(len(rows), none)
    return np.column_stack([rows[:, column[case]] if case in column else dry for case in CASES])


def _rows(project: Project, places: Sequence[Place], index: _Index) -> Rows:
    def of(name: str) -> Array:
        return column(places, name)[index.place]

    base, top = of("base_m"), of("top_m")
    course = (top - base) / of("courses")
    level = base + index.joint * course
    water = _water_levels(places)
    running = np.array([case in BALANCED for case in CASES])
    drained, shut = (balanced_m(project, places, case) for case in (BALANCED[0], "all shut"))
    front = np.where(running, drained[:, None], shut[:, None])
    coefficient, angle = active_coefficients(project, places)
    quake, load = index.case == CASES.index("earthquake"), index.case == CASES.index("load")
    k = coefficient[index.place]
    if quake.any():
        k = np.where(quake, seismic_coefficients(project, places)[index.place], k)
    return Rows(
        timber_m=top - level,
        soil_m=np.maximum(of("high_m") - level, 0.0),
        water_m=np.maximum(water[index.place, index.case] - level, 0.0),
        front_m=np.maximum(front[index.place, index.case] - level, 0.0),
        coefficient=k,
        angle_deg=angle[index.place],
        lean_deg=of("lean_deg"),
        course_m=course,
        surcharge_kpa=np.where(load, of("surcharge_kpa"), 0.0),
        strips=_strip_rows(places, index.place),
        quake=np.where(quake, project.brief.earthquake, 0.0),
    )


def _strip_rows(places: Sequence[Place], place: Numbers) -> tuple[StripRows, ...]:
    found = []
    for layer in range(max((len(one.strips) for one in places), default=0)):
        strips = [one.strips[layer] if layer < len(one.strips) else None for one in places]
        table = np.array([(0.0, 1.0, 1.0, 1.0) if s is None else (s.kpa, s.near_m, s.width_m, s.factor)
                          for s in strips])[place]  # fmt: skip
        found.append(StripRows(table[:, 0], table[:, 1], table[:, 2], table[:, 3]))
    return tuple(found)


def active_coefficients(project: Project, places: Sequence[Place]) -> tuple[Array, Array]:
    """Coulomb's active coefficient and the thrust's angle at each place; ground too steep to stand counts as steep as
    it can just stand (the whole slope is then looked at apart)."""
    friction, back = project.soil.friction_deg, wall_friction_deg(project)
    slope = np.minimum(column(places, "backslope_deg"), friction - 0.5)
    lean = column(places, "lean_deg")
    return np.asarray(coulomb_active(friction, back, slope, lean)), back - lean


def seismic_coefficients(project: Project, places: Sequence[Place]) -> Array:
    """Active coefficient of Mononobe and Okabe at each place."""
    friction, back = project.soil.friction_deg, wall_friction_deg(project)
    shake = float(seismic_angle(project.brief.earthquake))
    steepest = friction - shake - 0.5
    slope = np.minimum(column(places, "backslope_deg"), max(steepest, 0.0))
    lean = column(places, "lean_deg")
    return np.asarray(coulomb_active(friction, back, slope, lean, shake))


def active_at(project: Project, place: Place, case: Case) -> tuple[float, float]:
    """Active coefficient and thrust angle (degrees) at one place in one case."""
    coefficient, angle = active_coefficients(project, [place])
    if case == "earthquake":
        coefficient = seismic_coefficients(project, [place])
    return float(coefficient[0]), float(angle[0])


def _with_helps(project: Project, places: Sequence[Place], index: _Index, rows: Rows) -> Table:
    off, base = project.brief.helps_off, index.joint == 0
    friction = np.where(base, base_friction_deg(project), np.degrees(np.arctan(TIMBER_FRICTION)))
    buried, turn = _buried(project, places, index)
    if "buried course" in off:
        buried, turn = np.zeros_like(buried), np.zeros_like(turn)
    screwed, fixing = ~base & ("screws" not in off), fixings(project.timber.course_m, project.timber.thickness_m)
    pins = np.where(base, pins_kn_per_m(project, places)[index.place], 0.0)
    pushes = forces(rows, ground_of(project))
    return Table(
        index.place, index.joint, index.case, index.first, pushes, friction, buried, turn, pins,
        np.where(screwed, fixing.screws_kn_per_m, 0.0),
        np.where(screwed, fixing.hold_down_kn_per_m * project.timber.thickness_m / 2.0, 0.0),
    )  # fmt: skip


def _buried(project: Project, places: Sequence[Place], index: _Index) -> tuple[Array, Array]:
    """Passive push of the ground in front above each joint: in a bed only of what lies below the depth it is dug."""
    depth = kept_depths_m(project, places)
    course = (column(places, "top_m") - column(places, "base_m")) / column(places, "courses")
    above = np.maximum(depth[index.place] - index.joint * course[index.place], 0.0)
    return buried_help(passive_at(project, places)[index.place], project.soil.unit_weight_kn_m3, above)


def averaged(table: Table, mean: Sequence[Array]) -> Table:
    """The table with other pushes and helps, in the order of ``parts``."""
    return replace(table, pushes=Pushes(*mean[:8]), buried_kn=mean[8], buried_turn=mean[9], pins_kn=mean[10],
                   screws_kn=mean[11], screws_turn=mean[12])  # fmt: skip


def parts(table: Table) -> list[Array]:
    """Everything of a table that is summed, one array each."""
    p = table.pushes
    return [p.weight, p.weight_turn, p.down, p.down_turn, p.uplift, p.uplift_turn, p.horizontal, p.overturning,
            table.buried_kn, table.buried_turn, table.pins_kn, table.screws_kn, table.screws_turn]  # fmt: skip
