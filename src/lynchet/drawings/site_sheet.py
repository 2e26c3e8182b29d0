"""The site sheet: the whole yard with what stays, what is built, and where soil, timber and barrows go."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace
from math import dist
from typing import Any

from lynchet.drawings.figures import Figures
from lynchet.drawings.kept import united
from lynchet.drawings.model import Area, Item, Label, Line, Sheet, View
from lynchet.drawings.paper import PageTooSmallError, paper_of
from lynchet.drawings.plan_built import WALLS, flight_items
from lynchet.drawings.plan_earth import HEAP_WORDS, climb_words, earth_items, earth_points
from lynchet.drawings.plan_ground import contour_items, one_slope_note, spot_items, step_of
from lynchet.drawings.plan_holes import hole_items, hole_notes, hole_points
from lynchet.drawings.plan_layout import Layout, core_points, lay_out
from lynchet.drawings.plan_lots import TRUST_WORDS, gaps, lot_items
from lynchet.drawings.plan_sheet import Told, plan_sheet
from lynchet.drawings.plan_signs import fall_items, north_items
from lynchet.drawings.plan_stays import benchmark_words, stay_items
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Note, Rows
from lynchet.units.format import volume

Point = tuple[float, float]
ID = "site"
TITLE = "Site plan"
_LARGEST = {"metric": 100, "us": 96}
_SMALLEST = {"metric": 200, "us": 192}
_ARROW_MM = 6.0
_ROOM = (10.0, 10.0, 10.0, 10.0)
CAUTION = "Have buried pipes and cables located and marked. Have lot lines that are not by survey shown to you."
NO_DIGGING = " Peg off the ground marked NO DIGGING before the first barrow: no heap and no truck on it either."
RUN_ON = " Lot lines are taken to run on straight past their drawn ends, until another meets them: keep inside."


def site_sheet(plan: Planned, stamp: Stamp) -> Sheet:
    """The site sheet of a plan.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    figures = Figures(plan.project.units)
    layout = _laid_out(plan, figures)
    view = layout.view
    items = [*_items(plan, view, figures)]
    items += north_items(plan, layout, items)
    items += fall_items(plan, layout, items, figures)
    view = layout.with_items(items)
    step = step_of(plan, view, figures)
    words = (("step", figures.length(step)), ("index", figures.length(step * figures.index_every(step))),
             ("benchmark", benchmark_words(plan, figures)))  # fmt: skip
    marked = any(thing.clear_m > 0 for thing in plan.project.fixed)
    caution = CAUTION + (NO_DIGGING if marked else "") + (RUN_ON if plan.project.lot_lines else "")
    parts: tuple[Note | Rows, ...] = (Note("Before you dig", caution, warn=True), *one_slope_note(plan),
                                      *_tables(plan, figures), *_heap_moved(plan, figures),
                                      *hole_notes(plan, view, figures))  # fmt: skip
    return plan_sheet(plan, stamp, view, Told(ID, "site", TITLE, _alt(plan, figures), parts, caution, words))


def _laid_out(plan: Planned, figures: Figures) -> Layout:
    """The yard with its houses and lot lines where that fits a scale one can read, else without the far ones."""
    paper, system = paper_of(plan.project), figures.system
    needed = [*core_points(plan), *earth_points(plan)]
    stays = [point for thing in plan.project.fixed for point in thing.line_m]
    stays += [point for load in plan.project.loads for point in load.outline_m]
    houses = [point for house in plan.project.houses for point in house.outline_m]
    lots = [point for lot in plan.project.lot_lines for point in lot.line_m]
    holes = hole_points(plan)
    all_wishes = ([*stays, *houses, *lots, *holes], [*stays, *houses, *lots], [*stays, *houses], [*stays, *lots], stays)
    for wished in all_wishes:
        with suppress(PageTooSmallError):
            layout = lay_out(plan, paper, _ROOM, [*needed, *wished], _LARGEST[system])
            if layout.view.scale <= _SMALLEST[system]:
                return layout
    return lay_out(plan, paper, _ROOM, needed, _LARGEST[system])


def _items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    yield from _clear_figures(plan, view, figures)
    yield from _clear_spots(plan, view, figures)
    yield from _benches(plan, figures)
    yield from _walls(plan)
    yield from _steps(plan, view)
    yield from stay_items(plan, view, figures)
    yield from earth_items(plan, figures)
    yield from hole_items(plan, view, figures)
    yield from lot_items(plan, view, figures)


def _hidden(plan: Planned) -> list[Any]:
    """What heaps and the stack of timber lie on."""
    from shapely.geometry import Polygon

    earth = plan.earth
    rings = [heap.outline_m for heap in earth.heaps] + ([earth.drop_zone.outline_m] if earth.drop_zone else [])
    return [Polygon(ring) for ring in rings if ring]


