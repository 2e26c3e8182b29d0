"""Dimensions and levels: lines, ticks and figures in paper mm.

Fine lines, 45 degree strokes, figures above an unbroken line, read from below or from the right (building practice).
"""

from __future__ import annotations

from collections.abc import Iterable
from math import atan2, degrees, hypot

from lynchet.drawings.display import Letters, Mark, Stroke
from lynchet.drawings.letters import width
from lynchet.drawings.model import Dim, Level
from lynchet.drawings.roles import PEN_MM

Point = tuple[float, float]
_CLEAR = 1.2
_PAST = 1.5
_ABOVE = 0.9
_TIER = 1.55


def chain(item: Dim, points: list[Point], axis: Point | None = None) -> Iterable[Mark]:
    """A dimension, or several in one line, through points already on paper; ``axis`` is the line's direction there."""
    ux, uy, nx, ny = _axes(item, points, axis)
    along = [x * ux + y * uy for x, y in points]
    across = [x * nx + y * ny for x, y in points]
    # The line lies beyond the furthest of its points on its side, so that extension lines never turn back.
    place = (max(across) if item.off_mm >= 0 else min(across)) + item.off_mm

    def at(u: float, v: float) -> Point:
        return u * ux + v * nx, u * uy + v * ny

    sign = 1.0 if item.off_mm >= 0 else -1.0
    for u, v in zip(along, across, strict=True):
        if item.extend and abs(place - v) > _CLEAR + 0.5:
            ends = (at(u, v + sign * _CLEAR), at(u, place + sign * _PAST))
            yield Stroke((ends,), item.layer, False, PEN_MM["fine"], "ink", of=item.id)
    order = sorted(range(len(along)), key=lambda n: along[n])
    yield Stroke(((at(along[order[0]] - _PAST, place), at(along[order[-1]] + _PAST, place)),), item.layer, False,
                 PEN_MM["fine"], "ink", of=item.id)  # fmt: skip
    for u in along:
        x, y = at(u, place)
        tick = ((x - 0.8, y + 0.8), (x + 0.8, y - 0.8))
        yield Stroke((tick,), item.layer, False, PEN_MM["visible"], "ink", of=item.id)
    yield from _figures(item, along, place, (ux, uy, nx, ny))


def _axes(item: Dim, points: list[Point], axis: Point | None) -> tuple[float, float, float, float]:
    """Unit vectors along the line and off it (up or left where the offset is positive), on paper."""
    if axis is None and item.along == "h":
        return 1.0, 0.0, 0.0, -1.0
    if axis is None and item.along == "v":
        return 0.0, -1.0, -1.0, 0.0
    (ax, ay), (bx, by) = ((0.0, 0.0), axis) if axis else (points[0], points[-1])
    length = hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) / length, (by - ay) / length
    if ux < -1e-9 or (abs(ux) <= 1e-9 and uy > 0):
        ux, uy = -ux, -uy
    return ux, uy, uy, -ux


def _figures(item: Dim, along: list[float], place: float, axes: tuple[float, float, float, float]) -> Iterable[Mark]:
    ux, uy, nx, ny = axes
    turn = degrees(atan2(-uy, ux))
    single = len(item.texts) == 1
    taken: list[list[float]] = []
    for n, text in sorted(enumerate(item.texts), key=lambda one: min(along[one[0]], along[one[0] + 1])):
        start, end = sorted((along[n], along[n + 1]))
        wide = width(text, item.h, item.weight) * 1.02
        middle, anchor, tier = (start + end) / 2, "c", 0
        if single and wide + 1.0 > end - start:
            # Too short for its figure: beyond the tick, on the line drawn on.
            after = along[1] >= along[0]
            middle, anchor = (end + 2.0, "l") if after else (start - 2.0, "r")
        elif not single:
            tier = _tier(taken, (middle - wide / 2 - 0.5, middle + wide / 2 + 0.5))
        v = place + _ABOVE + tier * item.h * _TIER
        x, y = middle * ux + v * nx, middle * uy + v * ny
        yield Letters(x, y, text, item.h, item.layer, anchor, item.weight, "ink", turn, "ground", item.id)


def _tier(taken: list[list[float]], span: tuple[float, float]) -> int:
    """The lowest row over the line in which a figure meets none before it: crowded figures stand in steps."""
    for tier, row in enumerate(taken):
        if row[0] <= span[0]:
            row[0] = span[1]
            return tier
    taken.append([span[1]])
    return len(taken) - 1


def level(item: Level, at: Point) -> Iterable[Mark]:
    """A level: boxed in plan, on a triangle in section, cross and figure for ground as measured."""
    x, y = at
    if item.kind == "old" and item.style == "plan":
        cross = (((x - 0.9, y - 0.9), (x + 0.9, y + 0.9)), ((x - 0.9, y + 0.9), (x + 0.9, y - 0.9)))
        yield Stroke(cross, item.layer, False, PEN_MM["fine"], "earth", of=item.id)
        yield Letters(x + 1.5, y + 1.1, item.text, 2.2, item.layer, "l", "regular", "earth", halo="ground", of=item.id)
        return
    if item.style == "plan":
        half = width(item.text, 2.8, "semibold") / 2 + 1.4
        ring = ((x - half, y - 2.4), (x + half, y - 2.4), (x + half, y + 2.4), (x - half, y + 2.4))
        yield Stroke((ring,), item.layer, True, PEN_MM["visible"], "ink", fill="paper", of=item.id)
        yield Letters(x, y + 1.4, item.text, 2.8, item.layer, "c", "semibold", halo="paper", of=item.id)
        return
    wide = width(item.text, 2.5, "semibold")
    sign = 1.0 if item.side == "r" else -1.0
    triangle = ((x, y), (x - 1.4, y - 2.2), (x + 1.4, y - 2.2))
    fill = "ink" if item.kind == "base" else "paper"
    yield Stroke((triangle,), item.layer, True, PEN_MM["thin"], "ink", fill=fill, of=item.id)
    shelf = ((x, y - 2.2), (x + sign * (wide + 2.0), y - 2.2))
    yield Stroke((shelf,), item.layer, False, PEN_MM["thin"], "ink", of=item.id)
    anchor = "l" if sign > 0 else "r"
    weight = "regular" if item.kind == "old" else "semibold"
    yield Letters(x + sign * 1.6, y - 3.1, item.text, 2.5, item.layer, anchor, weight, halo="ground", of=item.id)  # type: ignore[arg-type]
