"""Kernels of stability over arrays, as stages call them, give their calculators' figures one by one."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.stability.anchors import anchor_distance, passive_reach, wedge_overlap
from lynchet.stability.bearing_factors import bearing_factors, bearing_numbers
from lynchet.stability.loads import compaction, compaction_at, compaction_pressure
from lynchet.stability.plane_failure import Bank, plane_wedge, plane_wedge_factor
from lynchet.stability.soils import friction_typical, timber_on_soil_deg
from lynchet.stability.tiers import tier_separation, tiers_apart
from lynchet.stability.ties import wedge_reach

N = 25


def test_reaches_and_overlap_are_the_anchors_distance():
    """Reaches of both wedges and the depth at which they cross."""
    rng = np.random.default_rng(1)
    height, friction = rng.uniform(0.4, 2, N), rng.uniform(15, 45, N)
    depth, distance = height * rng.uniform(0.2, 1, N), rng.uniform(0, 4, N)
    active, passive = wedge_reach(height, friction), passive_reach(depth, friction)
    overlap = wedge_overlap(active + passive - distance, friction)
    for i in range(N):
        one = call(anchor_distance, {"wall_height_m": height[i], "anchor_depth_m": depth[i],
                                     "friction_angle_deg": friction[i], "distance_m": distance[i]})  # fmt: skip
        assert (one.active_reach_m, one.passive_reach_m) == pytest.approx((active[i], passive[i]))
        assert one.overlap_depth_m == pytest.approx(overlap[i])


def test_tiers_over_arrays():
    """Setback rule and reach of the wedge."""
    rng = np.random.default_rng(2)
    height, friction = rng.uniform(0.3, 1.5, N), rng.uniform(10, 45, N)
    setback = height * rng.choice([1.0, 1.99, 2.0, 2.01, 3.0], N)
    apart, reach = tiers_apart(height, setback), wedge_reach(height, friction)
    for i in range(N):
        one = call(tier_separation, {"lower_height_m": height[i], "setback_m": setback[i],
                                     "friction_angle_deg": friction[i]})  # fmt: skip
        assert one.independent == apart[i] and one.wedge_reach_m == pytest.approx(reach[i])


@pytest.mark.parametrize("method", ["terzaghi", "meyerhof", "hansen", "vesic", "eurocode"])
def test_bearing_numbers_over_arrays(method):
    """Nc, Nq and Ngamma, friction 0 among them."""
    friction = np.concatenate([[0.0], np.random.default_rng(3).uniform(1, 45, N)])
    numbers = bearing_numbers(method, friction)
    for i, p in enumerate(friction):
        one = call(bearing_factors, {"method": method, "friction_angle_deg": p})
        assert (one.n_c, one.n_q, one.n_gamma) == pytest.approx((numbers.c[i], numbers.q[i], numbers.gamma[i]))


def test_compaction_over_arrays():
    """Depths and pressure in all three zones."""
    rng = np.random.default_rng(4)
    load, weight, rest, depth = (
        rng.uniform(0.5, 8, N),
        rng.uniform(15, 21, N),
        rng.uniform(0.3, 0.7, N),
        rng.uniform(0, 2, N),
    )
    critical, limit, plateau = compaction(load, weight, rest)
    pressure = compaction_at(load, weight, rest, depth)
    for i in range(N):
        one = call(compaction_pressure, {"line_load_kn_per_m": load[i], "unit_weight_kn_m3": weight[i],
                                         "at_rest_coefficient": rest[i], "depth_m": depth[i]})  # fmt: skip
        found = (one.critical_depth_m, one.limit_depth_m, one.plateau_kpa, one.pressure_kpa)
        assert found == pytest.approx((critical[i], limit[i], plateau[i], pressure[i]))


def test_plane_wedges_over_arrays_of_planes():
    """Factor, weight and uplift of every plane, and the least of a fine row of planes is what the calculator finds."""
    bank = Bank(1.4, 18.0, 24.0, 3.0, 0.3, 1.1, 0.4, 9.81)
    given = {"height_m": 1.4, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 24.0, "cohesion_kpa": 3.0}
    given |= {"crest_offset_m": 0.3, "crack_x_m": 1.1, "crack_water_m": 0.4, "water_unit_weight_kn_m3": 9.81}
    planes = np.linspace(1.0, 35.0, 300)
    wedges = plane_wedge(bank, planes)
    for i in range(0, 300, 23):
        one = call(plane_wedge_factor, {**given, "plane_angle_deg": planes[i]})
        found = (one.factor, one.weight_kn_per_m, one.uplift_kn_per_m)
        assert found == pytest.approx((wedges.factor[i], wedges.weight_kn_per_m[i], wedges.uplift_kn_per_m[i]))
    assert call(plane_wedge_factor, given).factor <= wedges.factor.min() + 1e-9


def test_timber_on_soil_over_arrays():
    """Three quarters of the soil's friction angle (common practice), as the calculator says it by its tangent."""
    friction = np.linspace(5.0, 45.0, 9)
    angles = timber_on_soil_deg(friction)
    assert angles == pytest.approx(0.75 * friction)
    for i, p in enumerate(friction):
        one = call(friction_typical, {"contact": "timber_on_soil", "friction_angle_deg": p})
        assert one.coefficient_low == pytest.approx(np.tan(np.radians(angles[i])))
