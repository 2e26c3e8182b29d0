"""Laws where something is nothing or even: no soil behind a joint, no thrust, level ends of a circle, no friction."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.stability.bearing import bearing_capacity
from lynchet.stability.push import Ground, Rows, forces
from lynchet.stability.slip_arcs import uphill_sides
from lynchet.stability.slip_bulges import Chords, arcs_of, chords_of, open_bulges
from lynchet.stability.slip_search import LIVE, Hunt, Tried, _far_apart, _fitted
from lynchet.stability.slip_section import SectionGiven, SlipLayer, build_section
from lynchet.stability.thrust import Behind, ThrustLayer, thrust_of


def test_no_soil_behind_a_joint_pushes_nothing():
    """Above the ground there is the timber alone: no thrust, and its moment is nothing rather than no number."""
    one = np.ones(2)
    rows = Rows(0.3 * one, np.array([0.0, 0.2]), 0.0 * one, 0.0 * one, 0.3 * one, 10.0 * one, 3.0 * one, 0.15 * one,
                0.0 * one, (), 0.0 * one)  # fmt: skip
    found = forces(rows, Ground(0.15, 6.0, 18.0, 20.0))
    assert (found.down[0], found.down_turn[0], found.horizontal[0], found.overturning[0]) == (0.0, 0.0, 0.0, 0.0)
    assert found.down[1] > 0 and found.overturning[1] > 0 and np.isfinite(found.weight_turn).all()


def test_a_thrust_of_nothing_acts_at_the_base():
    """Clay that stands by its cohesion pushes nothing: 2 c is above the whole of the stress at the base."""
    layer = ThrustLayer(thickness_m=1.0, unit_weight_kn_m3=18.0, friction_angle_deg=0.0, cohesion_kpa=12.0)
    found = thrust_of([layer], Behind())
    assert (found.total_kn_per_m, found.height_m) == (0.0, 0.0)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_of_level_ends_the_heavier_side_is_uphill(side):
    """A steep heap on one side of the middle weighs more than a lower one on the other, out to the very end."""
    low, high = [[1.2, 2.0], [1.6, 3.2], [2.2, 3.2], [2.6, 2.0]], [[9.1, 2.0], [9.3, 5.0], [9.8, 5.0], [9.9, 2.0]]
    points = np.array([[0.0, 2.0], *low, *high, [10.0, 2.0]])
    points[:, 0] = 5.0 + side * (points[:, 0] - 5.0)
    section = build_section(SectionGiven(points[:: int(side)].tolist(), [SlipLayer(18.0, 28.0, 4.0, None)]))
    chords = Chords(*(np.array([v]) for v in (0.0, 2.0, 10.0, 2.0)))
    assert uphill_sides(section, arcs_of(chords, np.array([0.9])))[0] == side


def test_bearing_of_clay_shows_its_own_numbers():
    """Without friction Nc = 2 + pi, Nq = 1, Ngamma = 0 (Prandtl; UFC 3-220-20)."""
    given = {"method": "undrained", "width_m": 0.9, "depth_m": 0.5, "unit_weight_kn_m3": 18.0, "cohesion_kpa": 20.0}
    found = call(bearing_capacity, given)
    assert (found.n_c, found.n_q, found.n_gamma) == (pytest.approx(5.14159, abs=1e-5), 1.0, 0.0)


def test_starts_are_the_best_that_stand_apart():
    """Taken from the best on: each that stands off all better ones taken, by either end as a share of the section or by
    its depth; refused circles and more than asked for are left."""
    ground = [[0.0, 0.0], [4.0, 0.0], [7.0, 2.0], [20.0, 2.2]]
    hunt = Hunt(build_section(SectionGiven(ground, [SlipLayer(18.0, 28.0, 4.0, None)])), fineness=LIVE)
    rng = np.random.default_rng(9)
    many = 400
    factor = np.where(rng.random(many) < 0.2, np.inf, rng.uniform(1, 3, many))
    tried = Tried(rng.uniform(0, 4, many), rng.uniform(8, 12, many), rng.uniform(0, 1, many), np.zeros(many),
                  np.zeros(many), factor)  # fmt: skip
    order = [int(row) for row in np.argsort(factor) if np.isfinite(factor[row])]
    taken = []
    for row in order:
        apart = [max(abs(tried.left[row] - tried.left[other]) / 20.0, abs(tried.right[row] - tried.right[other]) / 20.0,
                     0.3 * abs(tried.share[row] - tried.share[other])) > 0.05 for other in taken]  # fmt: skip
        if all(apart):
            taken.append(row)
    assert len(taken) > 12
    assert _far_apart(hunt, tried, 12).tolist() == taken[:12]
    assert _far_apart(hunt, tried, many).tolist() == taken


def test_the_share_of_a_circle_is_where_its_bulge_lies():
    """A circle taken by its share of the bulges open to it, or by its bulge, is given back with both in step."""
    ground = [[0.0, 0.0], [4.0, 0.0], [7.0, 2.0], [14.0, 2.2]]
    section = build_section(SectionGiven(ground, [SlipLayer(18.0, 28.0, 4.0, None)]))
    hunt = Hunt(section, fineness=LIVE)
    rng = np.random.default_rng(8)
    chords = chords_of(section, rng.uniform(1.0, 4.0, 60), rng.uniform(7.5, 13.0, 60))
    bulges = open_bulges(section, chords, hunt.min_depth_m)
    wanted = rng.uniform(0.0, 1.0, 60)
    free = np.zeros(60)
    by_share = _fitted(hunt, chords, wanted, np.full(60, np.nan), free)
    for share, bulge in (by_share, _fitted(hunt, chords, 0.0 * wanted, by_share[1], free)):
        fits = np.isfinite(bulge)
        assert fits.any()
        assert bulge[fits] == pytest.approx((bulges.low + share * (bulges.high - bulges.low))[fits], abs=1e-12)
        assert share[fits] == pytest.approx(wanted[fits], abs=1e-9)
