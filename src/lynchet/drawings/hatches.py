"""Hatches as lines clipped to their area, pebbles and dots kept inside it. Everything is in paper mm.

Lines hang on the sheet's origin, so that neighbouring areas of one kind run through; gaps are never under 0.9 mm
(ISO 128 asks 0.7 mm).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cos, floor, pi, radians, sin

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.roles import PEN_MM, Dash

Point = tuple[float, float]
Rings = tuple[tuple[Point, ...], ...]
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Hatch:
    """One hatch: a family of lines, pebbles or dots."""

    kind: str
    """lines, pebbles or dots."""
    gap_mm: float
    angle_deg: float = 0.0
    """Anticlockwise as seen."""
    pen_mm: float = PEN_MM["hair"]
    dash: Dash = "solid"
    size_mm: float = 0.0


HATCHES: dict[str, Hatch] = {
    "house cut": Hatch("lines", 0.9, 45.0, PEN_MM["fine"]),
    "house": Hatch("lines", 1.8, 45.0),
    "stone small": Hatch("pebbles", 1.1, size_mm=0.35),
    "stone": Hatch("pebbles", 1.5, size_mm=0.5),
    "stone large": Hatch("pebbles", 2.8, size_mm=0.95),
    "fill": Hatch("dots", 3.0, size_mm=0.2),
    "bed soil": Hatch("lines", 4.2, 60.0, dash="soil"),
    "buried": Hatch("lines", 1.5, -45.0),
    "left over": Hatch("lines", 1.2, 45.0),
    "no dig": Hatch("lines", 6.0, -45.0, PEN_MM["fine"]),
}
_RANDOM_SEED = 20130


def lines_in(rings: Rings, gap_mm: float, angle_deg: float) -> list[tuple[Point, Point]]:
    """Parallel lines clipped to an area with holes (even-odd rule).

    Args:
        rings: outer ring and holes, not closed.
        gap_mm: distance between lines.
        angle_deg: their direction, anticlockwise as seen (y runs down).
    """
    c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
    # Turned so that the lines are level: u along, v across.
    turned = [[(x * c - y * s, x * s + y * c) for x, y in ring] for ring in rings]
    levels = [v for ring in turned for _, v in ring]
    if not levels:
        return []
    found: list[tuple[Point, Point]] = []
    for n in range(ceil(min(levels) / gap_mm), floor(max(levels) / gap_mm) + 1):
        level = n * gap_mm
        cuts = sorted(
            au + (level - av) / (bv - av) * (bu - au)
            for ring in turned
            for (au, av), (bu, bv) in zip(ring, ring[1:] + ring[:1], strict=True)
            if (av <= level) != (bv <= level)
        )
        found.extend(
            ((a * c + level * s, -a * s + level * c), (b * c + level * s, -b * s + level * c))
            for a, b in zip(cuts[::2], cuts[1::2], strict=True)
            if b - a > 0.05
        )
    return found


def inside(rings: Rings, points: Array) -> NDArray[np.bool_]:
    """Which of (n, 2) points lie inside an area with holes (even-odd rule)."""
    x, y = points[:, 0], points[:, 1]
    odd = np.zeros(len(points), dtype=bool)
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1], strict=True):
            if ay == by:
                continue
            odd ^= ((ay <= y) != (by <= y)) & (x < ax + (y - ay) / (by - ay) * (bx - ax))
    return odd


def _grid(rings: Rings, gap_mm: float, jitter: float) -> Array:
    """Points of a jittered grid over the box of an area; the same place always has the same jitter."""
    corners = np.array([point for ring in rings for point in ring])
    low, high = np.floor(corners.min(axis=0) / gap_mm), np.ceil(corners.max(axis=0) / gap_mm)
    columns, rows = np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1)
    i, j = (part.ravel() for part in np.meshgrid(columns, rows))
    # A hash of the cell, not a running generator: an area's pebbles do not change when another area does.
    noise = np.sin(i * 12.9898 + j * 78.233 + _RANDOM_SEED)[:, None] * np.array([43758.5453, 24634.6345])
    shift = (noise - np.floor(noise) - 0.5) * jitter
    points = np.column_stack([i + 0.5 * (j % 2), j]) * gap_mm + shift * gap_mm
    return np.asarray(points, dtype=np.float64)


def rounds_in(rings: Rings, hatch: Hatch) -> list[tuple[Point, ...]]:
    """Hexagons (pebbles) or diamonds (dots) that lie wholly inside an area."""
    pebbles = hatch.kind == "pebbles"
    sides = 6 if pebbles else 4
    centres = _grid(rings, hatch.gap_mm, 0.5 if pebbles else 0.3)
    # Corner by corner: most places of the grid fall out with the first.
    for n in range(sides):
        centres = centres[inside(rings, _corner(centres, hatch.size_mm, n / sides))]
    corners = [_corner(centres, hatch.size_mm, n / sides).T.tolist() for n in range(sides)]
    return list(zip(*(zip(x, y, strict=True) for x, y in corners), strict=True))


def _corner(centres: Array, size_mm: float, share: float) -> Array:
    """The corner of every pebble or dot at a share of the way round it."""
    x, y = centres.T
    size = size_mm * (0.75 + 0.25 * np.sin(x * 7.1 + y * 3.3))
    turn = (x * 1.7 + y * 2.9) + share * (2 * pi)
    return np.column_stack([x + size * np.cos(turn), y + size * (0.8 * np.sin(turn))])
