"""A heap whose place the file gives: used where it is free, else the nearest free ground, and told."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Area
from lynchet.drawings.plan_earth import earth_items
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.earth.room import heap_foot, heap_size, rectangle
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text
from lynchet.quotes.words import seen

Point = tuple[float, float]
YARD = """
lynchet = 1
units = "metric"
[ground]
slope = { fall = "1 in 6", cross_fall = "1 in 60" }
held = "level"
[area]
length = "9 m"
depth = "6 m"
[[fixed]]
kind = "tree"
name = "maple"
at = [13.5, 1]
stem = "0.25 m"
[brief]
terraces = 2
[access]
truck_stop = [4, -14]
heap = [12, 2]
"""


@cache
def planned(at: Point) -> Plan:
    """The yard with its heap put somewhere."""
    project = read_project_text(YARD, "heap.toml")
    return plan_project(replace(project, access=replace(project.access, heap_m=at)), effort=LIVE)


def _heap(plan: Plan) -> tuple[shapely.Polygon, Point]:
    heap = next(one for one in plan.earth.heaps if one.id == "heap")
    box = shapely.Polygon(heap.outline_m)
    return box, (box.centroid.x, box.centroid.y)


@pytest.mark.parametrize("at", [(12.0, 2.0), (4.0, 3.0), (10.0, -3.0)])
def test_a_heap_that_meets_something_is_set_out_on_the_nearest_free_ground(at: Point) -> None:
    """It keeps 0.6 m off the area and out of the tree's clear ground, no place half a metre nearer is free, and
    finding, site sheet and first day say that the file's place is not used."""
    plan = planned(at)
    box, middle = _heap(plan)
    area, tree = shapely.Polygon(plan.project.area.outline_m), plan.project.fixed[0]
    stem = shapely.Point(tree.line_m[0])
    assert box.distance(area) >= 0.6 and box.distance(stem) >= tree.clear_m - 0.05
    wish = at  # the own frame is the file's here
    off = float(np.hypot(middle[0] - wish[0], middle[1] - wish[1]))
    heap = next(one for one in plan.earth.heaps if one.id == "heap")
    assert heap.moved_m == pytest.approx(off) and not heap.given and heap.in_the_way
    (x0, y0, x1, y1) = box.bounds
    half = ((x1 - x0) / 2, (y1 - y0) / 2)
    for turn in np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False):
        near = wish[0] + (off - 0.5) * np.cos(turn), wish[1] + (off - 0.5) * np.sin(turn)
        tried = shapely.Polygon(rectangle(near, *half))
        taken = tried.distance(area) < 0.65 or tried.distance(stem) < tree.clear_m + 0.05
        assert taken or tried.distance(shapely.LineString([(4, -14), (4, 0)])) < 0.8, near
    told = next(one.text for one in plan.findings if one.code == "earth.heap_place")
    assert "does not lie where the file puts it" in told and ("maple" in told or "digging" in told)
    sheet = site_sheet(plan, Stamp())
    words = " ".join([*sheet.notes, *(getattr(one, "text", "") for one in sheet.marks)])
    assert "The place in the file is not used" in words
    first = " ".join(step.text for step in day_contents(plan, Words("en"))[0].steps)
    assert Words("en")("day.heap.moved") in first


def test_a_heap_on_free_ground_lies_where_the_file_puts_it() -> None:
    """Its middle is the file's own point, and nothing is said."""
    plan = planned((10.0, -8.0))
    _, middle = _heap(plan)
    assert middle == pytest.approx((10.0, -8.0), abs=1e-6)
    heap = next(one for one in plan.earth.heaps if one.id == "heap")
    assert heap.given and heap.moved_m is None
    assert "earth.heap_place" not in {one.code for one in plan.findings}


@pytest.mark.parametrize("loose", [0.4, 3.0, 7.0, 15.0])
def test_a_heaps_foot_holds_its_volume(loose: float) -> None:
    """Soil that rises from every point of the foot's edge at the heap's slope is the volume stated, to one in fifty."""
    slope = 2.0 / 3.0
    _, long, wide = heap_size(loose, slope)
    foot = shapely.Polygon(heap_foot(rectangle((0.0, 0.0), long / 2.0, wide / 2.0)))
    step = wide / 120.0
    x, y = np.meshgrid(np.arange(-long / 2, long / 2, step) + step / 2, np.arange(-wide / 2, wide / 2, step) + step / 2)
    spots = shapely.points(x.ravel(), y.ravel())
    inside = shapely.contains(foot, spots)
    high = shapely.distance(foot.exterior, spots[inside]) * slope
    assert float(high.sum()) * step**2 == pytest.approx(loose, rel=0.02)
    turned = shapely.Polygon(heap_foot(rectangle((1.0, 2.0), wide / 2.0, long / 2.0)))
    assert turned.area == pytest.approx(foot.area) and turned.bounds == pytest.approx(
        (1.0 - wide / 2, 2.0 - long / 2, 1.0 + wide / 2, 2.0 + long / 2)
    )


def test_the_site_sheet_draws_the_foot_and_the_quote_says_what_the_way_is() -> None:
    """The drawn ring is the round-ended foot; the client reads from where to where the barrows go."""
    plan = planned((10.0, -8.0))
    box, _ = _heap(plan)
    drawn = next(one for one in earth_items(plan, Figures("metric")) if isinstance(one, Area) and one.id == "heap")
    assert shapely.Polygon(drawn.rings[0]).area < 0.97 * box.area
    words = " ".join(seen(plan))
    assert "from the truck to the heap" in words and "to carry" not in words
