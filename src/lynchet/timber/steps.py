"""Flights of steps as timber: what is sawn along, and the screws that hold the boxes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import ceil

from lynchet.project.model import Timber as Wood
from lynchet.stability.constants import SCREW_SPACING_M
from lynchet.terraces.model import Terraces
from lynchet.terraces.step_frames import StepPiece, packed_m

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
    upright: tuple[Screwed, ...]
    """Into the timber below: from the top of the upper one to the top of the lower one, height of the lower one."""


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
    rests = {tread.id: tread.bottom_m for flight in terraces.flights for tread in flight.treads}
    upright, frames, beside = (Counter[tuple[float, float]]() for _ in range(3))
    below = 0.0
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
        front = row["front"]
        if layer or tread in resting:
            over = front.top_m - (front.bottom_m if layer else rests[tread])
            upright[round(over, 4), round(below, 4)] += sum(_along(piece.length_m) for piece in row.values())
        below = front.top_m - front.bottom_m
    return StepScrews(_rows(frames), _rows(beside), _rows(upright))


def packed_timbers(
    course_m: float, steps: Sequence[StepPiece], terraces: Terraces
) -> Iterator[tuple[float, StepPiece]]:
    """Timbers of steps that are packed where they rest on the box below, or sawn thinner there, so that risers are
    alike: by how much (m, sawn is negative), and which.
    """
    packed = {tread.id: off for flight in terraces.flights if (off := packed_m(flight, course_m))
              for tread in flight.treads[1:]}  # fmt: skip
    yield from ((packed[piece.tread], piece) for piece in steps if piece.layer == 0 and piece.tread in packed)


def _rows(counted: Mapping[tuple[float, float], int]) -> tuple[Screwed, ...]:
    return tuple((*depths, count) for depths, count in sorted(counted.items()))


def _along(length_m: float) -> int:
    return max(2, ceil(length_m / SCREW_SPACING_M - 1e-9))
