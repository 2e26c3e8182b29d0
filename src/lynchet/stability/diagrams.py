"""Pressure diagrams made of straight pieces: what pushes, and where."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lynchet.stability.kinds import Array


@dataclass(frozen=True)
class Diagram:
    """Pressure against depth below the top of the wall, straight between the points; a jump is a depth given twice."""

    depth_m: Array
    """(n,), never falling, from 0 to the height."""
    pressure_kpa: Array
    """(n,); negative stretches carry nothing."""

    @property
    def height_m(self) -> float:
        """Depth of the base."""
        return float(self.depth_m[-1])

    @cached_property
    def whole(self) -> tuple[float, float]:
        """Force and moment of all of it, as ``push`` gives them; every layout of ties asks for them."""
        return push(self)


def push(diagram: Diagram, top_m: float = 0.0, bottom_m: float = np.inf) -> tuple[float, float]:
    """Force of the pushing (positive) part between two depths, and its moment about the base of the wall.

    Args:
        diagram: the pressures.
        top_m, bottom_m: depths between which the diagram is taken.

    Returns:
        Force in kN per metre, moment in kN m per metre. Exact: the pieces are straight, Simpson's rule is too.
    """
    force, moment = pushes(diagram, np.array([top_m]), np.array([bottom_m]))
    return float(force[0]), float(moment[0])


def pushes(diagram: Diagram, top_m: Array, bottom_m: Array) -> tuple[Array, Array]:
    """The same between (k,) pairs of depths at once; (k,) forces and moments."""
    z0, z1 = diagram.depth_m[:-1], diagram.depth_m[1:]
    p0, p1 = diagram.pressure_kpa[:-1], diagram.pressure_kpa[1:]
    run = np.where(z1 > z0, z1 - z0, 1.0)
    rise = np.where(z1 > z0, (p1 - p0) / run, 0.0)
    crossing = z0 - p0 / np.where(rise == 0, 1.0, rise)
    inside = (p0 * p1 < 0) & (rise != 0)
    start = np.where(inside & (p0 < 0), crossing, z0)
    end = np.where(inside & (p0 > 0), crossing, z1)
    low, high = top_m[:, None], bottom_m[:, None]
    start, end = np.clip(start, low, high), np.clip(end, low, high)
    counts = (end > start) & ((p0 > 0) | (p1 > 0))
    middle = 0.5 * (start + end)
    q0, qm, q1 = (np.maximum(p0 + rise * (z - z0), 0.0) for z in (start, middle, end))
    length = np.where(counts, end - start, 0.0)
    a0, am, a1 = (diagram.height_m - z for z in (start, middle, end))
    turning = q0 * a0 + 4.0 * qm * am + q1 * a1
    return np.asarray(np.sum(length * qm, axis=1)), np.asarray(np.sum(length * turning / 6.0, axis=1))


def last_turn_m(diagram: Diagram, near_zero_kpa: float = 1e-9) -> float:
    """Depth where the pressure last turns from negative to positive, inside a piece or at a jump.

    Returns:
        0 if it never is negative; the full height if it is negative and never turns.
    """
    turn, was_negative, ever = None, False, False
    last_depth, last_pressure = 0.0, 0.0
    for depth, pressure in zip(diagram.depth_m, diagram.pressure_kpa, strict=True):
        if pressure > near_zero_kpa:
            if was_negative:
                turn = last_depth
                if last_pressure < -near_zero_kpa and depth > last_depth:
                    turn += (depth - last_depth) * -last_pressure / (pressure - last_pressure)
            was_negative = False
        elif pressure < -near_zero_kpa:
            was_negative = ever = True
        last_depth, last_pressure = depth, pressure
    if turn is not None:
        return float(turn)
    return diagram.height_m if ever else 0.0
