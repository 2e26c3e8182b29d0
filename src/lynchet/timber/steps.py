"""Flights of steps as timber: what is sawn along, and the screws that hold the boxes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import ceil

from lynchet.project.model import Timber as Wood
from lynchet.stability.constants import SCREW_SPACING_M
from lynchet.terraces.model import Terraces
from lynchet.terraces.step_frames import StepPiece

SAWN_M = 0.001
"""A timber narrower than as laid by more than this is sawn along."""
CORNER_SCREWS = 2
"""Into each end of a timber that stands between two others. PRACTICE, as for a tie."""


Screwed = tuple[float, float, int]
"""Depth of the timber a screw goes through first, depth of what lies behind it, how many such screws."""


@dataclass(frozen=True)
class StepScrews:
    """Screws of all flights. They are counted, not placed: any place clear of the ends does."""

    frames: tuple[Screwed, ...]
    """At the corners of frames; behind the timber a screw goes through lies the one between, endwise, then its like."""
    beside: tuple[Screwed, ...]
    """Through timbers side by side, in boxes without a hollow: the shallower, then the other."""
    upright: int
    """Into the timber below."""


def sawn_along(wood: Wood, steps: Sequence[StepPiece]) -> dict[str, float]:
    """Share of the width left of every timber that is sawn along, by id."""
    return {piece.id: piece.width_m / wood.thickness_m for piece in steps if piece.width_m < wood.thickness_m - SAWN_M}


def sawn_faces_m2(wood: Wood, steps: Sequence[StepPiece]) -> float:
    """Faces that sawing along lays bare, to be brushed like cut ends."""
    sawn = sawn_along(wood, steps)
    return sum(piece.length_m * wood.course_m for piece in steps if piece.id in sawn)


def step_screws(steps: Sequence[StepPiece], terraces: Terraces) -> StepScrews:
    """Two in each corner of a frame, timbers side by side and one over another as the courses of a wall are: one every
    ``SCREW_SPACING_M``, two at least. The lowest layer of a box that projects rests on the sides of the box below.
    """
    resting = {tread.id for flight in terraces.flights if flight.kind == "projecting" for tread in flight.treads[1:]}
    upright = 0
    frames, beside = Counter[tuple[float, float]](), Counter[tuple[float, float]]()
    for (tread, layer), group in groupby(steps, key=lambda piece: (piece.tread, piece.layer)):
        row: Mapping[str, StepPiece] = {piece.side: piece for piece in group}
        if between := [piece for piece in row.values() if piece.between]:
            through = next(piece for piece in row.values() if not piece.between)
            behind = round(between[0].length_m + through.width_m, 4)
            frames[round(through.width_m, 4), behind] += 4 * CORNER_SCREWS
        else:
            for one, other in pairwise(row.values()):
                widths = sorted((round(one.width_m, 4), round(other.width_m, 4)))
                beside[widths[0], widths[1]] += _along(other.length_m)
        if layer or tread in resting:
            upright += sum(_along(piece.length_m) for piece in row.values())
    return StepScrews(_rows(frames), _rows(beside), upright)


def _rows(counted: Mapping[tuple[float, float], int]) -> tuple[Screwed, ...]:
    return tuple((*depths, count) for depths, count in sorted(counted.items()))


def _along(length_m: float) -> int:
    return max(2, ceil(length_m / SCREW_SPACING_M - 1e-9))
