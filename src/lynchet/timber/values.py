"""Kinds, constants and factors that the formulas of timber share."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from annotated_types import Ge, Le
from numpy.typing import NDArray

Array = NDArray[np.float64]
Values = float | Array
"""One number, or an array of them."""

INCH_M = 0.0254
PSI_MPA = 0.00689475729
"""1 psi in MPa, as the tables here are converted."""
POUND_PER_INCH_KN_PER_M = 4.4482216152605 / 25.4
"""1 lb per inch in kN/m."""
NEAR = 1e-9
"""Sizes met within this (relative, or inches) stand on the limit itself: 0.00635 m is a quarter inch."""

Angle = Annotated[float, Ge(0), Le(90)]
Face = Literal["tension", "compression"]
Practice = Literal["us", "eu"]
Planes = Literal["single", "double"]


def inches(length_m: Values) -> Values:
    """Metres as inches, a hair's breadth of floating point above a limit taken off by the caller with ``NEAR``."""
    return length_m / INCH_M


def bands(value: Values, limits: tuple[float, ...]) -> NDArray[np.intp]:
    """Which band a value falls in: 0 up to the first limit (the limit included), 1 up to the second ...

    Args:
        value: any shape.
        limits: rising.
    """
    return np.searchsorted(np.asarray(limits), np.asarray(value, dtype=float) - NEAR, side="left")
