"""Laws at edges of the ground formulas: where a rule starts to count, what rounding leaves, places away from zero."""

import itertools

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.ground.dig_safety import root_protection_radius
from lynchet.ground.elevation_points import level_on_net
from lynchet.ground.hand_labour import CARRY_RATES, carrying_hours
from lynchet.ground.net_faults import _distance_of_points
from lynchet.ground.outlines import same_place
from lynchet.ground.soil_balance import Material, least_cost_moves, soil_balance
from lynchet.ground.tape_ties import corner_angle, tape_fix

SEED = 61


@pytest.mark.parametrize("over", [1.001, 1.05, 1.3, 3.0])
def test_roots_are_capped_as_soon_as_twelve_stems_pass_the_cap(over):
    """A stem a little too thick for 12 diameters within 15 m is given 15 m, and said to be capped (BS 5837)."""
    found = call(root_protection_radius, {"stem_diameters_mm": [1250.0 * over]})
    assert found.radius_m == 15.0 and found.capped
    assert found.area_m2 == pytest.approx(np.pi * 225.0)


def test_flat_triangles_have_corners_of_nothing_or_a_half_turn():
    """Three lengths on one line have an angle of 0 or 180 degrees, never none because of rounding."""
    rng = np.random.default_rng(SEED)
    a, b = rng.uniform(0.1, 30.0, (2, 4000))
    assert np.allclose(corner_angle(a, b, a + b), 180.0, atol=1e-5)
    assert np.allclose(corner_angle(a, b, np.abs(a - b)), 0.0, atol=1e-5)


def _moved(points, turn, by):
    return points @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) + by


@pytest.mark.parametrize("count", [2, 3, 5])
def test_a_tape_fix_moves_with_its_bases(count):
    """Bases turned and carried far off carry the fixed point with them, on either side, with errors in the tapes."""
    rng = np.random.default_rng(SEED + count)
    for _ in range(12):
        bases, point = rng.uniform(0.0, 12.0, (count, 2)), rng.uniform(0.0, 12.0, 2)
        tapes = np.hypot(*(bases - point).T) + (rng.normal(0.0, 0.02, count) if count > 2 else 0.0)
        turn, by = rng.uniform(-3.0, 3.0), rng.uniform(-500.0, 500.0, 2)
        first = bases[1] - bases[0]
        side = "left" if first[0] * (point - bases[0])[1] - first[1] * (point - bases[0])[0] > 0 else "right"
        found = []
        for places in (bases, _moved(bases, turn, by)):
            rows = [{"x_m": float(x), "y_m": float(y)} for x, y in places]
            fix = call(tape_fix, {"bases": rows, "tapes_m": tapes.tolist(), "side": side})
            found.append(np.array([fix.x_m, fix.y_m]))
        assert _moved(found[0], turn, by) == pytest.approx(found[1], abs=2e-5)
        assert np.hypot(*(found[0] - point)) < 0.3 or count == 2


@pytest.mark.parametrize("more", [1e-10, -1e-10])
def test_totals_that_agree_but_for_rounding_have_a_plan(more):
    """Cut and fill that differ by rounding alone are moved whole, where none is bought and none carted away."""
    given = {
        "supplies": [{"name": "a", "bank_m3": 3.0 + more}, {"name": "b", "bank_m3": 4.0}],
        "demands": [{"name": "c", "compacted_m3": 5.0 * 0.9}, {"name": "d", "compacted_m3": 2.0 * 0.9}],
        "unit_cost_money": [[2.0, 2.0], [3.0, 3.0]],
        "compacted_per_bank": 0.9, "loose_per_bank": 1.25,
    }  # fmt: skip
    found = call(soil_balance, given)
    assert found.cost_money == pytest.approx(18.0, abs=1e-6)
    assert np.array(found.flows_bank_m3).sum(axis=1) == pytest.approx([3.0, 4.0], abs=1e-6)
    assert np.array(found.flows_bank_m3).sum(axis=0) == pytest.approx([5.0, 2.0], abs=1e-6)


def test_only_the_side_that_cannot_give_way_is_trimmed():
    """Too much cut that may not be carted away is scaled to the fill; what may be carted away is carted away."""
    bank, fill = np.array([2.0, 6.0]), np.array([7.0])
    free = least_cost_moves(bank, fill, np.array([[1.0], [1.0]]), Material("", 1.0, 1.2, None, 0.0))
    assert free[0].sum() == pytest.approx(7.0) and free[2] == pytest.approx(1.2)
    kept = least_cost_moves(bank, fill, np.array([[1.0], [1.0]]), Material("", 1.0, 1.2, 5.0, None))
    assert kept[0].sum() == pytest.approx(7.0) and kept[1] == kept[2] == 0.0


def test_each_carrying_rate_holds_up_to_its_distance():
    """One cubic metre takes the hours of its band at the band's far end and, just beyond, those of the next."""
    for (far, rate), (_, next_rate) in itertools.pairwise(CARRY_RATES):
        assert float(carrying_hours(1.0, far)) == pytest.approx(1.0 / rate)
        assert float(carrying_hours(1.0, far + 0.01)) == pytest.approx(1.0 / next_rate)


def test_the_pair_that_is_named_lies_together():
    """Of many places apart, two planted within reach of each other are the two that are named, wherever they stand."""
    rng = np.random.default_rng(SEED)
    for _ in range(20):
        places = np.stack(np.meshgrid(np.arange(5.0), np.arange(5.0)), axis=-1).reshape(-1, 2)
        one, other = sorted(rng.choice(25, 2, replace=False).tolist())
        places[other] = places[one] + (0.004, 0.003)
        assert same_place(places, 0.01) == (one, other)
        assert same_place(places, 0.004) is None


def test_distance_of_points_from_a_segment_is_shapely_s():
    """Beyond both ends the distance is that to the end, between them that to the line."""
    import shapely

    rng = np.random.default_rng(SEED)
    points = rng.uniform(-5.0, 5.0, (300, 2))
    for _ in range(10):
        start, end = rng.uniform(-2.0, 2.0, (2, 2))
        theirs = shapely.distance(shapely.points(points), shapely.LineString([start, end]))
        assert np.allclose(_distance_of_points(points, start, end), theirs, atol=1e-12)


def test_no_level_on_a_net_of_fewer_than_three_points_or_on_one_line():
    """Two points, and three on one line, span no net; three others do."""
    line = np.array([[0.0, 0.0, 1.0], [1.0, 1.0, 2.0], [2.0, 2.0, 3.0]])
    assert level_on_net(line[:2], 0.5, 0.5) is None
    assert level_on_net(line, 0.5, 0.5) is None
    line[2] = (2.0, 0.0, 3.0)
    assert level_on_net(line, 1.0, 0.5) == pytest.approx(2.0)
