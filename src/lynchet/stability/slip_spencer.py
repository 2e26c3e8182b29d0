"""Spencer's method: one slope of the forces between slices, both forces and moments in balance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lynchet.stability.kinds import Array
from lynchet.stability.slices import SliceTable

_FIRST_SLOPES = (0.2, 0.0, 0.4, 0.6, -0.2)
"""Slopes of the interslice forces to start from, radians."""
_CLOSED = 1e-10


@dataclass(frozen=True)
class SpencerMass:
    """One mass cut into slices."""

    table: SliceTable
    height_m: Array
    """Of each slice, base to ground."""
    radius_m: float
    seismic: float


def interslice(mass: SpencerMass, factor: float, slope: float) -> tuple[Array, Array]:
    """Resultant Q of the forces between slices for each slice, and cos(a - slope) times its denominator's bracket."""
    t = mass.table
    shake = mass.seismic * t.weight
    along = t.weight * t.sin_a + shake * t.cos_a - t.cohesion * t.length_m / factor
    normal = t.weight * t.cos_a - shake * t.sin_a - t.pore * t.length_m
    cos_d = t.cos_a * np.cos(slope) + t.sin_a * np.sin(slope)
    sin_d = t.sin_a * np.cos(slope) - t.cos_a * np.sin(slope)
    below = cos_d + sin_d * t.tan_p / factor  # cos(a - o) (1 + tan(a - o) tan p/F)
    return (along - normal * t.tan_p / factor) / below, below


def out_of_balance(mass: SpencerMass, factor: float, slope: float) -> Array:
    """Sum of Q, and sum of moments about the centre over the radius, both over the whole weight."""
    q, _ = interslice(mass, factor, slope)
    t = mass.table
    cos_d = t.cos_a * np.cos(slope) + t.sin_a * np.sin(slope)
    turn = q * cos_d - mass.seismic * t.weight * mass.height_m / 2.0 / mass.radius_m
    return np.array([np.sum(q), np.sum(turn)]) / np.sum(t.weight)


def spencer_factor(mass: SpencerMass, first: float) -> float:
    """Factor by Newton's method from several first slopes; NaN where none closes."""
    with np.errstate(all="ignore"):
        for slope in _FIRST_SLOPES:
            found = _newton(mass, np.array([first, slope]))
            if found is not None and found[0] > 0 and bool(np.all(interslice(mass, *found)[1] > 0)):
                return float(found[0])
    return float("nan")


def _newton(mass: SpencerMass, guess: Array) -> Array | None:
    for _ in range(60):
        miss = out_of_balance(mass, *guess)
        if not np.all(np.isfinite(miss)):
            return None
        if np.max(np.abs(miss)) < _CLOSED:
            return guess
        step = np.array([1e-6 * max(guess[0], 1e-3), 1e-6])
        columns = [
            (out_of_balance(mass, *(guess + d)) - out_of_balance(mass, *(guess - d))) / (2 * d.sum())
            for d in np.diag(step)
        ]
        slopes = np.array(columns).T
        if not np.all(np.isfinite(slopes)) or abs(np.linalg.det(slopes)) < 1e-14:
            return None
        move = np.linalg.solve(slopes, miss)
        # never let the factor fall by more than half or the slope swing over its range in one go
        guess = np.array([max(guess[0] - move[0], 0.5 * guess[0]), np.clip(guess[1] - move[1], -1.4, 1.4)])
    return None
