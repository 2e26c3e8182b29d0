"""One part of a wall as seen from its low side: pieces with marks, what is behind and in them, ground, sizes.

World of the picture: x = distance along the wall from the end that stands at the left, y = level.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import RESERVE, width
from lynchet.drawings.model import Area, Dim, Item, Label, Level, Line, Text
from lynchet.drawings.source import Planned
from lynchet.drawings.wall_facts import outer, piece_marks
from lynchet.ground.surface import profile
from lynchet.plan.placed import placed_of
from lynchet.walls.model import Leg, Piece

Point = tuple[float, float]
Interval = tuple[float, float]
_MARK_H = 2.8
_LENGTH_H = 2.5
_ROW_MM = 11.5
_LEVEL_MM = 24.0


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
    start, end = outer(plan, leg)
    seen = Face(plan, leg, False, start, end)
    return Face(plan, leg, (seen.held < 0) != plan.project.frame.mirrored, start, end)


def clipped(span: Interval, part: Interval) -> Interval | None:
    """The stretch inside a part, or None."""
    low, high = max(span[0], part[0]), min(span[1], part[1])
    return (low, high) if high - low > 1e-6 else None


def part_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    """Everything of one part of a wall but its dimensions."""
    yield from _bedding(face, part)
    yield from _piece_items(face, part, figures)
    yield from _others(face, part)
    yield from _ties(face, part)
    yield from _pins(face, part)
    yield from _notches(face, part, figures)
    yield from _grounds(face, part)
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


def pieces_in(face: Face, part: Interval) -> list[tuple[Piece, Interval]]:
    """Pieces of the wall that show in a part, with their stretches."""
    found = []
    for piece in face.plan.pieces:
        if piece.leg == face.leg.id:
            span = clipped(face.span(min(piece.start_m), max(piece.end_m)), part)
            if span:
                found.append((piece, span))
    return found


def _piece_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    marks = piece_marks(face.plan, face.leg)
    ground, before = ground_line(face, part), before_line(face, part)
    for piece, inner in pieces_in(face, part):
        span = _onward(face, part, inner, face.span(min(piece.start_m), max(piece.end_m)))
        levels = (piece.bottom_m, piece.top_m)
        yield _box(f"piece-{piece.id}", "walls", span, levels, fill="timber", pen="outline", key="piece", of=piece.id)
        yield from _buried(piece, inner, ground)
        yield from _mark(face, piece, inner, (marks[piece.id], (ground, before), figures))


def _buried(piece: Piece, span: Interval, ground: list[Point]) -> Iterable[Item]:
    """The part of a piece below the finished ground in front of it."""
    from shapely.geometry import Polygon, box

    if len(ground) < 2:
        return
    shape = box(span[0], piece.bottom_m, span[1], piece.top_m)
    under = Polygon([(ground[0][0], -1e3), *ground, (ground[-1][0], -1e3)]).buffer(0)
    found = shape.intersection(under, grid_size=1e-6)
    for n, part in enumerate(getattr(found, "geoms", [found])):
        if part.geom_type == "Polygon" and part.area > 1e-5:
            ring = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
            yield Area(id=f"buried-{piece.id}-{n}", layer="walls", z=1, rings=(ring,), hatch="buried", key="buried",
                       of=piece.id)  # fmt: skip


def _mark(
    face: Face, piece: Piece, span: Interval, said: tuple[str, tuple[list[Point], ...], Figures]
) -> Iterable[Item]:
    """Mark and length in a piece, clear of ties, notches and ground lines; the mark alone where it is tight."""
    mark, lines, figures = said
    scale = 24 if figures.system == "us" else 20
    length = figures.timber(piece.length_m)
    wide = width(mark, _MARK_H, "bold") * RESERVE
    both = wide + 1.4 + width(length, _LENGTH_H) * RESERVE
    free = _free(span, list(_obstacles(face, piece)))
    for texts, need in (((mark, length), both), ((mark,), wide)):
        at = _spot(piece, free, ((need + 1.6) * scale / 1000.0, _MARK_H * scale / 1000.0), lines)
        if at is None:
            continue
        left = -need / 2
        yield Text(id=f"mark-{piece.id}", layer="labels", at=at, text=mark, h=_MARK_H, weight="bold",
                   shift_mm=(left, _MARK_H / 2), halo="ground")  # fmt: skip
        if len(texts) > 1:
            yield Text(id=f"length-{piece.id}", layer="labels", at=at, text=length, h=_LENGTH_H,
                       shift_mm=(left + wide + 1.4, _MARK_H / 2), halo="ground")  # fmt: skip
        return


def _spot(piece: Piece, free: list[Interval], size: Point, lines: tuple[list[Point], ...]) -> Point | None:
    """The best centre of a text in a piece: near its middle, its box clear of every ground line if that can be."""
    need, high = size
    middle = (min(a for a, _ in free) + max(b for _, b in free)) / 2 if free else 0.0
    nearest = _nearest(free, middle, need)
    if nearest is None:
        return None
    room = (piece.top_m - piece.bottom_m - high) / 2
    spots = [nearest, *(x for a, b in free if b - a >= need for x in (a + need / 2, b - need / 2, (a + b) / 2))]
    levels = (0.0, -0.5 * room, 0.5 * room)
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
    levels = [*inner, *(_interp(x + side * wide / 2, xs, zs) for side in (-1, 0, 1))]
    return min(levels) < y + 0.6 * high and max(levels) > y - 0.6 * high


def _obstacles(face: Face, piece: Piece) -> Iterable[Interval]:
    half = face.plan.project.timber.thickness_m / 2
    for tie in face.plan.stability.ties_of(face.leg.id):
        if tie.course == piece.course:
            yield face.span(tie.station_m - half, tie.station_m + half)
    for notch in face.plan.water.notches_of(face.leg.id):
        if piece.course in notch.courses:
            yield face.span(*notch.stations_m)
    for pin in face.plan.stability.pins_of(face.leg.id):
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
    return [(part[0], _interp(part[0], xs, zs)), *shown, (part[1], _interp(part[1], xs, zs))]


def _interp(x: float, xs: list[float], zs: list[float]) -> float:
    return float(np.interp(x, xs, zs))


def _grounds(face: Face, part: Interval) -> Iterable[Item]:
    """Finished ground in front, heavy; the ground before, along the wall's line, dashed."""
    after, before = ground_line(face, part), before_line(face, part)
    if after:
        yield Line(id="ground-after", layer="ground after", pts=tuple(after), pen="cut", key="ground after")
    xs, zs = [p[0] for p in after], [p[1] for p in after]
    if before and any(abs(z - _interp(x, xs, zs)) > 0.02 for x, z in before):
        yield Line(id="ground-before", layer="ground after", z=1, pts=tuple(before), pen="thin", dash="hidden",
                   role="earth", key="ground before")  # fmt: skip


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
        shown = None if covered or span[1] - span[0] < 0.02 else clipped(face.span(*span), _drawn(face, part, 0.3))
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
            yield Line(id=f"tie-{tie.id}-x{n}", layer="ties", pts=((span[0], a), (span[1], b)), pen="fine", dash="short",
                       of=tie.id)  # fmt: skip


