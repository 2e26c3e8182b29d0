"""From the sheet model to the display list: world to paper, hatches, dashes, arrows, dimensions, and label places.

Everything a writer would otherwise have to decide is decided here, once.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import lru_cache
from itertools import chain
from math import atan2, degrees
from operator import itemgetter
from typing import Any

import numpy as np

from lynchet.drawings import dimensions, symbols
from lynchet.drawings.clipping import clip_area, clip_line
from lynchet.drawings.display import Display, Letters, Mark, Placed, Raster, Stroke
from lynchet.drawings.hatches import HATCHES, inside, lines_in, rounds_in
from lynchet.drawings.line_gaps import given_way, opened
from lynchet.drawings.model import (
    Area,
    Dim,
    Image,
    Item,
    Label,
    Leader,
    Level,
    Line,
    ScaleBar,
    Sheet,
    Symbol,
    Text,
    View,
)
from lynchet.drawings.paper import Box
from lynchet.drawings.placing import place_labels
from lynchet.drawings.roles import DASH_MM, LAYERS, PEN_MM

Point = tuple[float, float]
_ORDER = {layer: n for n, layer in enumerate(LAYERS)}
Drawn = list[tuple[int, Mark]]


def lower(sheet: Sheet) -> Display:
    """The display list of a sheet, in the order it is drawn: by layer, then by z and id.

    Raises:
        KeyError: an item on a layer, or with a hatch, pen or sign, that does not exist.
    """
    drawn: Drawn = []
    labels: list[Placed] = []
    views: list[tuple[Mark, ...]] = []
    for view in (*sheet.views, _paper_view(sheet)):
        own, placed = place_view(view)
        labels.extend(placed)
        drawn.extend(own)
        views.append(tuple(mark for _, mark in own))
    drawn.sort(key=itemgetter(0))
    marks = with_grounds([mark for _, mark in drawn])
    return Display(sheet.paper.width_mm, sheet.paper.height_mm, marks, tuple(labels), tuple(views[:-1]))


@lru_cache(maxsize=16)
def place_view(view: View) -> tuple[Drawn, list[Placed]]:
    """What one view draws, each mark with its rank, and where its labels came to stand.

    Kept for the last few views: a sheet asks once for the labels that need a line in its key, once to be drawn.
    """
    plain = [item for item in view.items if not isinstance(item, Label)]
    own: Drawn = []
    for rank, _, item in sorted([(_rank(item), item.id, item) for item in plain], key=itemgetter(0, 1)):
        own.extend([(rank, mark) for mark in marks_of(item, view)])
    wished = [item for item in view.items if isinstance(item, Label)]
    texts, placed = place_labels(wished, view, [mark for _, mark in own])
    own = opened(own, wished, texts)
    yielding = {item.id for item in plain if isinstance(item, Line) and item.gives_way}
    own = given_way(own, yielding, texts) if yielding else own
    own.extend((_ORDER[mark.layer], mark) for mark in texts)
    return own, placed


def with_grounds(marks: list[Mark]) -> tuple[Mark, ...]:
    """Every halo in the colour of the ground its text lies on: the last fill drawn before it."""
    if not any(isinstance(mark, Letters) and mark.halo == "ground" for mark in marks):
        return tuple(marks)
    fills: list[Stroke] = []
    boxes: list[Box] = []  # of the fills, as far as they were asked for
    done: list[Mark] = []
    for mark in marks:
        if isinstance(mark, Stroke):
            if mark.fill:
                fills.append(mark)
            done.append(mark)
            continue
        if mark.halo != "ground":
            done.append(mark)
            continue
        xs, ys = zip(*mark.corners(), strict=True)
        x, y = sum(xs) / 4, sum(ys) / 4
        boxes += [_box_of(fill) for fill in fills[len(boxes) :]]
        under = (
            fill.fill
            for fill, (left, top, right, bottom) in zip(reversed(fills), reversed(boxes), strict=True)
            if left <= x <= right and top <= y <= bottom and inside(fill.paths, np.array([[x, y]]))[0]
        )
        done.append(replace(mark, halo=next(under, "paper")))
    return tuple(done)


def _box_of(fill: Stroke) -> Box:
    xs, ys = zip(*chain.from_iterable(fill.paths), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _paper_view(sheet: Sheet) -> View:
    left, top, right, bottom = sheet.paper.frame
    return View(f"{sheet.id}-paper", "paper", 1, sheet.marks, (left, top, right, bottom))


def _rank(item: Item) -> int:
    return _ORDER[item.layer] + item.z


def marks_of(item: Item, view: View) -> Iterable[Mark]:
    """The marks of one item of a view.

    Raises:
        KeyError: a kind of item that is not drawn here (labels are placed, not drawn).
    """
    return _DRAWERS[type(item)](item, view)


def _line(item: Line, view: View) -> Iterable[Mark]:
    points = view.papers(item.pts)
    if item.closed:
        points = (*points, points[0])
    paths = clip_line(points, view.region) if view.clip else (points,)
    if not paths:
        return
    if item.bed_mm:
        yield Stroke(paths, item.layer, False, item.bed_mm, "paper", of=item.id)
    whole = item.closed and paths == (points,)
    kept = tuple(path[:-1] for path in paths) if whole else paths
    yield Stroke(kept, item.layer, whole, PEN_MM[item.pen], item.role, DASH_MM[item.dash], of=item.id)
    if item.arrow and paths[-1][-1] == points[-1]:
        (ax, ay), (bx, by) = paths[-1][-2:]
        turn = degrees(atan2(ay - by, bx - ax))
        yield from symbols.draw("head", symbols.Sign((bx, by), item.layer, turn, role=item.role, of=item.id))


def _area(item: Area, view: View) -> Iterable[Mark]:
    rings = tuple(map(view.papers, item.rings))
    for piece in clip_area(rings, view.region) if view.clip else (rings,):
        if item.fill:
            yield Stroke(piece, item.layer, True, fill=item.fill, of=item.id)
        if item.hatch:
            yield from _hatch(item, piece)
        if item.pen and not view.clip:
            yield Stroke(piece, item.layer, True, PEN_MM[item.pen], item.role, DASH_MM[item.dash], of=item.id)
    if item.pen and view.clip:
        edges = tuple(path for ring in rings for path in clip_line((*ring, ring[0]), view.region))
        if edges:
            yield Stroke(edges, item.layer, False, PEN_MM[item.pen], item.role, DASH_MM[item.dash], of=item.id)


def _hatch(item: Area, rings: tuple[tuple[Point, ...], ...]) -> Iterable[Mark]:
    hatch = HATCHES[item.hatch]
    if hatch.kind == "lines":
        lines = tuple(lines_in(rings, hatch.gap_mm, hatch.angle_deg))
        if lines:
            yield Stroke(
                lines, item.layer, False, hatch.pen_mm, item.hatch_role, DASH_MM[hatch.dash], of=item.id, texture=True
            )
        return
    rounds = tuple(rounds_in(rings, hatch))
    if rounds and hatch.kind == "pebbles":
        yield Stroke(rounds, item.layer, True, hatch.pen_mm, item.hatch_role, of=item.id, texture=True)
    elif rounds:
        yield Stroke(rounds, item.layer, True, fill=item.hatch_role, of=item.id, texture=True)


def _text(item: Text, view: View) -> Iterable[Mark]:
    x, y = view.paper(item.at)
    yield Letters(
        x + item.shift_mm[0], y + item.shift_mm[1], item.text, item.h, item.layer, item.anchor, item.weight, item.role,
        item.turn_deg, item.halo, item.id,
    )  # fmt: skip


def _dim(item: Dim, view: View) -> Iterable[Mark]:
    points = [view.paper(point) for point in item.pts]
    if item.axis is None:
        yield from dimensions.chain(item, points)
        return
    (ax, ay), (bx, by) = view.paper((0.0, 0.0)), view.paper(item.axis)
    yield from dimensions.chain(item, points, (bx - ax, by - ay))


def _level(item: Level, view: View) -> Iterable[Mark]:
    yield from dimensions.level(item, view.paper(item.at))


def _symbol(item: Symbol, view: View) -> Iterable[Mark]:
    turn = view.direction(item.turn_deg)
    sign = symbols.Sign(view.paper(item.at), item.layer, turn, item.size_mm, item.text, item.role, item.id)
    if view.clip:
        left, top, right, bottom = view.region
        if not (left <= sign.at[0] <= right and top <= sign.at[1] <= bottom):
            return
    yield from symbols.draw(item.name, sign)


def _leader(item: Leader, view: View) -> Iterable[Mark]:
    x, y = view.paper(item.start)
    start, end = (x + item.start_mm[0], y + item.start_mm[1]), view.paper(item.end)
    yield Stroke(((start, end),), item.layer, False, PEN_MM["fine"], item.role, of=item.id)
    yield Stroke((symbols.circle(end, 0.4),), item.layer, True, fill=item.role, of=item.id)


def _scale_bar(item: ScaleBar, view: View) -> Iterable[Mark]:
    x, y = view.paper(item.at)
    step = item.step_m * 1000.0 / item.scale
    for n in range(item.steps):
        left, right = x + n * step, x + (n + 1) * step
        ring = ((left, y), (right, y), (right, y + 1.4), (left, y + 1.4))
        yield Stroke((ring,), item.layer, True, PEN_MM["thin"], "ink", fill="ink" if n % 2 == 0 else "", of=item.id)
    for n, figure in enumerate(item.figures):
        yield Letters(x + n * step, y - 1.2, figure, 2.2, item.layer, "c", of=item.id)


def _image(item: Image, _: View) -> Iterable[Mark]:
    left, top, right, bottom = item.box
    ring = ((left, top), (right, top), (right, bottom), (left, bottom))
    kind = {"svg": "svg+xml"}.get(item.logo.kind, item.logo.kind)
    uri = f"data:image/{kind};base64,{b64encode(item.logo.data).decode('ascii')}"
    yield Raster((ring,), item.layer, True, of=item.id, uri=uri)


_DRAWERS: dict[type, Callable[[Any, View], Iterable[Mark]]] = {
    Line: _line, Area: _area, Text: _text, Dim: _dim, Level: _level, Symbol: _symbol, Leader: _leader,
    ScaleBar: _scale_bar, Image: _image,
}  # fmt: skip
