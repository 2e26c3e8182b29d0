"""Permit sheet 1: the plan with the shortest ways to lot lines and buildings, and how the lot lines are known."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.lower import place_view
from lynchet.drawings.model import Area, Item, Label, Sheet, View
from lynchet.drawings.page import Page
from lynchet.drawings.page_parts import (
    Side,
    headline,
    key_columns,
    key_height,
    para,
    para_height,
    section,
    table,
    table_height,
)
from lynchet.drawings.paper import Box
from lynchet.drawings.permit_page import Told, permit_page, permit_paper, room
from lynchet.drawings.plan_built import flight_items, wall_items
from lynchet.drawings.plan_ground import contour_items, step_of
from lynchet.drawings.plan_layout import Layout, core_points, lay_out_in
from lynchet.drawings.plan_lots import TRUST_WORDS, gaps, lot_items
from lynchet.drawings.plan_signs import fall_items, north_items
from lynchet.drawings.plan_stays import benchmark_words, stay_items
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, KeyEntry
from lynchet.drawings.wall_facts import standing
from lynchet.units.format import area, volume

TITLE = "Permit 1: plan"
TOUCHES_M = 0.005
"""Less is no gap one could measure."""
_LARGEST = {"metric": 50, "us": 48}
_ROOM = (6.0, 2.0, 6.0, 4.0)
_TRIES = 5
_NO_LINE = (
    "No lot line is in the project file. Measure from every wall to the lot lines and write it in, or ask for a "
    "survey, before this sheet is handed in."
)
_GUESSED = "A lot line that is not by survey may be wrong by more than the distance shown: the office may ask for one."
_COLUMNS = (Column("from the walls and steps to", 0.34, "l"), Column("how it is known", 0.24, "l"),
            Column("nearest", 0.18, "l"), Column("shortest way", 0.24))  # fmt: skip


@dataclass(frozen=True)
class Way:
    """The shortest way from what is built to a line or a building."""

    to: str
    known: str
    nearest: str
    length_m: float


def ways(plan: Planned) -> tuple[Way, ...]:
    """To every lot line, then to every building."""
    return _ways(plan, _built(plan))


def buried_ways(plan: Planned) -> tuple[Way, ...]:
    """The same of drain stone and ties, which lie in the ground and may reach past the walls; empty without any."""
    from shapely.geometry import Polygon

    legs = {leg.id for leg in plan.walls.legs}
    found: list[tuple[str, Any]] = []
    for body in plan.water.bodies:
        if body.kind == "stone":
            wall = next((part for part in re.split(r"[/.]", body.part_of) if part in legs), "")
            found.append((f"drain stone of wall {wall}" if wall else "drain stone", Polygon(body.outline_m).buffer(0)))
    for tie in plan.stability.ties:
        found += [("tie", Polygon(ring).buffer(0)) for ring in (tie.outline_m, tie.cross_outline_m)]
    return _ways(plan, found) if found else ()


def _ways(plan: Planned, built: list[tuple[str, Any]]) -> tuple[Way, ...]:
    from shapely.geometry import LineString, Polygon

    found = []
    for n, lot in enumerate(plan.project.lot_lines):
        if len(lot.line_m) > 1:
            name = printable(lot.name) or f"line {n + 1}"
            found.append(_way(name, TRUST_WORDS[lot.trust], built, LineString(lot.line_m)))
    for house in plan.project.houses:
        name = printable(house.name) or "building"
        found.append(_way(name, "building, as drawn", built, Polygon(house.outline_m).buffer(0)))
    return tuple(found)


def _built(plan: Planned) -> list[tuple[str, Any]]:
    from shapely.geometry import Polygon

    found: list[tuple[str, Any]] = [(f"wall {run.leg}", run.polygon) for run in plan.walls.runs]
    return found + [("steps", Polygon(flight.outline_m).buffer(0)) for flight in plan.terraces.flights]


def _way(to: str, known: str, built: list[tuple[str, Any]], shape: Any) -> Way:
    gap, name = min(((float(part.distance(shape)), name) for name, part in built), default=(0.0, "nothing"))
    return Way(to, known, name, gap)


def way_words(way: Way, figures: Figures) -> str:
    """How long the way is; nothing between is no length."""
    return "touches" if way.length_m < TOUCHES_M else figures.words(way.length_m)


def permit_plan(plan: Planned, stamp: Stamp) -> Sheet:
    """Sheet 1 of the set.

    Args:
        plan: what is shown.
        stamp: firm, date, issue.
    """
    figures, page = Figures(plan.project.units), Page()
    left, top, right, bottom = room(permit_paper(plan))
    side = (left, right)
    found, facts = ways(plan), _facts(plan, figures)
    note = _note(plan)
    rows = [(way.to, way.known, way.nearest, way_words(way, figures)) for way in found]
    y = headline(page, side, top, "Permit sheet 1: plan and distances", _under(plan))
    tail = 9.5 + table_height(side, _COLUMNS, rows) + para_height(side, facts) + 2.0
    tail += para_height(side, note) if note else 0.0
    box = (left - 5.0, y, right + 5.0, 0.0)
    view, entries = _fitted(plan, figures, (box, bottom - tail), side)
    y = bottom - tail - key_height(side, entries, 3)
    y = key_columns(page, side, y, entries, 3)
    y = section(page, side, y, "Distances")
    y = table(page, (side, y), _COLUMNS, rows) if rows else y
    y = para(page, side, y, note, role="warn") if note else y
    para(page, side, y, facts)
    alt = f"Plan of walls and steps with the shortest ways to {len(found)} lot lines and buildings."
    return permit_page(plan, stamp, Told(1, TITLE, (view,), page, alt))


def _fitted(plan: Planned, figures: Figures, place: tuple[Box, float], side: Side) -> tuple[View, list[KeyEntry]]:
    """The plan over its key: laid out until the key, whose height hangs on what is drawn, has its room."""
    (left, top, right, _), foot = place
    high, needed = 0.0, 30.0
    for turn in range(_TRIES):
        if turn > 1 and needed <= high:
            break
        high = needed
        layout = _laid_out(plan, figures, (left, top, right, foot - high))
        view, entries = _drawn(plan, layout, figures)
        needed = key_height(side, entries, 3)
    return view, entries


def _laid_out(plan: Planned, figures: Figures, box: Box) -> Layout:
    """With the ways to all lot lines, and whole houses where that costs no scale."""
    houses = [point for house in plan.project.houses for point in house.outline_m]
    needed = [*core_points(plan), *(point for gap in gaps(plan) for point in (gap.start_m, gap.end_m))]
    whole = lay_out_in(plan, box, _ROOM, [*needed, *houses], _LARGEST[figures.system])
    near = lay_out_in(plan, box, _ROOM, needed, _LARGEST[figures.system])
    return near if near.view.scale < whole.view.scale else whole


def _drawn(plan: Planned, layout: Layout, figures: Figures) -> tuple[View, list[KeyEntry]]:
    items = list(_items(plan, layout.view, figures))
    items += north_items(plan, layout, items)
    items += fall_items(plan, layout, items, figures)
    view = layout.with_items(items)
    step = step_of(plan, view, figures)
    words = {"step": figures.length(step), "index": figures.length(step * figures.index_every(step)),
             "benchmark": benchmark_words(plan, figures)}  # fmt: skip
    entries = [entry for entry in key.entries(key.seen(view), figures, words) if entry.name != "bubble"]
    _, placed = place_view(view)
    named = [(f"{one.number}: {one.text}", f"no-{one.number}") for one in placed if one.number]
    return view, entries + [KeyEntry(name, said, lambda x, y: []) for said, name in named]


def _items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    yield from contour_items(plan, view, figures)
    for face in plan.terraces.faces:
        if face.kind == "bed":
            yield Area(id=f"bed-{face.id}", layer="tones", rings=(face.outline_m, *face.holes_m), fill="planted",
                       key="planting", of=face.id)  # fmt: skip
    yield from (replace(item, pen="outline") for item in wall_items(plan) if isinstance(item, Area))
    yield from wall_names(plan)
    yield from (replace(item, key="steps bare") for item in flight_items(plan) if isinstance(item, Area))
    yield from stay_items(plan, view, figures)
    yield from lot_items(plan, view, figures)


def wall_names(plan: Planned) -> Iterable[Item]:
    """Names of the walls, in steps along them, so that those one above the other do not stand in one line."""
    for n, leg in enumerate(standing(plan)):
        longest = max(leg.segments, key=lambda segment: segment.end_m - segment.start_m)
        station = longest.start_m + (0.16 + 0.17 * (n % 5)) * (longest.end_m - longest.start_m)
        yield Label(id=f"name-{leg.id}", layer="labels", anchor=(leg.point_at(station, leg.thickness_m / 2),),
                    lines=(leg.id,), weight="bold", priority=1, gap_mm=1.6, of=leg.id)  # fmt: skip


def _under(plan: Planned) -> str:
    name = plan.project.place.name
    return f"Rules of the place: {printable(name)}" if plan.project.place.known else "Rules of the place: not known yet"


def _note(plan: Planned) -> str:
    lots = plan.project.lot_lines
    if not lots:
        return _NO_LINE
    return "" if all(lot.trust == "survey" for lot in lots) else _GUESSED


def _facts(plan: Planned, figures: Figures) -> str:
    from shapely.geometry import Polygon

    account, system, north = plan.earth.account, figures.system, plan.project.site.north_deg
    away = account.away_bank_m3
    way = "goes away" if away >= 0 else "comes in"
    ground = area(float(Polygon(plan.project.area.outline_m).area), system)
    dug = sum(step.topsoil_m3 + step.dug_m3 for step in plan.earth.steps)
    filled, back = sum(step.needed_m3 for step in plan.earth.steps), account.topsoil_used_m3
    return (
        f"Area inside its edge: {ground}; banks, landings and trenches may reach beyond it. Soil as it lies: "
        f"{volume(dug, system)} dug; of it {volume(back, system)} topsoil laid back, "
        f"{volume(filled, system)} filled; {volume(abs(away), system)} {way}. "
        f"Levels count from {benchmark_words(plan, figures) or 'the zero of the file'}."
        + ("" if north is not None else " North is not in the project file: draw it in.")
    )
