"""One part of a wall as seen from its low side: pieces with marks, what is behind and in them, ground, sizes.

World of the picture: x = distance along the wall from the end that stands at the left, y = level.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from typing import Any

from lynchet.core.interpolated import interpolated
from lynchet.drawings.clipping import broken_line, clip_line
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import LEAST_MM, RESERVE, width
from lynchet.drawings.model import Area, Item, Label, Line, Symbol, Text
from lynchet.drawings.paper import Box
from lynchet.drawings.wall_face import (
    Face,
    Interval,
    Point,
    before_line,
    clipped,
    goes_on,
    ground_line,
    pieces_in,
    scale_of,
    timber_look,
)
from lynchet.drawings.wall_facts import piece_marks
from lynchet.drawings.wall_used import load_items
from lynchet.plan.placed import placed_of
from lynchet.walls.model import Leg, Piece

_BEYOND_M = 0.15
"""Of a wall that meets at a flat angle no more is shown: beyond it stand heights and numbers of courses."""
_OVER_MM = 1.6
"""How far over the wall the words of a notch begin, so that they stand between it and the dimension over it."""
_WORDS_MM = 2.5
_BOX = 1.42
"""Height of a text's box over its capitals."""


def part_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    """Everything of one part of a wall but its dimensions."""
    yield from _bedding(face, part)
    pieces = list(_piece_items(face, part, figures))
    yield from pieces
    yield from _others(face, part)
    yield from _ties(face, part)
    yield from _pins(face, part)
    yield from _weeps(face, part)
    yield from _notches(face, part, figures)
    yield from load_items(face, part, figures)
    yield from _grounds(face, part, list(_printed(pieces, scale_of(figures))))
    yield from _breaks(face, part)


def _bedding(face: Face, part: Interval) -> Iterable[Item]:
    plan = face.plan
    things = placed_of(plan.terraces, plan.walls, plan.water, plan.stability, ())
    for n, thing in enumerate(things):
        if thing.kind != "stone bed" or thing.owner != face.leg.id:
            continue
        stations = [face.leg.station_of(point) for point in thing.outline_m]
        span = clipped(face.span(min(stations), max(stations)), _drawn(face, part, 0.15))
        if span:
            yield _box(f"bed-{n:03d}", "hatches", span, (thing.bottom_m, thing.top_m), fill="stone", hatch="stone",
                       pen="fine", key="stone bed", of=thing.id)  # fmt: skip


def _box(name: str, layer: str, span: Interval, levels: Interval, **look: object) -> Area:
    (a, b), (low, high) = span, levels
    return Area(id=name, layer=layer, rings=(((a, low), (b, low), (b, high), (a, high)),), **look)  # type: ignore[arg-type]


def _piece_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    marks = piece_marks(face.plan, face.leg)
    ground, before = ground_line(face, part), before_line(face, part)
    for piece, inner in pieces_in(face, part):
        span = _onward(face, part, inner, face.span(min(piece.start_m), max(piece.end_m)))
        levels = (piece.bottom_m, piece.top_m)
        fill, key = timber_look(face, piece)
        yield _box(f"piece-{piece.id}", "walls", span, levels, fill=fill, pen="outline", key=key, of=piece.id)
        yield from _buried(piece, inner, ground)
        yield from _mark(face, piece, inner, (marks[piece.id], (ground, before), figures))


def _buried(piece: Piece, span: Interval, ground: list[Point]) -> Iterable[Item]:
    """The part of a piece below the finished ground in front of it."""
    from shapely.geometry import box

    if len(ground) < 2 or _clear_of(ground, span, piece.bottom_m):
        return
    shape = box(span[0], piece.bottom_m, span[1], piece.top_m)
    found = shape.intersection(_under(tuple(ground)), grid_size=1e-6)
    for n, part in enumerate(getattr(found, "geoms", [found])):
        if part.geom_type == "Polygon" and part.area > 1e-5:
            ring = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
            yield Area(id=f"buried-{piece.id}-{n}", layer="walls", z=1, rings=(ring,), hatch="buried", key="buried",
                       of=piece.id)  # fmt: skip


def _clear_of(ground: list[Point], span: Interval, bottom_m: float) -> bool:
    """Whether the ground stays under a level all along a stretch."""
    return all(max(za, zb) <= bottom_m for (xa, za), (xb, zb) in pairwise(ground)
               if max(xa, xb) >= span[0] and min(xa, xb) <= span[1])  # fmt: skip


@lru_cache(maxsize=8)
def _under(ground: tuple[Point, ...]) -> Any:
    """All that lies below a ground line."""
    from shapely.geometry import Polygon

    return Polygon([(ground[0][0], -1e3), *ground, (ground[-1][0], -1e3)]).buffer(0)


