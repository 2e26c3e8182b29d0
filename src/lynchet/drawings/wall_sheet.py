"""Wall sheets: one wall by course, in parts of paper length, with its laying order and both heights."""

from __future__ import annotations

from itertools import pairwise
from math import ceil

from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.landings import pad_words
from lynchet.drawings.model import Item, Sheet, Text, View
from lynchet.drawings.numbers import numbered
from lynchet.drawings.paper import Box, Paper, scale_words, sheet_paper
from lynchet.drawings.section import both_scales
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Content, Note, Rows, strip
from lynchet.drawings.wall_above import (
    ABOVE_MM,
    UNDER_MM,
    above_items,
    before_m,
    courses_from_above,
    depth_m,
    row_of,
    scale_from_above,
    stretch_of,
    ties_in,
)
from lynchet.drawings.wall_elevation import part_items
from lynchet.drawings.wall_face import Face, Interval, face_of, pieces_in, scale_of
from lynchet.drawings.wall_facts import piece_marks, standing
from lynchet.drawings.wall_sizes import lowest_m, size_items
from lynchet.walls.model import Leg, Piece

_HEAD_MM = 14.0
_ABOVE_MM = 24.0
_BELOW_MM = 19.0
_LEFT_MM = 48.0
_RIGHT_MM = 43.0
_MOST_PARTS = 12
Look = tuple[Face, Figures, Paper]
Course = tuple[int, Interval]
Page = list[tuple[Interval | Course, View]]
"""Parts by their stretch, courses from above by number and stretch, each with its view."""
CHECKS = (
    "Top level end to end. Joints clear of the joints below. Cut ends brushed with end-cut liquid before they are "
    "laid. Wear gloves, mask and glasses when cutting treated timber; no offcuts on a fire."
)
HEIGHTS = (
    "Seen: finished ground in front to the top. With buried: underside of the lowest timber to the top. Offices count "
    "one or the other: ask which."
)


def wall_sheets(plan: Planned, leg_id: str, stamp: Stamp) -> tuple[Sheet, ...]:
    """The sheets of one wall, as many as its length needs; none where nothing stands on the leg.

    Args:
        plan: what is shown.
        leg_id: id of the leg.
        stamp: firm, date, issue and sheet numbers.
    """
    laid = _laid_out(plan, leg_id)
    if laid is None:
        return ()
    look, pages = laid
    return tuple(_sheet(look, page, len(pages), stamp, n) for n, page in enumerate(pages))


def wall_sheet_names(plan: Planned) -> dict[str, tuple[str, ...]]:
    """Names of the sheets of every wall that gets one, without drawing them: "wall-W2", "wall-W2-2"."""
    found = {}
    for leg in wall_sheet_ids(plan):
        laid = _laid_out(plan, leg)
        if laid is not None:
            found[leg] = tuple(_name(leg, n) for n in range(len(laid[1])))
    return found


def _name(leg: str, n: int) -> str:
    return f"wall-{leg}" + (f"-{n + 1}" if n else "")


def _laid_out(plan: Planned, leg_id: str) -> tuple[Look, list[Page]] | None:
    """How a wall is cut into parts and stacked on sheets; None where nothing is drawn."""
    leg = next((leg for leg in standing(plan) if leg.id == leg_id), None)
    if leg is None or not any(piece.leg == leg_id for piece in plan.pieces):
        return None
    figures, paper = Figures(plan.project.units), sheet_paper(plan.project.units)
    face = face_of(plan, leg)
    left, top, right, bottom = paper.field
    field = (left + 4.5, top + 4.5, right - 4.5, bottom - 4.5)
    scale = scale_of(figures)
    parts = _parts(face, (field[2] - field[0] - _LEFT_MM - _RIGHT_MM) * scale / 1000.0, field[3] - field[1], scale)
    return (face, figures, paper), _pages((face, figures), parts, field, scale)


def wall_sheet_ids(plan: Planned) -> tuple[str, ...]:
    """Ids of the walls that get a sheet, in the order of the file."""
    laid = {piece.leg for piece in plan.pieces}
    return tuple(leg.id for leg in standing(plan) if leg.id in laid)


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
        if all(_height_mm(face, part, scale)[2] <= highest_mm for part in parts):
            break
    return parts


