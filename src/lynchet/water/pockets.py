"""Stretches of wall that hold one high face: what a pocket of drained ground is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from lynchet.core.changed import changed
from lynchet.core.quick import quick
from lynchet.terraces.model import HOUSE
from lynchet.walls.model import Leg, Segment, Span, Walls
from lynchet.water.settings import Settings

Point = tuple[float, float]
_SAME_M = 1e-6
_LEVEL_M = 1e-9
"""A wall of one course may hold just the least: whether it is drained must not hang on the last digit of a sum."""


_ALONG = 0.1
"""Cosine from which on a wall counts as lying along steps, not across them."""


@quick
@dataclass(frozen=True)
class Boxes:
    """The boxes of a flight that is let in: how deep each stands, and the unit vector in which they rise."""

    deep_m: float
    way: Point


@quick
@dataclass(frozen=True)
class Piece:
    """Part of a stretch over which all levels are straight lines. Stations on the leg, rising."""

    start_m: float
    end_m: float
    low0_m: float
    low1_m: float
    high0_m: float
    high1_m: float
    low_face: str
    base: int
    base_m: float
    top_m: float

    def share(self, station_m: float) -> float:
        """Where a station lies between start (0) and end (1)."""
        if station_m <= self.start_m or self.end_m == self.start_m:
            return 0.0
        return (station_m - self.start_m) / (self.end_m - self.start_m) if station_m < self.end_m else 1.0

    def levels_at(self, station_m: float) -> tuple[float, float]:
        """Level in front of the wall and of the ground held."""
        share = self.share(station_m)
        low, high = self.low1_m - self.low0_m, self.high1_m - self.high0_m
        return self.low0_m + share * low, self.high0_m + share * high

    def low_at(self, station_m: float) -> float:
        """Level in front of the wall."""
        return self.low0_m + self.share(station_m) * (self.low1_m - self.low0_m)

    def high_at(self, station_m: float) -> float:
        """Level of the ground held."""
        return self.high0_m + self.share(station_m) * (self.high1_m - self.high0_m)


@quick
@dataclass(frozen=True)
class Stretch:
    """A longest part of a leg that holds one high face with something worth draining."""

    leg: Leg
    held: Literal[1, -1]
    high_face: str
    pieces: tuple[Piece, ...]
    face_m: float
    """How far left of the line the timber ends on the side of the pocket."""
    pipe_m: float
    """How far left of the line the middle of the pipe lies; below 0 on the right."""
    box_m: float = 0.0
    """How deep the boxes of steps let in there stand in the ground held."""
    uphill: Literal[1, 0, -1] = 0
    """Which way along the leg these steps rise; 0 = across it."""

    @property
    def start_m(self) -> float:
        """First station."""
        return self.pieces[0].start_m

    @property
    def end_m(self) -> float:
        """Last station."""
        return self.pieces[-1].end_m

    def pieces_at(self, station_m: float) -> list[Piece]:
        """The piece at a station, both at a boundary, the nearest beyond the ends."""
        found = [p for p in self.pieces if p.start_m - _SAME_M <= station_m <= p.end_m + _SAME_M]
        return found or [self.pieces[0] if station_m < self.start_m else self.pieces[-1]]

    def pipe_at(self, station_m: float) -> Point:
        """Plan point of the pipe's middle."""
        return self.leg.point_at(station_m, self.pipe_m)

    def breaks(self) -> list[float]:
        """Stations at which a level bends, rising; both ends included."""
        return [self.pieces[0].start_m, *(piece.end_m for piece in self.pieces)]


def stretches_of(walls: Walls, settings: Settings, boxes: Mapping[str, Boxes] | None = None) -> list[Stretch]:
    """All stretches worth draining, by leg and along it; ends cut where the held height is under the least.

    Args:
        walls: the built walls.
        settings: sizes.
        boxes: of steps, by the face of the flight that is let in.
    """
    found = []
    for leg in walls.legs:
        groups: list[tuple[int, str, list[Piece]]] = []
        for span in leg.spans:
            if span.held == 0 or span.high_face == HOUSE:
                continue
            for segment in leg.segments:
                if segment.end_m <= span.start_m or segment.start_m >= span.end_m:
                    continue
                piece = _piece(walls, leg, span, segment)
                if piece is None:
                    continue
                last = groups[-1] if groups else None
                if (
                    last
                    and last[:2] == (span.held, span.high_face)
                    and abs(last[2][-1].end_m - piece.start_m) < _SAME_M
                ):
                    last[2].append(piece)
                else:
                    groups.append((span.held, span.high_face, [piece]))
        for held, face, pieces in groups:
            stretch = _stretch(leg, held, face, pieces, settings)
            if stretch is not None:
                found.append(_under(stretch, (boxes or {}).get(face)))
    return found