def _mark(
    face: Face, piece: Piece, span: Interval, said: tuple[str, tuple[list[Point], ...], Figures]
) -> Iterable[Item]:
    """Mark and length in a piece, clear of ties, notches and ground lines; the mark alone where it is tight."""
    mark, lines, figures = said
    scale = scale_of(figures)
    length = figures.piece(piece.length_m)
    high, small = _heights((piece.top_m - piece.bottom_m) * 1000.0 / scale)
    wide = width(mark, high, "bold") * RESERVE
    both = wide + 1.4 + width(length, small) * RESERVE
    clear = _free(span, list(_obstacles(face, piece)))
    # A pin's shaft may be crossed rather than leave a piece without its mark.
    tight = _free(span, list(_obstacles(face, piece, pins=False)))
    for texts, need, free in (((mark, length), both, clear), ((mark,), wide, clear), ((mark,), wide, tight)):
        at = _spot(piece, free, ((need + 1.6) * scale / 1000.0, _BOX * high * scale / 1000.0), lines)
        if at is None:
            continue
        left = -need / 2
        yield Text(id=f"mark-{piece.id}", layer="labels", at=at, text=mark, h=high, weight="bold",
                   shift_mm=(left, high / 2), halo="ground")  # fmt: skip
        if len(texts) > 1:
            yield Text(id=f"length-{piece.id}", layer="labels", at=at, text=length, h=small,
                       shift_mm=(left + wide + 1.4, high / 2), halo="ground")  # fmt: skip
        return


def unsized(face: Face, parts: Iterable[Interval], figures: Figures) -> list[Piece]:
    """Pieces that show in parts of a wall but have their length written in none, where they are short or crossed."""
    marks = piece_marks(face.plan, face.leg)
    shown: dict[str, Piece] = {}
    sized: set[str] = set()
    for part in parts:
        lines = ground_line(face, part), before_line(face, part)
        for piece, inner in pieces_in(face, part):
            shown[piece.id] = piece
            told = _mark(face, piece, inner, (marks[piece.id], lines, figures))
            sized |= {piece.id for item in told if item.id.startswith("length-")}
    return [piece for name, piece in shown.items() if name not in sized]


def _heights(course_mm: float) -> tuple[float, float]:
    """Heights of mark and length in a course of this height on paper: smaller where courses are low."""
    return (2.8, 2.5) if course_mm > 2.8 * 1.7 else (LEAST_MM, LEAST_MM)


def _spot(piece: Piece, free: list[Interval], size: Point, lines: tuple[list[Point], ...]) -> Point | None:
    """The best centre of a text in a piece: near its middle, its box clear of every ground line if that can be."""
    need, high = size
    middle = (min(a for a, _ in free) + max(b for _, b in free)) / 2 if free else 0.0
    nearest = _nearest(free, middle, need)
    if nearest is None:
        return None
    room = max(0.0, (piece.top_m - piece.bottom_m - high) / 2)
    spots = [nearest, *(x for a, b in free if b - a >= need for x in (a + need / 2, b - need / 2, (a + b) / 2))]
    levels = (0.0, -0.8 * room, 0.8 * room)
    y = (piece.bottom_m + piece.top_m) / 2
    tried = [(x, y + level) for x in spots for level in levels]
    return next((at for at in tried if not any(_through(at, size, line) for line in lines)), (nearest, y))


def _through(at: Point, size: Point, line: list[Point]) -> bool:
    """Whether a ground line passes through the box of a text."""
    (x, y), (wide, high) = at, size
    xs, zs = [p[0] for p in line], [p[1] for p in line]
    if len(line) < 2:
        return False
    inner = [z for px, z in line if abs(px - x) < wide / 2]
    levels = [*inner, *(interpolated(x + side * wide / 2, xs, zs) for side in (-1, 0, 1))]
    return min(levels) < y + 0.45 * high and max(levels) > y - 0.45 * high


def _obstacles(face: Face, piece: Piece, *, pins: bool = True) -> Iterable[Interval]:
    half = face.plan.project.timber.thickness_m / 2
    for tie in face.plan.stability.ties_of(face.leg.id):
        if tie.course == piece.course:
            yield face.span(tie.station_m - half, tie.station_m + half)
    for notch in face.plan.water.notches_of(face.leg.id):
        if piece.course in notch.courses:
            yield face.span(*notch.stations_m)
        elif piece.bottom_m > notch.bottom_m:  # a line to its words runs up there
            middle = sum(notch.stations_m) / 2
            yield face.span(middle - 0.01, middle + 0.01)
    for hole in face.plan.stability.weeps_of(face.leg.id):
        if hole.course == piece.course:
            yield face.span(hole.station_m - 0.03, hole.station_m + 0.03)
    for pin in face.plan.stability.pins_of(face.leg.id) if pins else ():
        if pin.course == piece.course:
            yield face.span(pin.station_m - 0.01, pin.station_m + 0.01)


