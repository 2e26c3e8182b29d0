"""The laying order of a wall: course by course from the bottom up, with levels, and where its pins are driven.

It stands beside the wall's first part where the paper is wide enough there, else in the strip of the sheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import takewhile

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import PITCH_LIST, RESERVE, width, wrap
from lynchet.drawings.model import Item, Line, Text
from lynchet.drawings.wall_elevation import unsized
from lynchet.drawings.wall_face import Face, Interval, pieces_in
from lynchet.drawings.wall_facts import piece_marks
from lynchet.walls.model import Piece
from lynchet.walls.off_level import back_words

Row = tuple[str, str, str]
ORDER_MM = 52.0
"""Width of the table beside a wall."""
HEADS: Row = ("course", "lay from the left", "bottom at")
_H = 2.5
_ROW_MM = 4.0
_HEAD_MM = 11.0
_COURSE_MM, _LEVEL_MM = 11.0, 15.0
_APART_MM = 1.5
_GAP_MM = 2.4
_AT_PEG_M = 0.005
"""Timber that ends no farther from a peg ends at it."""


def courses(face: Face, shown: Sequence[Interval], figures: Figures) -> list[Row]:
    """All pieces of a course from the left, and its underside's level; last the level of the highest top. The lowest
    courses that stand are one row: nothing is left to do in them.

    Args:
        face: the wall.
        shown: stretches of it; the courses that show there are listed.
        figures: for the levels.
    """
    marks = piece_marks(face.plan, face.leg)
    rows = {run.id: run.row for run in face.plan.walls.runs}
    table: dict[int, list[tuple[float, Piece]]] = {}
    for piece, span in pieces_in(face, (0.0, face.length_m)):
        table.setdefault(rows[piece.run], []).append((span[0], piece))
    lines: list[Row] = []
    told = sorted({rows[piece.run] for part in shown for piece, _ in pieces_in(face, part)})
    laid = _standing_rows(face, told, {row: [piece for _, piece in table[row]] for row in told})
    for row in told[max(len(laid) - 1, 0) :]:
        pieces = [piece for _, piece in sorted(table[row], key=lambda one: one[0])]
        if row in laid:
            row_said, said = (f"{laid[0]}–{row}", "stand") if len(laid) > 1 else (str(row), "stands")
            pieces = [piece for _, piece in table[laid[0]]]
        else:
            row_said, said = str(row), _course_words(face, pieces, marks)
        lines.append((row_said, said, figures.laid(min(piece.bottom_m for piece in pieces))))
    top = max((piece.top_m for row in told[-1:] for _, piece in table[row]), default=0.0)
    return [*lines, ("", "top", figures.laid(top))]


def _standing_rows(face: Face, told: Sequence[int], pieces: Mapping[int, Sequence[Piece]]) -> list[int]:
    """The lowest of some courses of which every piece stands."""
    return list(takewhile(lambda row: all(face.plan.walls.stands(piece) for piece in pieces[row]), told))


def _course_words(face: Face, pieces: Sequence[Piece], marks: Mapping[str, str]) -> str:
    """Pieces of a course in order, those that stand called so, and how many ties are laid with the others."""
    standing = face.plan.walls.standing
    ties = sum(tie.course == pieces[0].course and not standing.stands(tie.leg, tie.course, tie.station_m)
               for tie in face.plan.stability.ties_of(face.leg.id))  # fmt: skip
    tied = (f"+ {ties} tie" + ("s" if ties > 1 else ""),) if ties else ()
    stands = [piece for piece in pieces if face.plan.walls.stands(piece)]
    there = ("stand" if len(stands) > 1 else "stands",) if len(stands) == len(pieces) else ()
    named = (f"{marks[piece.id]} stands," if piece in stands and not there else marks[piece.id] for piece in pieces)
    return "  ".join((*named, *there, *tied)).removesuffix(",")


def stands_whole(face: Face) -> bool:
    """Whether every piece of a wall stands."""
    mine = [piece for piece in face.plan.pieces if piece.leg == face.leg.id]
    return bool(mine) and all(face.plan.walls.stands(piece) for piece in mine)


def pin_words(face: Face, parts: Sequence[Interval], figures: Figures) -> str:
    """Where pins are still to be driven in parts of a wall, from its left end; empty without any."""
    stands = face.plan.walls.standing.stands
    at = sorted(face.x(pin.station_m) for pin in face.plan.stability.pins_of(face.leg.id)
                if not stands(pin.leg, pin.course, pin.station_m))  # fmt: skip
    return ", ".join(figures.length(x) for x in at if _shown(x, parts))


def _shown(x: float, parts: Sequence[Interval]) -> bool:
    """Whether a place is in one of the parts; one where two meet is in the left."""
    return any((low if low > 0.0 else -1.0) < x <= high for low, high in parts)


def weep_words(face: Face, parts: Sequence[Interval], figures: Figures) -> str:
    """Where weep holes are bored in parts of a wall, from its left end, course by course; empty without any. Of courses
    that stand nobody knows whether they are bored: they are told apart."""
    rows = {(run.leg, run.course): run.row for run in face.plan.walls.runs}
    found: dict[tuple[bool, int, float], list[float]] = {}
    for hole in face.plan.stability.weeps_of(face.leg.id):
        there = face.plan.walls.standing.stands(hole.leg, hole.course, hole.station_m)
        key = there, rows[hole.leg, hole.course], round(hole.up_m, 4)
        if _shown(face.x(hole.station_m), parts):
            found.setdefault(key, []).append(face.x(hole.station_m))
    unit = "" if figures.system == "us" else " mm"
    said: dict[bool, list[str]] = {}
    for (there, row, up), at in sorted(found.items()):
        places = ", ".join(figures.timber(x) for x in sorted(at))
        said.setdefault(there, []).append(f"course {row}, {figures.small(up)}{unit} over its underside, at {places}")
    later = f"in timber that stands, bore now where none is yet: {'; '.join(said[True])}" if True in said else ""
    return "; ".join((*said.get(False, ()), *((later,) if later else ())))


def left_end_words(face: Face, figures: Figures) -> str:
    """Where the left end of a wall's timber, from which its places are counted, is off the peg there: "140 mm right of
    peg W3.a". Empty where it is at the peg: pegs stand where lines meet, timber stops at the wall it meets or leans."""
    (ax, ay), (dx, dy) = face.leg.start_m, face.leg.direction
    found: list[tuple[float, str]] = []
    for peg in face.plan.walls.setting_out.points:
        if re.fullmatch(rf"{re.escape(face.leg.id)}\.[a-z]+", peg.id):
            found.append((face.x((peg.point_m[0] - ax) * dx + (peg.point_m[1] - ay) * dy), peg.id))
    at, name = min(found, default=(0.0, ""))
    if not name or abs(at) < _AT_PEG_M:
        return ""
    return f"{figures.small_words(abs(at))} {'right' if at < 0.0 else 'left'} of peg {name}"


