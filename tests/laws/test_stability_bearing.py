"""Laws of bearing: limits, methods that must meet, arrays against calculators."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.stability import bearing_factors as factors
from lynchet.stability.bearing import Base, bearing_beside_slope, bearing_capacity, beside_slope_of, ultimate_of

METHODS = ("terzaghi", "meyerhof", "general", "hansen", "vesic")


def test_factors_run_into_their_limits():
    """Towards friction 0 Nc goes to 2 + pi (Terzaghi 1.5 pi + 1), Nq to 1, Ngamma to 0."""
    for method, limit in [("terzaghi", 1.5 * pi + 1), ("meyerhof", 2 + pi), ("eurocode", 2 + pi)]:
        near, at = factors.bearing_numbers(method, 1e-4), factors.bearing_numbers(method, 0.0)
        assert (float(at.c), float(at.q), float(at.gamma)) == pytest.approx((limit, 1.0, 0.0))
        assert float(near.c) == pytest.approx(limit, rel=1e-4)


def test_nq_is_prandtls_fan():
    """Nq = Kp exp(pi tan p), Kp from Rankine's sines rather than the tangent."""
    p = np.linspace(1, 45, 45)
    s = np.sin(np.radians(p))
    assert factors.bearing_numbers("vesic", p).q == pytest.approx(
        (1 + s) / (1 - s) * np.exp(pi * np.tan(np.radians(p)))
    )


def test_long_rectangle_is_a_strip_and_short_one_a_square():
    """The rectangle runs from the square to the strip."""
    given = {"width_m": 0.8, "depth_m": 0.4, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 28.0, "cohesion_kpa": 3.0}
    for method in ("meyerhof", "general", "hansen", "vesic"):
        square = call(bearing_capacity, {**given, "method": method, "shape": "square"}).ultimate_kpa
        same = call(bearing_capacity, {**given, "method": method, "shape": "rectangle", "length_m": 0.8}).ultimate_kpa
        strip = call(bearing_capacity, {**given, "method": method}).ultimate_kpa
        long = call(bearing_capacity, {**given, "method": method, "shape": "rectangle", "length_m": 1e9}).ultimate_kpa
        assert same == pytest.approx(square) and long == pytest.approx(strip)


@pytest.mark.parametrize("method", METHODS)
def test_strip_of_two_terms_by_hand(method):
    """A strip at the surface without cohesion carries half g B Ngamma; a square less or more by its own factor only."""
    given = {"method": method, "width_m": 0.7, "depth_m": 0.0, "unit_weight_kn_m3": 17.0, "friction_angle_deg": 33.0}
    found = call(bearing_capacity, given)
    assert found.ultimate_kpa == pytest.approx(0.5 * 17.0 * 0.7 * found.n_gamma)


def test_undrained_is_vesic_at_friction_zero_but_for_shape():
    """For a strip, c (2 + pi)(1 + 0.4 k) + g D from both."""
    given = {"width_m": 0.9, "depth_m": 0.5, "unit_weight_kn_m3": 18.0, "cohesion_kpa": 30.0}
    for depth in (True, False):
        one = call(bearing_capacity, {**given, "method": "undrained", "depth_factors": depth})
        two = call(bearing_capacity, {**given, "method": "vesic", "depth_factors": depth})
        assert one.ultimate_kpa == pytest.approx(two.ultimate_kpa)


def test_square_on_clay_carries_a_fifth_more_than_a_strip():
    """At the surface 5.14 c under a strip, 6.17 c under a square; an eccentric square counts B'/width."""
    given = {"method": "undrained", "width_m": 1.0, "depth_m": 0.0, "unit_weight_kn_m3": 18.0, "cohesion_kpa": 10.0}
    assert call(bearing_capacity, given).ultimate_kpa == pytest.approx(51.4159, abs=1e-3)
    assert call(bearing_capacity, {**given, "shape": "square"}).ultimate_kpa == pytest.approx(61.699, abs=1e-3)
    off = {**given, "shape": "square", "eccentricity_m": 0.25}
    assert call(bearing_capacity, off).ultimate_kpa == pytest.approx(51.4159 * 1.1, abs=1e-3)


