"""Walls laid out on sheets: cut into parts of paper length, and as many walls to a sheet as it holds in full size.

Walls come in the order of the file, unless a later one fills up a sheet and so spares one. A wall that would be torn
apart starts on a sheet of its own where it then stays whole and no sheet more is needed; short parts stand beside each
other. A sheet takes another wall only while its laying order finds room.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import ceil

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import RESERVE, width
from lynchet.drawings.model import View
from lynchet.drawings.paper import Box, PageTooSmallError, Paper, paper_of, scale_words
from lynchet.drawings.source import Planned
from lynchet.drawings.wall_above import (
    ABOVE_MM,
    UNDER_MM,
    before_m,
    courses_from_above,
    depth_m,
    scale_from_above,
    stretch_of,
    ties_in,
)
from lynchet.drawings.wall_face import Face, Interval, face_of, pieces_in, scale_of
from lynchet.drawings.wall_facts import standing
from lynchet.drawings.wall_order import ORDER_MM, order_high_mm
from lynchet.drawings.wall_sizes import has_base_steps, has_ties, lowest_m, whole_off_mm
from lynchet.drawings.wall_words import Shown, said_of

HEAD_MM, MORE_MM = 12.0, 7.0
"""Over a picture, for its title and the line under it; for one line where a wall goes on."""
_OVER_CHAIN_MM, _OVER_TIES_MM = 4.0, 22.2
_BELOW_MM, _BELOW_STEPS_MM = 2.5, 9.0
_LEFT_MM = 39.0
_RIGHT_MM = 32.0
_GAP_MM = 2.5
_WORDS_MM = 7.5
"""Under the underside of the timber, for the words under both heights."""
_MOST_PARTS = 12
_FULL_ENOUGH = (0.0, 0.45, 2.0)
"""How full a sheet must be to be left for the next, so that a wall stays in one piece: always, sometimes, never."""
_STRIP_MM = 152.0
"""What key, cautions and scale bars take of the strip beside a laying order."""
_LAYING_ROW_MM = 3.7
_ORDER_GAP_MM = 1.8
_MOST_ORDER = 1.3
"""How much higher than the picture a laying order beside it may be."""


@dataclass(frozen=True)
class Block:
    """One part of a wall, or one course of it from above, with its place on a sheet."""

    face: Face
    shown: Shown
    view: View
    """Without items."""
    order: bool = False
    """The wall's laying order stands beside it, at its right."""
    head_mm: float = HEAD_MM
    end_mm: float = 0.0
    """Right edge of all it takes, the laying order beside the view with it."""
    parts: tuple[Interval, ...] = ()
    """All parts of its wall, on whatever sheets."""


Page = list[Block]


@dataclass(frozen=True)
class _Piece:
    """A block before it has a place: what it shows, its scale, and the room it takes."""

    face: Face
    shown: Shown
    scale: int
    wide_mm: float
    over_mm: float
    """From its head to its foot line."""
    under_mm: float
    low: float
    start: float
    head_mm: float = HEAD_MM
    order: bool = False
    """With the wall's laying order beside it."""
    parts: tuple[Interval, ...] = ()

    @property
    def high_mm(self) -> float:
        return self.over_mm + self.under_mm


@dataclass
class _Packer:
    """Puts blocks on pages, row by row."""

    box: Box
    most_rows: int
    full_enough: float
    pages: list[Page] = field(default_factory=list)
    x: float = 0.0
    y: float = 1e9
    next_y: float = 1e9
    rows: int = 0
    """Rows of the laying order on the page."""

    def wall(self, pieces: Sequence[_Piece], courses: int) -> None:
        """One wall; on a new page where only so it stays whole, or its laying order finds no room in the strip."""
        listed = 0 if pieces[0].order else courses
        _, top, _, bottom = self.box
        whole = sum(piece.high_mm + _GAP_MM for piece in pieces) - _GAP_MM
        used = self.next_y - top
        torn = self.next_y + whole > bottom and whole <= bottom - top
        if (listed and self.rows + listed > self.most_rows) or (torn and used > self.full_enough * (bottom - top)):
            self._turn()
        before = len(self.pages)
        self._place(pieces[0])
        self.rows = listed if len(self.pages) > before else self.rows + listed
        begun = len(self.pages)
        for piece in pieces[1:]:
            self._place(piece)
        if len(self.pages) > begun:  # it goes on there: its courses are listed in the strip
            self.rows = courses

    def _turn(self) -> None:
        self.next_y = 1e9

    def _place(self, piece: _Piece) -> None:
        left, top, right, bottom = self.box
        beside = self.x + piece.wide_mm <= right and self.y + piece.high_mm <= bottom and self.next_y < 1e8
        if not beside:
            self.x, self.y = left, self.next_y
            if self.y + piece.high_mm > bottom + 1e-6 or not self.pages:
                if _left_out_if_crowded(piece) and self.pages:
                    return
                self.pages.append([])
                self.y, self.rows = top, 0
                self.next_y = top
        self.pages[-1].append(_placed(piece, (self.x, self.y), bottom))
        self.x += piece.wide_mm + _GAP_MM
        self.next_y = max(self.next_y, self.y + piece.high_mm + _GAP_MM)