def _nearest(joints: list[float], at: float) -> float:
    return min(joints, key=lambda x: abs(x - at), default=at)


def _height_mm(face: Face, part: Interval, scale: int) -> tuple[float, float, float]:
    """Lowest and highest level of a part, and the paper height it takes with its dimensions and heads."""
    low, high = lowest_m(face, part), max(piece.top_m for piece, _ in pieces_in(face, part))
    return low, high, (high - low) * 1000.0 / scale + _HEAD_MM + _ABOVE_MM + _BELOW_MM


def _pages(look: tuple[Face, Figures], parts: list[Interval], field: Box, scale: int) -> list[Page]:
    """Parts, then courses from above, stacked on as few sheets as hold them."""
    face, figures = look
    pages: list[Page] = []
    y = field[3] + 1.0
    for n, part in enumerate(parts):
        low, high, need = _height_mm(face, part, scale)
        if y + need > field[3] or not pages:
            pages.append([])
            y = field[1]
        foot = y + _HEAD_MM + _ABOVE_MM + (high - low) * 1000.0 / scale
        region = (field[0], y + _HEAD_MM - 2.0, field[2], min(field[3], foot + _BELOW_MM))
        origin = (field[0] + _LEFT_MM, foot)
        pages[-1].append((part, View(f"part-{n + 1}", "elevation", scale, (), region, "", (part[0], low), origin)))
        y += need
    room = field[2] - field[0] - _LEFT_MM - _RIGHT_MM
    for course in courses_from_above(face) if pages else ():
        stretch = stretch_of(face, course, room, figures)
        scale = scale_from_above(stretch, room, figures)
        deep = depth_m(face, course) * 1000.0 / scale
        under = UNDER_MM + before_m(face, course) * 1000.0 / scale
        if y + _HEAD_MM + ABOVE_MM + deep + under > field[3]:
            # A course without ties is shown only where there is room for it.
            if not ties_in(face, course):
                continue
            pages.append([])
            y = field[1]
        foot = y + _HEAD_MM + ABOVE_MM + deep
        region = (field[0], y + _HEAD_MM - 2.0, field[2], min(field[3], foot + under))
        at = (field[0] + _LEFT_MM, foot)
        view = View(f"above-{course}", "plan", scale, (), region, "", (stretch[0], 0.0), at)
        pages[-1].append(((course, stretch), view))
        y = foot + under
    return pages


def _sheet(look: Look, page: Page, count: int, stamp: Stamp, n: int) -> Sheet:
    face, figures, paper = look
    name = _name(face.leg.id, n)
    title = f"Wall {face.leg.id} by course" + (f", {n + 1} of {count}" if count > 1 else "")
    views, heads = [], []
    for k, (part, view) in enumerate(page):
        items, named = _drawn(face, part, view.scale, figures)
        views.append(View(view.id, view.kind, view.scale, items, view.region, named[0], view.at_world, view.at_paper))
        top = view.region[1] - _HEAD_MM + 2.0
        left = view.region[0] + 2.0
        heads += [
            Text(id=f"head-{k}", layer="labels", at=(left, top + 5.0), text=named[0], h=4.0, weight="bold"),
            Text(id=f"under-{k}", layer="labels", at=(left, top + 10.5), text=named[1]),
        ]
    scales = tuple(sorted({view.scale for view in views}))
    fields = stamp.fields(name, title, both_scales(scales[0], scales[-1], figures), face.plan)
    entries = key.entries([item for view in views for item in view.items], figures)
    shown = [(part[0], part[1]) for part, _ in page if not isinstance(part[1], tuple)] or [(0.0, face.length_m)]
    notes_of: tuple[Note | Rows, ...] = (
        Note("Check each course", CHECKS),
        _laying(face, shown, figures),
        Note("Heights counted both ways", HEIGHTS),
        *_landings(face, figures),
        *numbered(views, [view.title.split(",")[0] for view in views]),
    )
    content = Content(f"Wall {face.leg.id}", entries, notes_of, scales)
    marks, notes = strip(paper, fields, content, figures)
    return Sheet(name, "wall", paper, fields, tuple(views), (*heads, *marks), stamp.theme, cautions=(CHECKS,),
                 alt=_alt(face, figures), notes=notes)  # fmt: skip