def level_words(face: Face) -> str:
    """What brings a wall that was measured off its level back to it; empty where nothing does."""
    return back_words(face.plan.project, face.leg, face.plan.walls.standing.leg(face.leg.id))


def length_words(face: Face, parts: Sequence[Interval], figures: Figures) -> str:
    """Mark and length of the pieces to lay that show in parts but have no room for their length: "6a 694, 3a 843"."""
    marks, rows = piece_marks(face.plan, face.leg), {run.id: run.row for run in face.plan.walls.runs}
    unsaid = [piece for piece in unsized(face, parts, figures) if not face.plan.walls.stands(piece)]
    found = sorted(unsaid, key=lambda piece: (rows[piece.run], marks[piece.id]))
    return ", ".join(f"{marks[piece.id]} {figures.piece(piece.length_m)}" for piece in found)


def order_head(face: Face) -> str:
    """What stands over a wall's courses."""
    return "Stands: nothing to lay" if stands_whole(face) else "Laying order"


def order_high_mm(face: Face, parts: Sequence[Interval], figures: Figures) -> float:
    """The room a wall's laying order takes beside it."""
    rows = courses(face, ((0.0, face.length_m),), figures)
    notes = _notes(face, parts, figures)
    return _HEAD_MM + sum(_ROW_MM * len(lines) for lines in _laid(rows)) + _GAP_MM + len(notes) * _H * PITCH_LIST


