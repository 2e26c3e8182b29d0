"""In which stage, and with which task of it, every piece of timber is laid: told here alone, and read by all others.

A piece that reaches from the walls of one stage into those of a later one is laid with the earlier, so that nothing is
filled behind a gap; and with it all that it lies on, down to the base stone. So the walls go on a piece's length past
the bed that is filled, in steps, and the later stage takes them up there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from lynchet.core.plane import Point
from lynchet.core.quick import quick
from lynchet.stability.model import Tie
from lynchet.terraces.built_with import BuiltWith
from lynchet.walls.model import Leg, Piece, Walls

LAP_M = 0.05
"""Laps shorter than this hold nothing up, and let no soil through."""
_NEAR_M = 1.0
"""Timber that ends farther than this from where two walls meet lies on none of the other's."""
_CORNER_M = 0.02
"""Less than this of another wall's timber under a piece holds nothing up."""


@quick
@dataclass(frozen=True)
class Cell:
    """A stretch of a leg of one stage and one base course."""

    start_m: float
    end_m: float
    stage: int
    base: int

    @property
    def middle_m(self) -> float:
        """Station of its middle."""
        return 0.5 * (self.start_m + self.end_m)


@quick
@dataclass(frozen=True)
class Laid:
    """How a piece is laid."""

    piece: Piece
    stage: int
    first: bool
    """With the first courses: it lies on base stone, and else only on first courses and what earlier stages laid."""


class Laying:
    """Stages and tasks of the pieces of a plan."""

    def __init__(self, walls: Walls, pieces: Sequence[Piece], built: BuiltWith) -> None:
        self._walls = walls
        self._wished = {leg.id: _cells(leg, built) for leg in walls.legs if leg.segments}
        self._rows: dict[tuple[str, int], list[Piece]] = defaultdict(list)
        starts = {piece.id: _start(piece) for piece in pieces}
        for piece in sorted(pieces, key=lambda piece: starts[piece.id]):
            self._rows[piece.leg, piece.course].append(piece)
        self._ends = {piece.id: (starts[piece.id], max(piece.end_m)) for piece in pieces}
        self._sides: dict[str, list[_Side]] = {}
        self._meetings = _meetings(walls)
        rising = sorted(pieces, key=lambda piece: piece.course)
        under = {piece.id: self._under(piece) for piece in rising}
        stages = {piece.id: self._reached(piece) for piece in pieces}
        for piece in reversed(rising):
            for low in under[piece.id]:
                stages[low.id] = min(stages[low.id], stages[piece.id])
        first = dict[str, bool]()
        for piece in rising:
            held = (first[low.id] for low in under[piece.id] if stages[low.id] == stages[piece.id])
            first[piece.id] = self._on_stone(piece) and all(held)
        order = {leg.id: n for n, leg in enumerate(walls.legs)}
        ordered = sorted(pieces, key=lambda piece: (piece.course, order[piece.leg], starts[piece.id]))
        self.laid: Mapping[str, Laid] = {one.id: Laid(one, stages[one.id], first[one.id]) for one in ordered}
        """By piece: course by course from below, along each wall."""

    def of_tie(self, tie: Tie) -> int:
        """Stage of a tie: that of the piece it is fixed to."""
        row = self._rows[tie.leg, tie.course]
        if row:
            return self.laid[min(row, key=lambda one: (_off(one, tie.station_m), one.id)).id].stage
        return cell_at(self._wished[tie.leg], tie.station_m).stage

    def cells(self, leg: str) -> list[Cell]:
        """Stretches of a leg by the stage that lays their lowest timber."""
        found: list[Cell] = []
        for segment in self._walls.leg(leg).segments:
            row = [one for one in self._rows[leg, segment.base] if _lap(one, segment.start_m, segment.end_m) > 0.0]
            if not row:  # no timber is laid yet: as it is wished
                found += [cell for cell in self._wished[leg] if segment.start_m <= cell.middle_m <= segment.end_m]
                continue
            between = [0.5 * (max(one.end_m) + min(two.start_m)) for one, two in pairwise(row)]
            ends = [segment.start_m, *between, segment.end_m]
            for piece, start, end in zip(row, ends[:-1], ends[1:], strict=True):
                _add(found, Cell(start, end, self.laid[piece.id].stage, segment.base))
        return found or self._wished[leg]

    def _reached(self, piece: Piece) -> int:
        """The earliest stage into whose walls a piece reaches."""
        cells, course = self._wished[piece.leg], piece.course
        first, last = self._ends[piece.id]
        stages = [
            cell.stage
            for cell in cells
            if cell.base <= course and _common(first, last, cell.start_m, cell.end_m) > LAP_M
        ]
        return min(stages) if stages else cell_at(cells, 0.5 * (first + last)).stage

    def _on_stone(self, piece: Piece) -> bool:
        course = piece.course
        return any(
            segment.base == course and _lap(piece, segment.start_m, segment.end_m) > LAP_M
            for segment in self._walls.leg(piece.leg).segments
        )

    def _under(self, piece: Piece) -> list[Piece]:
        """What a piece lies on: of its own wall, and at corners of others."""
        course, ends = piece.course - 1, self._ends
        first, last = ends[piece.id]
        found = [low for low in self._rows.get((piece.leg, course), ()) if _common(first, last, *ends[low.id]) > LAP_M]
        for leg, at, other in self._meetings.get(piece.leg, ()):
            if first - at < _NEAR_M and at - last < _NEAR_M:
                for low in self._rows.get((leg, course), ()):
                    start, end = ends[low.id]
                    if start - other < _NEAR_M and other - end < _NEAR_M and self._overlie(piece, low):
                        found.append(low)
        return found

    def _overlie(self, one: Piece, two: Piece) -> bool:
        """Whether two pieces overlap in plan by more than a sliver: no side of either parts them."""
        return not _apart(self._sides_of(one), two.outline_m) and not _apart(self._sides_of(two), one.outline_m)

    def _sides_of(self, piece: Piece) -> list[_Side]:
        found = self._sides.get(piece.id)
        if found is None:
            found = self._sides[piece.id] = _sides(piece.outline_m)
        return found


