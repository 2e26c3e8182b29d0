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
_STEP_MM = 12.0
"""From spot to spot along an edge."""
_IN_MM = 11.5
"""From the edge to the middle of a sign there."""
_APART_MM = 38.0
"""Least between the two signs, with the words of the fall."""
_GROUND = "ground before"
_LEVEL = 0.005
"""Ground that falls less has no arrow."""


def north_items(plan: Planned, layout: Layout, items: list[Item]) -> Iterable[Item]:
    """The north sign in the emptiest corner of the view, else on an edge, where north is known."""
    north = plan.project.site.north_deg
    if north is None and not layout.turned:
        return
    spot = _emptiest(layout, items)
    if layout.turned:
        yield Label(id="turned-words", layer="labels", anchor=(unpaper(layout.view, spot),), role="mid", gap_mm=7.0,
                    lines=("this plan is turned", _uphill(plan, layout.view)))  # fmt: skip
    if north is None:
        return
    yield Symbol(id="north", layer="section marks", name="north", at=unpaper(layout.view, spot),
                 turn_deg=layout.world_turn(north))  # fmt: skip


def _uphill(plan: Planned, view: View) -> str:
    """Where uphill lies on the page."""
    x, y = plan.terraces.fall
    if hypot(x, y) < _LEVEL:
        return "by a right angle"
    (x0, y0), (x1, y1) = view.paper((0.0, 0.0)), view.paper((x, y))
    along, down = x1 - x0, y1 - y0
    if abs(along) > abs(down):
        return f"uphill is to the {'right' if along > 0 else 'left'}"
    return f"uphill is {'down' if down > 0 else 'up'} the page"


def has_free_spot(layout: Layout, items: list[Item]) -> bool:
    """Whether a sign stands in the view with no area under it: no bed, wall or house."""
    return not _Crowd(layout.view, items).over(_emptiest(layout, items))


def fall_items(plan: Planned, layout: Layout, items: list[Item], figures: Figures) -> Iterable[Item]:
    """An arrow down the mean fall of the area, where little lies but apart from north."""
    x, y = plan.terraces.fall
    if hypot(x, y) < _LEVEL:
        return
    view = layout.view
    at = unpaper(view, _next(layout, items))
    k = _ARROW_MM * view.scale / 2000.0 / hypot(x, y)
    ends = (at[0] + k * x, at[1] + k * y), (at[0] - k * x, at[1] - k * y)
    yield Line(id="fall", layer="section marks", pts=ends, pen="outline", role="earth", arrow=True, alt="fall")
    steep = figures.ratio(hypot(x, y))
    spot = view.paper(at)
    beside = _beside(view, items, spot)
    lines = ("the ground falls", f"{steep} this way") if beside else ("the ground", f"falls {steep}", "this way")
    hang = at if beside else unpaper(view, _past_end(view, items, spot))
    yield Label(id="fall-words", layer="labels", anchor=(hang,), gap_mm=3.0, role="earth", weight="semibold",
                priority=1, lines=lines)  # fmt: skip


def _beside(view: View, items: list[Item], at: Point) -> bool:
    """Whether the words in two lines stand beside the arrow on free paper: over a house they would be taken for its."""
    rooms = [(at[0] + 2.5, at[0] + _WORDS_MM), (at[0] - _WORDS_MM, at[0] - 2.5)]
    return any(_on_paper(view, items, (a, at[1] - 5.0, b, at[1] + 5.0)) for a, b in rooms)


def _upright(view: View, items: list[Item], at: Point) -> bool:
    """Whether the words in three lines stand over or under an arrow."""
    return _past_end(view, items, at) != at


def _past_end(view: View, items: list[Item], at: Point) -> Point:
    """The end of the arrow past which the words in three lines stand on free paper; its middle where there is none."""
    for way in (-1.0, 1.0):
        near, far = sorted((at[1] + way * 6.0, at[1] + way * 15.5))
        if _on_paper(view, items, (at[0] - 11.0, near, at[0] + 11.0, far)):
            return at[0], at[1] + way * _ARROW_MM / 2.0
    return at


