"""Flights of steps as timber: what is sawn along, and the screws that hold the boxes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil

from lynchet.project.model import Timber as Wood
from lynchet.stability.constants import SCREW_SPACING_M
from lynchet.terraces.model import Terraces
from lynchet.terraces.step_frames import StepPiece

SAWN_M = 0.001
"""A timber narrower than as laid by more than this is sawn along."""
CORNER_SCREWS = 2
"""Through front or back into the end of each side. PRACTICE, as for a tie."""


@dataclass(frozen=True)
class StepScrews:
    """Screws of all flights. They are counted, not placed: any place clear of the ends does."""

    level: int
    """Through front and back into the ends of the sides; through timbers side by side."""
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
    level = upright = 0
    for (tread, layer), group in groupby(steps, key=lambda piece: (piece.tread, piece.layer)):
        row: Mapping[str, StepPiece] = {piece.side: piece for piece in group}
        if "left" in row:
            level += 4 * CORNER_SCREWS
        else:
            level += sum(_along(piece.length_m) for side, piece in row.items() if side != "front")
        if layer or tread in resting:
            upright += sum(_along(piece.length_m) for piece in row.values())
    return StepScrews(level, upright)


def _along(length_m: float) -> int:
    return max(2, ceil(length_m / SCREW_SPACING_M - 1e-9))
