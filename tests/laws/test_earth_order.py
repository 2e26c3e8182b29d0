"""Laws of moving soil in order of building, of the account's states, of heaps and of the way for barrows."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lynchet.earth.balance import factors_of, loads
from lynchet.earth.order import in_order
from lynchet.earth.room import MOST_HEAP_M, Room, heap_size
from lynchet.earth.way import climb_and_steepest, way_round
from lynchet.ground.earth_states import earth_states, load_count
from lynchet.ground.stockpile import stockpile
from lynchet.ground.surface import build_surface
from lynchet.project.things import LotLine
from yards import rectangle

VOLUME = st.floats(0.0, 50.0)


@given(st.lists(st.tuples(VOLUME, VOLUME), min_size=1, max_size=7))
def test_soil_in_is_soil_out(rows):
    """For every terrace and in all: dug and bought is placed, heaped and carted, and nothing is negative."""
    dug, needed = [a for a, _ in rows], [b for _, b in rows]
    steps = in_order(dug, needed)
    for step, wanted in zip(steps, needed, strict=True):
        assert step.own_m3 + step.from_heap_m3 + step.from_above_m3 + step.bought_m3 == pytest.approx(wanted, abs=1e-9)
        assert step.heap_m3 == pytest.approx(
            step.before_m3 - step.from_heap_m3 + step.dug_m3 - step.own_m3 - step.away_m3, abs=1e-9
        )
        assert min(vars(step).values()) >= -1e-9
    left = sum(dug) - sum(needed)
    assert sum(s.away_m3 - s.bought_m3 for s in steps) == pytest.approx(left, abs=1e-9)
    assert steps[-1].heap_m3 == pytest.approx(0.0, abs=1e-9)


@given(st.lists(st.tuples(VOLUME, VOLUME), min_size=1, max_size=7))
def test_nothing_is_carted_away_and_bought_on_one_job(rows):
    """Soil leaves or comes, never both: the heap and the benches above serve before the dealer."""
    steps = in_order([a for a, _ in rows], [b for _, b in rows])
    assert min(sum(s.away_m3 for s in steps), sum(s.bought_m3 for s in steps)) < 1e-9


@given(st.lists(st.tuples(VOLUME, VOLUME), min_size=2, max_size=7))
def test_the_heap_holds_no_more_than_is_still_wanted(rows):
    """What lies on the heap after a terrace is wanted higher up, over and above what is still to be dug there."""
    steps = in_order([a for a, _ in rows], [b for _, b in rows])
    for k, step in enumerate(steps):
        later = sum(b for _, b in rows[k + 1 :]) - sum(s.own_m3 + s.from_above_m3 for s in steps[k + 1 :])
        assert step.heap_m3 <= later + 1e-9


def test_upper_cut_is_thrown_down():
    """A low fill takes the bench above it before anything is bought; what a low cut leaves waits for a high fill."""
    down = in_order([1.0, 5.0], [4.0, 2.0])
    assert (down[0].from_above_m3, down[1].dug_m3, down[1].own_m3, down[1].away_m3) == (3.0, 2.0, 2.0, 0.0)
    up = in_order([5.0, 1.0], [1.0, 3.0])
    assert (up[0].to_heap_m3, up[0].away_m3, up[1].from_heap_m3) == (2.0, 2.0, 2.0)


def test_states_are_those_of_the_calculator():
    """Loose and compacted per bank, loads and barrows: the same as the published-form calculators give."""
    project, _ = rectangle()
    factors = factors_of(project)
    states = earth_states(volume_m3=10.0, state="bank", soil="common_earth")
    assert (factors.loose, factors.compacted) == (states.loose_per_bank, states.compacted_per_bank)
    for loose in (0.0, 3.2, 7.6, 7.7, 100.0):
        want = load_count(loose_m3=loose, truck_m3=project.access.load_m3).loads
        assert loads(loose, factors)[0] == want
    clay = replace(project, soil=replace(project.soil, clay=True))
    assert factors_of(clay).loose > factors.loose


def test_a_truck_is_full_by_weight_where_that_is_less():
    """A light trailer takes less of heavy soil than its volume; a full load never weighs more than allowed."""
    project, _ = rectangle()
    light = replace(project, access=replace(project.access, payload_kg=750.0))
    factors = factors_of(light)
    density = factors.load_kg / factors.load_m3
    want = load_count(loose_m3=5.0, truck_m3=7.6, payload_kg=750.0, loose_kg_m3=density)
    assert factors.load_kg == pytest.approx(750.0) and loads(5.0, factors)[0] == want.loads


@given(st.floats(0.05, 80.0), st.floats(0.2, 1.0))
def test_heaps_are_those_of_the_calculator(loose, slope):
    """Cone or ridge, the height and base are those of the calculator for the same volume and slope, and no higher."""
    height, long, wide = heap_size(loose, slope)
    repose = float(np.degrees(np.arctan(slope)))
    assert height <= MOST_HEAP_M + 1e-9
    crest = long - wide
    if crest < 1e-9:
        got = stockpile(loose_m3=loose, repose_deg=repose)
    else:
        got = stockpile(loose_m3=loose, repose_deg=repose, shape="ridge", crest_length_m=crest)
    assert (got.height_m, got.width_m, got.length_m) == pytest.approx((height, wide, long), rel=1e-6)


def test_a_heap_takes_the_nearest_free_place():
    """With nothing in the way beside the yard; further off where all near ground is taken; nowhere where all is."""
    area = shapely.box(0.0, 0.0, 8.0, 6.0)
    room = Room(area)
    room.keep_clear("the digging", area.buffer(0.6, join_style="mitre"))
    near = shapely.Polygon(room.nearest((3.0, 2.0), (4.0, -9.0)))
    assert 0.6 <= near.distance(area) < 1.0 and near.centroid.y < 0.0
    room.keep_clear("garden", area.buffer(5.0))
    far = shapely.Polygon(room.nearest((3.0, 2.0), (4.0, -9.0)))
    assert far.area == pytest.approx(6.0) and far.distance(area) >= 4.9
    room.keep_clear("everything", area.buffer(60.0))
    assert room.nearest((3.0, 2.0), (4.0, -9.0)) == ()


def test_no_heap_lies_over_a_lot_line():
    """With a lot line along one side the heap lies on the yard's side of it."""
    area = shapely.box(0.0, 0.0, 8.0, 6.0)
    room = Room(area)
    room.keep_clear("the digging", area.buffer(0.6, join_style="mitre"))
    room.keep_lots((LotLine("lot", ((2.0, -1.0), (5.0, -1.0))),))
    outline = room.nearest((3.0, 2.0), (4.0, -9.0))
    assert outline and min(y for _, y in outline) > -0.7
    assert "a lot line" in room.in_the_way(((3.0, -4.0), (5.0, -4.0), (5.0, -3.0), (3.0, -3.0)))