def _on_paper(view: View, items: list[Item], room: Box) -> bool:
    """Whether a room lies in the view and over no area."""
    from shapely.geometry import Polygon, box

    left, top, right, bottom = view.region
    if room[0] < left or room[1] < top or room[2] > right or room[3] > bottom:
        return False
    near = (Polygon(ring) for ring in _outlines(view, items) if _may_reach(ring, room))
    return not any(area.intersects(box(*room)) for area in near)


def _outlines(view: View, items: list[Item]) -> list[tuple[Point, ...]]:
    return [view.papers(item.rings[0]) for item in items if isinstance(item, Area) and len(item.rings[0]) > 2]


def _emptiest(layout: Layout, items: list[Item]) -> Point:
    """The spot for a sign: of the corners that over which nothing lies, if need be on an edge."""
    crowd, region = _Crowd(layout.view, items), layout.view.region
    best = min(_corners(region), key=crowd.of)
    return best if crowd.free(best) else min((best, *_edges(region)), key=crowd.of)


def _next(layout: Layout, items: list[Item]) -> Point:
    """The spot for the fall: apart from north, best where its words stand beside it on free paper."""
    view, crowd, north = layout.view, _Crowd(layout.view, items), _emptiest(layout, items)

    def rated(spots: Iterable[Point]) -> list[tuple[bool, tuple[bool, bool, int], Point]]:
        apart = [spot for spot in spots if hypot(spot[0] - north[0], spot[1] - north[1]) > _APART_MM]
        return [(not (_beside(view, items, spot) or _upright(view, items, spot)), crowd.of(spot), spot)
                for spot in apart]  # fmt: skip

    corners = rated(_corners(view.region))
    good = [one for one in corners if not one[0] and crowd.free(one[2])]
    return min(good or [*corners, *rated(_edges(view.region))], default=(True, (True, True, 0), north))[2]


class _Crowd:
    """What lies about a spot; of a large area only the outline has points, so it is asked itself."""

    def __init__(self, view: View, items: list[Item]) -> None:
        busy = view.papers(chain.from_iterable(part for item in items for part in _parts(item)))
        self._x, self._y = np.array(busy).reshape(-1, 2).T
        self._outlines = _outlines(view, items)
        strong = [item for item in items if isinstance(item, Line) and item.layer != _GROUND and len(item.pts) > 1]
        self._lines = [view.papers(item.pts) for item in strong]

    def of(self, spot: Point) -> tuple[bool, bool, int]:
        """The less the better: an area under the sign, a line other than of the ground, points near it."""
        near = (abs(self._x - spot[0]) < 18) & (abs(self._y - spot[1]) < 16)
        return self.over(spot), self._crossed(spot), int(near.sum())

    def free(self, spot: Point) -> bool:
        """Whether neither area nor line but of the ground lies under the sign."""
        return not self.over(spot) and not self._crossed(spot)

    def over(self, spot: Point) -> bool:
        """Whether a sign would stand over an area."""
        from shapely.geometry import Point as Spot
        from shapely.geometry import Polygon

        near = (ring for ring in self._outlines if _may_reach(ring, _room(spot)))
        return any(Polygon(ring).distance(Spot(spot)) < _SIGN_MM for ring in near)

    def _crossed(self, spot: Point) -> bool:
        from shapely.geometry import LineString
        from shapely.geometry import Point as Spot

        near = (line for line in self._lines if _may_reach(line, _room(spot)))
        return any(LineString(line).distance(Spot(spot)) < _SIGN_MM for line in near)


def _room(spot: Point) -> Box:
    return spot[0] - _SIGN_MM, spot[1] - _SIGN_MM, spot[0] + _SIGN_MM, spot[1] + _SIGN_MM


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


def _edges(region: Box) -> list[Point]:
    """Spots along the edges of the view, a little nearer to them than the corners."""
    left, top, right, bottom = (region[0] + _IN_MM, region[1] + _IN_MM, region[2] - _IN_MM, region[3] - _IN_MM)
    across, down = (np.arange(low, high, _STEP_MM).tolist() for low, high in ((left, right), (top, bottom)))
    return [(x, y) for y in (top, bottom) for x in across] + [(x, y) for x in (left, right) for y in down]
