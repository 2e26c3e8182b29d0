"""Laws of flow in pipes and channels: rival methods, limits, scaling."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar

from lynchet.core.errors import InputError
from lynchet.water.inlets import inlet_capacity, orifice_flow, orifice_flow_m3_s, weir_flow_m3_s
from lynchet.water.open_channel import channel_flow, normal_depth_m, normal_flow_m3_s
from lynchet.water.overflow_notch import overflow_weir, weir_head_m
from lynchet.water.perforated_pipe import perforated_drain_capacity
from lynchet.water.pipe_flow import (
    PEAK_FLOW_RATIO,
    depth_ratio_of_flow,
    full_flow_m3_s,
    part_full_ratios,
    pipe_full_flow,
    pipe_part_full_flow,
)

RNG = np.random.default_rng(20)
PIPE = {"diameter_m": 0.1, "slope": 0.01, "roughness": 0.015}


def test_part_full_at_full_is_the_full_pipe():
    """A part-full pipe at full depth carries what the full pipe carries."""
    part, full = pipe_part_full_flow(**PIPE, depth_m=0.1), pipe_full_flow(**PIPE)
    assert part.flow_m3_s == pytest.approx(full.flow_m3_s, rel=1e-12)
    assert part.velocity_m_s == pytest.approx(full.velocity_m_s, rel=1e-12)


def test_part_full_area_and_arc_are_those_of_the_circle():
    """Area and wetted arc from integrals over the circle give the same ratios."""
    for ratio in (1e-4, 0.03, 0.2, 0.5, 0.77, 0.98):
        area = quad(lambda y: 2 * np.sqrt(np.maximum(0.25 - (y - 0.5) ** 2, 0)), 0, ratio, epsabs=0, epsrel=1e-11)[0]
        perimeter = np.arccos(1 - 2 * ratio)  # angle on a circle of diameter 1 is twice this, radius a half
        radius = area / perimeter
        ours = part_full_ratios(ratio)
        assert ours[0] == pytest.approx(area / (np.pi / 4), rel=1e-8)
        assert ours[1] == pytest.approx(radius / 0.25, rel=1e-8)
        assert ours[2] == pytest.approx(area / (np.pi / 4) * (radius / 0.25) ** (2 / 3), rel=1e-8)


def test_shallow_depths_lose_no_digits():
    """For a film of water the area tends to that of a parabola, 4/3 x depth x root of (depth x diameter)."""
    for ratio in (1e-6, 1e-9, 1e-12):
        area = part_full_ratios(ratio)[0] * np.pi / 4
        assert area == pytest.approx(4 / 3 * ratio**1.5, rel=1e-5)


def test_largest_flow_is_where_a_search_finds_it():
    """A bounded search over the depth finds the same largest flow, at 0.93818 of the diameter."""
    found = minimize_scalar(lambda r: -part_full_ratios(r)[2], bounds=(0.8, 1.0), options={"xatol": 1e-10})
    assert -found.fun == pytest.approx(PEAK_FLOW_RATIO, abs=1e-12)
    assert depth_ratio_of_flow(PEAK_FLOW_RATIO) == pytest.approx(0.93818, abs=1e-5)


def test_depth_of_flow_is_the_root_a_solver_finds():
    """A bracketing solver finds the same depths, and putting them back gives the flows."""
    flows = np.concatenate([10 ** RNG.uniform(-8, 0, 30), RNG.uniform(1.0, PEAK_FLOW_RATIO, 10)])
    depths = depth_ratio_of_flow(flows)
    for flow, depth in zip(flows, depths, strict=True):
        root = brentq(lambda r, flow=flow: part_full_ratios(r)[2] - flow, 1e-9, 0.9381, xtol=1e-14)
        assert depth == pytest.approx(root, rel=1e-6)
    assert part_full_ratios(depths)[2] == pytest.approx(flows, rel=1e-10)


def test_part_full_calculator_and_kernel_agree():
    """The kernels over arrays give what the calculator gives one by one, from depth and from flow."""
    d, s, n, r = RNG.uniform(0.05, 0.6, 20), RNG.uniform(0.002, 0.1, 20), RNG.uniform(0.009, 0.03, 20), RNG.random(20)
    full = full_flow_m3_s(d, s, n)
    ratios = part_full_ratios(r)
    for i in range(20):
        pipe = {"diameter_m": d[i], "slope": s[i], "roughness": n[i]}
        done = pipe_part_full_flow(**pipe, depth_m=r[i] * d[i])
        assert pipe_full_flow(**pipe).flow_m3_s == full[i]
        assert (done.area_ratio, done.radius_ratio, done.flow_ratio) == pytest.approx([x[i] for x in ratios], rel=1e-12)
        back = pipe_part_full_flow(**pipe, flow_m3_s=0.8 * full[i])
        assert back.depth_ratio == pytest.approx(depth_ratio_of_flow(0.8), rel=1e-9)
        assert back.flow_m3_s == 0.8 * full[i]
        assert back.velocity_m_s == pytest.approx(0.8 * full[i] / (back.area_ratio * np.pi / 4 * d[i] ** 2), rel=1e-9)


def test_largest_flow_itself_is_taken():
    """Exactly the largest flow is carried, a hair more is refused."""
    most = PEAK_FLOW_RATIO * pipe_full_flow(**PIPE).flow_m3_s
    assert pipe_part_full_flow(**PIPE, flow_m3_s=most).depth_ratio == pytest.approx(0.93818, abs=1e-5)
    with pytest.raises(InputError, match="capacity"):
        pipe_part_full_flow(**PIPE, flow_m3_s=most * (1 + 1e-9))


def test_channel_depth_is_the_root_a_solver_finds():
    """A bracketing solver finds the same normal depths in rectangles, trapezoids and V's of any size."""
    for _ in range(40):
        b, z = RNG.choice([0.0, 0.02, 0.5, 8.0]), RNG.choice([0.0, 0.5, 4.0, 30.0])
        if b == z == 0:
            continue
        s, n, flow = 10 ** RNG.uniform(-4, -0.5), RNG.uniform(0.01, 0.3), 10 ** RNG.uniform(-6, 2)
        root = brentq(lambda y, b=b, z=z, s=s, n=n, q=flow: float(normal_flow_m3_s(y, b, z, s, n)) - q, 1e-9, 1e6,
                      xtol=1e-15, rtol=1e-13)  # fmt: skip
        assert normal_depth_m(flow, b, z, s, n) == pytest.approx(root, rel=1e-9)
        done = channel_flow(bottom_width_m=b, side_slope=z, slope=s, roughness=n, flow_m3_s=flow)
        assert done.depth_m == pytest.approx(root, rel=1e-9)
        assert done.flow_m3_s == pytest.approx(done.velocity_m_s * done.area_m2, rel=1e-9)


