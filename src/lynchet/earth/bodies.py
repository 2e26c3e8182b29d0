"""How much ground a placed body makes one dig, and how much fill it takes the place of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Bodies:
    """Upright prisms (timber, stone) sampled at plan points; every array has one entry per sample."""

    area_m2: Array
    """Plan area the sample stands for."""
    bottom_m: Array
    top_m: Array
    ground_m: Array
    """Level of the ground before."""
    finish_m: Array
    """Finished level there: the bench inside a bed, the ground elsewhere."""


def dug_and_displaced(bodies: Bodies) -> tuple[Array, Array]:
    """Volumes in m3 of each sample: dug below both levels (bank), and fill replaced between ground and bench.

    What lies above the finished level is already cut with the bench; what stands above it is in the open.
    """
    under = np.minimum(bodies.ground_m, bodies.finish_m)
    dug = np.maximum(np.minimum(bodies.top_m, under) - bodies.bottom_m, 0.0)
    filled = np.maximum(np.minimum(bodies.top_m, bodies.finish_m) - np.maximum(bodies.bottom_m, bodies.ground_m), 0.0)
    return bodies.area_m2 * dug, bodies.area_m2 * filled
