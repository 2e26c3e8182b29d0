"""Pipes that are laid already, looked at by those laid after them: beside and in height."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.water.beside import CutOff, RoofPipe
from lynchet.water.model import Drain, Point, SolidPipe

FloatArray = NDArray[np.float64]
Pipe = Drain | SolidPipe | CutOff | RoofPipe


@dataclass(frozen=True, eq=False)
class Lying:
    """Straight parts of pipes with the inverts at their ends."""

    lines: Any
    """(n,) shapely lines."""
    inverts_m: FloatArray
    """(n, 2)."""

    def meets(self, points_m: Sequence[Point], inverts_m: Sequence[float], apart_m: float) -> bool:
        """Whether a pipe as it would be laid comes nearer to one of them than ``apart_m``, both beside and in height.

        Args:
            points_m: its corner points.
            inverts_m: at each of them.
            apart_m: between the middles of two pipes.
        """
        import shapely

        if not len(self.lines):
            return False
        mine = _lines([points_m])
        one, other = np.nonzero(shapely.dwithin(mine[:, None], self.lines[None, :], apart_m))
        if not len(one):
            return False
        spots = shapely.get_coordinates(shapely.shortest_line(mine[one], self.lines[other])).reshape(-1, 2, 2)
        levels = np.array(list(itertools.pairwise(inverts_m)))
        apart = _at(mine[one], levels[one], spots[:, 0]) - _at(self.lines[other], self.inverts_m[other], spots[:, 1])
        return bool((np.abs(apart) < apart_m - 1e-9).any())


def lying(pipes: Sequence[Pipe]) -> Lying:
    """All straight parts of some pipes."""
    levels = [pair for pipe in pipes for pair in itertools.pairwise(pipe.inverts_m)]
    return Lying(_lines([pipe.points_m for pipe in pipes]), np.array(levels, dtype=np.float64).reshape(-1, 2))


def _lines(paths: Sequence[Sequence[Point]]) -> Any:
    import shapely

    parts = [pair for path in paths for pair in itertools.pairwise(path)]
    return shapely.linestrings(np.array(parts, dtype=np.float64).reshape(-1, 2, 2))


def _at(lines: Any, levels_m: FloatArray, spots: FloatArray) -> FloatArray:
    """(n,) levels of straight parts at places on them."""
    import shapely

    share = shapely.line_locate_point(lines, shapely.points(spots), normalized=True)
    share = np.where(np.isfinite(share), share, 0.0)
    return np.asarray(levels_m[:, 0] + share * (levels_m[:, 1] - levels_m[:, 0]))
