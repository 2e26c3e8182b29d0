"""Signs in the free corners of a plan: north, and which way the ground falls."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain
from math import hypot

import numpy as np

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Area, Item, Label, Line, Symbol, View
from lynchet.drawings.paper import Box
from lynchet.drawings.plan_layout import Layout
from lynchet.drawings.plan_stays import unpaper
from lynchet.drawings.source import Planned

Point = tuple[float, float]
_ARROW_MM = 16.0
_SIGN_MM = 9.0
"""About the radius of a sign with its letters."""
_WORDS_MM = 32.0
"""The words of the fall in two lines, from the middle of its arrow."""
_LEVEL = 0.005
"""Ground that falls less has no arrow."""


def north_items(plan: Planned, layout: Layout, items: list[Item]) -> Iterable[Item]:
    """The north sign in the emptiest corner of the view, where north is known."""
    north = plan.project.site.north_deg
    if north is None:
        return
    corner = _emptiest(layout, items)[0]
    yield Symbol(id="north", layer="section marks", name="north", at=unpaper(layout.view, corner),
                 turn_deg=layout.world_turn(north))  # fmt: skip


def fall_items(plan: Planned, layout: Layout, items: list[Item], figures: Figures) -> Iterable[Item]:
    """An arrow down the mean fall of the area, in the emptiest corner but that of north."""
    x, y = plan.terraces.fall
    if hypot(x, y) < _LEVEL:
        return
    view = layout.view
    at = unpaper(view, _emptiest(layout, items)[1])
    k = _ARROW_MM * view.scale / 2000.0 / hypot(x, y)
    ends = (at[0] + k * x, at[1] + k * y), (at[0] - k * x, at[1] - k * y)
    yield Line(id="fall", layer="section marks", pts=ends, pen="outline", role="earth", arrow=True, alt="fall")
    steep = figures.ratio(hypot(x, y))
    beside = _beside(view, items, view.paper(at))
    lines = ("the ground falls", f"{steep} this way") if beside else ("the ground", f"falls {steep}", "this way")
    yield Label(id="fall-words", layer="labels", anchor=(at,), gap_mm=3.0, role="earth", weight="semibold", priority=1,
                lines=lines)  # fmt: skip


def _beside(view: View, items: list[Item], at: Point) -> bool:
    """Whether the words in two lines stand beside the arrow on free paper: over a house they would be taken for its."""
    from shapely.geometry import Polygon, box

    left, _, right, _ = view.region
    rooms = [(at[0] + 2.5, at[0] + _WORDS_MM), (at[0] - _WORDS_MM, at[0] - 2.5)]
    outlines = _outlines(view, items)
    for a, b in rooms:
        room = (a, at[1] - 5.0, b, at[1] + 5.0)
        near = (Polygon(ring) for ring in outlines if _may_reach(ring, room))
        if left <= a and b <= right and not any(area.intersects(box(*room)) for area in near):
            return True
    return False


def _outlines(view: View, items: list[Item]) -> list[tuple[Point, ...]]:
    return [view.papers(item.rings[0]) for item in items if isinstance(item, Area) and len(item.rings[0]) > 2]


def _emptiest(layout: Layout, items: list[Item]) -> list[Point]:
    """The corners, first those over which nothing lies; of a large area only the outline has points, so it is asked."""
    from shapely.geometry import Point as Spot
    from shapely.geometry import Polygon

    view = layout.view
    busy = view.papers(chain.from_iterable(part for item in items for part in _parts(item)))
    x, y = np.array(busy).reshape(-1, 2).T
    outlines = _outlines(view, items)

    def crowd(c: Point) -> tuple[bool, int]:
        room = (c[0] - _SIGN_MM, c[1] - _SIGN_MM, c[0] + _SIGN_MM, c[1] + _SIGN_MM)
        over = any(Polygon(ring).distance(Spot(c)) < _SIGN_MM for ring in outlines if _may_reach(ring, room))
        return over, int(((abs(x - c[0]) < 18) & (abs(y - c[1]) < 16)).sum())

    return sorted(_corners(view.region), key=crowd)


def _may_reach(ring: tuple[Point, ...], room: Box) -> bool:
    """Whether the box round an area touches a room."""
    xs, ys = zip(*ring, strict=True)
    return bool(min(xs) <= room[2] and max(xs) >= room[0] and min(ys) <= room[3] and max(ys) >= room[1])


def _parts(item: Item) -> tuple[tuple[Point, ...], ...]:
    """Paths and rings of an item, or where its label belongs."""
    if isinstance(item, Area):
        return item.rings
    return (item.pts,) if isinstance(item, Line) else (item.anchor,) if isinstance(item, Label) else ()


def _corners(region: Box) -> tuple[Point, ...]:
    left, top, right, bottom = (region[0] + 14, region[1] + 16, region[2] - 14, region[3] - 16)
    return ((right, top), (left, top), (right, bottom), (left, bottom))
