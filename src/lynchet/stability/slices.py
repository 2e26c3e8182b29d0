"""Factor of a sliding mass cut into upright slices: the ordinary method and Bishop's.

The small functions at the top hold the formulas. They take plain numbers or arrays, so that the array kernel and the
compiled one (``slip_compiled``) run the very same lines.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Gt, Len, Lt

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.kinds import SLOPE_CAUTION, Array, Friction, deny, filled

OrdinaryForm = Literal["total", "buoyant"]

SETTLED = 1e-8
"""Bishop's factor is found when putting it back changes it by less."""
NEAR = 0.05
"""Only when the factor moves by less than this share is it led on along a line: till then it goes its own way."""
UNTRIED = 1e30
ROUNDS = 300
"""After so many rounds without an end there is no solution."""


def normal_total(weight: Any, pore: Any, width: Any, length: Any, cos_a: Any) -> Any:
    """N' = W cos a - u l."""
    return weight * cos_a - pore * length


def normal_buoyant(weight: Any, pore: Any, width: Any, length: Any, cos_a: Any) -> Any:
    """N' = (W - u b) cos a."""
    return (weight - pore * width) * cos_a


def held_on_base(cohesion: Any, length: Any, normal: Any, tan_p: Any) -> Any:
    """What a slice's base holds: c l + N' tan p."""
    return cohesion * length + normal * tan_p


def bishop_top(cohesion: Any, width: Any, weight: Any, pore: Any, tan_p: Any) -> Any:
    """Numerator of a Bishop slice: c b + (W - u b) tan p."""
    return cohesion * width + (weight - pore * width) * tan_p


def bishop_m(cos_a: Any, sin_a: Any, tan_p: Any, factor: Any) -> Any:
    """Denominator of a Bishop slice: cos a + sin a tan p/F."""
    return cos_a + sin_a * tan_p / factor


def next_try(before: Any, gave: Any, factor: Any, new: Any) -> Any:
    """The factor to put back next: what came out; near the end, where the line through the last two tries meets it.

    Args:
        before, gave: the try before the last and what came out of it; a first try has a huge ``before``.
        factor, new: the last try and what came out of it.
    """
    bend = (new - gave) / (factor - before)
    near = (abs(new - factor) < NEAR * factor) & (abs(bend) < 0.5)
    return new + near * bend / (1.0 - near * bend) * (new - factor)


@dataclass(frozen=True)
class SliceTable:
    """Slices of one or many masses: every field (..., slices)."""

    width_m: Array
    length_m: Array
    """Of the base."""
    sin_a: Array
    cos_a: Array
    weight: Array
    cohesion: Array
    tan_p: Array
    pore: Array


def ordinary_factor(table: SliceTable, form: OrdinaryForm, more_held: Array, driving: Array, shaken: float) -> Array:
    """Factor by the ordinary method over the last axis.

    Args:
        table: the slices.
        form: total or buoyant normal force.
        more_held: what ties add on the resisting side.
        driving: the driving sum, above 0.
        shaken: seismic coefficient k; takes k W sin a off the normal force.
    """
    normal = (normal_total if form == "total" else normal_buoyant)(
        table.weight, table.pore, table.width_m, table.length_m, table.cos_a
    )
    normal = normal - shaken * table.weight * table.sin_a
    held = held_on_base(table.cohesion, table.length_m, normal, table.tan_p)
    return np.asarray((np.sum(held, axis=-1) + more_held) / driving)


def bishop_factor(table: SliceTable, more_held: Array, driving: Array) -> Array:
    """Bishop's factor over the last axis, putting F back from F = 1; NaN where there is no solution.

    Slices without width count nothing.
    """
    top = bishop_top(table.cohesion, table.width_m, table.weight, table.pore, table.tan_p)
    factor = np.ones(top.shape[:-1])
    found = np.full(top.shape[:-1], np.nan)
    before, gave = np.full_like(factor, UNTRIED), np.zeros_like(factor)
    open_ = np.asarray(driving > 0)
    for _ in range(ROUNDS):
        m = bishop_m(table.cos_a, table.sin_a, table.tan_p, np.where(open_, factor, 1.0)[..., None])
        m = np.where(table.width_m > 0, m, 1.0)
        open_ = open_ & np.all(m > 0, axis=-1)
        sums = np.sum(top / np.where(open_[..., None], m, 1.0), axis=-1)
        new = (sums + more_held) / np.where(open_, driving, 1.0)
        open_ = open_ & (new > 0)
        settled = open_ & (np.abs(new - factor) < SETTLED)
        found = np.where(settled, new, found)
        open_ = open_ & ~settled
        further = next_try(np.where(open_, before, UNTRIED), gave, factor, np.where(open_, new, factor))
        before, gave, factor = factor, new, np.asarray(further)
        if not np.any(open_):
            break
    return found


