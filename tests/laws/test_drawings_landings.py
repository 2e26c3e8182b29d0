"""Landings of steps: what sections draw before and behind a flight is what a foot meets, riser by riser."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest
from shapely.geometry import Polygon

from demo_plans import DEMOS, demo
from lynchet.drawings.figures import Figures
from lynchet.drawings.landings import landing_items, pad_words, pads
from lynchet.drawings.model import Area, Line
from lynchet.drawings.plan_built import flight_items
from lynchet.drawings.section_data import cutting
from lynchet.drawings.section_items import after_at
from lynchet.drawings.section_places import section_places
from lynchet.plan.bed_area import beds_words, plantable_m2
from lynchet.units.format import area

_SAME_M = 0.005


@pytest.mark.parametrize("name", DEMOS)
def test_every_rise_of_a_drawn_flight_between_beds_is_its_riser(name: str) -> None:
    """From the ground drawn before the first step, over each tread, to the ground drawn behind: all within 5 mm."""
    plan = demo(name)
    for place in section_places(plan, Figures("metric")):
        flight = place.flight
        on_beds = flight is not None and sum(pad.flight.id == flight.id for pad in pads(plan)) == 2
        if flight is None or not on_beds:
            continue
        found = cutting(plan, place.cut)
        end = found.after[-1].points[-1][0]
        treads = sorted(block.top0_m for block in found.treads if block.of == flight.id)
        walked = [after_at(found, 0.1), *treads, after_at(found, end - 0.1)]
        for low, high in pairwise(walked):
            assert high - low == pytest.approx(flight.riser_m, abs=_SAME_M)


@pytest.mark.parametrize("name", DEMOS)
def test_the_arrow_of_every_flight_points_up_it(name: str) -> None:
    """On a plan the arrow of a flight, also of one step alone, runs 0.2 m at least the way one walks up."""
    plan = demo(name)
    ways = {item.of: item.pts for item in flight_items(plan) if isinstance(item, Line)}
    assert set(ways) == {flight.id for flight in plan.terraces.flights}
    for flight in plan.terraces.flights:
        (ax, ay), (bx, by) = ways[flight.id]
        along = (bx - ax) * flight.direction[0] + (by - ay) * flight.direction[1]
        assert along == pytest.approx(hypot(bx - ax, by - ay))
        assert along > 0.2


@pytest.mark.parametrize("name", DEMOS)
def test_every_landing_on_a_bed_is_drawn_and_told(name: str) -> None:
    """Landings on beds cover on the plan what the model keeps free, less timber and steps, and have their words."""
    plan = demo(name)
    figures = Figures(plan.project.units)
    drawn = [Polygon(item.rings[0]) for item in landing_items(plan, figures) if isinstance(item, Area)]
    for pad in pads(plan):
        ring = Polygon(pad.landing.outline_m)
        covered = sum(shape.intersection(ring).area for shape in drawn)
        taken = [Polygon(tread.outline_m) for flight in plan.terraces.flights for tread in flight.treads]
        taken += [run.polygon for run in plan.walls.runs]
        free = ring
        for shape in taken:
            free = free.difference(shape.buffer(0), grid_size=1e-6)
        assert covered == pytest.approx(free.area, abs=0.03)
        assert figures.small_words(pad.over_m) in pad_words(plan, figures, (pad.flight.id,))


@pytest.mark.parametrize("name", DEMOS)
def test_landings_and_steps_are_no_bed_to_plant(name: str) -> None:
    """The plantable area and the landings together are never more than the beds."""
    plan = demo(name)
    beds = sum(face.polygon.area for face in plan.terraces.beds)
    strips = sum(Polygon(ring).area for face in plan.terraces.beds for ring in face.strip_m)
    outside = 0.0
    for pad in pads(plan):
        alone = Polygon(pad.landing.outline_m)
        for ring in pad.bed.strip_m:
            alone = alone.difference(Polygon(ring).buffer(1e-3))
        outside = max(outside, alone.intersection(pad.bed.polygon).area)
    assert plantable_m2(plan) <= beds - strips - outside + 1e-6


@pytest.mark.parametrize("name", DEMOS)
def test_bed_on_screen_and_bed_to_plant_are_both_said(name: str) -> None:
    """Where the ground to plant is less than the bed, the line on screen says both, as the planting sheet sums it."""
    plan = demo(name)
    soil = sum(bed.soil_m2 for bed in plan.planted.beds)
    said = beds_words(plan, plantable_m2(plan))
    assert said.startswith(area(plantable_m2(plan), plan.project.units))
    assert (area(soil, plan.project.units) + " of it to plant" in said) == (soil < plantable_m2(plan) - 0.05)
