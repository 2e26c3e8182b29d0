"""Labels as they are wished, and the places tried for each: in its area, or round its anchor near by and in rings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import cos, pi, sin

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Array = NDArray[np.float64]

RING_COST = (0.0, 1.0, 1.6, 2.3)
RING_MM = (0.0, 7.0, 13.0, 20.0)
# Near places: (horizontal, vertical) side of the anchor and cost; upper right is best.
_NEAR = (
    (1, -1, 0.0), (1, 1, 0.1), (-1, -1, 0.15), (-1, 1, 0.2), (1, 0, 0.25), (-1, 0, 0.3), (0, -1, 0.35), (0, 1, 0.4),
)  # fmt: skip


@dataclass(frozen=True)
class Wish:
    """A label to place: the size of its text and where it belongs."""

    id: str
    anchor: Point
    size: Point
    priority: int = 2
    gap_mm: float = 1.4
    own: frozenset[str] = frozenset()
    """Ids of lines it may lie on."""
    spots: tuple[tuple[Point, Point], ...] = ()
    """Centre and size of places in the area or on the line it names, best first; empty for a point label."""
    leaders: bool = True
    dearest: float = 100.0
    """Places of this cost or more are not taken; better left out."""
    bars: frozenset[str] = frozenset()
    """Whose lines its leader had better not cross: beyond them it would be read as the name of something else."""
    off: frozenset[str] = frozenset()
    """Whose lines its words had better not lie on, more than on others: timber, ties."""


_OFF = np.array([(sx, 0.0 if sx else sy) for sx, sy, _ in _NEAR])
_BACK = np.array([({1: 0.0, -1: 1.0, 0: 0.5}[sx], {1: 0.0, -1: 1.0, 0: 0.5}[sy]) for sx, sy, _ in _NEAR])
"""Of the near places: how many gaps from the anchor, and the share of the text's size taken back from there."""
_TURNS = tuple((ring, pi / 4 - n * pi / 6) for ring in (1, 2, 3) for n in range(12))
_AROUND = np.array([(RING_MM[ring] * cos(turn), -RING_MM[ring] * sin(turn)) for ring, turn in _TURNS])
_AROUND_BACK = np.array([
    (0.0 if cos(turn) > 0.3 else 1.0 if cos(turn) < -0.3 else 0.5,
     1.0 if sin(turn) > 0.3 else 0.0 if sin(turn) < -0.3 else 0.5) for _, turn in _TURNS
])  # fmt: skip
_NEAR_COSTS = np.array([cost for *_, cost in _NEAR])
_AROUND_COSTS = np.array([RING_COST[ring] + 0.4 * (1 - cos(turn - pi / 4)) / 2 for ring, turn in _TURNS])


@dataclass(frozen=True, eq=False)
class Tries:
    """Places to try for labels, one label after the other: of each those without a leader first."""

    boxes: Array
    """(k, 4)."""
    costs: Array
    """(k,) by position."""
    starts: NDArray[np.intp]
    """(n + 1,) first place of each label, and their number."""
    plain: NDArray[np.intp]
    """(n,) how many of each have no leader."""

    @cached_property
    def label(self) -> NDArray[np.intp]:
        """(k,) whose place each is."""
        return np.repeat(np.arange(len(self.plain)), np.diff(self.starts))

    @cached_property
    def at(self) -> NDArray[np.intp]:
        """(k,) number of each among those of its label."""
        return np.arange(len(self.boxes)) - self.starts[self.label]


def tries_of(wishes: Sequence[Wish], anchors: Array) -> Tries:
    """Places to try for one label and more; (n, 2) their anchors."""
    sizes, gaps = np.array([wish.size for wish in wishes])[:, None], np.array([wish.gap_mm for wish in wishes])
    near = anchors[:, None] + gaps[:, None, None] * _OFF - sizes * _BACK
    around = anchors[:, None] + _AROUND - sizes * _AROUND_BACK
    far_near, far_around = near + sizes, around + sizes
    corners: list[Array] = []
    ends: list[Array] = []
    costs: list[Array] = []
    for n, wish in enumerate(wishes):
        if wish.spots:
            middles, sides = np.array(wish.spots).transpose(1, 0, 2)
            corners.append(middles - sides / 2)
            ends.append(middles + sides / 2)
            costs.append(np.minimum(0.02 * np.arange(len(middles)), 0.9))
        else:
            corners.append(near[n])
            ends.append(far_near[n])
            costs.append(_NEAR_COSTS)
        if wish.leaders:
            corners.append(around[n])
            ends.append(far_around[n])
            costs.append(_AROUND_COSTS)
    plain = np.array([len(wish.spots) or len(_NEAR) for wish in wishes], dtype=np.intp)
    counts = plain + np.array([len(_TURNS) * wish.leaders for wish in wishes], dtype=np.intp)
    boxes = np.column_stack([np.concatenate(corners), np.concatenate(ends)])
    return Tries(boxes, np.concatenate(costs), np.concatenate([[0], np.cumsum(counts)]), plain)
