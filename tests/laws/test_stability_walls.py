"""Laws of walls on their base and at their joints: balance of forces, strips, bodies put together in two ways."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.stability.box import box_wall_check
from lynchet.stability.gravity import (
    BaseForces,
    base_pressures,
    overturning_factor_of,
    sliding_factor_of,
    wall_stability,
)
from lynchet.stability.joints import Stack, course_joint_check, joint_forces


def _wall(seed: int) -> dict:
    rng = np.random.default_rng(seed)
    width = rng.uniform(0.5, 1.5)
    return {
        "base_width_m": width,
        "blocks": [{"weight_kn_per_m": rng.uniform(5, 20), "arm_m": rng.uniform(0.4, 0.7) * width} for _ in range(3)],
        "thrusts": [
            {
                "force_kn_per_m": rng.uniform(0.5, 2),
                "height_m": rng.uniform(0.1, 0.4),
                "angle_deg": rng.uniform(-10, 30),
            }
            for _ in range(2)
        ],
        "base_friction_deg": rng.uniform(15, 35),
    }


@pytest.mark.parametrize("seed", range(12))
def test_base_pressures_balance_the_resultant(seed):
    """The pressures carry the vertical force, their centroid is the resultant, in or out of the middle third."""
    given = _wall(seed)
    if seed % 2:  # push half of them out of the middle third
        given["thrusts"][0] = {"force_kn_per_m": 6.0 + seed / 2, "height_m": 0.55}
    found = call(wall_stability, given)
    width, contact = given["base_width_m"], found.contact_width_m
    toe, heel = found.toe_pressure_kpa, found.heel_pressure_kpa
    assert (toe + heel) / 2 * contact == pytest.approx(found.vertical_kn_per_m)
    if found.in_middle_third:
        centroid = contact * (toe + 2 * heel) / (3 * (toe + heel))
        assert contact == pytest.approx(width)
    else:
        centroid = contact / 3 if toe > heel else width - contact / 3
    assert centroid == pytest.approx(found.resultant_x_m)
    assert found.effective_width_m * found.effective_pressure_kpa == pytest.approx(found.vertical_kn_per_m)


def test_mirrored_wall_swaps_toe_and_heel():
    """Arms counted from the other edge, moments turned round: the same pressures, exchanged."""
    forces = BaseForces(20.0, 0.0, 20.0 * 0.3, 0.0)
    mirrored = BaseForces(20.0, 0.0, 20.0 * 0.7, 0.0)
    one, two = base_pressures(forces, 1.0), base_pressures(mirrored, 1.0)
    assert float(one.toe_kpa) == pytest.approx(float(two.heel_kpa))
    assert float(one.eccentricity_m) == pytest.approx(-float(two.eccentricity_m))


def test_wall_kernels_and_calculator_agree():
    """Pressures and factors of many walls at once equal the calculator's, one by one."""
    given = [_wall(seed) for seed in range(30)]
    found = [call(wall_stability, one) for one in given]
    forces = BaseForces(
        *(np.array([getattr(one, name) for one in found]) for name in (
            "vertical_kn_per_m", "horizontal_kn_per_m", "resisting_kn_m_per_m", "overturning_kn_m_per_m"
        ))
    )  # fmt: skip
    width = np.array([one["base_width_m"] for one in given])
    pressures = base_pressures(forces, width)
    friction = np.tan(np.radians([one["base_friction_deg"] for one in given]))
    for name, values in (
        ("toe_pressure_kpa", pressures.toe_kpa),
        ("heel_pressure_kpa", pressures.heel_kpa),
        ("eccentricity_m", pressures.eccentricity_m),
        ("sliding_factor", sliding_factor_of(forces, friction)),
        ("overturning_factor", overturning_factor_of(forces)),
    ):
        assert values == pytest.approx(np.array([getattr(one, name) for one in found]))


def test_adhesion_counts_over_the_width_asked_for():
    """Over the base: adhesion x B more to hold; over the effective width: x B'."""
    given = {**_wall(3), "base_adhesion_kpa": 4.0}
    plain = call(wall_stability, _wall(3))
    for over, width in (("effective", plain.effective_width_m), ("base", given["base_width_m"])):
        found = call(wall_stability, {**given, "adhesion_over": over})
        more = (found.sliding_factor - plain.sliding_factor) * plain.horizontal_kn_per_m
        assert more == pytest.approx(4.0 * width)


STACK = {
    "courses": 4,
    "course_height_m": 0.14,
    "course_width_m": 0.15,
    "timber_unit_weight_kn_m3": 7.2,
    "unit_weight_kn_m3": 18.3,
    "coefficient": 0.31,
    "thrust_angle_deg": 14.0,
    "base_friction_deg": 27.0,
    "timber_friction": 0.42,
    "surcharge_kpa": 2.5,
    "lean_deg": 5.0,
}


