"""What an officer sees first on the permit sheets and the first look: large pictures, clear figures, free signs."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
import shapely

from demo_plans import DEMOS, demo
from lynchet.drawings.display import Letters, Stroke
from lynchet.drawings.figures import Figures
from lynchet.drawings.first_look_picture import plan_picture
from lynchet.drawings.lower import lower, place_view
from lynchet.drawings.model import Area, Dim, Label, Text, View
from lynchet.drawings.paper import scales
from lynchet.drawings.permit_asks import permit_asks
from lynchet.drawings.permit_elevation import elevation_box
from lynchet.drawings.permit_page import room
from lynchet.drawings.permit_plan import permit_plan
from lynchet.drawings.permit_walls import permit_walls
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.water_sheet import water_sheet
from office_plan import office

CASES = tuple(product(DEMOS, ("metric", "us")))
_LINE_MM = 4.4
_SIGN_MM = 7.0
"""Radius of the north sign."""


@pytest.mark.parametrize(("name", "units"), CASES)
def test_the_walls_are_as_large_as_the_page_allows(name: str, units: str) -> None:
    """At the next larger scale of the list the walls would be wider than the page, or higher than what it leaves."""
    plan = office(name, units)
    sheet = permit_walls(plan, stamp_of(plan))
    (view,) = sheet.views
    low, high = elevation_box(plan)
    larger = max((n for n in scales(plan.project.units) if n < view.scale), default=view.scale)
    left, _, right, bottom = room(sheet.paper)
    wide = (high[0] - low[0]) * 1000.0 / larger
    more = (high[1] - low[1]) * (1000.0 / larger - 1000.0 / view.scale)
    texts = [item for item in sheet.marks if isinstance(item, Text) and item.layer != "title"]
    free = bottom - max(item.at[1] for item in texts if item.at[1] < bottom + 1.0)
    if not any(item.text.endswith("not reached.") for item in texts) and not plan.project.place.known:
        free += _LINE_MM * sum(not check.triggered for check in plan.stability.heights)  # such rules may be left out
    assert larger == view.scale or larger < 20 or wide > right - left - 30.0 or more > free - 2.0


@pytest.mark.parametrize(("name", "units"), CASES)
def test_every_wall_of_the_section_has_its_height(name: str, units: str) -> None:
    """The section an office gets tells the height of each wall it names, and no level stands on a dimension."""
    plan = office(name, units)
    sheet = permit_asks(plan, stamp_of(plan))
    (view,) = sheet.views
    walls = {item.id.removeprefix("bubble-") for item in view.items if item.id.startswith("bubble-")}
    told = {item.id.removeprefix("seen-") for item in view.items if isinstance(item, Dim)} & walls
    assert walls and told == walls


@pytest.mark.parametrize(("name", "units"), CASES)
def test_a_figure_stands_free_in_its_line(name: str, units: str) -> None:
    """No dash of a contour or a pipe comes nearer to its own figure than the room between two dashes."""
    plan = office(name, units)
    sheets = (site_sheet(plan, stamp_of(plan)), permit_plan(plan, stamp_of(plan)), water_sheet(plan, stamp_of(plan)))
    looked = 0
    for view in (view for sheet in sheets if sheet is not None for view in sheet.views):
        carried = {item.id: item.of for item in view.items if isinstance(item, Label) and item.kind == "line"}
        marks = [mark for _, mark in place_view(view)[0]]
        lines: dict[str, list[object]] = {}
        for mark in marks:
            if isinstance(mark, Stroke) and not mark.closed:
                lines.setdefault(mark.of, []).extend(shapely.LineString(path) for path in mark.paths if len(path) > 1)
        for text in (mark for mark in marks if isinstance(mark, Letters) and mark.of in carried):
            own = lines.get(carried[text.of], [])
            looked += bool(own)
            assert all(shapely.Polygon(text.corners()).distance(line) > 0.35 for line in own), text.text
    assert looked


@pytest.mark.parametrize(("name", "units"), CASES)
def test_no_contour_figure_lies_on_a_heap(name: str, units: str) -> None:
    """A level of the ground is not written where a heap or the stack of timber hides that ground."""
    plan = office(name, units)
    rings = [heap.outline_m for heap in plan.earth.heaps if heap.outline_m]
    rings += [plan.earth.drop_zone.outline_m] if plan.earth.drop_zone and plan.earth.drop_zone.outline_m else []
    hidden = shapely.union_all([shapely.Polygon(ring) for ring in rings])
    assert not hidden.is_empty
    (view,) = site_sheet(plan, stamp_of(plan)).views
    figures = [item for item in view.items if isinstance(item, Label) and item.id.startswith("contour-figure")]
    assert figures
    for item in figures:
        assert shapely.LineString(item.anchor).intersection(hidden.buffer(-1e-6)).length < 1e-6


@pytest.mark.parametrize(("name", "units"), CASES)
def test_the_fall_is_not_written_on_a_house(name: str, units: str) -> None:
    """Words beside the arrow of the fall stand on free paper: on a house they would be taken for its name."""
    plan = demo(name)
    plan = replace(plan, project=replace(plan.project, units=units))
    (view,) = permit_plan(plan, stamp_of(plan)).views
    houses = _areas(view, "house")
    words = [mark for _, mark in place_view(view)[0] if isinstance(mark, Letters) and mark.of == "fall-words"]
    assert words
    for mark in words:
        assert all(not shapely.Polygon(mark.corners()).intersects(house) for house in houses)


@pytest.mark.parametrize(("name", "units"), CASES)
def test_north_stands_beside_the_first_look(name: str, units: str) -> None:
    """The sign lies on free paper where north is known; where it is not, none is drawn."""
    plan = office(name, units)
    view, signs = plan_picture(plan, (20.0, 100.0, 118.0, 176.0), Figures(plan.project.units))
    assert bool(signs) == (plan.project.site.north_deg is not None)
    for sign in signs:
        circle = shapely.Point(sign.at).buffer(_SIGN_MM)
        assert not circle.intersects(shapely.box(*view.region)) and shapely.box(20.0, 100.0, 118.0, 176.0).covers(
            circle
        )


def _areas(view: View, starts: str) -> list[shapely.Polygon]:
    inside = shapely.box(*view.region)
    return [shapely.Polygon(view.papers(item.rings[0])).intersection(inside) for item in view.items
            if isinstance(item, Area) and item.id.startswith(starts)]  # fmt: skip


def test_a_table_without_room_is_told_in_full() -> None:
    """Outlets that found no room on the water plan stand whole in its notes, each with level, drop and flow."""
    for units in ("metric", "us"):
        plan = office("spot_levels", units)
        sheet = water_sheet(plan, stamp_of(plan))
        assert sheet is not None
        shown = {item.text for item in sheet.marks if isinstance(item, Text)}
        notes = " ".join(sheet.notes)
        for outlet in plan.water.outlets:
            level = Figures(plan.project.units).level(outlet.invert_m)
            assert (level in shown and "OUTLETS" in shown) or level in notes
        assert "data" not in notes
        assert not lower(sheet).width_mm < 0
