"""Laws of ties, anchors and pins: equilibrium by quadrature, lines that cross, forms that must meet."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from lynchet.calculators.checked import call
from lynchet.stability.anchors import Anchor, anchor_capacity, anchor_distance, continuous_hold, end_hold, face_hold
from lynchet.stability.pins import Bar, bar_in_clay, bar_in_sand, lateral_pin_capacity
from lynchet.stability.ties import TieTimber, tie_force, tie_friction_length, timber_grip

SOIL = {"unit_weight_kn_m3": 17.5, "friction_angle_deg": 32.0}
KP = np.tan(np.radians(61.0)) ** 2
KA = 1 / KP


@pytest.mark.parametrize("seed", range(5))
def test_tie_rows_share_the_whole_thrust(seed):
    """Tributary rows and the base add up to the thrust; the moment shares hold the needed moment exactly."""
    rng = np.random.default_rng(seed)
    depth = [0.0, 0.5, 0.5, 1.3]
    pressure = [float(v) for v in rng.uniform(-2, 6, 4)]
    heights = np.sort(rng.uniform(0.15, 1.25, 3))
    rows = [{"height_m": float(h), "spacing_m": float(s)} for h, s in zip(heights, rng.uniform(1, 2, 3), strict=True)]
    given = {"wall_height_m": 1.3, "depth_m": depth, "pressure_kpa": pressure, "rows": rows}
    found = call(tie_force, {**given, "required_factor": 1.4, "resisting_kn_m_per_m": 0.1})

    def at(z):
        piece = (0, 1) if z < 0.5 else (2, 3)
        return max(np.interp(z, [depth[i] for i in piece], [pressure[i] for i in piece]), 0.0)

    def integral(a, b, arm):
        cuts = [a, *[z for z in (0.5,) if a < z < b], b]
        return sum(quad(lambda z: at(z) * arm(z), p + 1e-12, q - 1e-12, limit=300)[0] for p, q in pairwise(cuts))

    assert found.thrust_kn_per_m == pytest.approx(integral(0, 1.3, lambda z: 1), abs=1e-6)
    moment = integral(0, 1.3, lambda z: 1.3 - z)
    assert found.needed_kn_m_per_m == pytest.approx(max(0.0, 1.4 * moment - 0.1), abs=1e-6)
    assert np.dot(found.moment_kn_per_m, heights) == pytest.approx(found.needed_kn_m_per_m)
    low = [heights[0] / 2, *(heights[:-1] + heights[1:]) / 2]
    high = [*low[1:], 1.3]
    for i in range(3):
        assert found.tributary_kn_per_m[i] == pytest.approx(
            integral(1.3 - high[i], 1.3 - low[i], lambda z: 1), abs=1e-6
        )
    assert sum(found.tributary_kn_per_m) + found.base_kn_per_m == pytest.approx(found.thrust_kn_per_m)
    assert found.row_kn_per_m == [
        max(a, b) for a, b in zip(found.tributary_kn_per_m, found.moment_kn_per_m, strict=True)
    ]


def test_tie_timber_grip_by_quadrature():
    """Friction on the four sides of a timber, K0 on the upright ones, summed round its outline at its depth."""
    grip = float(timber_grip(TieTimber(0.1, 0.15, 0.7, 18.0, 30.0), 0.75, 0.5))
    sides = quad(lambda _: 18.0 * 0.7, 0, 0.1)[0] * 2 + quad(lambda _: 0.5 * 18.0 * 0.7, 0, 0.15)[0] * 2
    assert grip == pytest.approx(sides * np.tan(np.radians(22.5)))
    given = {"tie_force_kn": 2.0, "timber_width_m": 0.1, "timber_height_m": 0.15, "depth_m": 0.7, "wall_height_m": 1.0}
    found = call(tie_friction_length, {**given, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 30.0})
    assert found.friction_kn_per_m == pytest.approx(grip)  # 1 - sin 30° is the same 0.5
    assert found.gripping_length_m * grip == pytest.approx(2.0 * 2.0)


def test_anchor_forms_meet():
    """Face = continuous where the block reaches the surface, three quarters of it at half its depth."""
    for h, share in ((0.6, 1.0), (0.3, 0.75)):
        face = call(anchor_capacity, {"kind": "face", "depth_m": 0.6, "block_height_m": h, **SOIL})
        long = call(anchor_capacity, {"kind": "continuous", "depth_m": 0.6, "block_height_m": h, **SOIL})
        assert face.ultimate_kn_per_m == pytest.approx(share * long.ultimate_kn_per_m)


def test_face_is_the_pressure_on_the_face():
    """Passive less active pressure integrated over the block's height, above an overlap nothing."""
    for overlap in (0.0, 0.45):
        area = quad(lambda z: 17.5 * z * (KP - KA), max(0.4, overlap), 0.6)[0]
        given = {"kind": "face", "depth_m": 0.6, "block_height_m": 0.2, "overlap_depth_m": overlap, **SOIL}
        assert call(anchor_capacity, given).ultimate_kn_per_m == pytest.approx(area)


