"""Area of a circle by its diameter, for pipes, holes, heaps and plants alike."""

from __future__ import annotations

from math import pi
from typing import Any


def circle_area(diameter: Any) -> Any:
    """Area pi d^2/4, in the square of the diameter's unit; plain numbers or arrays."""
    return pi * diameter**2 / 4.0
