"""The point that fits three or more tapes best: every local minimum is looked for, then the best is taken."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.ground.outlines import cross

Array = NDArray[np.float64]
_GRID = 24
_ON_LINE_M = 1e-6
_ROUNDS = 120


def best_fix(bases: Array, tapes_m: Array, side: int) -> Array | None:
    """Point with the smallest sum of squared tape residuals.

    The sum has several minima (two tapes alone meet twice), so descent starts from a grid over all the tapes reach and
    from where each pair of tapes meets.

    Args:
        bases: (n, 2), three or more, no two at one place.
        tapes_m: (n,) above 0.
        side: +1 left, -1 right of base 1 to base 2, 0 either.

    Returns:
        (2,), or None where no minimum lies on the side asked for.
    """
    points = _descend(_starts(bases, tapes_m), bases, tapes_m)
    value, gradient, hessian = _derivatives(points, bases, tapes_m)
    settled = np.hypot(*gradient.T) <= 1e-7 * tapes_m.sum()
    least = _smallest_eigenvalue(hessian)
    good = settled & (least > -1e-9)
    if side:
        unit = (bases[1] - bases[0]) / np.hypot(*(bases[1] - bases[0]))
        good &= side * cross(unit, points - bases[0]) > _ON_LINE_M
    if not good.any():
        return None
    return np.asarray(points[good][np.argmin(value[good])], dtype=float)


def crossing_angle(lines: Array) -> float:
    """Of the angles between pairs of lines from a point to its bases, in degrees, the one nearest 90.

    Args:
        lines: (n, 2) vectors between the point and each base.
    """
    first, second = np.triu_indices(len(lines), 1)
    dots = (lines[first] * lines[second]).sum(axis=1)
    angles = np.degrees(np.arctan2(np.abs(cross(lines[first], lines[second])), dots))
    return float(angles[np.argmin(np.abs(angles - 90.0))])


def along_base(apart: ArrayLike, first_m: ArrayLike, second_m: ArrayLike) -> Array:
    """How far along its base, from the first end, a point lies by its tapes to both: (d^2 + r1^2 - r2^2)/(2 d)."""
    d, r1, r2 = (np.asarray(value, dtype=float) for value in (apart, first_m, second_m))
    return np.asarray((d**2 + r1**2 - r2**2) / (2.0 * d), dtype=float)


def _starts(bases: Array, tapes_m: Array) -> Array:
    reach = tapes_m.max()
    low, high = bases.min(axis=0) - reach, bases.max(axis=0) + reach
    # off the grid's own symmetry, so that no start lies exactly on a line of symmetry of the bases
    share = (np.arange(_GRID) + 0.4713) / _GRID
    x, y = np.meshgrid(low[0] + share * (high[0] - low[0]), low[1] + share * (high[1] - low[1]))
    first, second = np.triu_indices(len(bases), 1)
    a, b, ra, rb = bases[first], bases[second], tapes_m[first], tapes_m[second]
    apart = np.hypot(*(b - a).T)
    along = along_base(apart, ra, rb)
    off = np.sqrt(np.maximum(ra**2 - along**2, 0)) + 1e-3 * reach
    unit = (b - a) / apart[:, None]
    left = np.stack([-unit[:, 1], unit[:, 0]], axis=1)
    foot = a + along[:, None] * unit
    return np.concatenate([np.stack([x.ravel(), y.ravel()], axis=1), foot + off[:, None] * left,
                           foot - off[:, None] * left])  # fmt: skip


def _derivatives(points: Array, bases: Array, tapes_m: Array) -> tuple[Array, Array, Array]:
    """Half the sum of squares at each point, its gradient (m, 2) and Hessian (m, 3: xx, xy, yy)."""
    lines = points[:, None, :] - bases[None, :, :]
    length = np.maximum(np.hypot(lines[..., 0], lines[..., 1]), 1e-12)
    unit = lines / length[..., None]
    residual = length - tapes_m
    ratio = tapes_m / length
    gradient = (residual[..., None] * unit).sum(axis=1)
    bend = (1.0 - ratio).sum(axis=1)
    hessian = np.stack(
        [
            (ratio * unit[..., 0] ** 2).sum(axis=1) + bend,
            (ratio * unit[..., 0] * unit[..., 1]).sum(axis=1),
            (ratio * unit[..., 1] ** 2).sum(axis=1) + bend,
        ],
        axis=1,
    )
    return (residual**2).sum(axis=1) / 2.0, gradient, hessian


def _smallest_eigenvalue(hessian: Array) -> Array:
    xx, xy, yy = hessian.T
    return np.asarray((xx + yy) / 2.0 - np.hypot((xx - yy) / 2.0, xy), dtype=float)


def _descend(points: Array, bases: Array, tapes_m: Array) -> Array:
    """Newton's method from every start at once, damped until the sum of squares falls."""
    damping = np.full(len(points), 1e-3)
    value, gradient, hessian = _derivatives(points, bases, tapes_m)
    for _ in range(_ROUNDS):
        shift = damping + np.maximum(-_smallest_eigenvalue(hessian), 0.0) * 1.5
        xx, xy, yy = hessian[:, 0] + shift, hessian[:, 1], hessian[:, 2] + shift
        determinant = xx * yy - xy**2
        step = np.stack([yy * gradient[:, 0] - xy * gradient[:, 1], xx * gradient[:, 1] - xy * gradient[:, 0]], axis=1)
        trial = points - step / np.where(determinant == 0, 1.0, determinant)[:, None]
        new_value, new_gradient, new_hessian = _derivatives(trial, bases, tapes_m)
        better = new_value <= value
        points = np.where(better[:, None], trial, points)
        value = np.where(better, new_value, value)
        gradient = np.where(better[:, None], new_gradient, gradient)
        hessian = np.where(better[:, None], new_hessian, hessian)
        damping = np.clip(np.where(better, damping / 5.0, damping * 4.0), 1e-12, 1e6)
    return points
