"""The terraces sheet: plan with contours, beds, walls, drains, levels, what stays, and where the section is cut."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import atan2, degrees, dist, hypot
from typing import Any

import numpy as np

from lynchet.drawings import key
from lynchet.drawings.display import Letters, Stroke
from lynchet.drawings.figures import Figures
from lynchet.drawings.hatches import inside
from lynchet.drawings.landings import landing_items, landing_key
from lynchet.drawings.lower import marks_of, place_view
from lynchet.drawings.model import Dim, Item, Sheet, Symbol, View
from lynchet.drawings.paper import Box, paper_of, scale_words
from lynchet.drawings.plan_banks import bank_items
from lynchet.drawings.plan_built import (
    FEW_STOPS,
    bed_items,
    flight_items,
    reasons_on_walls,
    stop_items,
    stops,
    tie_items,
    wall_items,
    without_reasons,
)
from lynchet.drawings.plan_ground import contour_items, one_slope_note, spot_items, step_of
from lynchet.drawings.plan_layout import lay_out
from lynchet.drawings.plan_signs import north_items
from lynchet.drawings.plan_stays import benchmark_words, stay_items
from lynchet.drawings.plan_used import on_wall_notes
from lynchet.drawings.plan_water import water_items
from lynchet.drawings.section_flags import section_flags
from lynchet.drawings.section_line import Cut, section_cut
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Content, Note, Rows, strip
from lynchet.drawings.wall_facts import built_m, greatest_m, heights, outer, range_words, standing
from lynchet.walls.model import Leg

Point = tuple[float, float]
ID = "terraces"
TITLE = "Terraces plan"
_APART_M = 0.25
_CHAIN_MM = 9.0
_CHAINS_MM = (_CHAIN_MM, 7.0, 14.0)
"""Where a chain may stand beside the plan, the best first."""
_FARTHER_MM = (20.0, 26.0)
"""Where it goes to keep off an outlet: on the same side, for on the other it might cross the beds."""
_FIGURE_MM = 4.0
"""Beside a chain its figures take."""
_FAR_M, _CORNER_M = 500.0, 0.6
"""Farther than any yard; less than this off, another wall meets the end of a front."""
_MARK_OFF_MM = 22.0
_ROOM = (24.0, 18.0, 16.0, 24.0)
CAUTION = (
    "Have buried pipes and cables located and marked. Ask the local office about permits and heights. "
    "Have lot lines that are not by survey shown to you."
)


def terraces_plan(plan: Planned, stamp: Stamp) -> Sheet:
    """The terraces sheet of a plan.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    figures = Figures(plan.project.units)
    paper = paper_of(plan.project)
    layout = lay_out(plan, paper, _ROOM)
    cut = section_cut(plan)
    sizes = tuple(_dimensions(plan, layout.view, figures))
    items = [*_built(plan, layout.view, figures), *sizes]
    if cut:
        items.extend(section_marks(plan, cut, layout.view, sizes))
    items.extend(section_flags(plan, layout.view, items))
    items.extend(north_items(plan, layout, items))
    view, beside = layout.with_items(items), len(stops(plan)) <= FEW_STOPS
    drawn, placed = place_view(view)
    if beside and reasons_on_walls(view, (mark for _, mark in drawn)):
        beside, view = False, layout.with_items(without_reasons(items))
        _, placed = place_view(view)
    numbered = tuple((str(one.number), one.text) for one in placed if one.number)
    scale = scale_words(view.scale, figures.system)
    fields = stamp.fields(ID, TITLE, scale, plan)
    marks, notes = strip(paper, fields, _content(plan, view, stamp, (numbered, beside)), figures)
    return Sheet(ID, "terraces", paper, fields, (view,), marks, stamp.theme, cautions=(CAUTION,),
                 alt=_alt(plan, figures), notes=notes)  # fmt: skip


