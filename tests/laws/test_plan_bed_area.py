"""Ground too narrow to dig or plant is no bed."""

from __future__ import annotations

import pytest
from shapely.geometry import GeometryCollection, LineString, Point, Polygon, box
from shapely.ops import unary_union

from demo_plans import DEMOS, demo
from flight_yards import flight_plan
from lynchet.core.slivers import wide_enough
from lynchet.plan.bed_area import plantable_m2
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.planting.open_ground import open_beds
from random_yards import realistic


@pytest.mark.parametrize(("gap_m", "counted"), [(0.045, False), (0.14, False), (0.16, True), (0.6, True)])
def test_ground_between_two_landings_counts_from_a_spade_s_width_on(gap_m: float, counted: bool) -> None:
    """A bed with two landings side by side keeps what lies round them to the square centimetre, and the strip between
    them only where it is wide enough."""
    bed, deep, wide = box(0.0, 0.0, 6.0, 2.0), 0.9, 1.1
    landings = [box(2.0, 0.0, 2.0 + wide, deep), box(2.0 + wide + gap_m, 0.0, 2.0 + 2 * wide + gap_m, deep)]
    left = bed.difference(unary_union(landings))
    expected = 12.0 - 2 * wide * deep - (0.0 if counted else gap_m * deep)
    assert wide_enough(left).area == pytest.approx(expected, abs=0.01)


def test_lines_and_points_left_by_an_overlay_are_no_ground() -> None:
    """A bed of which cutting on a grid left a line and a point beside its areas counts those areas and no more; one
    of which only lines are left counts nothing."""
    beds = [box(0.0, 0.0, 2.0, 1.0), box(3.0, 0.0, 4.0, 1.0)]
    lines = [LineString([(2.0, 0.5), (3.0, 0.5)]), Point(5.0, 5.0)]
    assert wide_enough(GeometryCollection([*beds, *lines])).area == pytest.approx(3.0, abs=1e-6)
    assert wide_enough(GeometryCollection(lines)).area == 0.0


def test_corners_a_hair_apart_end_no_plan() -> None:
    """Ground cut out off the grid, two of its corners nearer to each other than a double can tell from the next: what
    is wide enough of it is all of it."""
    ring = [(14.10739776907207, 2.9304137265471377), (14.107397769072078, 2.9304137265471395),
            (14.107397769072072, 2.930413726547137), (14.383392514148705, 2.318482), (3.53391864064974, 2.318482),
            (4.081233166846686, 2.706022682461137), (4.081233166846685, 2.7060226824611378),
            (4.081233166846687, 2.706022682461137), (4.9047622884693, 4.068717965987252),
            (4.594666408826237, 5.582462), (13.474260828056908, 5.582462)]  # fmt: skip
    assert wide_enough(Polygon(ring)).area == pytest.approx(Polygon(ring).area, abs=0.01)


@pytest.mark.parametrize("name", DEMOS)
def test_beds_hold_what_can_be_planted(name: str) -> None:
    """The bed told is no less than the open ground the plants are set out on, and no more than the beds themselves."""
    plan = demo(name)
    open_m2 = sum(bed.soil_m2 for bed in plan.planted.beds)
    assert open_m2 - 1e-3 <= plantable_m2(plan) <= sum(bed.polygon.area for bed in plan.terraces.beds)


@pytest.mark.parametrize("seed", (0, 3, 6, 7, 9))
def test_no_more_to_plant_than_there_is(seed: int) -> None:
    """On yards of any shape the ground open to plants is part of the level ground, in each bed and together, and no
    part of it lies on the timber of a wall that comes up to the surface, on a step or in a sliver."""
    _holds(plan_project(realistic(900 + seed)[0], effort=LIVE))


def test_where_an_overlay_leaves_a_shape_that_cannot_be_cut_the_ground_is_cut_on_a_grid() -> None:
    """A landing whose corner lies on a cut made before it to the last digit but one: the plan broke off there."""
    _holds(flight_plan(93014))


def _holds(plan: Plan) -> None:
    assert sum(bed.soil_m2 for bed in plan.planted.beds) <= plantable_m2(plan) + 1e-3
    steps = [Polygon(tread.outline_m) for flight in plan.terraces.flights for tread in flight.treads]
    for bed in open_beds(plan.terraces, plan.walls):
        runs = [run.polygon for run in plan.walls.runs if run.top_m > bed.face.level_m + 1e-6]
        assert bed.soil.intersection(unary_union([*runs, *steps])).area < 1e-3
        assert bed.soil.area - wide_enough(bed.soil).area < 1e-3