def _clear_figures(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """Contours; their figures only where the line is seen."""
    from shapely import union_all
    from shapely.geometry import LineString

    hidden = union_all(_hidden(plan))
    for item in contour_items(plan, view, figures):
        if not isinstance(item, Label):
            yield item
            continue
        seen = LineString(item.anchor).difference(hidden)
        parts = [part for part in getattr(seen, "geoms", [seen]) if part.geom_type == "LineString" and part.length > 0]
        if parts:
            longest = max(parts, key=lambda part: float(part.length))
            yield replace(item, anchor=tuple((float(x), float(y)) for x, y in longest.coords))


def _clear_spots(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """Levels as measured, but for those a heap or a stack would hide."""
    from shapely.geometry import Point as Spot

    hidden = _hidden(plan)
    for item in spot_items(plan, view, figures):
        if not (isinstance(item, Label) and any(shape.contains(Spot(item.anchor[0])) for shape in hidden)):
            yield item


def _benches(plan: Planned, figures: Figures) -> Iterable[Item]:
    for face in plan.terraces.faces:
        if face.kind == "bed":
            yield Area(id=f"bed-{face.id}", layer="tones", rings=(face.outline_m, *face.holes_m), fill="planted",
                       key="planting", of=face.id)  # fmt: skip
            yield Label(id=f"bed-level-{face.id}", layer="labels", anchor=face.outline_m, kind="area", h=2.2,
                        lines=(f"BED {face.id[1:]}", figures.level(face.level_m)), weight="semibold", style="box",
                        priority=1, key="level new", of=face.id, bars=(WALLS,))  # fmt: skip
        elif face.kind == "path":
            yield Area(id=f"path-{face.id}", layer="tones", rings=(face.outline_m, *face.holes_m), fill="path",
                       key="path", pen="fine", of=face.id)  # fmt: skip


def _walls(plan: Planned) -> Iterable[Item]:
    """Walls as heavy bars: at this scale the first thing to be seen."""
    whole = united(tuple(run.polygon for run in plan.walls.runs), 1e-4)
    parts = [part for part in getattr(whole, "geoms", [whole]) if part.geom_type == "Polygon"]
    for n, part in enumerate(parts):
        rings = tuple(tuple((x, y) for x, y in r.coords[:-1]) for r in (part.exterior, *part.interiors))
        yield Area(id=f"{WALLS}-{n}", layer="walls", rings=rings, fill="timber", pen="cut", key="wall")


def _steps(plan: Planned, view: View) -> Iterable[Item]:
    """Treads, and the arrow up where it is long enough to be read."""
    items = list(flight_items(plan))
    arrows = [item for item in items if isinstance(item, Line) and _on_paper(item, view) > _ARROW_MM]
    yield from (item if arrows else replace(item, key="steps bare") for item in items if isinstance(item, Area))
    yield from arrows


def _on_paper(line: Line, view: View) -> float:
    return dist(line.pts[0], line.pts[-1]) * 1000.0 / view.scale


def _heap_moved(plan: Planned, figures: Figures) -> Iterable[Note]:
    """That the heap lies elsewhere than the file says, and why."""
    for heap in plan.earth.heaps:
        if heap.moved_m is not None:
            text = (
                f"The place in the file is not used: it would meet {', '.join(heap.in_the_way)}. Drawn and set out on "
                f"the nearest free ground, {figures.words(heap.moved_m)} away."
            )
            yield Note(f"The {heap.id} is moved", text, warn=True)


def _tables(plan: Planned, figures: Figures) -> Iterable[Rows]:
    found = gaps(plan)
    if found:
        heads = (Column("lot line", 0.44, "l"), Column("known", 0.32, "l"), Column("nearest", 0.24))
        rows = tuple((gap.name, TRUST_WORDS[gap.trust], figures.length(gap.length_m)) for gap in found)
        yield Rows("Lot lines", heads, rows, "at the end of the book", in_full=True)
    places = tuple(_places(plan, figures))
    if places:
        yield Rows("Barrows and heaps", (Column("what", 0.40, "l"), Column("how", 0.60)), places, "see the soil page")


def _places(plan: Planned, figures: Figures) -> Iterable[tuple[str, str]]:
    """What found no place on the plan, and the way of the barrows: the first lines are those always told."""
    earth, run = plan.earth, plan.earth.barrow_run
    for heap in earth.heaps:
        if not heap.outline_m:
            yield HEAP_WORDS[heap.id].lower(), f"no place for {volume(heap.volume_loose_m3, figures.system)} loose"
    if earth.drop_zone is not None and not earth.drop_zone.outline_m:
        yield "timber and stone", "no room: bring in lots"
    if run is not None:
        yield "barrow run", figures.words(run.length_m)
        yield "on its way", climb_words(run, figures)[0]
        if run.steepest is not None:
            yield "steepest part", figures.ratio(run.steepest)
        if run.start != "truck stop":
            yield "starts at the edge", "no truck stop in the file"


def _alt(plan: Planned, figures: Figures) -> str:
    heaps = sum(bool(heap.outline_m) for heap in plan.earth.heaps)
    return (
        f"Plan of the whole yard with {len(plan.project.houses)} houses, {len(plan.project.fixed)} things that stay, "
        f"{len(plan.project.lot_lines)} lot lines, {len(plan.terraces.levels_m)} benches and {heaps} heaps of soil."
    )