def _built(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    yield from contour_items(plan, view, figures)
    yield from spot_items(plan, view, figures)
    yield from bed_items(plan, view, figures)
    yield from bank_items(plan, view)
    yield from wall_items(plan)
    yield from stop_items(plan)
    yield from tie_items(plan)
    yield from landing_items(plan, figures)
    yield from flight_items(plan)
    yield from water_items(plan, view, figures)
    yield from stay_items(plan, view, figures)


def _content(plan: Planned, view: View, stamp: Stamp, told: tuple[tuple[tuple[str, ...], ...], bool]) -> Content:
    """What the strip holds; told: labels that are numbers on the plan, and whether stops have their reasons there."""
    numbered, beside = told
    figures = Figures(plan.project.units)
    step = step_of(plan, view, figures)
    words = {
        "step": figures.length(step), "index": figures.length(step * figures.index_every(step)),
        "benchmark": benchmark_words(plan, figures), "landing": landing_key(plan, figures),
    }  # fmt: skip
    entries = key.entries(key.seen(view), figures, words)
    parts: list[Note | Rows] = [Note("Before you dig", CAUTION, warn=True)]
    reasons = stops(plan)
    if reasons and not beside:
        parts.insert(0, Note("Stop", _grouped(reasons), warn=True))
    if numbered:
        columns = (Column("no.", 0.12, "l"), Column("stands for", 0.88, "l"))
        parts.append(Rows("Numbers on the plan", columns, numbered, "at the end of the book", in_full=True))
    parts += [*on_wall_notes(plan, figures), *one_slope_note(plan), _walls(plan, stamp, figures)]
    return Content(TITLE, entries, tuple(parts), (view.scale,))


def _grouped(reasons: dict[str, str]) -> str:
    """The reasons of a few walls; of many the first wall's in full, and which others have one."""
    if len(reasons) <= FEW_STOPS:
        return f"{'. '.join(reasons.values())}. Do not build {'it' if len(reasons) == 1 else 'them'} yet."
    others = ", ".join(list(reasons)[1:])
    return f"{next(iter(reasons.values()))}. Also {others}: see the findings. Build none of these yet."


def _walls(plan: Planned, stamp: Stamp, figures: Figures) -> Rows:
    rows = []
    for leg in standing(plan):
        found = heights(plan, leg)
        number = stamp.number(f"wall-{leg.id}")
        seen = range_words([height.seen_m for height in found], figures.timber)
        buried = figures.timber(greatest_m(plan, leg)[1])
        rows.append((leg.id, figures.timber(built_m(plan, leg)), seen, buried, str(number) if number else "–"))
    columns = (Column("wall", 0.13, "l"), Column("length", 0.19), Column("seen", 0.33), Column("with buried", 0.23),
               Column("sheet", 0.12))  # fmt: skip
    sheets = [int(row[-1]) for row in rows if row[-1].isdigit()]
    if not sheets:  # kept back: then these rows stand on no other sheet
        return Rows("Walls", columns, tuple(rows), "at the end of the book", in_full=True)
    more = f"see sheets {min(sheets)} to {max(sheets)}" if len(set(sheets)) > 1 else "see the wall sheets"
    return Rows("Walls", columns, tuple(rows), more)


def section_marks(plan: Planned, cut: Cut, view: View, sizes: tuple[Item, ...], letter: str = "A") -> Iterable[Item]:
    """Two marks beyond the ends of the cut, clear of houses, lot lines and the figures of dimensions."""
    ux, uy = cut.direction
    # The section is drawn with the low side at its left, so one looks to the left of the way up, as it lies on site.
    looks = degrees(atan2(uy, ux)) + (-90.0 if view.mirrored else 90.0)
    taken = [mark.box() for size in sizes for mark in marks_of(size, view) if isinstance(mark, Letters)]
    for n, (at, way) in enumerate(((cut.start_m, (-ux, -uy)), (cut.end_m, (ux, uy)))):
        at = _clear_spot((plan, view), at, way, taken)
        yield Symbol(id=f"section-{letter}{n}", layer="section marks", name="section mark", at=at, turn_deg=looks,
                     text=letter, key="section mark")  # fmt: skip


def _clear_spot(look: tuple[Planned, View], start: Point, way: Point, boxes: list[Box]) -> Point:
    """The first place outward from a point, on the sheet, that is clear of houses, lot lines, figures; else inward."""
    from shapely.geometry import LineString, Polygon
    from shapely.geometry import Point as Spot

    plan, view = look
    taken: list[Any] = [Polygon(house.outline_m) for house in plan.project.houses]
    taken += [LineString(lot.line_m) for lot in plan.project.lot_lines if len(lot.line_m) > 1]
    outline = Polygon(plan.project.area.outline_m).buffer(0)
    left, top, right, bottom = view.region
    clear = 0.006 * view.scale
    for n in (*range(40), *range(-1, -12, -1)):
        at = (start[0] + 0.2 * n * way[0], start[1] + 0.2 * n * way[1])
        x, y = view.paper(at)
        met = any(b[0] - 9 < x < b[2] + 9 and b[1] - 9 < y < b[3] + 9 for b in boxes)
        inside = not met and left + 9 < x < right - 9 and top + 9 < y < bottom - 9
        far = outline.distance(Spot(at)) * 1000.0 / view.scale > _MARK_OFF_MM or n < 0
        if inside and far and all(shape.distance(Spot(at)) > clear for shape in taken):
            return at
    return start


def _dimensions(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """Depths of the benches in one chain beside the plan; the lowest wall with its steps in one below it."""
    ax, ay = plan.terraces.along
    uphill = (-ay, ax)
    fronts = [leg for leg in standing(plan) if abs(leg.direction[0] * ax + leg.direction[1] * ay) > 0.98]
    outline = plan.project.area.outline_m
    side = _free_side(plan, view, uphill)
    points = [point for leg in fronts for point in _near_chain(plan, view, leg, side)]
    points += [min(outline, key=lambda p: _up(p, uphill)), max(outline, key=lambda p: _up(p, uphill))]
    chain = _apart(points, uphill)
    if len(chain) > 1:
        tries = [_chain("depths", chain, uphill, off * way, figures) for way in (side, -side) for off in _CHAINS_MM]
        fits = [one for one in tries if _on_sheet(one, view)] or tries[:1]
        best = next((one for one in fits if _off_lot_lines(plan, one, view)), fits[0])
        farther = (_chain("depths", chain, uphill, off * side, figures) for off in (*_CHAINS_MM, *_FARTHER_MM))
        tests = (_on_sheet, lambda one, view: _off_lot_lines(plan, one, view))
        dry = (one for one in (best, *farther) if _off_outlets(plan, one, view) and all(t(one, view) for t in tests))
        yield next(dry, best)
    lowest = min(fronts, key=lambda leg: _up(leg.start_m, uphill), default=None)
    if lowest is not None:
        start, end = outer(plan, lowest)
        stations = [start, end]
        for flight in plan.terraces.flights:
            if flight.line == lowest.id:
                stations += [flight.station_m - flight.width_m / 2, flight.station_m + flight.width_m / 2]
        ends = _apart([lowest.point_at(station) for station in stations], lowest.direction)
        yield _chain("lowest", ends, lowest.direction, 13.0 * _downhill_side(view, lowest.direction, uphill), figures)


def _near_chain(plan: Planned, view: View, leg: Leg, side: int) -> Iterable[Point]:
    """The end of a front a chain beside the plan takes; none where the line to it would run through another wall."""
    from shapely.geometry import LineString

    ends = [(leg.start_m, leg.end_m), (leg.end_m, leg.start_m)]
    (x, y), other = min(ends, key=lambda pair: side * sum(view.paper(pair[0])))
    k = _FAR_M / dist((x, y), other)
    ray = LineString([(x, y), (x + k * (x - other[0]), y + k * (y - other[1]))])
    met = [run.polygon.intersection(ray) for run in plan.walls.runs if run.leg != leg.id]
    if not any(dist((x, y), (part.centroid.x, part.centroid.y)) > _CORNER_M for part in met if part.length > 0):
        yield x, y


def _on_sheet(chain: Dim, view: View) -> bool:
    """Whether a chain of dimensions keeps to the view's part of the sheet."""
    left, top, right, bottom = view.region
    paths = [path for mark in marks_of(chain, view) if isinstance(mark, Stroke) for path in mark.paths]
    return all(left < x < right and top < y < bottom for path in paths for x, y in path)


def _off_lot_lines(plan: Planned, chain: Dim, view: View) -> bool:
    """Whether the figures of a chain keep off every lot line."""
    from shapely.geometry import LineString

    line = _line_of(chain, view)
    lots = [LineString([view.paper(point) for point in lot.line_m]) for lot in plan.project.lot_lines]
    return all(lot.distance(line) > _FIGURE_MM for lot in lots)


def _off_outlets(plan: Planned, chain: Dim, view: View) -> bool:
    """Whether the figures of a chain keep off every outlet and the stones round it."""
    from shapely.geometry import MultiPoint

    line = _line_of(chain, view)
    spots = [MultiPoint(view.papers((one.point_m, *one.apron_m))).convex_hull for one in plan.water.outlets]
    return all(spot.distance(line) > _FIGURE_MM for spot in spots)


def _line_of(chain: Dim, view: View) -> Any:
    """The line of a chain on paper: the longest of its strokes."""
    from shapely.geometry import LineString

    paths = [path for mark in marks_of(chain, view) if isinstance(mark, Stroke) for path in mark.paths]
    return max((LineString(path) for path in paths), key=lambda one: float(one.length))


def _free_side(plan: Planned, view: View, axis: Point) -> int:
    """+1 to put a chain along this direction left of or above the plan, -1 right of or below it where a house is."""
    (ox, oy), (ax, ay) = view.paper((0.0, 0.0)), view.paper(axis)
    ux, uy = ax - ox, ay - oy
    if ux < -1e-9 or (abs(ux) <= 1e-9 and uy > 0):
        ux, uy = -ux, -uy
    outline = [view.paper(point) for point in plan.project.area.outline_m]
    houses = [[view.paper(point) for point in house.outline_m] for house in plan.project.houses]

    k = hypot(ux, uy)
    ux, uy = ux / k, uy / k
    along = [x * ux + y * uy for x, y in outline]
    across = [x * uy - y * ux for x, y in outline]
    samples = np.linspace(min(along), max(along), 40)

    def in_house(place: float) -> bool:
        points = np.column_stack([samples * ux + place * uy, samples * uy - place * ux])
        return any(inside((tuple(house),), points).any() for house in houses)

    return -1 if in_house(max(across) + _CHAIN_MM) and not in_house(min(across) - _CHAIN_MM) else 1


def _downhill_side(view: View, axis: Point, uphill: Point) -> float:
    """+1 where the low side lies up or left of a line of this direction on paper, else -1: how ``Dim`` counts."""
    (ox, oy), (ax, ay), (vx, vy) = (view.paper(point) for point in ((0.0, 0.0), axis, uphill))
    ux, uy = ax - ox, ay - oy
    if ux < -1e-9 or (abs(ux) <= 1e-9 and uy > 0):
        ux, uy = -ux, -uy
    return 1.0 if -(vx - ox) * uy + (vy - oy) * ux > 0 else -1.0


def _up(point: Point, direction: Point) -> float:
    return point[0] * direction[0] + point[1] * direction[1]


def _apart(points: list[Point], direction: Point) -> list[Point]:
    """Points in order along a direction, those nearer than 0.25 m to the one before left out."""
    ordered = sorted(points, key=lambda p: _up(p, direction))
    kept = ordered[:1]
    for point in ordered[1:]:
        if _up(point, direction) - _up(kept[-1], direction) > _APART_M:
            kept.append(point)
    return kept


def _chain(name: str, points: list[Point], axis: Point, off_mm: float, figures: Figures) -> Dim:
    values = tuple(_up(b, axis) - _up(a, axis) for a, b in pairwise(points))
    texts = tuple(figures.timber(value) for value in values)
    return Dim(id=f"chain-{name}", layer="dimensions", pts=tuple(points), texts=texts, values_m=values, off_mm=off_mm,
               axis=axis)  # fmt: skip


def _alt(plan: Planned, figures: Figures) -> str:
    levels = ", ".join(figures.level(level) for level in plan.terraces.levels_m)
    legs = ", ".join(leg.id for leg in standing(plan))
    return (
        f"Plan of {len(plan.terraces.levels_m)} level benches at {levels}, lowest first; timber walls {legs}; "
        f"{len(plan.water.outlets)} drain outlets; {len(plan.terraces.flights)} flights of steps."
    )