def _landings(face: Face, figures: Figures) -> tuple[Note, ...]:
    """What is to be built up at the foot and the head of steps over this wall."""
    over = [one.id for one in face.plan.terraces.flights if face.leg.id in (one.line, *one.lines)]
    words = pad_words(face.plan, figures, over) if over else ""
    return (Note("Steps here", f"{words[:1].upper()}{words[1:]}."),) if words else ()


def _drawn(
    face: Face, shown: Interval | Course, scale: int, figures: Figures
) -> tuple[tuple[Item, ...], tuple[str, str]]:
    """What a view shows, and its title and line under it."""
    if not isinstance(shown[1], tuple):
        part = (shown[0], shown[1])
        items = (*part_items(face, part, figures), *size_items(face, part, figures))
        return items, _part_title(face, part, figures)
    course, stretch = int(shown[0]), shown[1]
    row, ties = row_of(face, course), len(ties_in(face, course))
    title = f"Course {row} of wall {face.leg.id} from above" + (", with its ties" if ties else "")
    under = f"{scale_words(scale, figures.system)}. Front at the bottom."
    if stretch[1] - stretch[0] < face.length_m - 1e-6:
        under += f" From {figures.length(stretch[0])} to {figures.length(stretch[1])} from its left end."
    if ties:
        low = f"course {row - 1}" if row > 1 else "the stone bed"
        under += f" Ties lie level on {low} and tamped fill."
    return tuple(above_items(face, course, (stretch, scale), figures)), (title, under)


def _part_title(face: Face, part: Interval, figures: Figures) -> tuple[str, str]:
    whole = part[1] - part[0] > face.length_m - 1e-6
    side = _front(face)
    scale = scale_words(scale_of(figures), figures.system)
    lengths = "feet and inches" if figures.system == "us" else "metres"
    title = f"Wall {face.leg.id}, seen from {side}"
    if whole:
        return title, f"{scale}. Piece mark, then length in {lengths}."
    reach = f"{figures.length(part[0])} to {figures.length(part[1])} from its left end"
    return title, f"{scale}. From {reach}. Piece mark, then length in {lengths}."


def _front(face: Face) -> str:
    """Where one stands to see it so."""
    low = sorted({span.low_face for span in face.leg.spans if span.held == face.held})
    if len(low) == 1 and low[0].startswith("B"):
        return f"bed {low[0][1:]}"
    if low and all(name.startswith("P") for name in low):
        return "the path"
    if face.leg.role == "edge":
        return "outside" if face.held > 0 else "inside"
    return "its low side"


def _laying(face: Face, shown: list[Interval], figures: Figures) -> Rows:
    """Courses that show on the sheet, from the bottom up: all their pieces from the left, and the underside's level."""
    marks = piece_marks(face.plan, face.leg)
    rows = {run.id: run.row for run in face.plan.walls.runs}
    table: dict[int, list[tuple[float, Piece]]] = {}
    for piece, span in pieces_in(face, (0.0, face.length_m)):
        table.setdefault(rows[piece.run], []).append((span[0], piece))
    lines = []
    here = {rows[piece.run] for part in shown for piece, _ in pieces_in(face, part)}
    for row in sorted(here):
        pieces = [piece for _, piece in sorted(table[row], key=lambda one: one[0])]
        bottom = figures.level(min(piece.bottom_m for piece in pieces))
        ties = sum(tie.course == pieces[0].course for tie in face.plan.stability.ties_of(face.leg.id))
        tied = (f"+ {ties} tie" + ("s" if ties > 1 else ""),) if ties else ()
        lines.append((str(row), "  ".join((*(marks[piece.id] for piece in pieces), *tied)), bottom))
    columns = (Column("course", 0.16, "l"), Column("lay from the left", 0.58, "l"), Column("bottom at", 0.26))
    return Rows("Laying order", columns, tuple(lines))


def _alt(face: Face, figures: Figures) -> str:
    leg: Leg = face.leg
    count = sum(piece.leg == leg.id for piece in face.plan.pieces)
    return (
        f"Wall {leg.id}, {figures.words(face.length_m)} long, by course: {count} pieces with their marks and lengths."
    )