def wall_pages(plan: Planned, legs: Sequence[str] = ()) -> list[Page]:
    """Every wall laid out, or those named alone.

    Args:
        plan: what is shown.
        legs: ids of legs; empty = all that have pieces, in the order of the file.

    Raises:
        PageTooSmallError: a part of a wall is higher than the paper.
    """
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    left, top, right, bottom = paper.field
    box = (left + 4.5, top + 4.5, right - 4.5, bottom - 4.5)
    walls: list[tuple[list[_Piece], int]] = []
    for leg in standing(plan):
        if leg.id in (legs or wall_sheet_ids(plan)) and any(piece.leg == leg.id for piece in plan.pieces):
            courses = len({piece.course for piece in plan.pieces if piece.leg == leg.id}) + 1
            pieces = list(_pieces(face_of(plan, leg), box, figures))
            if any(piece.high_mm > box[3] - box[1] + 1e-6 for piece in pieces):
                scale = scale_words(scale_of(figures), figures.system)
                raise PageTooSmallError(paper, f"it is higher than the paper at {scale}", f"Wall {leg.id} by course")
            walls.append((pieces, courses))
    packers = [_Packer(box, _rows_of(paper), full) for full in _FULL_ENOUGH]
    for packer in packers:
        for pieces, courses in walls:
            packer.wall(pieces, courses)
    bare = [([piece for piece in pieces if not _left_out_if_crowded(piece)], courses) for pieces, courses in walls]
    found = [*(packer.pages for packer in packers), *(_gathered(some, box, _rows_of(paper)) for some in (walls, bare))]
    return min(found, key=lambda pages: (len(pages), sum(len(legs_on(page)) for page in pages)))


def _gathered(walls: Sequence[tuple[list[_Piece], int]], box: Box, rows: int) -> list[Page]:
    """Each wall on the first sheet that still holds it whole, else on a new one."""
    packers: list[_Packer] = []
    for pieces, courses in walls:
        for n, packer in enumerate(packers):
            tried = replace(packer, pages=[list(page) for page in packer.pages])
            tried.wall(pieces, courses)
            if len(tried.pages) == len(packer.pages):
                packers[n] = tried
                break
        else:
            packers.append(_Packer(box, rows, 0.0))
            packers[-1].wall(pieces, courses)
    return [page for packer in packers for page in packer.pages]


def wall_sheet_ids(plan: Planned) -> tuple[str, ...]:
    """Ids of the walls that get a place on a sheet, in the order of the file."""
    laid = {piece.leg for piece in plan.pieces}
    return tuple(leg.id for leg in standing(plan) if leg.id in laid)


def page_names(pages: Sequence[Page]) -> tuple[str, ...]:
    """A name for each sheet, after the first wall on it: "wall-W2", or "wall-W2-2" where that wall goes on there."""
    names: list[str] = []
    for page in pages:
        leg = page[0].face.leg.id
        more = sum(leg in legs_on(other) for other in pages[: len(names)])
        names.append(f"wall-{leg}" + (f"-{more + 1}" if more else ""))
    return tuple(names)


def legs_on(page: Page) -> tuple[str, ...]:
    """Walls of a sheet in order."""
    return tuple(dict.fromkeys(block.face.leg.id for block in page))


def wall_sheet_names(plan: Planned) -> dict[str, tuple[str, ...]]:
    """Names of the sheets each wall is on, without drawing them."""
    pages = wall_pages(plan)
    found: dict[str, tuple[str, ...]] = {}
    for name, page in zip(page_names(pages), pages, strict=True):
        for leg in legs_on(page):
            found[leg] = (*found.get(leg, ()), name)
    return found


def _rows_of(paper: Paper) -> int:
    """Rows of the laying order that a strip holds beside all else."""
    _, top, _, bottom = paper.frame
    return max(6, int((bottom - top - 66.0 - _STRIP_MM + 15.0) / _LAYING_ROW_MM))


def _pieces(face: Face, box: Box, figures: Figures) -> Iterator[_Piece]:
    """Parts from the left, then courses from above."""
    scale = scale_of(figures)
    room = box[2] - box[0] - _LEFT_MM - _RIGHT_MM
    parts = tuple(_parts(face, room * scale / 1000.0, box[3] - box[1], scale))
    for n, part in enumerate(parts):
        low, _, over, under = _heights_mm(face, part, scale)
        head = MORE_MM if n else HEAD_MM
        wide = _wide(face, part, (part[1] - part[0], scale), figures)
        piece = _Piece(face, part, scale, wide, over - HEAD_MM + head, under, low, part[0], head, parts=parts)
        yield piece if n else _with_order(piece, box, figures)
    for course in courses_from_above(face):
        stretch = stretch_of(face, course, room, figures)
        scale = scale_from_above(stretch, room, figures)
        deep, front = (size * 1000.0 / scale for size in (depth_m(face, course), before_m(face, course)))
        wide = _wide(face, (course, stretch), (stretch[1] - stretch[0], scale), figures)
        yield _Piece(face, (course, stretch), scale, wide, HEAD_MM + ABOVE_MM + deep, UNDER_MM + front, 0.0, stretch[0])


