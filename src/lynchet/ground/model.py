"""The measured ground: a surface of triangles with a trust for every reading."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lynchet.core.findings import Finding

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Surface:
    """Triangles over readings, in the own frame.

    ``planes[i]`` holds (a, b, c) of triangle i: level = a x + b y + c.
    """

    points: Array
    """(n, 3): x, y, level, metres."""
    triangles: NDArray[np.intp]
    """(m, 3) indices of points, anticlockwise."""
    planes: Array
    """(m, 3) plane coefficients."""


@dataclass(frozen=True)
class Ground:
    """What the ground stage gives."""

    surface: Surface
    trust_m: tuple[float, ...]
    """Standard deviation of each reading's level, as ``surface.points``."""
    lowest_m: float
    highest_m: float
    misclosure_m: float | None
    allowed_misclosure_m: float | None
    band_m: float
    """Half width within which the levels are trusted (two standard deviations, misclosure included)."""
    findings: tuple[Finding, ...]
