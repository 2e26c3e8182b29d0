"""Site, water, planting and soil sheets: everything of the stage is on its sheet once, and figures are the stage's."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import cos, hypot, radians, sin
from pathlib import Path

import pytest

import lynchet.demos
from lynchet.core.findings import Finding, Verdict
from lynchet.drawings.dump import dump
from lynchet.drawings.faults import crossed, faults
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Dim, Label, Line, Sheet, Symbol, Text, View
from lynchet.drawings.page import spread
from lynchet.drawings.pipe_list import pipes
from lynchet.drawings.plan_lots import gaps
from lynchet.drawings.planting_sheet import letters
from lynchet.drawings.sheets import sheets_of
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.soil_rows import dug_parts, reasons, used_parts
from lynchet.drawings.stamp import Stamp, stamp_of
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project
from lynchet.project.things import Fixed, LotLine
from random_yards import realistic

DEMO = Path(lynchet.demos.__file__).parent / "l_garden.toml"
UNITS = ("metric", "us")


@cache
def _plan(units: str) -> Plan:
    """The garden with lot lines of every trust, a gate, a truck stop, a septic field and a pipe that stay."""
    project = read_project(DEMO)
    lots = (LotLine("west", ((-3.2, -6), (-3.2, 17)), "survey"), LotLine("east", ((21, -6), (20.5, 17)), "fence"),
            LotLine("south", ((-3.2, -6), (21, -6))))  # fmt: skip
    field = Fixed("F1", "septic", "septic field", ((14.5, 7.5), (19, 7.5), (19, 10.5), (14.5, 10.5)), True, 1.0)
    pipe = Fixed("F2", "service", "gas pipe", ((-1.8, -4), (-1.8, 14)), clear_m=0.5, depth_m=0.6)
    access = replace(project.access, gate_m=0.95, gate_at_m=(14.0, -6.0), truck_stop_m=(16.0, -8.0))
    return plan_project(
        replace(project, units=units, lot_lines=lots, fixed=(*project.fixed, field, pipe), access=access),  # type: ignore[arg-type]
        effort=LIVE,
    )


@cache
def _sheets(units: str) -> dict[str, Sheet]:
    return sheets_of(_plan(units), Stamp(date="12 May 2026"), kept_back=True)


@pytest.mark.parametrize("units", UNITS)
def test_no_sheet_of_a_full_yard_has_a_fault(units: str) -> None:
    """A yard with everything that can stay or be marked: no text meets another, leaves its place or is covered."""
    sheets = _sheets(units)
    assert {"site", "water", "planting", "soil"} <= set(sheets)
    own = [sheet.fields.number for sheet in sheets.values() if sheet.kind != "permit"]
    assert own == list(range(1, len(own) + 1))
    assert [sheet.fields.number for sheet in sheets.values() if sheet.kind == "permit"] == [1, 2, 3]
    texts = through = 0
    for sheet in sheets.values():
        display = lower(sheet)
        assert faults(display, sheet.paper) == [], sheet.id
        texts, through = texts + len(display.texts), through + len(crossed(display))
    assert through <= texts / 100


@pytest.mark.parametrize("units", UNITS)
def test_every_place_of_the_earth_works_is_on_the_site_sheet(units: str) -> None:
    """Each heap's round-ended foot, drop zone, barrow run, gate and truck stop are drawn where the stage puts them."""
    from shapely.geometry import Polygon

    plan, view = _plan(units), _sheets(units)["site"].views[0]
    areas = {item.id: item.rings[0] for item in view.items if isinstance(item, Area)}
    assert plan.earth.heaps and plan.earth.drop_zone and plan.earth.barrow_run
    for heap in plan.earth.heaps:
        foot, box = Polygon(areas[heap.id.replace(" ", "-")]), Polygon(heap.outline_m)
        assert foot.bounds == pytest.approx(box.bounds) and foot.area < box.area
    assert areas["drop-zone"] == plan.earth.drop_zone.outline_m
    way = next(item for item in view.items if item.id == "barrow-way")
    assert isinstance(way, Line) and way.pts == plan.earth.barrow_run.points_m
    signs = {item.name: item.at for item in view.items if isinstance(item, Symbol)}
    assert signs["truck"] == plan.project.access.truck_stop_m
    assert signs["gate"] == plan.project.access.gate_at_m
    left, top, right, bottom = view.region
    for ring in (*(heap.outline_m for heap in plan.earth.heaps), plan.earth.barrow_run.points_m):
        assert all(left <= x <= right and top <= y <= bottom for x, y in map(view.paper, ring))