def _with_order(piece: _Piece, box: Box, figures: Figures) -> _Piece:
    """The first part of a wall with the laying order at its right, if the paper has the width and the height."""
    wide = piece.wide_mm + _ORDER_GAP_MM + ORDER_MM
    high = order_high_mm(piece.face, piece.parts, figures)
    if wide > box[2] - box[0] + 1e-6 or high > _MOST_ORDER * piece.high_mm:
        return piece
    return replace(piece, wide_mm=wide, under_mm=max(piece.under_mm, high - piece.over_mm), order=True)


def _wide(face: Face, shown: Shown, size: tuple[float, int], figures: Figures) -> float:
    """The width a block takes: its picture with sizes, or its words if they are longer."""
    title, under = said_of(face, shown, size[1], figures)
    words = max(width(title, 4.0, "bold"), width(under, 2.5)) * RESERVE + 3.0
    return max(words, _LEFT_MM + size[0] * 1000.0 / size[1] + _RIGHT_MM)


def _left_out_if_crowded(piece: _Piece) -> bool:
    """A course without ties is shown only where there is room for it."""
    return isinstance(piece.shown[1], tuple) and not ties_in(piece.face, int(piece.shown[0]))


def _placed(piece: _Piece, at: tuple[float, float], bottom: float) -> Block:
    x, y = at
    foot = y + piece.over_mm
    # No word of the picture stands in the laying order beside it.
    right = x + piece.wide_mm - (ORDER_MM + _ORDER_GAP_MM if piece.order else 0.0)
    region = (x, y + piece.head_mm - 1.0, right, min(bottom, foot + piece.under_mm))
    course = isinstance(piece.shown[1], tuple)
    name = f"above-{piece.shown[0]}" if course else f"part-{piece.start:.2f}"
    view = View(f"{piece.face.leg.id}-{name}", "plan" if course else "elevation", piece.scale, (), region, "",
                (piece.start, piece.low), (x + _LEFT_MM, foot))  # fmt: skip
    return Block(piece.face, piece.shown, view, piece.order, piece.head_mm, x + piece.wide_mm, piece.parts)


def order_at(page: Page, block: Block, right: float) -> tuple[float, float]:
    """Where the laying order beside a block begins: at the sheet's right, unless another picture stands there."""
    _, top, _, bottom = block.view.region
    end = block.end_mm
    beside = any(one.view.region[0] >= end and one.view.region[1] < bottom and one.view.region[3] > top for one in page)
    return (end if beside else right) - ORDER_MM, top - block.head_mm + 1.0


def taken_on(page: Page, paper: Paper) -> tuple[Box, ...]:
    """The boxes of a sheet's field that pictures with their heads, and laying orders beside them, take up."""
    found: list[Box] = []
    for block in page:
        left, top, right, bottom = block.view.region
        found.append((left, top - block.head_mm + 1.0, right, bottom))
        if block.order:
            x, y = order_at(page, block, paper.field[2] - 4.5)
            found.append((x, y, x + ORDER_MM, bottom))
    return tuple(found)


def _parts(face: Face, longest: float, highest_mm: float, scale: int) -> list[Interval]:
    """Parts no longer and no higher than the paper, cut at joints if near; stretches without timber left out."""
    joints = sorted(span[0] for _, span in pieces_in(face, (0.0, face.length_m)) if span[0] > 0.05)
    least = max(1, ceil(face.length_m / longest - 1e-9))
    parts: list[Interval] = []
    for count in range(least, least + _MOST_PARTS):
        even = [n * face.length_m / count for n in range(count + 1)]
        near = [0.0, *(_nearest(joints, at) for at in even[1:-1]), face.length_m]
        fits = all(0.3 < b - a <= longest for a, b in pairwise(near)) if count > 1 else True
        parts = [part for part in pairwise(near if fits else even) if pieces_in(face, part)]
        if all(sum(_heights_mm(face, part, scale)[2:]) <= highest_mm for part in parts):
            break
    return parts


def _nearest(joints: Iterable[float], at: float) -> float:
    return min(joints, key=lambda x: abs(x - at), default=at)


def _heights_mm(face: Face, part: Interval, scale: int) -> tuple[float, float, float, float]:
    """Lowest and highest level of a part, and the paper it takes over its lowest level and under it."""
    low, high = lowest_m(face, part), max(piece.top_m for piece, _ in pieces_in(face, part))
    over = _OVER_TIES_MM if has_ties(face, part) else whole_off_mm(face, part) + _OVER_CHAIN_MM
    base = min(piece.bottom_m for piece, _ in pieces_in(face, part))
    words = _WORDS_MM - (base - low) * 1000.0 / scale
    under = _BELOW_STEPS_MM if has_base_steps(face, part) else max(_BELOW_MM, words)
    return low, high, HEAD_MM + over + (high - low) * 1000.0 / scale, under
