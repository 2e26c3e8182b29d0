"""Cut and fill over a grid of levels, by three rules that share one net volume."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive

Array = NDArray[np.float64]
Method = Literal["corner_clip", "four_point", "bilinear"]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(32)


@dataclass(frozen=True)
class GridVolume:
    """Cut and fill of a grid."""

    cut_m3: float
    fill_m3: float
    net_m3: float
    plan_area_m2: float
    balance_level_m: float
    method: Method


def corner_weights(rows: int, columns: int) -> Array:
    """Number of cells that share each corner of a grid of (rows, columns) levels: 1, 2 or 4."""
    weight = np.ones((rows, columns))
    weight[1:-1, :] *= 2.0
    weight[:, 1:-1] *= 2.0
    return weight


def _corners(depth: Array) -> Array:
    """(cells, 4) corner depths of every cell, in the order (0, 0), (1, 0), (0, 1), (1, 1) of u along a row and v."""
    parts = [depth[:-1, :-1], depth[:-1, 1:], depth[1:, :-1], depth[1:, 1:]]
    return np.stack([part.ravel() for part in parts], axis=1)


def grid_cut_fill(depth_m: ArrayLike, method: Method) -> tuple[Array, Array]:
    """Cut and fill of every cell, per unit of cell area.

    Args:
        depth_m: (rows, columns) ground less formation at the corners, positive is cut.
        method: rule for cells with cut and fill.

    Returns:
        Two arrays of (rows - 1)(columns - 1) mean depths, neither negative.
    """
    corner = _corners(np.asarray(depth_m, dtype=float))
    if method == "bilinear":
        cut = bilinear_positive(corner)
        return cut, np.maximum(cut - corner.mean(axis=1), 0.0)
    up, down = np.maximum(corner, 0.0).sum(axis=1), np.maximum(-corner, 0.0).sum(axis=1)
    if method == "corner_clip":
        return up / 4.0, down / 4.0
    both = np.where(up + down > 0, up + down, 1.0)
    return up**2 / (4.0 * both), down**2 / (4.0 * both)


def bilinear_positive(corner_m: Array) -> Array:
    """Integral over the unit square of the positive part of the bilinear surface through four corner depths.

    Along v the surface is straight, so its positive part integrates in closed form; along u that integral is smooth
    between the places where the two edges change sign, and is summed there by Gauss's rule.

    Args:
        corner_m: (n, 4) depths at (u, v) = (0, 0), (1, 0), (0, 1), (1, 1).
    """
    edges = [(corner_m[:, 0], corner_m[:, 1]), (corner_m[:, 2], corner_m[:, 3])]
    roots = []
    for start, end in edges:
        change = start * end < 0
        roots.append(np.where(change, start / np.where(change, start - end, 1.0), 0.0))
    breaks = np.sort(np.stack([np.zeros(len(corner_m)), *roots, np.ones(len(corner_m))], axis=1), axis=1)
    total = np.zeros(len(corner_m))
    for piece in range(3):
        low, high = breaks[:, piece], breaks[:, piece + 1]
        u = low[:, None] + (high - low)[:, None] * (_NODES[None, :] + 1.0) / 2.0
        p, q = (start[:, None] * (1.0 - u) + end[:, None] * u for start, end in edges)
        total += (high - low) / 2.0 * (_positive_mean(p, q) @ _WEIGHTS)
    return total


def _positive_mean(p: Array, q: Array) -> Array:
    """Mean of the positive part of a straight line from p to q."""
    mixed = p * q < 0
    ramp = np.maximum(p, q) ** 2 / (2.0 * np.where(mixed, np.abs(p - q), 1.0))
    return np.where(mixed, ramp, np.maximum(p + q, 0.0) / 2.0)


def _grid_steps(given: Mapping[str, Any], result: GridVolume) -> list[Step]:
    cell = given["spacing_x_m"] * given["spacing_y_m"]
    return [
        Step("area of a cell", f"{given['spacing_x_m']:g} x {given['spacing_y_m']:g}", cell, "m2"),
        Step("net volume", f"{cell:g}/4 x sum of weight x depth, weights 1, 2, 4", result.net_m3, "m3"),
        Step("cut", f"by the {result.method} rule", result.cut_m3, "m3"),
        Step("fill", f"by the {result.method} rule", result.fill_m3, "m3"),
        Step("level of equal cut and fill", "weighted mean of the levels", result.balance_level_m, "m"),
    ]


@calculator(
    source="Corner weights (earthwork pages); four-point rule of US land levelling (recalled); bilinear by integration",
    known="DERIVED",
    example={
        "levels_m": [[10.6, 10.2], [10.4, 9.9]],
        "spacing_x_m": 3.0,
        "spacing_y_m": 2.0,
        "formation_m": 10.2,
    },
    working=_grid_steps,
)
def grid_volume(
    *,
    levels_m: list[list[float]],
    spacing_x_m: Positive,
    spacing_y_m: Positive,
    formation_m: float | list[list[float]],
    method: Method = "bilinear",
) -> GridVolume:
    """Cut and fill between a grid of levels and the finished level.

    Equation: net = A/4 x sum of weight x depth; cut and fill cell by cell: corner_clip A C/4 and A F/4; four_point
    A C^2/(4 (C + F)) and A F^2/(4 (C + F)); bilinear, the exact integral of the surface through the four corners.

    Symbols: A, area of a cell; depth = ground - formation, positive is cut; weight, number of cells that share a
    corner; C, F, sums of the positive and of the negative depths of a cell.

    Limits: two rows of two levels or more, rectangular. The gross figures differ by method, by tens of percent in
    cells with cut and fill, so the method is part of the result. The net does not.
    """
    rows, columns = len(levels_m), len(levels_m[0]) if levels_m else 0
    even = rows >= 2 and columns >= 2 and all(len(row) == columns for row in levels_m)
    refuse_if(not even, "levels_m", f"rows of {[len(row) for row in levels_m]} levels", "rectangular, 2 x 2 at least")
    levels = np.array(levels_m, dtype=float)
    if isinstance(formation_m, list):
        same = len(formation_m) == rows and all(len(row) == columns for row in formation_m)
        refuse_if(not same, "formation_m", "rows of another shape", f"{rows} rows of {columns}, or one number")
    depth = levels - np.array(formation_m, dtype=float)
    weight = corner_weights(rows, columns)
    cell = spacing_x_m * spacing_y_m
    cut, fill = grid_cut_fill(depth, method)
    return GridVolume(
        cut_m3=float(cut.sum()) * cell,
        fill_m3=float(fill.sum()) * cell,
        net_m3=float((weight * depth).sum()) * cell / 4.0,
        plan_area_m2=cell * (rows - 1) * (columns - 1),
        balance_level_m=float((weight * levels).sum() / weight.sum()),
        method=method,
    )