@dataclass(frozen=True)
class Slice:
    """One upright slice of a sliding mass."""

    width_m: Positive
    base_angle_deg: Annotated[float, Gt(-90), Lt(90)]
    """Positive where the slice drives."""
    weight_kn_per_m: NotNegative
    cohesion_kpa: NotNegative = 0.0
    friction_angle_deg: Friction = 0.0
    pore_pressure_kpa: float = 0.0


@dataclass(frozen=True)
class SliceFactor:
    """Strength over what drives."""

    factor: float


def table_of(rows: list[Slice]) -> SliceTable:
    """Rows as arrays."""
    width = np.array([row.width_m for row in rows])
    angle = np.radians([row.base_angle_deg for row in rows])
    return SliceTable(
        width,
        width / np.cos(angle),
        np.sin(angle),
        np.cos(angle),
        np.array([row.weight_kn_per_m for row in rows]),
        np.array([row.cohesion_kpa for row in rows]),
        np.tan(np.radians([row.friction_angle_deg for row in rows])),
        np.array([row.pore_pressure_kpa for row in rows]),
    )


def _steps(given: Mapping[str, Any], result: SliceFactor) -> list[Step]:
    a = filled(slice_factor, given)
    table = table_of([row if isinstance(row, Slice) else Slice(**row) for row in a["slices"]])
    driving = float(np.sum(table.weight * table.sin_a))
    held = float(np.sum(table.cohesion * table.length_m))
    how = (
        f"sum(c l + N' tan p)/D, {a['ordinary_form']} form"
        if a["method"] == "ordinary"
        else "sum((c b + (W - u b) tan p)/(cos a + sin a tan p/F))/D, put back until it stands"
    )
    return [
        Step("driving sum D", "sum of W sin a", driving, "kn_per_m"),
        Step("cohesion along the bases", "sum of c l", held, "kn_per_m"),
        Step("factor", how, result.factor),
    ]


@calculator(
    source="Fellenius (ordinary method); A. W. Bishop, Geotechnique 5(1), 1955",
    known="SEEN",
    example={
        "slices": [
            {"width_m": 1.0, "base_angle_deg": -5.0, "weight_kn_per_m": 8.0, "cohesion_kpa": 4.0},
            {"width_m": 1.0, "base_angle_deg": 30.0, "weight_kn_per_m": 20.0, "cohesion_kpa": 4.0},
        ]
    },
    working=_steps,
    caution=SLOPE_CAUTION,
)
def slice_factor(
    *,
    slices: Annotated[list[Slice], Len(1)],
    method: Literal["ordinary", "bishop"] = "bishop",
    ordinary_form: OrdinaryForm = "buoyant",
) -> SliceFactor:
    """Factor of a sliding mass from a table of slices.

    Equation: l = b/cos a, D = sum W sin a. Ordinary F = sum(c l + N' tan p)/D, total N' = W cos a - u l, buoyant
    N' = (W - u b) cos a. Bishop F = sum((c b + (W - u b) tan p)/m)/D, m = cos a + sin a tan p/F, F put back from 1.

    Symbols: b width, a base angle (positive drives), W weight, c cohesion, p friction angle, u pore pressure on the
    base.

    Limits: circle; no earthquake, ties or crack. A normal force below zero is not cut off. No solution where an m or F
    is not above 0 on the way.
    """
    table = table_of(slices)
    driving = np.asarray(np.sum(table.weight * table.sin_a))
    idle = float(driving) <= 1e-12 * float(np.sum(table.weight))
    deny(idle, "slices", f"no net driving moment: {float(driving):.4g}", "slices that drive")
    none = np.zeros(())
    if method == "ordinary":
        return SliceFactor(float(ordinary_factor(table, ordinary_form, none, driving, 0.0)))
    factor = float(bishop_factor(table, none, driving))
    deny(bool(np.isnan(factor)), "slices", "no solution by bishop for these slices", "flatter toe slices, or ordinary")
    return SliceFactor(factor)
