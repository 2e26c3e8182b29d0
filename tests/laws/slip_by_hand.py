"""A slip circle judged by a plain loop over slices of equal width, written apart from the package.

Used as a second opinion on the factor, and as the slow side of the benchmark.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True)
class PlainSection:
    """Ground and layers as lists of (x, y); the last layer goes down for ever."""

    ground: list[tuple[float, float]]
    layers: list[tuple[float, float, float, list[tuple[float, float]] | None]]
    """Unit weight, cohesion, friction in degrees, base line or None."""
    water: list[tuple[float, float]] | None = None
    seismic: float = 0.0
    water_weight: float = 9.81


def level_of(line: list[tuple[float, float]], x: float) -> float:
    """Height of a line of straight pieces, level beyond its ends."""
    if x <= line[0][0]:
        return line[0][1]
    for (x0, y0), (x1, y1) in pairwise(line):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return line[-1][1]


def circle_by_loop(section: PlainSection, circle: tuple[float, float, float], ends: tuple[float, float], count: int):
    """Bishop's factor; None where there is none.

    Args:
        section: ground, layers, water.
        circle: centre x, centre y, radius.
        ends: x of the left and the right end.
        count: slices of equal width.
    """
    xc, yc, radius = circle
    left, right = ends
    side = 1.0 if level_of(section.ground, right) >= level_of(section.ground, left) else -1.0
    width = (right - left) / count
    rows, driving = [], 0.0
    for i in range(count):
        x0 = left + i * width
        y0 = yc - math.sqrt(max(radius**2 - (x0 - xc) ** 2, 0.0))
        y1 = yc - math.sqrt(max(radius**2 - (x0 + width - xc) ** 2, 0.0))
        x, y = x0 + width / 2, (y0 + y1) / 2
        angle = math.atan2(y1 - y0, width) * side
        top = ground = level_of(section.ground, x)
        weight, strength = 0.0, None
        for unit_weight, cohesion, friction, base in section.layers:
            bottom = -1e9 if base is None else min(top, level_of(base, x))
            weight += unit_weight * max(top - max(bottom, y), 0.0) * width
            if strength is None and y >= bottom:
                strength = cohesion, math.tan(math.radians(friction))
            top = bottom
        pore = 0.0
        if section.water is not None:
            pore = section.water_weight * max(level_of(section.water, x) - y, 0.0)
        cohesion, tan_p = strength
        rows.append((cohesion * width + (weight - pore * width) * tan_p, math.cos(angle), math.sin(angle) * tan_p))
        driving += weight * math.sin(angle)
        driving += section.seismic * weight * (yc - (y + ground) / 2) / radius
    return None if driving <= 0 else settle(rows, driving)


def settle(rows: list[tuple[float, float, float]], driving: float) -> float | None:
    """Put Bishop's factor back until it stands."""
    factor = 1.0
    for _ in range(300):
        total = 0.0
        for top, cosine, turn in rows:
            m = cosine + turn / factor
            if m <= 0:
                return None
            total += top / m
        new = total / driving
        if new <= 0:
            return None
        if abs(new - factor) < 1e-8:
            return new
        factor = new
    return None
