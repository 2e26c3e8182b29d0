"""A wall as one looks at it: which side, left and right, what shows in a part of it, and the ground along it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lynchet.core.interpolated import interpolated
from lynchet.drawings.figures import Figures
from lynchet.drawings.roles import Role
from lynchet.drawings.source import Planned
from lynchet.ground.surface import profile
from lynchet.walls.model import Leg, Piece
from lynchet.walls.seen import seen_of

Point = tuple[float, float]
Interval = tuple[float, float]


@dataclass(frozen=True)
class Face:
    """A wall as it is looked at."""

    plan: Planned
    leg: Leg
    flipped: bool
    """The leg's start stands at the right."""
    start_m: float
    end_m: float
    """Stations of the first and last timber."""

    def x(self, station_m: float) -> float:
        """Distance from the left end."""
        return self.end_m - station_m if self.flipped else station_m - self.start_m

    def span(self, low_m: float, high_m: float) -> Interval:
        """Two stations as distances from the left, in order."""
        a, b = self.x(low_m), self.x(high_m)
        return min(a, b), max(a, b)

    @property
    def length_m(self) -> float:
        """From the first timber to the last."""
        return self.end_m - self.start_m

    @property
    def held(self) -> int:
        """+1 where most of the wall holds its timber side, else -1."""
        total = sum(span.held * (span.end_m - span.start_m) for span in self.leg.spans)
        return 1 if total >= 0 else -1


def face_of(plan: Planned, leg: Leg) -> Face:
    """The face of a wall from its low side; in a frame of the other hand left and right change over."""
    seen = seen_of(leg, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    return Face(plan, leg, seen.flipped, seen.start_m, seen.end_m)


def timber_look(face: Face, piece: Piece) -> tuple[Role, str]:
    """Fill and key of a piece: grey what stands already, as the pictures of the days have it."""
    return ("barrow", "stood") if face.plan.walls.stands(piece) else ("timber", "piece")


def clipped(span: Interval, part: Interval) -> Interval | None:
    """The stretch inside a part, or None."""
    low, high = max(span[0], part[0]), min(span[1], part[1])
    return (low, high) if high - low > 1e-6 else None


def pieces_in(face: Face, part: Interval) -> list[tuple[Piece, Interval]]:
    """Pieces of the wall that show in a part, with their stretches."""
    found = []
    for piece in face.plan.pieces:
        if piece.leg == face.leg.id:
            span = clipped(face.span(min(piece.start_m), max(piece.end_m)), part)
            if span:
                found.append((piece, span))
    return found


def ground_line(face: Face, part: Interval) -> list[Point]:
    """The lower finished ground along the wall, from left to right; steps in it stand upright."""
    spans = face.leg.spans[::-1] if face.flipped else face.leg.spans
    points: list[Point] = []
    for span in spans:
        ends = [(face.x(span.start_m), min(span.left0_m, span.right0_m)),
                (face.x(span.end_m), min(span.left1_m, span.right1_m))]  # fmt: skip
        (ax, az), (bx, bz) = sorted(ends)
        shown = clipped((ax, bx), part)
        if shown:
            points.extend((x, az + (bz - az) * (x - ax) / (bx - ax)) for x in shown)
    return points


def before_line(face: Face, part: Interval) -> list[Point]:
    """The ground before, along the wall's line, from left to right; empty where it was not measured."""
    stations, levels = profile(face.plan.ground.surface, face.leg.start_m, face.leg.end_m, 0.5)
    known = ~np.isnan(levels)
    before = sorted((face.x(float(s)), float(z)) for s, z in zip(stations[known], levels[known], strict=True))
    if len(before) < 2:
        return []
    xs, zs = [x for x, _ in before], [z for _, z in before]
    shown = [(x, z) for x, z in before if part[0] < x < part[1]]
    return [(part[0], interpolated(part[0], xs, zs)), *shown, (part[1], interpolated(part[1], xs, zs))]


def goes_on(face: Face, x: float) -> bool:
    return 1e-3 < x < face.length_m - 1e-3


def scale_of(figures: Figures) -> int:
    return 24 if figures.system == "us" else 20