def test_water_far_below_or_at_the_surface():
    """Far below it does nothing, at the surface it halves both terms; undrained never asks for it."""
    given = {"method": "vesic", "width_m": 0.9, "depth_m": 0.5, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 30.0}
    dry = call(bearing_capacity, given).ultimate_kpa
    assert call(bearing_capacity, {**given, "water_depth_m": 1.85}).ultimate_kpa == pytest.approx(dry)
    assert call(bearing_capacity, {**given, "water_depth_m": 0.0}).ultimate_kpa == pytest.approx(dry / 2)
    clay = {"method": "undrained", "width_m": 0.9, "depth_m": 0.5, "unit_weight_kn_m3": 18.0, "cohesion_kpa": 20.0}
    assert call(bearing_capacity, clay) == call(bearing_capacity, {**clay, "water_depth_m": 0.0})


@pytest.mark.parametrize("method", ["meyerhof", "general", "vesic"])
def test_no_push_is_no_inclination(method):
    """A vanishing horizontal force gives the value without one; a growing one only takes away."""
    given = {"method": method, "width_m": 0.9, "depth_m": 0.3, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 27.0}
    given |= {"cohesion_kpa": 2.0, "vertical_kn_per_m": 40.0}
    values = [call(bearing_capacity, {**given, "horizontal_kn_per_m": h}).ultimate_kpa for h in (0.0, 1e-9, 5.0, 15.0)]
    assert values[0] == pytest.approx(values[1]) and values[0] > values[2] > values[3] > 0


@pytest.mark.parametrize("friction", [0.0, 12.0, 31.0])
@pytest.mark.parametrize("method", ["hansen", "vesic"])
def test_level_ground_is_no_slope(method, friction):
    """At slope 0 the value beside a slope is bearing_capacity's, and it falls as the ground falls."""
    given = {"method": method, "width_m": 0.8, "depth_m": 0.4, "unit_weight_kn_m3": 18.0, "cohesion_kpa": 9.0}
    given |= {"friction_angle_deg": friction, "eccentricity_m": 0.1}
    level = call(bearing_capacity, given).ultimate_kpa
    slopes = [call(bearing_beside_slope, {**given, "ground_slope_deg": s}) for s in (0.0, 5.0, 10.0)]
    assert slopes[0].ultimate_kpa == pytest.approx(level)
    assert slopes[1].level_kpa == pytest.approx(level)
    assert slopes[0].ultimate_kpa > slopes[1].ultimate_kpa > slopes[2].ultimate_kpa


def test_kernels_and_calculators_agree():
    """Every method over arrays of bases equals the calculator, leaning and eccentric loads and water included."""
    rng = np.random.default_rng(11)
    n = 25
    width, depth, c = rng.uniform(0.3, 1.5, n), rng.uniform(0, 1.2, n), rng.uniform(1, 20, n)
    p, e, dw = rng.uniform(0, 40, n), rng.uniform(-0.1, 0.1, n), rng.uniform(0, 2, n)
    v = rng.uniform(20, 60, n)
    for method in (*METHODS, "undrained"):
        push = 0.0 * v if method in ("terzaghi", "hansen") else np.minimum(0.05 * v, 0.5 * c * (width - 2 * abs(e)))
        friction = 0.0 * p if method == "undrained" else p
        base = Base(width, depth, 18.0, friction, c, e, 0.0, push, v, dw)
        values = ultimate_of(method, base)
        for i in range(n):
            given = {"method": method, "width_m": width[i], "depth_m": depth[i], "unit_weight_kn_m3": 18.0}
            given |= {"friction_angle_deg": friction[i], "cohesion_kpa": c[i], "eccentricity_m": e[i]}
            given |= {"horizontal_kn_per_m": push[i], "vertical_kn_per_m": v[i], "water_depth_m": dw[i]}
            plain = {key: value if isinstance(value, str) else float(value) for key, value in given.items()}
            assert call(bearing_capacity, plain).ultimate_kpa == pytest.approx(float(values[i]), rel=1e-12), method
    slope = np.minimum(p, 20.0) * 0.8
    for method in ("hansen", "vesic"):
        values = beside_slope_of(method, Base(width, depth, 18.0, p, c, e), slope)
        for i in range(n):
            given = {"ground_slope_deg": slope[i], "width_m": width[i], "depth_m": depth[i], "unit_weight_kn_m3": 18.0}
            given |= {"friction_angle_deg": p[i], "cohesion_kpa": c[i], "eccentricity_m": e[i]}
            plain = {"method": method} | {key: float(value) for key, value in given.items()}
            assert call(bearing_beside_slope, plain).ultimate_kpa == pytest.approx(float(values[i]), rel=1e-12)
