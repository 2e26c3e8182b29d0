"""Volumes from cross sections, of battered pits, and of gravel in a trench."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive, Whole, Words
from lynchet.ground.plan_areas import refuse_unless_increasing, simpson_by_runs, trapezoid_parts

Array = NDArray[np.float64]
Rule = Literal["average_end_area", "prismoidal", "simpson", "frustum"]
SLACK = 1e-9


@dataclass(frozen=True)
class Section:
    """One cross section, or one contour with its level as the chainage."""

    chainage_m: float
    area_m2: NotNegative
    mid_area_m2: float | None = None
    """Measured half-way to the next section (prismoidal rule only)."""


@dataclass(frozen=True)
class EndAreaVolume:
    """Volume along a line of sections."""

    volume_m3: float
    parts_m3: list[float] | None = None


@dataclass(frozen=True)
class BatteredPit:
    """A pit with level bottom and top and sloping sides."""

    volume_m3: float
    top_length_m: float
    top_width_m: float
    section_area_m2: float


@dataclass(frozen=True)
class TrenchGravel:
    """Gravel in a trench round its pipes."""

    trench_m3: float
    pipe_m3: float
    gravel_m3: float
    gravel_kg: float | None = None


def prismoid(first_m2: ArrayLike, middle_m2: ArrayLike, last_m2: ArrayLike, length_m: ArrayLike) -> Array:
    """Volume of a prismoid: L/6 (A1 + 4 Am + A2), with the middle area measured, never averaged."""
    ends = np.asarray(first_m2, dtype=float) + np.asarray(last_m2, dtype=float)
    return np.asarray(np.asarray(length_m) * (ends + 4.0 * np.asarray(middle_m2, dtype=float)) / 6.0, dtype=float)


def frustum(first_m2: ArrayLike, last_m2: ArrayLike, length_m: ArrayLike) -> Array:
    """Volume of the frustum of a pyramid: L/3 (A1 + A2 + sqrt(A1 A2))."""
    a, b = np.asarray(first_m2, dtype=float), np.asarray(last_m2, dtype=float)
    return np.asarray(np.asarray(length_m) * (a + b + np.sqrt(a * b)) / 3.0, dtype=float)


def _end_area_steps(given: Mapping[str, Any], result: EndAreaVolume) -> list[Step]:
    formulas = {
        "average_end_area": "L (A1 + A2)/2",
        "prismoidal": "L (A1 + 4 Am + A2)/6",
        "frustum": "L (A1 + A2 + sqrt(A1 A2))/3",
        "simpson": "h/3 (first + last + 4 odd + 2 even)",
    }
    how = formulas[given.get("rule", "average_end_area")]
    sections = given["sections"]
    steps = [
        Step(f"{before.chainage_m:g} to {after.chainage_m:g}", how, part, "m3")
        for before, after, part in zip(sections, sections[1:], result.parts_m3 or [], strict=False)
    ]
    return [*steps, Step("volume", "sum of the parts" if steps else how, result.volume_m3, "m3")]


@calculator(
    source="G. L. Vose, Handbook of Railroad Construction, 1857, arts. 106 and 108; Practices of Irrigation and "
    "On-farm Water Management, Eq. 6.4-6.5",
    known="SEEN",
    example={"sections": [{"chainage_m": 0.0, "area_m2": 0.4}, {"chainage_m": 3.0, "area_m2": 0.9}]},
    working=_end_area_steps,
)
def end_area_volume(*, sections: list[Section], rule: Rule = "average_end_area") -> EndAreaVolume:
    """Volume between cross sections, or between contours, by end areas.

    Equation: average_end_area, L (A1 + A2)/2; prismoidal, L (A1 + 4 Am + A2)/6; frustum, L (A1 + A2 + sqrt(A1 A2))/3;
    simpson, h/3 (first + last + 4 x odd + 2 x even) over runs of equal spacing.

    Symbols: L, distance of two sections; A1, A2, their areas; Am, area measured half-way, on the row before the span.
    For contours the chainage is the level.

    Limits: two sections or more, chainage increasing, no negative areas. The middle area is measured, never an average
    of the ends. The average of end areas gives too much where sections differ.
    """
    refuse_if(len(sections) < 2, "sections", f"{len(sections)} found", "two sections or more")
    refuse_unless_increasing([section.chainage_m for section in sections])
    stations = np.array([section.chainage_m for section in sections])
    areas = np.array([section.area_m2 for section in sections])
    if rule == "simpson":
        return EndAreaVolume(simpson_by_runs(stations, areas)[0])
    spans = np.diff(stations)
    if rule == "prismoidal":
        middle = [_mid_area(index, section) for index, section in enumerate(sections[:-1])]
        parts = prismoid(areas[:-1], middle, areas[1:], spans)
    elif rule == "frustum":
        parts = frustum(areas[:-1], areas[1:], spans)
    else:
        parts = trapezoid_parts(stations, areas)
    return EndAreaVolume(float(parts.sum()), parts.tolist())


def _mid_area(index: int, section: Section) -> float:
    """The middle area of the span after a section, which the prismoidal rule needs."""
    area = section.mid_area_m2
    found = "missing" if area is None else f"{area:g} found"
    wrong = area is None or area < 0
    refuse_if(wrong, f"sections[{index}].mid_area_m2", found, "the area measured half-way, 0 or more")
    return area or 0.0


def battered_volume(
    length_m: ArrayLike, width_m: ArrayLike, depth_m: ArrayLike, batter: ArrayLike, end_batter: ArrayLike
) -> Array:
    """Volume of a pit with sloping sides, exact prismoid.

    Args:
        length_m: bottom length.
        width_m: bottom width.
        depth_m: depth.
        batter: horizontal per vertical of the long sides.
        end_batter: horizontal per vertical of the ends.
    """
    length, width, depth = (np.asarray(value, dtype=float) for value in (length_m, width_m, depth_m))
    out, end = np.asarray(batter, dtype=float) * depth, np.asarray(end_batter, dtype=float) * depth
    return prismoid(length * width, (length + end) * (width + out), (length + 2 * end) * (width + 2 * out), depth)


def _pit_steps(given: Mapping[str, Any], result: BatteredPit) -> list[Step]:
    length, width, depth = given["bottom_length_m"], given["bottom_width_m"], given["depth_m"]
    side = given.get("batter", 0.0)
    end = given.get("end_batter", side)
    return [
        Step("top length", f"{length:g} + 2 x {end:g} x {depth:g}", result.top_length_m, "m"),
        Step("top width", f"{width:g} + 2 x {side:g} x {depth:g}", result.top_width_m, "m"),
        Step("volume", "depth/6 (bottom + 4 x middle + top)", result.volume_m3, "m3"),
    ]


@calculator(
    source="Prismoidal formula, exact for plane sides",
    known="DERIVED",
    example={"bottom_length_m": 3.0, "bottom_width_m": 0.6, "depth_m": 0.8, "batter": 0.5},
    working=_pit_steps,
    caution="An open dig can cave in: see excavation_caution for slopes, ladders and spoil before anyone goes in.",
)
def battered_pit(
    *,
    bottom_length_m: Annotated[float, Gt(0), Words("bottom length, positive")],
    bottom_width_m: Annotated[float, Gt(0), Words("bottom width, positive")],
    depth_m: Annotated[float, Gt(0), Words("depth, positive")],
    batter: NotNegative = 0.0,
    end_batter: NotNegative | None = None,
) -> BatteredPit:
    """Volume and top size of a pit or trench with sloping sides.

    Equation: h/6 (L W + 4 (L + e h)(W + s h) + (L + 2 e h)(W + 2 s h)); section = h (W + s h).

    Symbols: L, W, bottom length and width; h, depth; s, batter of the long sides, e, of the ends, horizontal per
    vertical.

    Limits: level bottom and top. The ends slope as the sides unless said; an end batter of 0 is a plain trench.
    """
    end = batter if end_batter is None else end_batter
    return BatteredPit(
        volume_m3=float(battered_volume(bottom_length_m, bottom_width_m, depth_m, batter, end)),
        top_length_m=bottom_length_m + 2.0 * end * depth_m,
        top_width_m=bottom_width_m + 2.0 * batter * depth_m,
        section_area_m2=depth_m * (bottom_width_m + batter * depth_m),
    )


def pipe_volume(length_m: ArrayLike, diameter_mm: ArrayLike, pipes: ArrayLike) -> Array:
    """Space taken by pipes of this outside diameter."""
    radius = np.asarray(diameter_mm, dtype=float) / 2000.0
    return np.asarray(np.asarray(pipes) * np.pi * radius**2 * np.asarray(length_m, dtype=float), dtype=float)


def _gravel_steps(given: Mapping[str, Any], result: TrenchGravel) -> list[Step]:
    length, width, depth = given["length_m"], given["width_m"], given["depth_m"]
    pipes, diameter = given.get("pipes", 1), given.get("pipe_diameter_mm", 0.0)
    steps = [
        Step("trench", f"{length:g} x {width:g} x {depth:g}", result.trench_m3, "m3"),
        Step("pipes", f"{pipes} x pi x ({diameter:g}/2000)^2 x {length:g}", result.pipe_m3, "m3"),
        Step("gravel", f"{result.trench_m3:.4g} - {result.pipe_m3:.4g}", result.gravel_m3, "m3"),
    ]
    if result.gravel_kg is not None:
        how = f"{result.gravel_m3:.4g} x {given['loose_kg_m3']:g}"
        steps.append(Step("gravel by weight", how, result.gravel_kg, "kg"))
    return steps


@calculator(
    source="Trench less pipe cylinders",
    known="DERIVED",
    example={"length_m": 9.1, "width_m": 0.3, "depth_m": 0.45, "pipe_diameter_mm": 110, "loose_kg_m3": 1540},
    working=_gravel_steps,
)
def trench_gravel(
    *,
    length_m: Annotated[float, Gt(0), Words("length, positive")],
    width_m: Annotated[float, Gt(0), Words("width, positive")],
    depth_m: Annotated[float, Gt(0), Words("depth, positive")],
    pipe_diameter_mm: NotNegative = 0.0,
    pipes: Annotated[Whole, Ge(0)] = 1,
    loose_kg_m3: Positive | None = None,
) -> TrenchGravel:
    """Gravel in a drain trench, less its pipes.

    Equation: gravel = length x width x depth - pipes x pi (diameter/2)^2 x length; mass = gravel x loose density.

    Symbols: pipe_diameter_mm, outside; loose_kg_m3, density as delivered.

    Limits: pipes together no wider than the trench, none thicker than its depth. No allowance for waste or settling:
    add it before ordering.
    """
    wide = pipes * pipe_diameter_mm / 1000.0
    refuse_if(wide > width_m + SLACK, "pipe_diameter_mm", f"pipes {wide:g} m wide together", f"up to {width_m:g} m")
    thick = pipe_diameter_mm / 1000.0
    refuse_if(thick > depth_m + SLACK, "pipe_diameter_mm", f"a pipe {thick:g} m thick", f"up to the depth {depth_m:g}")
    trench = length_m * width_m * depth_m
    taken = float(pipe_volume(length_m, pipe_diameter_mm, pipes))
    gravel = trench - taken
    return TrenchGravel(trench, taken, gravel, gravel * loose_kg_m3 if loose_kg_m3 is not None else None)