def _free(span: Interval, taken: list[Interval]) -> list[Interval]:
    free = [span]
    for a, b in taken:
        free = [part for s, e in free for part in ((s, min(e, a)), (max(s, b), e)) if part[1] > part[0]]
    return free


def _nearest(free: list[Interval], middle: float, need: float) -> float | None:
    """The centre nearest to the middle of a stretch that holds a text of this length."""
    centres = [min(max(middle, a + need / 2), b - need / 2) for a, b in free if b - a >= need]
    return min(centres, key=lambda at: abs(at - middle), default=None)


def _printed(items: list[Item], scale: int) -> Iterable[Box]:
    """What marks and lengths cover, in the picture's own measure."""
    k = scale / 1000.0
    for item in items:
        if isinstance(item, Text):
            (x, y), (dx, dy) = item.at, item.shift_mm
            wide = width(item.text, item.h, item.weight) * RESERVE
            # A little more at the right: no stump of a line between a mark and its length.
            yield x + (dx - 0.4) * k, y - (dy + 0.4) * k, x + (dx + wide + 1.1) * k, y - (dy - item.h - 0.4) * k


def _grounds(face: Face, part: Interval, printed: list[Box]) -> Iterable[Item]:
    """Finished ground in front, heavy, broken behind marks; the ground before, along the wall's line, dashed."""
    after, before = ground_line(face, part), before_line(face, part)
    for n, pts in enumerate(broken_line(after, printed) if after else ()):
        yield Line(id=f"ground-after-{n}", layer="ground after", pts=pts, pen="cut", key="ground after")
    xs, zs = [p[0] for p in after], [p[1] for p in after]
    if before and any(abs(z - interpolated(x, xs, zs)) > 0.02 for x, z in before):
        shown = [piece for piece, _ in pieces_in(face, part)]
        box = (part[0], min(p.bottom_m for p in shown) - 0.15, part[1], max(p.top_m for p in shown) + 0.15)
        for n, line in enumerate(clip_line(tuple(before), box)):
            yield Line(id=f"ground-before-{n}", layer="ground after", z=1, pts=line, pen="thin", dash="hidden",
                       role="earth", key="ground before", gives_way=True)  # fmt: skip


def _others(face: Face, part: Interval) -> Iterable[Item]:
    """Ends of other walls' timber that show in this face, where a corner laps or a wall passes."""
    leg = face.leg
    own = {(run.course, run.outer_m) for run in face.plan.walls.runs if run.leg == leg.id}
    courses = {course for course, _ in own}
    for run in face.plan.walls.runs:
        if run.leg == leg.id or run.course not in courses:
            continue
        inside = [p for p in run.outline_m if -0.02 < _left(leg, p) < leg.thickness_m + 0.02]
        stations = [leg.station_of(point) for point in inside]
        if (
            len(stations) < 2
            or max(stations) < -0.01 - leg.thickness_m
            or min(stations) > leg.length_m + leg.thickness_m
        ):
            continue
        span = (min(stations), max(stations))
        covered = any(course == run.course and a - 1e-3 <= span[0] and span[1] <= b + 1e-3 for course, (a, b) in own)
        room = _drawn(face, part, _BEYOND_M)
        shown = None if covered or span[1] - span[0] < 0.02 else clipped(face.span(*span), room)
        if shown:
            yield _box(f"other-{run.id}", "walls", shown, (run.bottom_m, run.top_m), fill="paper", hatch="left over",
                       pen="fine", key="other wall", of=run.id)  # fmt: skip


def _left(leg: Leg, point: Point) -> float:
    return (point[0] - leg.start_m[0]) * leg.normal[0] + (point[1] - leg.start_m[1]) * leg.normal[1]


def _ties(face: Face, part: Interval) -> Iterable[Item]:
    half = face.plan.project.timber.thickness_m / 2 * 0.86
    for tie in face.plan.stability.ties_of(face.leg.id):
        span = clipped(face.span(tie.station_m - half, tie.station_m + half), part)
        if span is None:
            continue
        low, high = tie.bottom_m + 0.012, tie.top_m - 0.012
        yield _box(f"tie-{tie.id}", "ties", span, (low, high), pen="fine", dash="short", key="tie end", of=tie.id)
        for n, (a, b) in enumerate(((low, high), (high, low))):
            pts = ((span[0], a), (span[1], b))
            yield Line(id=f"tie-{tie.id}-x{n}", layer="ties", pts=pts, pen="fine", dash="short", of=tie.id)


