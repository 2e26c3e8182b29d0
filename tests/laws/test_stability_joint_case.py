"""A joint in any load case and the box on it: against strips, the drained check and the drained box."""

from __future__ import annotations

from math import cos, radians, sin, tan

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.stability.box import box_wall_check, course_bending
from lynchet.stability.corner_box import corner_box_check
from lynchet.stability.joint_case import joint_case_check
from lynchet.stability.joints import course_joint_check, held_beside
from lynchet.stability.push import Ground, Rows, forces

WATER = 9.81


def drawn(seed):
    """A wall of some courses on one section with water, ground in front and a load."""
    rng = np.random.default_rng(seed)
    courses, height, width = int(rng.integers(1, 6)), rng.uniform(0.1, 0.2), rng.uniform(0.1, 0.25)
    timber = courses * height
    shared = {"width_m": width, "course_height_m": height, "timber_unit_weight_kn_m3": rng.uniform(4, 9),
              "unit_weight_kn_m3": rng.uniform(15, 20), "saturated_unit_weight_kn_m3": rng.uniform(18, 22),
              "friction_deg": rng.uniform(15, 40)}  # fmt: skip
    section = {"length_m": rng.uniform(0.2, 2), "timber_m": timber, "soil_m": rng.uniform(0, timber),
               "coefficient": rng.uniform(0.2, 0.6), "thrust_angle_deg": rng.uniform(0, 25),
               "water_m": rng.uniform(0, timber), "front_m": rng.choice([0.0, rng.uniform(0, timber)]),
               "surcharge_kpa": rng.choice([0.0, 5.0])}  # fmt: skip
    return shared, section


def by_strips(shared, section, strips=4000):
    """Level soil push, its moment, level water push and its moment, summed over strips."""
    soil, water, front = section["soil_m"], section["water_m"], section["front_m"]
    low = min(front, soil)
    wet = min(max(water, low), soil)
    z = (np.arange(strips) + 0.5) / strips * soil
    moist = np.maximum(soil - np.maximum(z, wet), 0) + np.maximum(low - z, 0)
    under = np.maximum(wet - np.maximum(z, low), 0)
    stress = section["surcharge_kpa"] + shared["unit_weight_kn_m3"] * moist
    stress = stress + (shared["saturated_unit_weight_kn_m3"] - WATER) * under
    push = section["coefficient"] * stress * soil / strips
    y = (np.arange(strips) + 0.5) / strips * water
    press = WATER * (water - np.maximum(y, min(front, water))) * water / strips
    return push.sum(), (push * z).sum(), press.sum(), (press * y).sum()


