"""Laws of loads behind a wall: thrusts are integrals of their pressures."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from lynchet.calculators.checked import call
from lynchet.stability import loads
from lynchet.stability.loads import compaction_pressure, line_load_thrust, point_load_pressure, strip_load_pressure


@pytest.mark.parametrize("distance", [0.0, 0.2, 0.4, 0.41, 0.7, 1.3])
def test_line_load_acts_at_the_centroid_of_its_pressure(distance):
    """Height of the thrust by quadrature; the thrust itself beyond 0.4 of the height (nearer it is tabulated)."""
    q, high = 7.0, 1.0
    area = quad(lambda z: float(loads.line_pressure(q, distance, high, z)), 0, high, limit=200)[0]
    turn = quad(lambda z: float(loads.line_pressure(q, distance, high, z)) * (high - z), 0, high, limit=200)[0]
    given = {"line_load_kn_per_m": q, "distance_m": distance, "wall_height_m": high}
    found = call(line_load_thrust, given)
    assert found.height_m == pytest.approx(turn / area, rel=1e-8)
    if distance > 0.4:
        assert found.thrust_kn_per_m == pytest.approx(area, rel=1e-8)
    else:
        assert found.thrust_kn_per_m == pytest.approx(0.55 * q)
        assert area / q == pytest.approx(0.539, abs=5e-4)  # what the contract says of the tabulated 0.55


def test_near_and_far_meet_at_two_fifths_despite_rounding():
    """0.28 m behind 0.7 m is the near form, although 0.28/0.7 is a hair above 0.4."""
    given = {"line_load_kn_per_m": 10.0, "distance_m": 0.28, "wall_height_m": 0.7}
    assert call(line_load_thrust, given).thrust_kn_per_m == pytest.approx(5.5)


@pytest.mark.parametrize("near, width", [(0.0, 0.5), (0.3, 1.0), (2.0, 4.0)])
@pytest.mark.parametrize("doubled", [True, False])
def test_strip_thrust_and_height_by_quadrature(near, width, doubled):
    """E20's closed forms equal integrals of the pressure."""
    high = 1.1
    times = 2.0 if doubled else 1.0
    pressure = [
        quad(lambda z, arm=arm: float(loads.strip_pressure(9.0, near, width, z)) * arm(z), 0, high, limit=200)[0]
        for arm in (lambda z: 1.0, lambda z: high - z)
    ]
    given = {"pressure_kpa": 9.0, "near_m": near, "width_m": width, "wall_height_m": high, "doubled": doubled}
    found = call(strip_load_pressure, given)
    assert found.thrust_kn_per_m == pytest.approx(times * pressure[0], rel=1e-7)
    assert found.height_m == pytest.approx(pressure[1] / pressure[0], rel=1e-7)


def test_strip_is_a_sum_of_elastic_line_loads():
    """The free pressure is the integral of Boussinesq's line load 2 q x² z/(pi r⁴) over the width."""
    z, near, width = 0.6, 0.4, 1.2
    summed = quad(lambda x: 2 * x**2 * z / (np.pi * (x**2 + z**2) ** 2), near, near + width)[0]
    assert float(loads.strip_pressure(1.0, near, width, z)) == pytest.approx(summed, rel=1e-9)


def test_very_wide_strip_at_the_wall_is_a_load_over_the_bench():
    """A strip without end gives q/2 free, q doubled, at any depth (Boussinesq's half space)."""
    assert float(loads.strip_pressure(6.0, 0.0, 1e7, 0.5)) == pytest.approx(3.0, rel=1e-5)


def test_strip_without_load_has_height_zero():
    """No pressure: no thrust, and a height of 0 rather than none."""
    found = call(strip_load_pressure, {"pressure_kpa": 0.0, "near_m": 0.2, "width_m": 1.0, "wall_height_m": 1.0})
    assert (found.thrust_kn_per_m, found.height_m) == (0.0, 0.0)


@pytest.mark.parametrize("near, pressure", [(0.3, 0.0), (0.0, 8.0)])
def test_strip_at_the_very_top(near, pressure):
    """At depth 0 the angle is 90° beyond the edge: nothing beside the strip, the whole load (doubled) under it."""
    given = {"pressure_kpa": 8.0, "near_m": near, "width_m": 1.0, "wall_height_m": 1.0, "depth_m": 0.0}
    assert call(strip_load_pressure, given).pressure_kpa == pytest.approx(pressure, abs=1e-12)


def test_point_load_beside_falls_by_the_cosine():
    """Along the wall the pressure goes with cos²(1.1 angle), the same to both sides."""
    given = {"load_kn": 5.0, "distance_m": 0.6, "wall_height_m": 1.0, "depth_m": 0.5}
    ahead = call(point_load_pressure, given).pressure_kpa
    for angle in (-60.0, 20.0, 60.0):
        beside = call(point_load_pressure, {**given, "offset_angle_deg": angle}).pressure_kpa
        assert beside == pytest.approx(ahead * np.cos(np.radians(1.1 * angle)) ** 2)


def test_compaction_pressure_has_no_jumps():
    """The three branches meet at the critical and the limit depth, and a heavier roller reaches deeper."""
    given = {"line_load_kn_per_m": 3.0, "unit_weight_kn_m3": 18.0, "at_rest_coefficient": 0.45}
    found = call(compaction_pressure, given)
    for depth in (found.critical_depth_m, found.limit_depth_m):
        sides = [call(compaction_pressure, {**given, "depth_m": depth + d}).pressure_kpa for d in (-1e-9, 1e-9)]
        assert sides == pytest.approx([found.plateau_kpa] * 2)
    deep = call(compaction_pressure, {**given, "depth_m": 3 * found.limit_depth_m}).pressure_kpa
    assert deep == pytest.approx(0.45 * 18.0 * 3 * found.limit_depth_m)
    assert call(compaction_pressure, {**given, "line_load_kn_per_m": 12.0}).limit_depth_m == pytest.approx(
        2 * found.limit_depth_m
    )


def test_kernels_and_calculators_agree():
    """Arrays through the kernels give, entry by entry, what the calculators give."""
    rng = np.random.default_rng(3)
    q, x, high = rng.uniform(0, 20, 40), rng.uniform(0, 2, 40), rng.uniform(0.4, 2, 40)
    z, width = high * rng.uniform(0.01, 1, 40), rng.uniform(0.1, 3, 40)
    line, (thrust, height) = loads.line_pressure(q, x, high, z), loads.line_thrust(q, x, high)
    point, strip = loads.point_pressure(q, x, high, z), loads.strip_pressure(q, x, width, z)
    for i in range(40):
        wall = {"wall_height_m": high[i].item(), "depth_m": z[i].item()}
        one = call(line_load_thrust, {"line_load_kn_per_m": q[i].item(), "distance_m": x[i].item(), **wall})
        assert (one.pressure_kpa, one.thrust_kn_per_m, one.height_m) == pytest.approx((line[i], thrust[i], height[i]))
        one = call(point_load_pressure, {"load_kn": q[i].item(), "distance_m": x[i].item(), **wall})
        assert one.pressure_kpa == pytest.approx(point[i])
        given = {"pressure_kpa": q[i].item(), "near_m": x[i].item(), "width_m": width[i].item(), **wall}
        assert call(strip_load_pressure, given).pressure_kpa == pytest.approx(2 * strip[i])