def order_items(face: Face, parts: Sequence[Interval], at: tuple[float, float], figures: Figures) -> Iterator[Item]:
    """The table on the sheet, paper mm.

    Args:
        face: the wall.
        parts: in which it is drawn.
        at: its left and its top.
        figures: for levels and places.
    """
    left, top = at
    right, name = left + ORDER_MM, f"order-{face.leg.id}"
    y = top + 9.0
    yield Text(id=f"{name}-head", layer="labels", at=(left, top + 4.0), text=order_head(face).upper(), h=2.8,
               weight="bold")  # fmt: skip
    for n, (x, said) in enumerate(zip((left, left + _COURSE_MM, right), HEADS, strict=True)):
        yield Text(id=f"{name}-column-{n}", layer="labels", at=(x, y), text=said, h=2.2, role="mid",
                   anchor="r" if n == 2 else "l")  # fmt: skip
    yield Line(id=f"{name}-rule", layer="title", pts=((left, y + 1.0), (right, y + 1.0)), pen="thin")
    rows = courses(face, ((0.0, face.length_m),), figures)
    for n, ((course, _, level), pieces) in enumerate(zip(rows, _laid(rows), strict=True)):
        y += _ROW_MM
        row = f"{name}-{n:02d}"
        if course:
            yield Text(id=f"{row}-course", layer="labels", at=(left, y), text=course, weight="bold")
        yield Text(id=f"{row}-level", layer="labels", at=(right, y), text=level, anchor="r")
        for k, line in enumerate(pieces):
            y += _ROW_MM if k else 0.0
            yield Text(id=f"{row}-{k}", layer="labels", at=(left + _COURSE_MM, y), text=line,
                       role="ink" if course else "mid")  # fmt: skip
        yield Line(id=f"{row}-rule", layer="title", pts=((left, y + 0.9), (right, y + 0.9)), pen="hair")
    y += _GAP_MM
    for n, line in enumerate(_notes(face, parts, figures)):
        yield Text(id=f"{name}-notes-{n}", layer="labels", at=(left, y + (n + 1) * _H * PITCH_LIST - 1.0), text=line)


def _notes(face: Face, parts: Sequence[Interval], figures: Figures) -> tuple[str, ...]:
    """Where pins are driven, and the lengths that stand in no piece."""
    whole = ((0.0, face.length_m),)
    pins, lengths = pin_words(face, whole, figures), length_words(face, parts, figures)
    unit, small = ("", "") if figures.system == "us" else (", metres", ", mm")
    back = level_words(face)
    said = [f"Back to level: {back}."] if back else []
    end = left_end_words(face, figures)
    said += [f"Left end: {end}."] if end else []
    said += [f"Pins{unit} from the left end: {pins}."] if pins else []
    holes = weep_words(face, whole, figures)
    said += [f"Weep holes{unit} from the left end: {holes}."] if holes else []
    said += [f"Lengths with no room in the piece{small}: {lengths}."] if lengths else []
    return tuple(line for words in said for line in wrap(words, ORDER_MM, _H))


def _laid(rows: Sequence[Row]) -> list[tuple[str, ...]]:
    """The pieces of each course in lines that keep off the levels."""
    level = max(_LEVEL_MM, *(width(row[2], _H) * RESERVE + _APART_MM for row in rows))
    return [wrap(row[1].replace("  ", " "), ORDER_MM - _COURSE_MM - level, _H) for row in rows]