def _pins(face: Face, part: Interval) -> Iterable[Item]:
    for pin in face.plan.stability.pins_of(face.leg.id):
        x = face.x(pin.station_m)
        if part[0] <= x <= part[1]:
            yield Line(id=f"pin-{pin.id}", layer="pins", pts=((x, pin.top_m), (x, pin.bottom_m)), pen="fine", dash="short",
                       key="pin", of=pin.id)  # fmt: skip
            bar = ((x - 0.025, pin.top_m - 0.01), (x + 0.025, pin.top_m - 0.01))
            yield Line(id=f"pin-{pin.id}-bar", layer="pins", pts=bar, pen="visible", of=pin.id)


def _notches(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    for notch in face.plan.water.notches_of(face.leg.id):
        span = clipped(face.span(*notch.stations_m), part)
        if span is None:
            continue
        levels = (notch.bottom_m, notch.top_m)
        yield _box(f"notch-{notch.id}", "walls", span, levels, fill="water tone", pen="visible", role="water",
                   key="notch", of=notch.id, z=2)  # fmt: skip
        size = f"{figures.small(notch.width_m)} × {figures.small(notch.top_m - notch.bottom_m)}"
        middle = ((span[0] + span[1]) / 2, notch.bottom_m)
        left = figures.length(middle[0])
        yield Label(id=f"notch-name-{notch.id}", layer="labels", anchor=(middle,), lines=(f"notch {size},", f"{left} from the left"),
                    role="water", priority=1, gap_mm=9.0)  # fmt: skip


def _breaks(face: Face, part: Interval) -> Iterable[Item]:
    """A zigzag where the wall goes on in another part, with paper beyond it."""
    runs = [piece for piece, _ in pieces_in(face, part)]
    if not runs:
        return
    low, high = min(p.bottom_m for p in runs) - 0.22, max(p.top_m for p in runs) + 0.06
    middle = (low + high) / 2
    for n, (x, way) in enumerate(zip(part, (-1.0, 1.0), strict=True)):
        if not _goes_on(face, x):
            continue
        zigzag = ((x, low), (x, middle - 0.06), (x - 0.04, middle - 0.03), (x + 0.04, middle + 0.03),
                  (x, middle + 0.06), (x, high))  # fmt: skip
        beyond = x + way * 0.2
        yield Area(id=f"zz-break-{n}-paper", layer="ground after", z=1, rings=((*zigzag, (beyond, high), (beyond, low)),),
                   fill="paper")  # fmt: skip
        yield Line(id=f"zz-break-{n}-zigzag", layer="ground after", z=1, pts=zigzag, pen="fine")


def _goes_on(face: Face, x: float) -> bool:
    return 1e-3 < x < face.length_m - 1e-3


def _onward(face: Face, part: Interval, inner: Interval, whole: Interval) -> Interval:
    """A stretch as drawn: on past a break where the thing itself goes on."""
    low = max(whole[0], part[0] - 0.05) if inner[0] <= part[0] and _goes_on(face, part[0]) else inner[0]
    high = min(whole[1], part[1] + 0.05) if inner[1] >= part[1] and _goes_on(face, part[1]) else inner[1]
    return low, high


def _drawn(face: Face, part: Interval, beyond: float = 0.0) -> Interval:
    """The part, and ``beyond`` more at the wall's own ends."""
    low = part[0] - (0.0 if _goes_on(face, part[0]) else beyond)
    return low, part[1] + (0.0 if _goes_on(face, part[1]) else beyond)


def size_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    """Ties in a chain, the length of the part, both heights at its right end, levels at its left."""
    shown = [piece for piece, _ in pieces_in(face, part)]
    top, base = max(p.top_m for p in shown), min(p.bottom_m for p in shown)
    ties = sorted(face.x(tie.station_m) for tie in face.plan.stability.ties_of(face.leg.id))
    inside = [x for x in ties if part[0] + 0.02 < x < part[1] - 0.02]
    if inside:
        yield _chain("ties", [part[0], *inside, part[1]], top, 8.0, figures)
        yield Text(id="ties-head", layer="dimensions", at=(part[0], top), text="ties", h=2.2, role="mid", anchor="r",
                   shift_mm=(-4.0, -7.5))  # fmt: skip
    yield _chain("whole", list(part), top, 17.0 if inside else 9.0, figures)
    steps = _steps(face, part)
    if steps:
        yield _chain("base", [part[0], *steps, part[1]], base, -11.0, figures)
        yield Text(id="base-head", layer="dimensions", at=(part[0], base), text="base steps", h=2.2, role="mid",
                   anchor="r", shift_mm=(-4.0, 11.5))  # fmt: skip
    yield from _height_items(face, part, figures)
    yield from _row_numbers(face, part)
    _, high, low = _end(face, part, False)
    for name, level in (("top", high), ("base", low)):
        yield Level(id=f"level-{name}", layer="levels", at=(part[0] - _LEVEL_MM * _scale(figures) / 1000.0, level), text=figures.level(level),
                    value_m=level, style="section", side="l")  # fmt: skip


def _chain(name: str, xs: list[float], level: float, off_mm: float, figures: Figures) -> Dim:
    values = tuple(b - a for a, b in pairwise(xs))
    return Dim(id=f"chain-{name}", layer="dimensions", pts=tuple((x, level) for x in xs), values_m=values, along="h",
               texts=tuple(figures.length(value, 8) for value in values), off_mm=off_mm)  # fmt: skip


def _steps(face: Face, part: Interval) -> list[float]:
    found = sorted(
        face.x(step.station_m) for step in face.plan.walls.steps if step.leg == face.leg.id and step.which == "base"
    )
    return [x for x in found if part[0] + 0.02 < x < part[1] - 0.02]


def _end(face: Face, part: Interval, right: bool) -> tuple[float, float, float]:
    """Where the timber of a part ends at its left or right, and its top and base there."""
    shown = pieces_in(face, part)
    x = max(span[1] for _, span in shown) if right else min(span[0] for _, span in shown)
    at = x + (-0.02 if right else 0.02)
    here = [piece for piece, span in shown if span[0] <= at <= span[1]]
    return x, max(p.top_m for p in here), min(p.bottom_m for p in here)


def _height_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    x, top, base = _end(face, part, True)
    ground = ground_line(face, (part[0], x))
    if not ground or top - ground[-1][1] < 0.02:
        return
    low = ground[-1][1]
    for name, foot, off in (("seen", low, -9.0), ("with buried", base, -24.0)):
        yield Dim(id=f"height-{name}", layer="dimensions", pts=((x, foot), (x, top)), along="v", values_m=(top - foot,),
                  texts=(figures.timber(top - foot),), off_mm=off, weight="semibold")  # fmt: skip
        yield Text(id=f"height-head-{name}", layer="dimensions", at=(x, min(low, base)), text=name, h=2.2, role="mid",
                   anchor="c", shift_mm=(-off, 5.0))  # fmt: skip


def _row_numbers(face: Face, part: Interval) -> Iterable[Item]:
    """Course numbers in one column, left of the wall and of what meets it there."""
    rows = {run.id: run.row for run in face.plan.walls.runs}
    levels = {rows[piece.run]: (piece.bottom_m + piece.top_m) / 2 for piece, _ in pieces_in(face, part)}
    for row, level in sorted(levels.items()):
        yield Text(id=f"row-{row:02d}", layer="labels", at=(part[0], level), text=str(row), h=2.5, role="mid",
                   anchor="r", shift_mm=(-_ROW_MM, 1.2))  # fmt: skip


def _scale(figures: Figures) -> int:
    return 24 if figures.system == "us" else 20
