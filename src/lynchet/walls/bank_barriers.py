"""What a bank outside an edge runs into: other edges of the area, and houses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

import numpy as np
from numpy.typing import NDArray

from lynchet.core.plane import Point, minus, move, unit
from lynchet.project.things import House
from lynchet.terraces.model import Face, Level, Terraces

_OWN_M = 1e-3
"""A ray leaves its own edge, and the corner it may start from, within this."""


@dataclass(frozen=True)
class Barrier:
    """A straight line that no bank crosses."""

    line: str
    start_m: Point
    end_m: Point
    bed: Face | None
    """The bed behind it; none of a house, a path or a flight."""


def barriers(terraces: Terraces, houses: Sequence[House]) -> list[Barrier]:
    """Edges of the area, part by part as the beds behind them change, and the outlines of houses."""
    found = []
    for line in (line for line in terraces.lines if line.role == "edge"):
        way = unit(minus(line.end_m, line.start_m))
        for side in line.sides:
            face = terraces.face(side.left)
            bed = face if face is not None and isinstance(face.finish, Level) else None
            a, b = move(line.start_m, way, side.start_m), move(line.start_m, way, side.end_m)
            found.append(Barrier(line.id, a, b, bed))
    for house in houses:
        ring = [*house.outline_m, house.outline_m[0]]
        found += [Barrier("", a, b, None) for a, b in pairwise(ring)]
    return found


def first_met(
    starts: NDArray[np.float64], ways: NDArray[np.float64], lines: Sequence[Barrier]
) -> list[tuple[float, Barrier | None]]:
    """How far along each ray the first barrier lies, in lengths of its way, and which.

    Args:
        starts, ways: (n, 2) of the rays.
        lines: barriers.

    Returns:
        n pairs; infinite and None where there is none.
    """
    if not lines:
        return [(inf, None)] * len(starts)
    a, b = np.array([one.start_m for one in lines]), np.array([one.end_m for one in lines])
    along, apart = b - a, a[None, :, :] - starts[:, None, :]
    turn = ways[:, None, 0] * along[None, :, 1] - ways[:, None, 1] * along[None, :, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (apart[..., 0] * along[None, :, 1] - apart[..., 1] * along[None, :, 0]) / turn
        share = (apart[..., 0] * ways[:, None, 1] - apart[..., 1] * ways[:, None, 0]) / turn
    hit = np.where((np.abs(turn) > 1e-9) & (far > _OWN_M) & (share >= -1e-9) & (share <= 1.0 + 1e-9), far, inf)
    first = hit.argmin(axis=1)
    return [(float(row[i]), lines[i] if row[i] < inf else None) for row, i in zip(hit, first.tolist(), strict=True)]
