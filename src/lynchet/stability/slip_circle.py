"""Factor of one given slip circle through a section."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Len

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import Fraction, NotNegative, Positive
from lynchet.stability.kinds import SLOPE_CAUTION, Array, deny, filled
from lynchet.stability.slices import OrdinaryForm
from lynchet.stability.slip_arcs import Arcs, crossings, prepared, x_at
from lynchet.stability.slip_section import (
    Line,
    Section,
    SectionGiven,
    SlipLayer,
    SlipTie,
    TieConvention,
    build_section,
)
from lynchet.stability.slip_slices import REPORTED_SLICES, cut_slices, factors_numpy
from lynchet.stability.slip_spencer import SpencerMass, spencer_factor
from lynchet.stability.thrust import WATER_KN_M3

CircleMethod = Literal["ordinary", "bishop", "spencer"]
_NEAR_M = 1e-6
"""How far a circle may come out of the ground or below the bottom by rounding."""
_NO_SOLUTION = float("nan")


@dataclass(frozen=True)
class Circle:
    """A circle and the method to judge it by."""

    x_m: float
    y_m: float
    radius_m: float
    method: CircleMethod = "bishop"
    form: OrdinaryForm = "buoyant"


def arc_between(circle: Circle, left_m: float, right_m: float) -> Arcs:
    """One mass between two x values on the lower half of the circle."""
    ends = np.clip((np.array([left_m, right_m]) - circle.x_m) / circle.radius_m, -1.0, 1.0)
    none = np.zeros(1)
    x, y, radius, start, end = (np.array([v]) for v in (circle.x_m, circle.y_m, circle.radius_m, *np.arcsin(ends)))
    return Arcs(x, y, radius, start, end, none, none, none)


def natural_ends(section: Section, circle: Circle) -> tuple[float, float] | None:
    """The widest stretch of ground between two neighbouring crossings with the arc under it, if there is one."""
    arcs = arc_between(circle, circle.x_m - circle.radius_m, circle.x_m + circle.radius_m)
    sines, real = crossings(arcs, section.ground_x, section.ground_y)
    found = np.unique(circle.x_m + circle.radius_m * sines[real])
    found = found[np.concatenate([[True], np.diff(found) > _NEAR_M])] if len(found) else found
    middle = 0.5 * (found[1:] + found[:-1])
    arc = circle.y_m - np.sqrt(np.maximum(circle.radius_m**2 - (middle - circle.x_m) ** 2, 0.0))
    widths = np.where(section.ground_at(middle) > arc, np.diff(found), 0.0)
    if not len(widths) or np.max(widths) <= 0:
        return None
    widest = int(np.argmax(widths))
    return float(found[widest]), float(found[widest + 1])


def mass_of(section: Section, circle: Circle, from_x_m: float | None, to_x_m: float | None) -> Arcs:
    """The mass over a circle, cut by upright planes where given.

    Raises:
        InputError: the circle does not fit (the contract's list under "circle").
    """
    key, ok = "radius_m", "a circle that cuts the ground twice inside the section"
    if from_x_m is not None and to_x_m is not None:
        left, right = from_x_m, to_x_m
        inside = section.ground_x[0] - _NEAR_M <= left < right <= section.ground_x[-1] + _NEAR_M
        deny(
            not inside, "from_x_m", "the ends of the circle are not inside the section", "from below to, on the ground"
        )
        reach = max(abs(left - circle.x_m), abs(right - circle.x_m)) <= circle.radius_m + _NEAR_M
        deny(not reach, key, "the circle does not reach both ends", "a wider circle or nearer ends")
    else:
        ends = natural_ends(section, circle)
        deny(ends is None, key, "the circle does not cut the ground twice inside the section", ok)
        left, right = ends or (0.0, 0.0)
        left = left if from_x_m is None else max(left, from_x_m)
        right = right if to_x_m is None else min(right, to_x_m)
        deny(right - left <= _NEAR_M, key, "nothing of the circle is left between the cuts", "cuts inside the circle")
    arcs = arc_between(circle, left, right)
    _deny_arc(section, circle, arcs, left, right)
    cut = prepared(section, arcs)
    deny(bool(np.isnan(cut.start + cut.end)[0]), "crack_depth_m", "the circle is nowhere as deep as the crack", "less")
    return cut


def _deny_arc(section: Section, circle: Circle, arcs: Arcs, left: float, right: float) -> None:
    x = np.concatenate([[left], section.ground_x[(section.ground_x > left) & (section.ground_x < right)], [right]])
    arc = circle.y_m - np.sqrt(np.maximum(circle.radius_m**2 - (x - circle.x_m) ** 2, 0.0))
    ground = section.ground_at(x)
    above = bool(np.any(arc > ground + _NEAR_M))
    deny(above, "radius_m", "the circle rises above the ground between its ends", "a circle below the ground")
    high = max(float(ground[0]), float(ground[-1]))
    deny(
        circle.y_m < high - _NEAR_M,
        "centre_y_m",
        "the circle has its centre below an end of the mass",
        f"{high:g} or up",
    )
    if section.hard_bottom:
        below = lowest_over(arcs, section.soil.x, section.soil.lines[-1]) < -_NEAR_M
        deny(below, "radius_m", "the circle goes below the last base line", "a circle above it")


def lowest_over(arcs: Arcs, x: Array, line: Array) -> float:
    """Least height of one arc over a line of straight pieces, between the arc's ends."""
    left, right = float(x_at(arcs, arcs.start)[0]), float(x_at(arcs, arcs.end)[0])
    slopes = np.diff(line) / np.diff(x)
    tangent = arcs.x[0] + arcs.radius[0] * np.sin(np.arctan(slopes))
    tangent = tangent[(tangent > x[:-1]) & (tangent < x[1:])]
    at = np.concatenate([x, tangent, [left, right]])
    at = at[(at >= left) & (at <= right)]
    arc = arcs.y[0] - np.sqrt(np.maximum(arcs.radius[0] ** 2 - (at - arcs.x[0]) ** 2, 0.0))
    return float(np.min(arc - np.interp(at, x, line)))


def factor_of(section: Section, circle: Circle, mass: Arcs) -> float:
    """Factor of one prepared mass; NaN where there is no solution."""
    if circle.method != "spencer":
        return float(factors_numpy(section.soil, mass, circle.method, circle.form, REPORTED_SLICES)[0])
    first = float(factors_numpy(section.soil, mass, "bishop", circle.form, REPORTED_SLICES)[0])
    table, height = cut_slices(section.soil, mass, REPORTED_SLICES)
    one = type(table)(*(getattr(table, name)[0] for name in table.__dataclass_fields__))
    spencer = SpencerMass(one, height[0], float(mass.radius[0]), section.soil.seismic)
    return spencer_factor(spencer, first if first > 0 else 1.0)


def deny_spencer(method: CircleMethod, section: Section) -> None:
    """Spencer's method has no place for ties or water in a crack."""
    with_more = method == "spencer" and (bool(section.ties) or section.crack_water_m > 0)
    deny(with_more, "method", "spencer takes no ties and no crack water", "bishop or ordinary")


@dataclass(frozen=True)
class CircleFactor:
    """Factor and the ends of the mass."""

    factor: float
    left_x_m: float
    right_x_m: float


def _steps(given: Mapping[str, Any], result: CircleFactor) -> list[Step]:
    a = filled(slip_circle_factor, given)
    centre = f"({a['centre_x_m']:g}, {a['centre_y_m']:g}), radius {a['radius_m']:g}"
    return [
        Step("left end of the mass", f"circle about {centre}", result.left_x_m, "m"),
        Step("right end of the mass", "", result.right_x_m, "m"),
        Step("factor", f"{a['method']}, {REPORTED_SLICES} slices and every bend", result.factor),
    ]


@calculator(
    source="A. W. Bishop 1955; E. Spencer 1967; Fellenius (ordinary method)",
    known="SEEN",
    example={
        "ground": [[-4.0, 0.0], [0.0, 0.0], [2.0, 3.0], [9.0, 3.0]],
        "layers": [{"unit_weight_kn_m3": 18.0, "friction_angle_deg": 25.0, "cohesion_kpa": 4.0}],
        "centre_x_m": 0.5,
        "centre_y_m": 5.0,
        "radius_m": 5.3,
    },
    working=_steps,
    caution=SLOPE_CAUTION,
)
def slip_circle_factor(
    *,
    ground: Line,
    layers: Annotated[list[SlipLayer], Len(1)],
    centre_x_m: float,
    centre_y_m: float,
    radius_m: Positive,
    method: CircleMethod = "bishop",
    ordinary_form: OrdinaryForm = "buoyant",
    from_x_m: float | None = None,
    to_x_m: float | None = None,
    water_line: Line | None = None,
    pore_ratio: Fraction | None = None,
    seismic_coefficient: Fraction = 0.0,
    water_unit_weight_kn_m3: Positive = WATER_KN_M3,
    crack_depth_m: NotNegative = 0.0,
    crack_water_m: NotNegative = 0.0,
    ties: list[SlipTie] | None = None,
    tie_convention: TieConvention | None = None,
) -> CircleFactor:
    """Factor of the ground above one given slip circle.

    Equation: as slice_factor with D = sum W sin a + sum k W (yc - mid-height)/R + crack water moment/R - driving ties;
    resisting ties are added to what holds. Spencer: one slope of the forces between slices, forces and moments in
    balance.

    Symbols: layers from the top down, each with its lower boundary (level beyond its ends, cut off by the ground and
    those above); total unit weights; water as a line or a ratio; a crack ends the mass on its uphill side; a tie counts
    where it leaves the mass on that side and its anchor lies beyond.

    Limits: the mass is the widest stretch of ground between two neighbouring crossings, or lies between from_x and
    to_x. Water standing on the ground is not covered.
    """
    given = SectionGiven(
        ground,
        layers,
        water_line,
        pore_ratio,
        seismic_coefficient,
        water_unit_weight_kn_m3,
        crack_depth_m,
        crack_water_m,
        ties,
        tie_convention,
    )
    section = build_section(given)
    deny_spencer(method, section)
    circle = Circle(centre_x_m, centre_y_m, radius_m, method, ordinary_form)
    mass = mass_of(section, circle, from_x_m, to_x_m)
    factor = factor_of(section, circle, mass)
    deny(bool(np.isnan(factor)), "method", f"no solution by {method} for this circle", "another circle or method")
    return CircleFactor(factor, float(x_at(mass, mass.start)[0]), float(x_at(mass, mass.end)[0]))
