"""The timbers of flights of steps: each box a frame of whole courses, filled with soil, on stone where it rests on
the ground."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, dist

from lynchet.core.plane import Point, minus, move, unit
from lynchet.core.quick import quick
from lynchet.terraces.model import Flight, Tread

STEP_STONE_M = 0.10
"""Stone under the boxes of a flight. PRACTICE."""
LEAST_SIDE_M = 0.15
"""A shorter timber splits where it is screwed, and is too short to hold while it is sawn. PRACTICE."""
LEAST_SAWN_M = 0.07
"""Narrower strips sawn off along are not fixed soundly. PRACTICE."""
HOLLOW_M = 0.001
"""A box with no more than this inside its timbers is timber all through."""


_WHOLE_M = 5e-4
"""A box is of whole courses to this."""

_Part = tuple[str, tuple[Point, ...], tuple[float, float], bool]
"""Side, outline, length and width of a timber, and whether it stands between two others."""


@quick
@dataclass(frozen=True)
class StepPiece:
    """One timber of a step, square at both ends."""

    id: str
    """Tread and side: "S0.2/1/front", with the layer from below where there are several: "S0.2/1/front.2"; timbers
    between front and back of a box without a hollow are "middle1" and so on."""
    flight: str
    tread: str
    layer: int
    """From below, 0 first."""
    side: str
    outline_m: tuple[Point, ...]
    bottom_m: float
    top_m: float
    length_m: float
    width_m: float
    """Across, in plan: less than the timber where it is sawn along."""
    between: bool = False
    """Its ends stand against two other timbers of its frame."""

    @property
    def hollow(self) -> bool:
        """Whether it is a side of a box with room between its timbers."""
        return self.side in ("left", "right")

    @property
    def volume_m3(self) -> float:
        """As built."""
        return self.length_m * self.width_m * (self.top_m - self.bottom_m)

    @property
    def riser(self) -> int:
        """Number of its riser from the foot."""
        return int(self.tread.rpartition("/")[2])


def step_pieces(flights: Sequence[Flight], thickness_m: float, course_m: float) -> tuple[StepPiece, ...]:
    """Every timber of every flight, from the foot up.

    Front and back run the full width of the flight, the sides stand between them; where those would be shorter than
    ``LEAST_SIDE_M`` the sides run from front to back, and front and back stand between them. A box too short to have a
    hollow is made of timbers side by side, the last sawn along to what is left, or where that is less than
    ``LEAST_SAWN_M`` the last two alike.

    Args:
        flights: with their treads.
        thickness_m: width of the timber in plan.
        course_m: height of one timber.
    """
    return tuple(piece for flight in flights for tread in flight.treads
                 for piece in _of_tread(flight, tread, thickness_m, course_m))  # fmt: skip


def _of_tread(flight: Flight, tread: Tread, thickness_m: float, course_m: float) -> Iterator[StepPiece]:
    layers = _layers(tread, course_m)
    parts = list(_plan_parts(tread.outline_m, thickness_m))
    for layer in range(layers):
        top = tread.top_m - (layers - 1 - layer) * course_m
        bottom = max(tread.bottom_m, top - course_m)  # a box packed begins higher, one sawn is thinner below
        tail = f".{layer + 1}" if layers > 1 else ""
        for side, ring, (length, width), between in parts:
            name = f"{tread.id}/{side}{tail}"
            yield StepPiece(name, flight.id, tread.id, layer, side, ring, bottom, top, length, width, between)


def _layers(tread: Tread, course_m: float) -> int:
    return max(1, round((tread.top_m - tread.bottom_m) / course_m))


def packed_m(flight: Flight, course_m: float) -> float:
    """What lies under each box that stands on another, so that risers over walls off their level are alike (m); below
    0 what is sawn off its underside; 0 where whole courses do.
    """
    on = flight.treads[1:] if flight.kind == "projecting" else ()
    off = on[0].top_m - on[0].bottom_m - _layers(on[0], course_m) * course_m if on else 0.0
    return off if abs(off) > _WHOLE_M else 0.0


def _plan_parts(box: tuple[Point, ...], thickness_m: float) -> Iterator[_Part]:
    """The timbers of one layer; the box begins with the two corners of its front."""
    wide, deep = dist(box[0], box[1]), dist(box[1], box[2])
    across, along = unit(minus(box[1], box[0])), unit(minus(box[2], box[1]))

    def part(u0: float, u1: float, v0: float, v1: float) -> tuple[Point, ...]:
        corners = ((u0, v0), (u1, v0), (u1, v1), (u0, v1))
        return tuple(move(move(box[0], across, u), along, v) for u, v in corners)

    if not hollow(box, thickness_m):
        marks = _side_by_side(deep, thickness_m)
        for n, (front, back) in enumerate(pairwise(marks)):
            side = "front" if n == 0 else "back" if n == len(marks) - 2 else f"middle{n}"
            yield side, part(0.0, wide, front, back), (wide, back - front), False
        return
    inner, across_m = deep - 2.0 * thickness_m, wide - 2.0 * thickness_m
    ends = inner < LEAST_SIDE_M <= across_m  # then the sides have them
    u, v = (thickness_m, 0.0) if ends else (0.0, thickness_m)
    long, side_m = (across_m if ends else wide, thickness_m), (deep if ends else inner, thickness_m)
    yield "front", part(u, wide - u, 0.0, thickness_m), long, ends
    yield "left", part(0.0, thickness_m, v, deep - v), side_m, not ends
    yield "right", part(wide - thickness_m, wide, v, deep - v), side_m, not ends
    yield "back", part(u, wide - u, deep - thickness_m, deep), long, ends


def _side_by_side(deep_m: float, thickness_m: float) -> list[float]:
    """Where timbers begin and end from front to back of a box without a hollow."""
    count = max(1, ceil(deep_m / thickness_m - HOLLOW_M / thickness_m))
    marks = [thickness_m * n for n in range(count)] + [deep_m]
    if count > 1 and marks[-1] - marks[-2] < LEAST_SAWN_M:
        marks[-2] = (marks[-3] + marks[-1]) / 2.0
    return marks


def hollow(box: tuple[Point, ...], thickness_m: float) -> tuple[Point, ...]:
    """Outline of the inside of a box, turning the other way than the box; empty where it is timber all through."""
    wide, deep = dist(box[0], box[1]), dist(box[1], box[2])
    if min(wide, deep) <= 2.0 * thickness_m + HOLLOW_M:
        return ()
    across, along = unit(minus(box[1], box[0])), unit(minus(box[2], box[1]))
    corners = ((thickness_m, thickness_m), (thickness_m, deep - thickness_m),
               (wide - thickness_m, deep - thickness_m), (wide - thickness_m, thickness_m))  # fmt: skip
    return tuple(move(move(box[0], across, u), along, v) for u, v in corners)


def on_ground(flight: Flight) -> Iterator[Tread]:
    """Treads that rest on stone on the ground: the lowest; all where the flight is let in."""
    yield from flight.treads if flight.kind != "projecting" else flight.treads[:1]


def whole_courses(top_m: float, rest_m: float, course_m: float, packed_m: float = 0.01) -> float:
    """Underside of a box of whole courses that reaches down to a level, or comes within ``packed_m`` of it."""
    return top_m - course_m * max(1, ceil((top_m - rest_m - packed_m) / course_m))