def _under(stretch: Stretch, boxes: Boxes | None) -> Stretch:
    """The stretch with the boxes that stand in its ground."""
    if boxes is None:
        return stretch
    (x, y), (along_x, along_y) = boxes.way, stretch.leg.direction
    along = x * along_x + y * along_y
    return changed(stretch, box_m=boxes.deep_m, uphill=1 if along > _ALONG else -1 if along < -_ALONG else 0)


def _piece(walls: Walls, leg: Leg, span: Span, segment: Segment) -> Piece | None:
    start, end = max(span.start_m, segment.start_m), min(span.end_m, segment.end_m)
    if end - start <= _SAME_M:
        return None
    middle = (start + end) / 2
    base = _level(walls, leg.id, segment.base, middle, top=False)
    top = _level(walls, leg.id, segment.top, middle, top=True)
    length = span.end_m - span.start_m
    a, b = (start - span.start_m) / length, (end - span.start_m) / length
    low, high = span.low1_m - span.low0_m, span.high1_m - span.high0_m
    return Piece(
        start, end, span.low0_m + a * low, span.low0_m + b * low, span.high0_m + a * high, span.high0_m + b * high,
        span.low_face, segment.base, base, top,
    )  # fmt: skip


def _level(walls: Walls, leg: str, course: int, station_m: float, *, top: bool) -> float:
    """Bottom or top of the run of a course that covers a station (the nearest where none does)."""
    runs = walls.runs_of(leg, course)
    run = runs[0]
    if len(runs) > 1:
        run = min(runs, key=lambda r: max(r.outer_m[0] - station_m, station_m - r.outer_m[1], 0.0))
    return run.top_m if top else run.bottom_m


def _stretch(leg: Leg, held: int, face: str, pieces: list[Piece], settings: Settings) -> Stretch | None:
    cut = _cut_ends(pieces, settings.least_held_m)
    if not cut:
        return None
    low, high = min(s.base for s in leg.segments), max(s.top for s in leg.segments)
    timber = leg.thickness_m + leg.setback_m * (high - low) if held > 0 else 0.0
    pipe = timber + settings.pipe_off_m if held > 0 else -settings.pipe_off_m
    return Stretch(leg, 1 if held > 0 else -1, face, tuple(cut), timber, pipe)


def _cut_ends(pieces: list[Piece], least_m: float) -> list[Piece]:
    """Pieces without the ends on which the held height is under the least; the cut lies where it is reached."""
    first = _cut_start(pieces, least_m)
    turned = _cut_start([_turned(piece) for piece in reversed(first)], least_m)
    return [_turned(piece) for piece in reversed(turned)]


def _turned(piece: Piece) -> Piece:
    return Piece(
        -piece.end_m, -piece.start_m, piece.low1_m, piece.low0_m, piece.high1_m, piece.high0_m, piece.low_face,
        piece.base, piece.base_m, piece.top_m,
    )  # fmt: skip


def _cut_start(pieces: list[Piece], least_m: float) -> list[Piece]:
    for number, piece in enumerate(pieces):
        first, last = piece.high0_m - piece.low0_m, piece.high1_m - piece.low1_m
        if first > least_m + _LEVEL_M:
            return pieces[number:]
        if last > least_m + _LEVEL_M:
            share = max(0.0, (least_m - first) / (last - first))
            at = piece.start_m + share * (piece.end_m - piece.start_m)
            if piece.end_m - at <= 1e-3:
                continue
            return [
                Piece(
                    at, piece.end_m, piece.low_at(at), piece.low1_m, piece.high_at(at), piece.high1_m,
                    piece.low_face, piece.base, piece.base_m, piece.top_m,
                ),
                *pieces[number + 1 :],
            ]  # fmt: skip
    return []
