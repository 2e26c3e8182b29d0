"""How many plants go into a bed: by area, and counted on the lattice they are set out on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, floor, sqrt
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le
from numpy.typing import NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive
from lynchet.ground.outlines import area_and_centroid, cross, sides_meet

Array = NDArray[np.float64]
Pattern = Literal["square", "triangular"]
Spacing = Annotated[float, Gt(0), Le(50)]
SLACK = 1e-9
_CHUNK = 200_000


@dataclass(frozen=True)
class Corner:
    """A corner of an outline, x east, y north."""

    x_m: float
    y_m: float


@dataclass(frozen=True)
class PlantCount:
    """Plants by two methods."""

    count_by_area: float
    order_by_area: int
    row_spacing_m: float
    count_lattice: int | None = None


def row_spacing(spacing_m: float, pattern: str) -> float:
    """Distance of the rows: the spacing itself, or sqrt(3)/2 of it where plants are staggered."""
    return spacing_m * sqrt(3.0) / 2.0 if pattern == "triangular" else spacing_m


def lattice_points(
    outline: Array, spacing_m: float, pattern: str, clearance_m: float = 0.0, row_side: int | None = None
) -> list[Array]:
    """Places of plants inside an outline, row by row along its longest side.

    Args:
        outline: (n, 2) simple outline, either turning.
        spacing_m: distance in a row.
        pattern: "square" or "triangular".
        clearance_m: least distance from every side.
        row_side: number of the side that gives the rows in an anticlockwise outline; the longest when None.

    Returns:
        (k, 2) arrays, in stretches.
    """
    origin = outline[0]
    ring = outline - origin
    if float(cross(ring, _next(ring)).sum()) < 0:
        ring = ring[::-1]
    side = _longest_side(ring, origin) if row_side is None else row_side
    start, end = ring[side], ring[(side + 1) % len(ring)]
    along = (end - start) / np.hypot(*(end - start))
    frame = np.stack([along, [-along[1], along[0]]])
    local = (ring - start) @ frame.T
    rise = row_spacing(spacing_m, pattern)
    (low_u, low_v), (high_u, high_v) = local.min(axis=0), local.max(axis=0)
    rows = np.arange(ceil((low_v - clearance_m) / rise - 1e-6), floor((high_v - clearance_m) / rise + 1e-6) + 1)
    shift = clearance_m + np.where((rows % 2 != 0) & (pattern == "triangular"), spacing_m / 2.0, 0.0)
    if _convex(local):
        kept = _convex_rows(local, (clearance_m + rows * rise, shift), spacing_m, clearance_m)
        return [kept @ frame + start + origin]
    steps = np.arange(floor((low_u - clearance_m) / spacing_m) - 1, ceil((high_u - clearance_m) / spacing_m) + 1)
    found = []
    at_once = max(1, _CHUNK // max(len(steps) * len(ring), 1))
    for first in range(0, len(rows), at_once):
        some = slice(first, first + at_once)
        u = shift[some, None] + steps[None, :] * spacing_m
        v = np.broadcast_to((clearance_m + rows[some] * rise)[:, None], u.shape)
        points = np.stack([u.ravel(), v.ravel()], axis=1)
        kept = points[_inside(points, local, clearance_m)]
        found.append(kept @ frame + start + origin)
    return found


def _next(ring: Array) -> Array:
    """The corner after each."""
    return np.concatenate([ring[1:], ring[:1]])


def _convex(ring: Array) -> bool:
    """Whether an anticlockwise outline never turns right."""
    sides = _next(ring) - ring
    turns = cross(sides, _next(sides))
    return bool((turns >= -SLACK * np.abs(sides).max() ** 2).all())


def _convex_rows(ring: Array, rows: tuple[Array, Array], spacing_m: float, clearance_m: float) -> Array:
    """Places of a lattice in a convex outline: each row from where it comes clear of every side to where it ends.

    Args:
        ring: anticlockwise.
        rows: the rows' distances v, and where a place of each lies along u.
        spacing_m: distance in a row.
        clearance_m: from every side.
    """
    sides = _next(ring) - ring
    inward = np.stack([-sides[:, 1], sides[:, 0]], axis=1) / np.hypot(*sides.T)[:, None]
    v, first = rows
    least = clearance_m - SLACK + (inward * ring).sum(axis=1) - v[:, None] * inward[:, 1]  # inward u . u >= least
    across = np.abs(inward[:, 0]) > 1e-12
    u = least / np.where(across, inward[:, 0], 1.0)
    low = np.max(np.where(inward[:, 0] > 1e-12, u, -np.inf), axis=1)
    high = np.min(np.where(inward[:, 0] < -1e-12, u, np.inf), axis=1)
    shut = (~across & (least > 0.0)).any(axis=1)
    start, stop = np.ceil((low - first) / spacing_m), np.floor((high - first) / spacing_m)
    count = np.where(shut, 0.0, np.maximum(stop - start + 1.0, 0.0)).astype(np.intp)
    row = np.repeat(np.arange(len(v)), count)
    step = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    return np.stack([first[row] + (start[row] + step) * spacing_m, v[row]], axis=1)


def _longest_side(ring: Array, origin: Array) -> int:
    """The longest side of an anticlockwise outline; of equal ones that whose start lies lowest, then farthest left."""
    lengths = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    ties = np.where(lengths >= lengths.max() - SLACK)[0]
    ties = ties[ring[ties, 1] <= ring[ties, 1].min() + SLACK]
    return int(ties[np.argmin(ring[ties, 0])])


def _inside(points: Array, ring: Array, clearance_m: float) -> NDArray[np.bool_]:
    """Points inside or on an outline and no nearer to any side than the clearance."""
    after = _next(ring)
    (ax, ay), (bx, by) = ring.T[:, :, None], after.T[:, :, None]
    side_x, side_y, off_x, off_y = bx - ax, by - ay, points[:, 0] - ax, points[:, 1] - ay
    square = np.maximum(side_x**2 + side_y**2, 1e-300)  # a side may be all but nothing
    share = np.minimum(np.maximum((off_x * side_x + off_y * side_y) / square, 0.0), 1.0)
    nearest = np.sqrt(((off_x - share * side_x) ** 2 + (off_y - share * side_y) ** 2).min(axis=0))
    between = (ay > points[:, 1]) != (by > points[:, 1])
    left = side_x * off_y - side_y * off_x > 0
    within = np.logical_xor.reduce(between & (left == (side_y > 0)), axis=0)
    return np.asarray((within | (nearest <= SLACK)) & (nearest >= clearance_m - SLACK), dtype=bool)


def _count_steps(given: Mapping[str, Any], result: PlantCount) -> list[Step]:
    spacing = given["spacing_m"]
    rows = f"{spacing:g} x sqrt(3)/2" if given["pattern"] == "triangular" else f"{spacing:g}"
    area = result.count_by_area * spacing * result.row_spacing_m
    steps = [
        Step("distance of the rows", rows, result.row_spacing_m, "m"),
        Step("plants by area", f"{area:.5g}/({spacing:g} x {result.row_spacing_m:.4g})", result.count_by_area),
        Step("to order by area", "rounded up", result.order_by_area),
    ]
    if result.count_lattice is not None:
        steps.append(Step("places in the outline", "rows along the longest side, counted", result.count_lattice))
    return steps


@calculator(
    source="Area rule as in published plants-per-area charts; lattice counted",
    known="SEEN",
    example={"length_m": 3.3, "width_m": 1.5, "spacing_m": 0.3, "pattern": "triangular", "edge_clearance_m": 0.15},
    working=_count_steps,
)
def plant_count(
    *,
    spacing_m: Spacing,
    pattern: Pattern,
    edge_clearance_m: Annotated[float, Ge(0), Le(50)] = 0.0,
    area_m2: Positive | None = None,
    length_m: Positive | None = None,
    width_m: Positive | None = None,
    vertices: list[Corner] | None = None,
) -> PlantCount:
    """Plants for a bed, by the area rule and by true rows in the outline.

    Equation: by area = area/(spacing x row spacing), row spacing = spacing, or spacing x sqrt(3)/2 staggered; by rows,
    the places of a lattice along the longest side that lie inside and keep the clearance.

    Symbols: spacing_m, distance in a row; edge_clearance_m, least distance of a plant from the edge; vertices, corners
    of a simple outline.

    Limits: an area, a length and width, or corners, one of them. The area rule ignores the clearance and orders too
    many for narrow beds. Of equal longest sides the one that starts lowest, then farthest left, gives the rows; for a
    length and width the length does.
    """
    rectangle = (length_m is not None) + (width_m is not None)
    shapes = (area_m2 is not None) + (rectangle > 0) + (vertices is not None)
    accepted = "area_m2, or length_m and width_m, or vertices"
    refuse_if(shapes != 1 or rectangle == 1, "area", f"{shapes} shapes, {rectangle} sides of a rectangle", accepted)
    ring, side = None, None
    if vertices is not None:
        ring = _checked_outline(vertices)
    elif length_m is not None and width_m is not None:
        ring, side = np.array([[0.0, 0.0], [length_m, 0.0], [length_m, width_m], [0.0, width_m]]), 0
    area = area_m2 if area_m2 is not None else (length_m or 0.0) * (width_m or 0.0)
    counted = None
    if ring is not None:
        area = abs(area_and_centroid(ring)[0]) if side is None else area
        counted = sum(len(part) for part in lattice_points(ring, spacing_m, pattern, edge_clearance_m, side))
    rise = row_spacing(spacing_m, pattern)
    count = area / (spacing_m * rise)
    return PlantCount(count, ceil(count - 1e-6), rise, counted)


def _checked_outline(vertices: list[Corner]) -> Array:
    refuse_if(len(vertices) < 3, "vertices", f"{len(vertices)} found", "three or more")
    ring = np.array([[corner.x_m, corner.y_m] for corner in vertices])
    met = "a point repeated, or sides that cross, touch or fold back"
    refuse_if(sides_meet(ring), "vertices", met, "a simple outline, the first point not repeated")
    refuse_if(abs(area_and_centroid(ring)[0]) <= 1e-9, "vertices", "no area", "an outline round some ground")
    return ring