@pytest.mark.parametrize("seed", range(20))
def test_the_way_goes_round_and_is_no_longer_than_needed(seed):
    """It goes through no house, is no shorter than the straight line and no longer than a walk round the hull."""
    rng = np.random.default_rng(seed)
    houses = []
    for _ in range(int(rng.integers(1, 4))):
        box = shapely.affinity.rotate(shapely.box(-2.0, -1.0, 2.0, 1.0), float(rng.uniform(0.0, 180.0)))
        moved = shapely.affinity.translate(box, *rng.uniform(-4.0, 4.0, 2))
        if all(moved.distance(other) > 0.1 for other in houses):
            houses.append(moved)
    line = way_round([(-12.0, 0.0), (12.0, float(rng.uniform(-3.0, 3.0)))], houses)
    way = shapely.LineString(line)
    assert all(way.intersection(house).length < 1e-6 for house in houses)
    straight = float(np.hypot(*np.subtract(line[-1], line[0])))
    assert straight - 1e-9 <= way.length <= straight + sum(house.length for house in houses) + 0.5
    assert all(np.hypot(*np.subtract(b, a)) > 1e-6 for a, b in pairwise(line))


def test_climb_is_the_difference_of_levels():
    """On a plane the climb is slope times distance, and so is the steepest stretch; off it nothing is said."""
    surface = build_surface([(x, y, 0.1 * y) for x in (0.0, 10.0) for y in (0.0, 20.0)])
    climb, steepest = climb_and_steepest(surface, ((5.0, 1.0), (5.0, 11.0)))
    assert climb == pytest.approx(1.0) and steepest == pytest.approx(0.1)
    assert climb_and_steepest(surface, ((5.0, 1.0), (5.0, 60.0)))[0] is None