@pytest.mark.parametrize("seed", range(40))
def test_forces_on_a_joint_by_strips(seed):
    """Push of soil and water, lift and moments are those of thin strips with effective stresses."""
    shared, section = drawn(seed)
    found = call(joint_case_check, {**shared, "sections": [section]})
    soil, soil_turn, water, water_turn = by_strips(shared, section)
    angle, width = radians(section["thrust_angle_deg"]), shared["width_m"]
    weight = section["timber_m"] * width * shared["timber_unit_weight_kn_m3"]
    lift = 0.5 * WATER * max(section["water_m"] - section["front_m"], 0) * width
    vertical, level = weight + soil * sin(angle) - lift, soil * cos(angle) + water
    height = soil_turn / soil if soil else 0.0
    holds = weight * width / 2 + soil * sin(angle) * width - lift * width * 2 / 3
    turns = soil * cos(angle) * height + water_turn
    about = {"rel": 1e-6, "abs": 1e-6}
    assert found.soil_kn_per_m == pytest.approx(soil * cos(angle), **about)
    assert found.back_friction_kn_per_m == pytest.approx(soil * sin(angle), **about)
    assert found.water_kn_per_m == pytest.approx(water, **about)
    assert found.uplift_kn_per_m == pytest.approx(lift, **about)
    assert (found.vertical_kn_per_m, found.horizontal_kn_per_m) == pytest.approx((vertical, level), **about)
    assert (found.resisting_kn_m_per_m, found.overturning_kn_m_per_m) == pytest.approx((holds, turns), **about)
    friction = tan(radians(shared["friction_deg"]))
    assert found.sliding_factor == pytest.approx(vertical * friction / level, rel=1e-5, abs=1e-5)
    assert found.overturning_factor == pytest.approx(holds / turns, rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("seed", range(20))
def test_drained_joint_is_the_course_check(seed):
    """Without water, at every joint the factors with buried part and pins are those of the check of courses."""
    rng = np.random.default_rng(seed)
    shared, section = drawn(seed)
    courses = round(section["timber_m"] / shared["course_height_m"])
    given = {"courses": courses, "course_height_m": shared["course_height_m"], "course_width_m": shared["width_m"],
             "timber_unit_weight_kn_m3": shared["timber_unit_weight_kn_m3"], "coefficient": section["coefficient"],
             "unit_weight_kn_m3": shared["unit_weight_kn_m3"], "base_friction_deg": shared["friction_deg"],
             "timber_friction": 0.4, "thrust_angle_deg": section["thrust_angle_deg"], "surcharge_kpa": 2.0,
             "buried_m": rng.uniform(0, 0.9) * section["timber_m"], "passive_coefficient": 3.0,
             "joint_shear_kn_per_m": 0.7}  # fmt: skip
    whole = call(course_joint_check, given)
    for joint in range(courses):
        above = (courses - joint) * shared["course_height_m"]
        one = {"length_m": 1.0, "timber_m": above, "soil_m": above, "coefficient": section["coefficient"],
               "thrust_angle_deg": section["thrust_angle_deg"], "surcharge_kpa": 2.0,
               "buried_m": max(given["buried_m"] - joint * shared["course_height_m"], 0.0),
               "passive_coefficient": 3.0, "screws_kn_per_m": 0.7 if joint else 0.0}  # fmt: skip
        friction = shared["friction_deg"] if joint == 0 else float(np.degrees(np.arctan(0.4)))
        found = call(joint_case_check, {**shared, "friction_deg": friction, "sections": [one]})
        assert found.sliding_factor == pytest.approx(whole.sliding_factor_helped[joint], rel=1e-9)
        assert found.overturning_factor == pytest.approx(whole.overturning_factor_helped[joint], rel=1e-9)
        assert found.overturning_factor_bare == pytest.approx(whole.overturning_factor[joint], rel=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_sections_are_averaged_by_length(seed):
    """Forces of several sections are the mean of each alone by its length; a help counts where it is."""
    parts = [drawn(100 * seed + n)[1] for n in range(3)]
    shared, _ = drawn(seed)
    for n, part in enumerate(parts):
        part |= {"pins_kn_per_m": 0.3 * n, "screws_turn_kn_m_per_m": 0.1 * n,
                 "strips": [{"kpa": 6.0, "near_m": 0.3, "width_m": 1.0, "factor": 2}] * n}  # fmt: skip
    mixed = call(joint_case_check, {**shared, "sections": parts})
    lengths = np.array([part["length_m"] for part in parts])
    alone = [call(joint_case_check, {**shared, "sections": [part]}) for part in parts]
    for name in ("weight_kn_per_m", "loads_kn_per_m", "horizontal_kn_per_m", "resisting_kn_m_per_m",
                 "overturning_kn_m_per_m", "held_beside_kn_per_m"):  # fmt: skip
        mean = sum(lengths * [getattr(one, name) for one in alone]) / lengths.sum()
        assert getattr(mixed, name) == pytest.approx(mean, rel=1e-9)
    turn = sum(lengths * [0.1 * n for n in range(3)]) / lengths.sum()
    helped = (mixed.resisting_kn_m_per_m + turn) / mixed.overturning_kn_m_per_m
    assert mixed.overturning_factor == pytest.approx(helped, rel=1e-9)


def test_the_kernel_is_the_calculator():
    """forces() over many rows gives, row by row, what the calculator gives for each."""
    drawns = [drawn(seed) for seed in range(30)]
    shared = drawns[0][0]

    def of(name):
        return np.array([float(section.get(name, 0.0)) for _, section in drawns])

    same = np.ones(len(drawns))
    rows = Rows(of("timber_m"), of("soil_m"), of("water_m"), of("front_m"), of("coefficient"), of("thrust_angle_deg"),
                3.0 * same, shared["course_height_m"] * same, of("surcharge_kpa"), (), 0.15 * same)  # fmt: skip
    ground = Ground(shared["width_m"], shared["timber_unit_weight_kn_m3"], shared["unit_weight_kn_m3"],
                    shared["saturated_unit_weight_kn_m3"])  # fmt: skip
    summed = forces(rows, ground).forces
    for n, (_, section) in enumerate(drawns):
        one = call(joint_case_check, {**shared, "sections": [section], "lean_deg": 3.0, "seismic_coefficient": 0.15})
        kernel = [float(np.asarray(part)[n]) for part in
                  (summed.vertical, summed.horizontal, summed.resisting, summed.overturning)]  # fmt: skip
        assert kernel == pytest.approx([one.vertical_kn_per_m, one.horizontal_kn_per_m, one.resisting_kn_m_per_m,
                                        one.overturning_kn_m_per_m], rel=1e-12)  # fmt: skip


def test_pins_and_buried_part_share_the_ground():
    """Of pins and buried part the larger counts; screws come on top."""
    assert held_beside(np.array([1.0, 3.0]), 2.0, 0.5) == pytest.approx([2.5, 3.5])


@pytest.mark.parametrize("seed", range(20))
def test_box_on_drained_forces_is_the_box_wall(seed):
    """With the forces of the drained check and its course loads the box is that of the drained box."""
    rng = np.random.default_rng(seed)
    courses, height, width = int(rng.integers(1, 6)), rng.uniform(0.1, 0.2), rng.uniform(0.1, 0.2)
    wall = {"courses": courses, "course_height_m": height, "course_width_m": width, "timber_unit_weight_kn_m3": 6.5,
            "unit_weight_kn_m3": 18.0, "coefficient": rng.uniform(0.2, 0.5), "base_friction_deg": rng.uniform(15, 40),
            "thrust_angle_deg": rng.uniform(0, 25)}  # fmt: skip
    box = call(box_wall_check, {**wall, "front_length_m": 3.0, "return_length_m": 1.1, "modulus_mpa": 8000.0})
    drained = call(course_joint_check, {**wall, "timber_friction": 0.4})
    push, turning = drained.horizontal_kn_per_m[0], drained.horizontal_kn_per_m[0] * courses * height / 3.0
    given = {"front_length_m": 3.0, "return_length_m": 1.1, "height_m": courses * height, "course_height_m": height,
             "course_width_m": width, "timber_unit_weight_kn_m3": 6.5,
             "base_friction_deg": wall["base_friction_deg"], "vertical_kn_per_m": drained.vertical_kn_per_m[0],
             "horizontal_kn_per_m": push, "resisting_kn_m_per_m": drained.overturning_factor[0] * turning,
             "overturning_kn_m_per_m": turning, "course_load_kn_per_m": box.course_load_kn_per_m,
             "modulus_mpa": 8000.0}  # fmt: skip
    found = call(corner_box_check, given)
    assert found.overturning_factor == pytest.approx(box.overturning_factor_box, rel=1e-9)
    assert found.sliding_factor == pytest.approx(box.sliding_factor_box, rel=1e-9)
    for name in ("corner_pull_kn", "moment_kn_m", "bending_mpa", "sag_mm"):
        assert getattr(found, name) == pytest.approx(getattr(box, name), rel=1e-9)
    pull, moment, bending = course_bending(np.array(box.course_load_kn_per_m), 3.0, height, width)
    assert np.array([found.corner_pull_kn, found.moment_kn_m, found.bending_mpa]) == pytest.approx(
        np.array([pull, moment, bending]), rel=1e-12)  # fmt: skip
    more = call(corner_box_check, {**given, "held_beside_kn_per_m": 0.4})
    assert more.sliding_factor - found.sliding_factor == pytest.approx(0.4 / push, rel=1e-9)


@pytest.mark.parametrize("near", [0.0, 0.4])
def test_a_strip_that_begins_at_the_back_of_the_wall_is_counted(near):
    """An upper wall right behind the lower one loads the ground from its back on: the push is the free elastic one
    summed over thin lines, 2 q z x^2/(pi (x^2 + z^2)^2) (Boussinesq's line load, MEMORY), times the factor."""
    strip = {"kpa": 11.0, "near_m": near, "width_m": 1.6, "factor": 2.0}
    section = {"length_m": 1.0, "timber_m": 0.6, "soil_m": 0.55, "coefficient": 0.35, "strips": [strip]}
    found = call(joint_case_check, {"sections": [section], "width_m": 0.15, "course_height_m": 0.15,
                 "timber_unit_weight_kn_m3": 7.0, "unit_weight_kn_m3": 18.0, "saturated_unit_weight_kn_m3": 20.0,
                 "friction_deg": 27.0})  # fmt: skip
    x = (near + (np.arange(2000) + 0.5) / 2000 * 1.6)[:, None]
    z = ((np.arange(2000) + 0.5) / 2000 * 0.55)[None, :]
    free = (2 * 11.0 / np.pi * z * x**2 / (x**2 + z**2) ** 2).sum() * (1.6 / 2000) * (0.55 / 2000)
    assert found.loads_kn_per_m == pytest.approx(2.0 * free, rel=2e-3) and free > 0.5