def _by_strips(joint: int, strips: int = 4000) -> tuple[float, float, float, float]:
    """Vertical, horizontal, resisting and overturning moment over one joint, summed over thin strips of the stack."""
    s = STACK
    high = (s["courses"] - joint) * s["course_height_m"]
    dz = high / strips
    y = (np.arange(strips) + 0.5) * dz
    back = np.tan(np.radians(s["lean_deg"])) * y
    weight = s["course_width_m"] * dz * s["timber_unit_weight_kn_m3"] * np.ones(strips)
    push = s["coefficient"] * (s["unit_weight_kn_m3"] * (high - y) + s["surcharge_kpa"]) * dz
    a = np.radians(s["thrust_angle_deg"])
    down, out = push * np.sin(a), push * np.cos(a)
    holds = np.sum(weight * (back + s["course_width_m"] / 2) + down * (back + s["course_width_m"]))
    return float(np.sum(weight + down)), float(out.sum()), float(holds), float(np.sum(out * y))


@pytest.mark.parametrize("joint", range(4))
def test_joints_by_thin_strips(joint):
    """Factors of a leaning loaded stack equal sums over 4,000 strips."""
    found = call(course_joint_check, STACK)
    v, h, holds, turns = _by_strips(joint)
    friction = np.tan(np.radians(27.0)) if joint == 0 else 0.42
    assert found.vertical_kn_per_m[joint] == pytest.approx(v, rel=1e-6)
    assert found.sliding_factor[joint] == pytest.approx(v * friction / h, rel=1e-6)
    assert found.overturning_factor[joint] == pytest.approx(holds / turns, rel=1e-5)


def test_base_joint_is_wall_stability():
    """The plumb bare stack judged as one block gives the same sliding and overturning at its base."""
    plumb = {**STACK, "lean_deg": 0.0, "surcharge_kpa": 0.0}
    joint = call(course_joint_check, plumb)
    high, width = 0.56, 0.15
    block = {
        "base_width_m": width,
        "blocks": [{"weight_kn_per_m": high * width * 7.2, "arm_m": width / 2}],
        "thrusts": [{"force_kn_per_m": 0.5 * 0.31 * 18.3 * high**2, "height_m": high / 3, "angle_deg": 14.0}],
        "base_friction_deg": 27.0,
    }
    with pytest.raises(ValueError, match="outside the base"):  # it turns over: its own factor says so as well
        call(wall_stability, block)
    assert joint.overturning_factor[0] < 1
    wide = {**block, "base_width_m": 0.6, "blocks": [{"weight_kn_per_m": high * 0.6 * 7.2, "arm_m": 0.3}]}
    one = call(wall_stability, wide)
    two = call(course_joint_check, {**plumb, "course_width_m": 0.6})
    assert one.sliding_factor == pytest.approx(two.sliding_factor[0])
    assert one.overturning_factor == pytest.approx(two.overturning_factor[0])


def test_upper_joint_is_a_shorter_stack():
    """Joint j of n courses is joint 0 of n - j courses, but for the friction under it."""
    found = call(course_joint_check, STACK)
    for j in range(1, 4):
        short = call(course_joint_check, {**STACK, "courses": 4 - j})
        assert found.overturning_factor[j] == pytest.approx(short.overturning_factor[0])
        ratio = 0.42 / np.tan(np.radians(27.0))
        assert found.sliding_factor[j] == pytest.approx(short.sliding_factor[0] * ratio)


def test_help_of_the_buried_part_by_quadrature():
    """Passive pressure Kp g z on the buried height above each joint: force and moment about the joint."""
    given = {
        **STACK,
        "buried_m": 0.2,
        "passive_coefficient": 2.2,
        "joint_shear_kn_per_m": 0.7,
        "base_pin_kn_per_m": 0.4,
    }
    found = call(course_joint_check, given)
    for j in range(4):
        deep = max(0.2 - 0.14 * j, 0.0)
        z = (np.arange(2000) + 0.5) / 2000 * deep
        press = 2.2 * 18.3 * z * deep / 2000
        pins = 0.4 if j == 0 else 0.7
        h = found.horizontal_kn_per_m[j]
        more = (found.sliding_factor_helped[j] - found.sliding_factor[j]) * h
        assert more == pytest.approx(press.sum() + pins, rel=1e-6)
        turns = _by_strips(j)[3]
        held = (found.overturning_factor_helped[j] - found.overturning_factor[j]) * turns
        assert held == pytest.approx(np.sum(press * (deep - z)), rel=1e-5, abs=1e-9)
    assert found.least_bare == min(found.sliding_factor + found.overturning_factor)
    assert found.least_helped == min(found.sliding_factor_helped + found.overturning_factor_helped)