def _pins(face: Face, part: Interval) -> Iterable[Item]:
    for pin in face.plan.stability.pins_of(face.leg.id):
        x = face.x(pin.station_m)
        if part[0] <= x <= part[1]:
            shaft = ((x, pin.top_m), (x, pin.bottom_m))
            yield Line(id=f"pin-{pin.id}", layer="pins", pts=shaft, pen="fine", dash="short", key="pin", of=pin.id)
            bar = ((x - 0.025, pin.top_m - 0.01), (x + 0.025, pin.top_m - 0.01))
            yield Line(id=f"pin-{pin.id}-bar", layer="pins", pts=bar, pen="visible", of=pin.id)


def _weeps(face: Face, part: Interval) -> Iterable[Item]:
    for hole in face.plan.stability.weeps_of(face.leg.id):
        x = face.x(hole.station_m)
        if part[0] <= x <= part[1]:
            yield Symbol(id=f"weep-{hole.id}", layer="water", z=3, name="weep", at=(x, hole.level_m), role="water",
                         key="weep", of=hole.id)  # fmt: skip


def _notches(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    for notch in face.plan.water.notches_of(face.leg.id):
        span = clipped(face.span(*notch.stations_m), part)
        if span is None:
            continue
        levels = (notch.bottom_m, notch.top_m)
        yield _box(f"notch-{notch.id}", "walls", span, levels, fill="water tone", pen="visible", role="water",
                   key="notch", of=notch.id, z=2)  # fmt: skip
        size = f"{figures.small(notch.width_m)} × {figures.small(notch.top_m - notch.bottom_m)}"
        x = (span[0] + span[1]) / 2
        words = (f"notch {size},", f"{figures.length(x)} from the left")
        name = f"notch-name-{notch.id}"
        over = max((piece.top_m for piece, (a, b) in pieces_in(face, part) if a <= x <= b), default=notch.top_m)
        # Its words stand over the wall, clear of timber, stone and pins.
        per_mm = scale_of(figures) / 1000.0
        top = max(piece.top_m for piece, _ in pieces_in(face, part)) + _OVER_MM * per_mm
        lines: tuple[str, ...] = (" ".join(words),)
        # Where they would run over the end of the part, in two lines, as far as the wall is low enough there.
        beside = max((piece.top_m for piece, (_, b) in pieces_in(face, part) if b > x), default=top) + _OVER_MM * per_mm
        if x + (width(lines[0], _WORDS_MM) + _OVER_MM) * per_mm > part[1] and top - beside > _WORDS_MM * 2 * per_mm:
            lines, top = words, beside
        yield Line(id=f"notch-line-{notch.id}", layer="water", pts=((x, notch.top_m), (x, max(over, top))), pen="fine",
                   role="water", of=notch.id)  # fmt: skip
        yield Label(id=name, layer="labels", anchor=((x, top),), lines=lines, role="water", priority=1,
                    gap_mm=1.2, of=notch.id)  # fmt: skip


def _breaks(face: Face, part: Interval) -> Iterable[Item]:
    """A zigzag where the wall goes on in another part, with paper beyond it."""
    runs = [piece for piece, _ in pieces_in(face, part)]
    if not runs:
        return
    low, high = min(p.bottom_m for p in runs) - 0.22, max(p.top_m for p in runs) + 0.06
    middle = (low + high) / 2
    for n, (x, way) in enumerate(zip(part, (-1.0, 1.0), strict=True)):
        if not goes_on(face, x):
            continue
        zigzag = ((x, low), (x, middle - 0.06), (x - 0.04, middle - 0.03), (x + 0.04, middle + 0.03),
                  (x, middle + 0.06), (x, high))  # fmt: skip
        beyond = x + way * 0.2
        cover = (*zigzag, (beyond, high), (beyond, low))
        yield Area(id=f"zz-break-{n}-paper", layer="ground after", z=1, rings=(cover,), fill="paper")
        yield Line(id=f"zz-break-{n}-zigzag", layer="ground after", z=1, pts=zigzag, pen="fine")


def _onward(face: Face, part: Interval, inner: Interval, whole: Interval) -> Interval:
    """A stretch as drawn: on past a break where the thing itself goes on."""
    low = max(whole[0], part[0] - 0.05) if inner[0] <= part[0] and goes_on(face, part[0]) else inner[0]
    high = min(whole[1], part[1] + 0.05) if inner[1] >= part[1] and goes_on(face, part[1]) else inner[1]
    return low, high


def _drawn(face: Face, part: Interval, beyond: float = 0.0) -> Interval:
    """The part, and ``beyond`` more at the wall's own ends."""
    low = part[0] - (0.0 if goes_on(face, part[0]) else beyond)
    return low, part[1] + (0.0 if goes_on(face, part[1]) else beyond)