def test_a_heap_without_a_place_is_told_in_the_strip() -> None:
    """A heap that found no room is not drawn and stands in the table with its volume."""
    plan = _plan("metric")
    lost = replace(plan.earth, heaps=tuple(replace(heap, outline_m=()) for heap in plan.earth.heaps))
    sheet = site_sheet(replace(plan, earth=lost), stamp_of(plan))
    said = " | ".join(item.text for item in sheet.marks if isinstance(item, Text))
    assert "topsoil heap" in said and said.count("no place for") == 2
    assert not any(item.id in ("heap", "topsoil-heap") for item in sheet.views[0].items)


def test_distances_to_lot_lines_are_the_shortest() -> None:
    """No corner of a wall lies nearer to a lot line than the distance drawn, and one end of it lies on the line."""
    from shapely.geometry import LineString, Point

    plan = _plan("metric")
    found = {gap.name: gap for gap in gaps(plan)}
    assert set(found) == {"west", "east", "south"}
    for lot in plan.project.lot_lines:
        line, gap = LineString(lot.line_m), found[lot.name]
        assert line.distance(Point(gap.end_m)) < 1e-6
        for run in plan.walls.runs:
            assert min(line.distance(Point(corner)) for corner in run.outline_m) > gap.length_m - 1e-6


@pytest.mark.parametrize("units", UNITS)
def test_every_plant_is_drawn_once(units: str) -> None:
    """Each placed plant has one mark at its point, a letter of its kind or a dot; crowns have the spread to scale."""
    plan, view = _plan(units), _sheets(units)["planting"].views[0]
    marks = [item for item in view.items if item.id.startswith("plant-")]
    placed = {plant.id: (plant.point_m, planting.species.botanical_name)
              for planting in plan.planted.plantings for plant in planting.plants}  # fmt: skip
    assert Counter(item.of for item in marks) == Counter(placed.keys())
    known = {species.botanical_name: letter for species, letter, _ in letters(plan)}
    assert len(set(known.values())) == len(known)
    for item in marks:
        point, name = placed[item.of]
        assert isinstance(item, Text | Symbol) and item.at == point
        assert not isinstance(item, Text) or item.text == known[name]
    for planting in plan.planted.plantings:
        crowns = next(item for item in view.items if item.id == f"crowns-{planting.id.replace('/', '-')}")
        assert isinstance(crowns, Area) and len(crowns.rings) == planting.count
        for ring, (x, y) in zip(crowns.rings, planting.points_m, strict=True):
            assert {round(hypot(a - x, b - y), 6) for a, b in ring} == {round(planting.species.spread_m / 2, 6)}


def test_counts_of_the_key_are_what_is_bought() -> None:
    """Counts beside the letters add up to the plants of the whole plan, species by species."""
    plan = _plan("metric")
    assert {species.botanical_name: count for species, _, count in letters(plan)} == plan.planted.counts


@pytest.mark.parametrize("units", UNITS)
def test_every_pipe_has_its_line_name_and_rows(units: str) -> None:
    """Each drain and pipe is drawn along its points, named once, and its stretches stand in the schedule, on the
    sheet or in full with its notes, falling."""
    plan, sheet = _plan(units), _sheets(units)["water"]
    items = sheet.views[0].items
    ids = {drain.id for drain in plan.water.drains} | {solid.id for solid in plan.water.solids}
    assert {item.of for item in items if item.id.startswith("pipe-")} == ids
    names = [item.lines[0] for item in items if isinstance(item, Label) and item.id.startswith("name-")]
    assert len(set(names)) == len(names) == len(ids)
    said = Counter(item.text for item in sheet.marks if isinstance(item, Text))
    for pipe in pipes(plan):
        assert said[pipe.name] >= 1 or any(f"pipe {pipe.name}, " in note for note in sheet.notes)
        for arm in pipe.arms:
            levels = [pipe.inverts_m[n] for n in arm]
            assert levels == sorted(levels, reverse=True)
    ends = {item.of for item in items if isinstance(item, Symbol) and item.name == "outlet"}
    assert ends == {outlet.id for outlet in plan.water.outlets}


def test_arrows_point_down_the_fall() -> None:
    """From every arrow the nearest point of its pipe ahead lies no higher than the one behind."""
    plan, view = _plan("metric"), _sheets("metric")["water"].views[0]
    arrows = [item for item in view.items if isinstance(item, Symbol) and item.name == "head"]
    assert len(arrows) >= len(plan.water.drains)
    by_id = {pipe.id: pipe for pipe in pipes(plan)}
    for arrow in arrows:
        pipe, (x, y), turn = by_id[arrow.of], arrow.at, radians(arrow.turn_deg)
        along = [((px - x) * cos(turn) + (py - y) * sin(turn), hypot(px - x, py - y), z)
                 for (px, py), z in zip(pipe.points_m, pipe.inverts_m, strict=True)]  # fmt: skip
        ahead = min((far, z) for u, far, z in along if u > 1e-9)
        behind = min((far, z) for u, far, z in along if u <= 1e-9)
        assert ahead[1] <= behind[1] + 1e-9