def test_v_channel_scales_as_manning_says():
    """In a V the depth grows with the flow to the power 3/8."""
    depths = normal_depth_m(np.array([0.01, 0.08]), 0.0, 3.0, 0.02, 0.04)
    assert depths[1] / depths[0] == pytest.approx(8 ** (3 / 8), rel=1e-12)


def test_wide_rectangle_runs_as_a_sheet():
    """A very wide channel flows at depth^(5/3) s^0.5/n per metre of width."""
    flow = normal_flow_m3_s(0.01, 1000.0, 0.0, 0.02, 0.03) / 1000.0
    assert flow == pytest.approx(0.01 ** (5 / 3) * 0.02**0.5 / 0.03, rel=1e-4)


def test_channel_depth_comes_back_from_its_flow():
    """Depth given back from a flow, and the verdict on velocity: a value equal to its limit passes."""
    given = {"bottom_width_m": 0.4, "side_slope": 1.5, "slope": 0.01, "roughness": 0.03}
    there = channel_flow(**given, depth_m=0.17)
    back = channel_flow(**given, flow_m3_s=there.flow_m3_s, permissible_velocity_m_s=there.velocity_m_s)
    assert back.depth_m == pytest.approx(0.17, rel=1e-9)
    assert back.velocity_ok is True
    assert channel_flow(**given, depth_m=0.17, permissible_velocity_m_s=there.velocity_m_s * 0.999).velocity_ok is False