def test_joint_kernel_over_walls_and_joints():
    """Walls x 1 against joints broadcast, and equal the calculator entry by entry."""
    rng = np.random.default_rng(5)
    k, a = rng.uniform(0.2, 0.4, (6, 1)), rng.uniform(-5, 25, (6, 1))
    above = 0.14 * (4 - np.arange(4))
    forces = joint_forces(Stack(0.15, 7.2, 18.3, k, a, 2.5, 5.0), above)
    factor = overturning_factor_of(forces)
    assert factor.shape == (6, 4)
    for row in range(6):
        given = {**STACK, "coefficient": k[row, 0].item(), "thrust_angle_deg": a[row, 0].item()}
        found = call(course_joint_check, given)
        assert factor[row] == pytest.approx(np.array(found.overturning_factor))
        assert np.asarray(forces.vertical)[row] == pytest.approx(np.array(found.vertical_kn_per_m))


BOX = {
    "front_length_m": 2.4,
    "return_length_m": 0.9,
    "courses": 3,
    "course_height_m": 0.14,
    "course_width_m": 0.15,
    "timber_unit_weight_kn_m3": 7.2,
    "unit_weight_kn_m3": 18.3,
    "coefficient": 0.31,
    "thrust_angle_deg": 14.0,
    "base_friction_deg": 27.0,
    "buried_m": 0.14,
    "passive_coefficient": 2.0,
    "inside_friction_deg": 12.0,
    "modulus_mpa": 8000.0,
}


def test_bare_front_of_a_box_is_the_bare_stack():
    """The front per metre is course_joint_check's base joint; the buried part adds what it adds there."""
    box = call(box_wall_check, BOX)
    keys = [key for key in STACK if key in BOX]
    stack = {key: BOX[key] for key in keys} | {"timber_friction": 0.4, "buried_m": 0.14, "passive_coefficient": 2.0}
    joint = call(course_joint_check, stack)
    assert box.overturning_factor_bare == pytest.approx(joint.overturning_factor[0])
    assert box.sliding_factor_bare == pytest.approx(joint.sliding_factor[0])
    assert box.sliding_factor_buried == pytest.approx(joint.sliding_factor_helped[0])


def test_box_as_blocks():
    """Front and two returns summed as separate bodies give the box's turning and sliding."""
    found = call(box_wall_check, BOX)
    high, w = 0.42, 0.15
    thrust = 0.5 * 0.31 * 18.3 * high**2 * 2.4
    a, f = np.radians(14.0), np.tan(np.radians(27.0))
    front, side = high * w * 7.2 * 2.4, 0.9 * high * w * 7.2
    holds = front * w / 2 + thrust * np.sin(a) * w + 2 * side * 0.45
    assert found.overturning_factor_box == pytest.approx(holds / (thrust * np.cos(a) * high / 3))
    ks = 0.31 * np.cos(a)
    inside = 0.5 * ks * 18.3 * 0.28**2 * 0.9 * np.tan(np.radians(12.0))
    assert found.inside_friction_kn == pytest.approx(inside)
    down = front + thrust * np.sin(a) + 2 * side
    passive = 0.5 * 2.0 * 18.3 * 0.14**2 * 2.4
    assert found.sliding_factor_box == pytest.approx((down * f + passive + 2 * inside) / (thrust * np.cos(a)))
    assert found.sliding_factor_box_no_passive == pytest.approx((down * f + 2 * inside) / (thrust * np.cos(a)))


def test_course_between_corners_is_a_beam():
    """Corner pull, moment and sag of a course come out of a finite-difference beam under its load."""
    found = call(box_wall_check, BOX)
    load, n = found.course_load_kn_per_m[1], 2001
    assert load == pytest.approx(0.31 * np.cos(np.radians(14.0)) * 18.3 * 0.21 * 0.14)
    x = np.linspace(0, 2.4, n)
    moment = load * x * (2.4 - x) / 2
    assert found.moment_kn_m[1] == pytest.approx(moment.max())
    assert found.corner_pull_kn[1] == pytest.approx(load * 2.4 / 2)
    assert found.bending_mpa[1] == pytest.approx(moment.max() * 0.075 / (0.14 * 0.15**3 / 12) / 1000)
    stiff = 8000e3 * 0.14 * 0.15**3 / 12
    half = x <= 1.2
    sag = np.trapezoid(moment[half] / stiff * x[half], x[half])  # moment-area from the support to the middle
    assert found.sag_mm[1] == pytest.approx(1000 * sag, rel=1e-5)
    assert len(found.moment_kn_m) == 2