def test_short_block_ends_by_quadrature():
    """End term: at-rest pressure times tan p on both ends of a wedge of soil, (sqrt Kp + sqrt Ka) z long at depth z."""
    given = {"kind": "short", "depth_m": 0.6, "block_height_m": 0.4, "length_m": 0.8, "overlap_depth_m": 0.1, **SOIL}
    k0, t = 1 - np.sin(np.radians(32.0)), np.tan(np.radians(32.0))
    ends = quad(lambda z: k0 * 17.5 * z * t * z * (np.sqrt(KP) + np.sqrt(KA)), 0.1, 0.6)[0]
    found = call(anchor_capacity, given)
    assert found.end_kn == pytest.approx(ends)
    assert found.ultimate_kn == pytest.approx(0.8 * quad(lambda z: 17.5 * z * (KP - KA), 0.1, 0.6)[0] + ends)
    far = call(anchor_capacity, {**given, "spacing_m": 5.0})
    assert far.ultimate_kn == pytest.approx(found.ultimate_kn)
    near = call(anchor_capacity, {**given, "spacing_m": 0.8})
    assert near.ultimate_kn == pytest.approx(0.8 * quad(lambda z: 17.5 * z * (KP - KA), 0.1, 0.6)[0])


def test_continuous_ignores_length_and_row():
    """A continuous block takes no notice of a length or of a spacing below it."""
    given = {"kind": "continuous", "depth_m": 0.6, "block_height_m": 0.4, **SOIL}
    assert call(anchor_capacity, given) == call(anchor_capacity, {**given, "length_m": 1.0, "spacing_m": 0.5})


@pytest.mark.parametrize("distance", [0.1, 0.6, 1.1, 3.0])
def test_overlap_is_where_the_planes_cross(distance):
    """Active plane from the wall's foot and passive plane from the block's foot, drawn and intersected."""
    high, deep, p = 1.1, 0.55, 28.0
    ta, tp = np.tan(np.radians(45 - p / 2)), np.tan(np.radians(45 + p / 2))

    def gap(z):  # distance between the passive plane and the active plane at depth z, from the wall
        return (distance - (deep - z) * tp) - (high - z) * ta

    given = {"wall_height_m": high, "anchor_depth_m": deep, "friction_angle_deg": p, "distance_m": distance}
    found = call(anchor_distance, {**given, "block_height_m": 0.2})
    crossing = brentq(gap, -50, 50)
    assert found.overlap_depth_m == pytest.approx(max(crossing, 0.0), abs=1e-9)
    assert found.inside_active_wedge == (distance < (high - (deep - 0.2)) * ta)


def test_anchor_kernels_and_calculators_agree():
    """Arrays of anchors equal the calculator one by one."""
    rng = np.random.default_rng(7)
    d = rng.uniform(0.3, 1, 20)
    h, p, o = d * rng.uniform(0.5, 1, 20), rng.uniform(20, 40, 20), d * rng.uniform(0, 0.9, 20)
    anchor = Anchor(d, h, 17.5, p, o)
    long, face, ends = continuous_hold(anchor), face_hold(anchor), end_hold(anchor, 0.5)
    for i in range(20):
        given = {"depth_m": d[i], "block_height_m": h[i], "unit_weight_kn_m3": 17.5, "friction_angle_deg": p[i]}
        given = {key: float(value) for key, value in given.items()} | {"overlap_depth_m": float(o[i])}
        assert call(anchor_capacity, {**given, "kind": "continuous"}).ultimate_kn_per_m == pytest.approx(long[i])
        assert call(anchor_capacity, {**given, "kind": "face"}).ultimate_kn_per_m == pytest.approx(face[i])
        short = {**given, "kind": "short", "length_m": 0.5, "at_rest_coefficient": 0.5}
        assert call(anchor_capacity, short).end_kn == pytest.approx(ends[i])


