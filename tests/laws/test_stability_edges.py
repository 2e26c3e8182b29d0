"""Laws at edges of the stability formulas: the middle third, the surface of a circle, the end of a search."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.stability.gravity import BaseForces, base_pressures
from lynchet.stability.slices import UNTRIED, next_try
from lynchet.stability.slip_arcs import crossing_points
from lynchet.stability.thrust import Behind, ThrustLayer, soil_diagram
from lynchet.stability.ties import TieRow, share_of_rows


def _resultant(vertical, x):
    """Forces whose resultant meets the base at x from the toe."""
    return BaseForces(vertical, 0.0, vertical * x, 0.0 * x)


def test_pressure_over_the_whole_base_ends_at_the_middle_third():
    """Within the middle third the trapezium holds the force at its place; beyond it a triangle does; no pressure pulls.

    Both forms are found again by summing pressure and moment over thin strips.
    """
    width, vertical = 1.2, 10.0
    for share in np.concatenate(
        [np.linspace(0.02, 0.98, 25), [1 / 3 - 0.004, 1 / 3 + 0.004, 2 / 3 - 0.004, 2 / 3 + 0.004]]
    ):
        found = base_pressures(_resultant(vertical, width * share), width)
        toe, heel, wide = float(found.toe_kpa), float(found.heel_kpa), float(found.contact_width_m)
        assert bool(found.in_middle_third) == (1 / 3 <= share <= 2 / 3)
        assert min(toe, heel) >= 0
        strips = (np.arange(20000) + 0.5) / 20000 * wide
        at = strips if toe >= heel else width - wide + strips
        pressure = toe + (heel - toe) * strips / wide
        assert np.mean(pressure) * wide == pytest.approx(vertical, rel=1e-6)
        assert np.mean(pressure * at) * wide == pytest.approx(vertical * width * share, rel=1e-5)


@pytest.mark.parametrize("slope", [-0.4, -0.05, 0.02, 0.3, 0.49])
def test_a_line_is_followed_to_its_meeting_in_one_step(slope):
    """Where what comes out is a straight line of what is put in, the next try is the value that comes out unchanged."""
    still = 1.3
    tries = np.array([1.31, 1.305])
    gave = still + slope * (tries - still)
    assert next_try(tries[0], gave[0], tries[1], gave[1]) == pytest.approx(still, abs=1e-12)


@pytest.mark.parametrize(
    ("before", "gave", "factor", "new"),
    [(UNTRIED, 0.0, 1.0, 1.02), (1.0, 1.4, 1.4, 1.6), (1.30, 1.40, 1.31, 1.408), (2.0, 1.0, 1.0, 0.93)],
)
def test_a_first_wide_or_steep_step_goes_its_own_way(before, gave, factor, new):
    """A first try, a large step and a line too steep are never led on: what came out is put back as it is."""
    assert next_try(before, gave, factor, new) == new


def test_ties_not_told_a_factor_hold_the_moment_once():
    """Without a wished factor rows of ties hold what is left of the moment; with one, so much more."""
    layers, rows = [ThrustLayer(1.2, 18.0, friction_angle_deg=30.0)], [TieRow(0.4, 1.5), TieRow(0.9, 1.5)]
    diagram = soil_diagram(layers, Behind())
    assert share_of_rows(diagram, rows) == share_of_rows(diagram, rows, 0.0, 1.0)
    assert share_of_rows(diagram, rows) != share_of_rows(diagram, rows, 0.0, 1.5)


def test_crossings_are_points_of_the_circle_on_the_line():
    """Sine and cosine of each crossing belong to one angle, and the point lies on the line at its distance."""
    rng = np.random.default_rng(3)
    away, lean = rng.uniform(-1.0, 1.0, 200), rng.uniform(-1.4, 1.4, 200)
    for sine, cosine in crossing_points(away, np.sin(lean), np.cos(lean)):
        assert sine**2 + cosine**2 == pytest.approx(np.ones(200))
        assert sine * np.sin(lean) + cosine * np.cos(lean) == pytest.approx(away)
