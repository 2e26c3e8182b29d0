"""Plan areas: an outline by its corners, an edge by offsets from a line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative
from lynchet.ground.outlines import area_and_centroid, different_points, off_line, open_ring, perimeter, sides_meet


@dataclass(frozen=True)
class PlanPoint:
    """A point in plan, x to the right and y up the page."""

    x_m: float
    y_m: float


@dataclass(frozen=True)
class PolygonArea:
    """An outline measured."""

    area_m2: float
    perimeter_m: float
    centroid_x_m: float
    centroid_y_m: float
    turning: Literal["clockwise", "anticlockwise"]


@dataclass(frozen=True)
class OffsetArea:
    """The area between a line and an edge taped from it."""

    area_m2: float
    runs: int


def _polygon_steps(given: Mapping[str, Any], result: PolygonArea) -> list[Step]:
    first = given["points"][0]
    sign = 1.0 if result.turning == "anticlockwise" else -1.0
    how = f"x(i) y(i+1) - x(i+1) y(i) added, from corner 1 at {first.x_m:g}, {first.y_m:g}"
    return [
        Step("sum of cross products", how, 2.0 * sign * result.area_m2, "m2"),
        Step("area", "half the sum, without its sign", result.area_m2, "m2"),
    ]


@calculator(
    source="J. Mahun, Open Access Surveying Library, part XII COGO, chapter H Area",
    known="SEEN",
    example={"points": [{"x_m": 0, "y_m": 0}, {"x_m": 6, "y_m": 0}, {"x_m": 6, "y_m": 2}, {"x_m": 0, "y_m": 3}]},
    working=_polygon_steps,
)
def polygon_area(*, points: list[PlanPoint]) -> PolygonArea:
    """Area, length round, centroid and turning of an outline by its corners.

    Equation: area = half the sum of x(i) y(i+1) - x(i+1) y(i), coordinates reduced by those of corner 1.

    Symbols: x to the right (east), y up the page (north); northing goes to y, easting to x.

    Limits: three different corners or more, not on one line; sides that neither cross nor touch. A first corner
    repeated at the end is dropped.
    """
    found = different_points([(point.x_m, point.y_m) for point in points]) if points else 0
    refuse_if(found < 3, "points", f"{found} different found", "three or more different corners")
    ring = open_ring([(point.x_m, point.y_m) for point in points])
    refuse_if(off_line(ring) <= 1e-9, "points", "all on one line", "corners that enclose an area")
    crossed = "sides that cross or touch, or a corner used twice"
    refuse_if(sides_meet(ring), "points", crossed, "corners in order round the outline")
    signed, centroid_x, centroid_y = area_and_centroid(ring)
    return PolygonArea(
        area_m2=abs(signed),
        perimeter_m=perimeter(ring),
        centroid_x_m=centroid_x,
        centroid_y_m=centroid_y,
        turning="anticlockwise" if signed > 0 else "clockwise",
    )


def trapezoid_parts(stations: ArrayLike, values: ArrayLike) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Spacing x mean of the two ends, for each span between n stations."""
    x, y = np.asarray(stations, dtype=float), np.asarray(values, dtype=float)
    return np.asarray(np.diff(x) * (y[:-1] + y[1:]) / 2.0, dtype=float)


def simpson_by_runs(stations: ArrayLike, values: ArrayLike) -> tuple[float, int]:
    """Simpson's rule over runs of equal spacing (1e-6 m), and the number of runs.

    A run with an odd number of strips takes the trapezium on its last strip.

    Args:
        stations: (n,) increasing, n two or more.
        values: (n,) offsets or areas.
    """
    x, y = np.asarray(stations, dtype=float), np.asarray(values, dtype=float)
    spacing = np.diff(x)
    total, runs, start = 0.0, 0, 0
    while start < len(spacing):
        end = start + 1
        while end < len(spacing) and abs(spacing[end] - spacing[start]) <= 1e-6:
            end += 1
        strips = end - start
        even = start + strips - strips % 2
        if even > start:
            height = (x[even] - x[start]) / (even - start)
            inner = 4.0 * y[start + 1 : even : 2].sum() + 2.0 * y[start + 2 : even - 1 : 2].sum()
            total += height / 3.0 * (y[start] + inner + y[even])
        if even < end:
            total += spacing[even] * (y[even] + y[end]) / 2.0
        runs, start = runs + 1, end
    return float(total), runs


def _offset_steps(given: Mapping[str, Any], result: OffsetArea) -> list[Step]:
    if given.get("rule", "trapezoid") == "trapezoid":
        return [Step("area", "sum of spacing x mean of the two offsets", result.area_m2, "m2")]
    return [
        Step("runs of equal spacing", "within a thousandth of a millimetre", result.runs),
        Step("area", "h/3 (first + last + 4 odd + 2 even) for each run, trapezium on an odd last strip",
             result.area_m2, "m2"),
    ]  # fmt: skip


@calculator(
    source="Trapezoidal and Simpson rules for offsets, as used in surveying exercises",
    known="SEEN",
    example={"chainage_m": [0.0, 1.0, 2.0, 3.0, 4.0], "offsets_m": [0.8, 1.1, 1.3, 1.2, 0.9], "rule": "simpson"},
    working=_offset_steps,
)
def offset_area(
    *,
    chainage_m: list[float],
    offsets_m: list[NotNegative],
    rule: Literal["trapezoid", "simpson"] = "trapezoid",
) -> OffsetArea:
    """Area between a straight line and a curved edge taped as offsets from it.

    Equation: trapezoid, sum of spacing x mean of the two ends; simpson, h/3 (first + last + 4 x odd + 2 x even) over
    each run of equal spacing, the last strip of an odd run by trapezium.

    Symbols: chainage_m, distances along the line; offsets_m, distances from the line to the edge, square to it.

    Limits: two stations or more, chainage increasing, no negative offsets. Spacings within 1e-6 m count as equal.
    """
    same = len(chainage_m) == len(offsets_m)
    refuse_if(not same, "offsets_m", f"{len(offsets_m)} for {len(chainage_m)} stations", "lists of the same length")
    refuse_if(len(chainage_m) < 2, "chainage_m", f"{len(chainage_m)} found", "two stations or more")
    refuse_unless_increasing(chainage_m)
    if rule == "trapezoid":
        return OffsetArea(float(trapezoid_parts(chainage_m, offsets_m).sum()), 1)
    return OffsetArea(*simpson_by_runs(chainage_m, offsets_m))


def refuse_unless_increasing(chainage_m: list[float]) -> None:
    """Refuse stations that do not increase; the text names the first that does not."""
    for index, (before, after) in enumerate(pairwise(chainage_m), start=1):
        refuse_if(after <= before, f"chainage_m[{index}]", f"{after:g} after {before:g}", "increasing chainage")