def test_orifice_is_torricelli():
    """With coefficient 1 water leaves at the speed of free fall; four times the head doubles it."""
    one, four = (orifice_flow(head_m=h, area_m2=1.0, coefficient=1.0).flow_m3_s for h in (0.5, 2.0))
    assert one**2 / (2 * 9.80665) == pytest.approx(0.5, rel=1e-12)
    assert four == pytest.approx(2 * one, rel=1e-12)
    by_width = orifice_flow(head_m=0.3, diameter_m=0.05, count=2.5).flow_m3_s
    assert by_width == pytest.approx(2.5 * orifice_flow_m3_s(np.pi * 0.025**2, 0.3), rel=1e-12)


def test_inlet_changes_from_weir_to_orifice_where_the_curves_cross():
    """Below the head where edge and openings let in the same, the edge rules; above it, the openings."""
    given = {"perimeter_m": 1.2, "open_area_m2": 0.046}
    cross = brentq(lambda h: float(weir_flow_m3_s(1.66, 1.2, h) - orifice_flow_m3_s(0.046, h, 0.67)), 1e-3, 1.0)
    below, above = (inlet_capacity(head_m=cross * f, **given) for f in (0.99, 1.01))
    assert (below.controls, above.controls) == ("weir", "orifice")
    assert below.capacity_l_s == pytest.approx(500 * weir_flow_m3_s(1.66, 1.2, cross * 0.99), rel=1e-12)
    exact = inlet_capacity(head_m=0.05, **given, needed_flow_l_s=inlet_capacity(head_m=0.05, **given).capacity_l_s)
    assert exact.passes is True and exact.capacity_ratio == 1.0


def test_overflow_head_and_flow_are_inverse():
    """Head to flow and back, over random notches."""
    for width, head, c in zip(RNG.uniform(0.1, 3, 20), RNG.uniform(0.005, 0.3, 20), RNG.uniform(1.29, 1.84, 20),
                              strict=True):  # fmt: skip
        flow = overflow_weir(width_m=width, head_m=head, coefficient=c).flow_m3_s
        assert overflow_weir(width_m=width, flow_m3_s=flow, coefficient=c).head_m == pytest.approx(head, rel=1e-12)
        assert weir_head_m(c, width, flow) == pytest.approx(head, rel=1e-12)


def test_a_drain_passes_what_it_can_carry_and_no_more():
    """Asked for its own capacity a drain passes; asked for a twentieth more it does not."""
    given = {**PIPE, "length_m": 6.0, "open_area_m2_per_m": 0.002, "head_m": 0.05}
    most = perforated_drain_capacity(**given).capacity_l_s
    assert perforated_drain_capacity(**given, needed_flow_l_s=most).passes
    assert not perforated_drain_capacity(**given, needed_flow_l_s=1.05 * most).passes


def test_drain_capacity_is_the_least_and_ties_follow_the_order():
    """Capacity is the least of its parts; more holes never lessen it; equal parts are told in the order slots, pipe."""
    given = {**PIPE, "length_m": 6.0, "open_area_m2_per_m": 0.002, "head_m": 0.05}
    done = perforated_drain_capacity(**given, outlet_diameter_m=0.06, outlet_head_m=0.1, outlets=1.5, pipes=2)
    assert done.capacity_l_s == min(done.slots_flow_l_s, done.pipe_flow_l_s, done.outlet_flow_l_s)
    assert done.pipe_flow_l_s == pytest.approx(2 * pipe_full_flow(**PIPE).flow_l_s)
    assert done.outlet_flow_l_s == pytest.approx(1.5 * orifice_flow(head_m=0.1, diameter_m=0.06).flow_l_s)
    more = perforated_drain_capacity(**{**given, "open_area_m2_per_m": 0.004})
    assert more.capacity_l_s >= perforated_drain_capacity(**given).capacity_l_s
    bore = pipe_full_flow(**PIPE).flow_m3_s
    area = bore / float(orifice_flow_m3_s(1.0, 0.05))
    tie = perforated_drain_capacity(**{**given, "length_m": 1.0, "open_area_m2_per_m": area})
    if tie.slots_flow_l_s == tie.pipe_flow_l_s:
        assert tie.controls == "slots"