@pytest.mark.parametrize("length, height", [(0.5, 0.0), (0.8, 0.12)])
def test_bar_in_sand_balances_moments_about_its_tip(length, height):
    """Broms: three times passive pressure in front over the whole length balances the push about the tip; the greatest
    moment stands where the soil has taken up the push."""
    d, g, p = 0.016, 18.0, 31.0
    kp = np.tan(np.radians(45 + p / 2)) ** 2
    front = 3 * kp * g * d
    turning = quad(lambda z: front * z * (length - z), 0, length)[0]
    push = turning / (height + length)
    given = {
        "soil": "cohesionless",
        "diameter_m": d,
        "length_m": length,
        "unit_weight_kn_m3": g,
        "friction_angle_deg": p,
    }
    found = call(lateral_pin_capacity, {**given, "load_height_m": height, "safety_factor": 1.0})
    assert found.ultimate_kn == pytest.approx(push)
    f = brentq(lambda f: push - quad(lambda z: front * z, 0, f)[0], 1e-6, length)
    moment = push * (height + f) - quad(lambda z: front * z * (f - z), 0, f)[0]
    assert (found.moment_depth_m, found.max_moment_kn_m) == pytest.approx((f, moment), rel=1e-6)


@pytest.mark.parametrize("length, height", [(0.5, 0.0), (0.8, 0.12)])
def test_bar_in_clay_balances_forces_and_moments(length, height):
    """Broms: 9 c d forward down to a turning point and back below it, found by root, gives the same push and moment."""
    d, c = 0.02, 25.0
    top, p = 1.5 * d, 9 * c * d

    def left_over(turn):
        push = p * ((turn - top) - (length - turn))
        return push * (height + length) - p * (turn - top) * (length - (turn + top) / 2) + p * (length - turn) ** 2 / 2

    turn = brentq(left_over, top + (length - top) / 2, length)
    push = p * ((turn - top) - (length - turn))
    f = push / p
    moment = push * (height + top + f) - p * f**2 / 2
    given = {"soil": "cohesive", "diameter_m": d, "length_m": length, "cohesion_kpa": c, "load_height_m": height}
    found = call(lateral_pin_capacity, {**given, "yield_moment_kn_m": 0.9 * moment})
    assert found.ultimate_kn == pytest.approx(push)
    assert (found.moment_depth_m, found.max_moment_kn_m) == pytest.approx((top + f, moment))
    assert found.bar_yields is True and found.allowable_kn == pytest.approx(push / 2)


def test_pin_kernels_and_calculators_agree():
    """Arrays of bars equal the calculator one by one."""
    rng = np.random.default_rng(9)
    d, length, e = rng.uniform(0.01, 0.03, 20), rng.uniform(0.3, 0.9, 20), rng.uniform(0, 0.2, 20)
    sand, clay = bar_in_sand(Bar(d, length, e), 18.0, 30.0), bar_in_clay(Bar(d, length, e), 20.0)
    for i in range(20):
        bar = {"diameter_m": d[i].item(), "length_m": length[i].item(), "load_height_m": e[i].item()}
        one = {"soil": "cohesionless", "unit_weight_kn_m3": 18.0, "friction_angle_deg": 30.0, **bar}
        assert call(lateral_pin_capacity, one).ultimate_kn == pytest.approx(sand.ultimate_kn[i])
        two = call(lateral_pin_capacity, {"soil": "cohesive", "cohesion_kpa": 20.0, **bar})
        assert two.max_moment_kn_m == pytest.approx(clay.max_moment_kn_m[i])