@pytest.mark.parametrize("seed", [0, 4, 18])
def test_soil_parts_balance(seed: int) -> None:
    """What is dug and brought in equals what is used and carted; the reasons add up to what is left over."""
    plan = plan_project(realistic(seed)[0], effort=LIVE)
    dug, used = sum(part.bank_m3 for part in dug_parts(plan)), sum(part.bank_m3 for part in used_parts(plan))
    assert dug == pytest.approx(used, abs=0.05)
    rows = reasons(plan)
    assert sum(value for _, value in rows[:-1]) == pytest.approx(rows[-1][1], abs=0.05)


def test_heights_of_bars_are_volumes() -> None:
    """In the picture of the soil, every end box is as high for a cubic metre as every other."""
    plan, sheet = _plan("metric"), _sheets("metric")["soil"]
    boxes = [item.rings[0] for item in sheet.marks if isinstance(item, Area) and len(item.rings[0]) == 4]
    used = used_parts(plan)
    dug = dug_parts(plan)
    tall = [max(y for _, y in ring) - min(y for _, y in ring) for ring in boxes[: len(dug) + len(used)]]
    scales = {round(high / part.bank_m3, 3) for high, part in zip(tall, (*dug, *used), strict=True)}
    assert len(scales) == 1


def test_words_beside_a_bar_keep_apart() -> None:
    """Spread heights keep their order and distance within the ends, and move none that has room."""
    assert spread([1.0, 20.0], 4.0, 0.0, 30.0) == [1.0, 20.0]
    crowded = spread([28.0, 28.5, 29.0, 29.5], 4.0, 0.0, 30.0)
    assert crowded[-1] <= 30.0
    assert all(b - a >= 4.0 - 1e-9 for a, b in pairwise(crowded))


def test_a_stopped_site_keeps_its_site_sheet() -> None:
    """Where everything is kept back, site and terraces are drawn, and no sheet to build from."""
    plan = _plan("metric")
    stop = Finding("test", Verdict.STOP, "Stopped.", "site", withholds=("all",))
    names = set(sheets_of(replace(plan, clashes=(stop,))))
    assert names == {"first-look", "site", "terraces", "section"}
    assert "sheet | site" in dump(_sheets("metric")["site"])


def _smaller_sections(sheets: dict[str, Sheet]) -> list[View]:
    """On sheets of their own, or under the section along the fall."""
    return [view for name, sheet in sheets.items() if name.startswith("section") for view in sheet.views
            if view.id.startswith("section-")]  # fmt: skip


@pytest.mark.parametrize("units", UNITS)
def test_every_flight_drain_and_bed_at_a_house_has_its_section(units: str) -> None:
    """Each flight is cut once through all its steps, each drain and each bed at a house once, each with a letter."""
    plan, sheets = _plan(units), _sheets(units)
    views = _smaller_sections(sheets)
    treads = Counter(item.of for view in views for item in view.items if item.id.startswith("tread-S"))
    assert treads == Counter(tread.id for flight in plan.terraces.flights for tread in flight.treads)
    beside = {side.left for line in plan.terraces.lines for side in line.sides if side.right == "house"}
    housed = [view for view in views if any(item.id.startswith("house-") for item in view.items)]
    assert len(housed) == len(beside)
    letters_of = [view.id.removeprefix("section-") for view in views]
    assert len(set(letters_of)) == len(letters_of)
    assert len(letters_of) == len(plan.terraces.flights) + len(plan.water.drains) + len(beside)
    bores = [{item.of for item in view.items if item.id.startswith("bore-")} for view in views]
    assert all(any(drain.id in found for found in bores) for drain in plan.water.drains)
    flags = {item.text for item in sheets["terraces"].views[0].items
             if isinstance(item, Symbol) and item.name == "section flag"}  # fmt: skip
    assert flags <= set(letters_of)
    assert len(flags) >= len(letters_of) - 2


@pytest.mark.parametrize("units", UNITS)
def test_sections_of_steps_are_true_to_scale(units: str) -> None:
    """The rise drawn beside a flight is its risers times their height, as number and as length on paper."""
    plan, sheets = _plan(units), _sheets(units)
    views = _smaller_sections(sheets)
    rises = [(item, view) for view in views for item in view.items if isinstance(item, Dim) and item.id == "rise"]
    wanted = sorted(flight.risers * flight.riser_m for flight in plan.terraces.flights if flight.treads)
    assert sorted(item.values_m[0] for item, _ in rises) == pytest.approx(wanted, abs=2e-3)
    for item, view in rises:
        (_, low), (_, high) = (view.paper(point) for point in item.pts)
        assert (low - high) * view.scale / 1000.0 == pytest.approx(item.values_m[0])