def _cells(leg: Leg, built: BuiltWith) -> list[Cell]:
    """Stretches of a leg by the stage whose bed they hold, or on whose bed they stand."""
    found: list[Cell] = []
    for segment in leg.segments:
        low, high = segment.start_m, segment.end_m
        for span in leg.spans:
            start, end = span.start_m, span.end_m
            start, end = start if start > low else low, end if end < high else high
            if end - start > 1e-9:
                _add(found, Cell(start, end, built.of(span.high_face, span.low_face), segment.base))
    return found or [Cell(0.0, leg.length_m, 1, leg.lowest_course)]


def _add(cells: list[Cell], cell: Cell) -> None:
    """One more stretch, joined to the last where nothing changes."""
    start = cell.start_m
    if cells and cells[-1].end_m == start and (cells[-1].stage, cells[-1].base) == (cell.stage, cell.base):
        start = cells.pop().start_m
    cells.append(Cell(start, cell.end_m, cell.stage, cell.base))


def cell_at(cells: Sequence[Cell], station_m: float) -> Cell:
    """The cell at a station, or the nearest."""
    best, least = cells[0], inf
    for cell in cells:
        if cell.start_m <= station_m <= cell.end_m:
            return cell
        off = cell.start_m - station_m if station_m < cell.start_m else station_m - cell.end_m
        if off < least:
            best, least = cell, off
    return best


def _meetings(walls: Walls) -> dict[str, list[tuple[str, float, float]]]:
    """By leg the legs it meets, with the stations on itself and on the other."""
    found: dict[str, dict[tuple[str, float, float], None]] = defaultdict(dict)
    for node in walls.nodes:
        for one in node.arms:
            for two in node.arms:
                if two.leg != one.leg:
                    found[one.leg][two.leg, one.station_m, two.station_m] = None
    return {leg: list(meetings) for leg, meetings in found.items()}


def _start(piece: Piece) -> float:
    return min(piece.start_m)


def _lap(piece: Piece, start_m: float, end_m: float) -> float:
    """How much of a piece lies in a stretch; negative where it is apart from it."""
    (near, far), (line, back) = piece.start_m, piece.end_m
    return _common(near if near < far else far, line if line > back else back, start_m, end_m)


def _off(piece: Piece, station_m: float) -> float:
    """How far a station lies beyond the ends of a piece; 0 within."""
    return max(min(piece.start_m) - station_m, station_m - max(piece.end_m), 0.0)


def _common(first_m: float, last_m: float, start_m: float, end_m: float) -> float:
    """How much two stretches have in common; negative where they are apart."""
    return (last_m if last_m < end_m else end_m) - (first_m if first_m > start_m else start_m)


_Side = tuple[float, float, float, float, float]
"""Start of a side, outward and as long as the side, and how far beyond it lies what is parted by it."""


def _sides(ring: Sequence[Point]) -> list[_Side]:
    """Sides of a convex ring."""
    ends = list(pairwise((*ring, ring[0])))
    turn = sum(ax * by - bx * ay for (ax, ay), (bx, by) in ends)
    found = []
    for (ax, ay), (bx, by) in ends:
        x, y = (by - ay, ax - bx) if turn > 0 else (ay - by, bx - ax)  # outward
        size = (x * x + y * y) ** 0.5
        if size > 0.0:
            found.append((ax, ay, x, y, -_CORNER_M * size))
    return found


def _apart(sides: Sequence[_Side], ring: Sequence[Point]) -> bool:
    """Whether one of the sides of a ring has another ring beyond it, or all but a sliver of it."""
    for ax, ay, x, y, least in sides:
        for px, py in ring:
            if (px - ax) * x + (py - ay) * y <= least:
                break
        else:
            return True
    return False
