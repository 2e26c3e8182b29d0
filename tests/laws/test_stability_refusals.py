"""Every refusal the contract of stability names, with the word its text must hold; and edges that are taken."""

from __future__ import annotations

import pytest

from lynchet.calculators.checked import call
from lynchet.calculators.registry import entries, find
from lynchet.core.errors import InputError

P = {"friction_angle_deg": 30.0}
LAYER = {"thickness_m": 1.0, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 30.0}
WALL = {
    "base_width_m": 1.0,
    "blocks": [{"weight_kn_per_m": 9.0, "arm_m": 0.5}],
    "thrusts": [{"force_kn_per_m": 1.0, "height_m": 0.3}],
    "base_friction_deg": 30.0,
}
BASE = {"width_m": 1.0, "depth_m": 0.3, "unit_weight_kn_m3": 18.0}
LEAN = {"horizontal_kn_per_m": 2.0, "vertical_kn_per_m": 20.0}
ANCHOR = {"depth_m": 0.6, "block_height_m": 0.4, "unit_weight_kn_m3": 18.0, **P}
TIMBER = {"tie_force_kn": 1.0, "timber_width_m": 0.1, "timber_height_m": 0.1, "depth_m": 0.5, "wall_height_m": 1.0}
GRIP = {**TIMBER, "unit_weight_kn_m3": 18.0, **P}
ROWS = {
    "wall_height_m": 1.0,
    "depth_m": [0.0, 1.0],
    "pressure_kpa": [0.0, 6.0],
    "rows": [{"height_m": 0.5, "spacing_m": 2.0}],
}
STACK = {
    "courses": 2,
    "course_height_m": 0.14,
    "course_width_m": 0.14,
    "timber_unit_weight_kn_m3": 7.8,
    "unit_weight_kn_m3": 18.0,
    "coefficient": 0.3,
    "base_friction_deg": 30.0,
}
JOINTS = {**STACK, "timber_friction": 0.4}
BOX = {**STACK, "front_length_m": 2.0, "return_length_m": 1.0}
SAND = {"soil": "cohesionless", "diameter_m": 0.02, "length_m": 0.5, "unit_weight_kn_m3": 18.0, **P}
CLAY = {"soil": "cohesive", "diameter_m": 0.02, "length_m": 0.5, "cohesion_kpa": 20.0}
SECTION = {
    "ground": [[-4.0, 0.0], [0.0, 0.0], [2.0, 3.0], [9.0, 3.0]],
    "layers": [{"unit_weight_kn_m3": 18.0, "cohesion_kpa": 12.0}],
}
CIRCLE = {**SECTION, "centre_x_m": 0.5, "centre_y_m": 5.0, "radius_m": 5.3}
TIER = {"retained_m": 0.5}
RULE = {"name": "x", "measure": "exposed", "limit_m": 1.0}
HARD = [{"unit_weight_kn_m3": 18.0, "cohesion_kpa": 12.0, "base": [[-4.0, -0.1], [9.0, -0.1]]}]
LOADED = {"line_load_kn_per_m": 5.0, "distance_m": 0.5, "wall_height_m": 1.0}
POINT = {"load_kn": 5.0, "distance_m": 0.5, "wall_height_m": 1.0, "depth_m": 0.5}
STRIP = {"pressure_kpa": 5.0, "near_m": 0.5, "width_m": 1.0, "wall_height_m": 1.0}
BANK = {"height_m": 2.0, "unit_weight_kn_m3": 18.0, **P}
TIE = {"ties": [{"force_kn_per_m": 5.0, "y_m": 1.2}], "tie_convention": "resisting"}

REFUSED = [
    ("active_coefficient", {**P, "backslope_deg": 30.1}, "backslope"),
    ("active_coefficient", {**P, "backslope_deg": -3.0}, "backslope"),
    ("active_coefficient", {**P, "method": "coulomb", "backslope_deg": -46.0}, "backslope"),
    ("active_coefficient", {**P, "wall_friction_deg": 5.0}, "rankine"),
    ("active_coefficient", {**P, "lean_deg": -2.0}, "rankine"),
    ("active_coefficient", {**P, "method": "coulomb", "lean_deg": 31.0}, "lean"),
    ("active_coefficient", {"friction_angle_deg": 51.0}, "friction"),
    ("active_coefficient", {"friction_angle_deg": float("nan")}, "friction"),
    ("active_coefficient", {"friction_angle_deg": True}, "friction"),
    ("active_coefficient", {}, "friction"),
    ("active_coefficient", {**P, "slope_deg": 3.0}, "slope_deg"),
    ("passive_coefficient", {**P, "wall_friction_deg": 5.0}, "rankine"),
    ("passive_coefficient", {**P, "method": "coulomb", "backslope_deg": 31.0}, "backslope"),
    ("passive_coefficient", {"friction_angle_deg": 0.0, "method": "log_spiral"}, "friction"),
    (
        "passive_coefficient",
        {"friction_angle_deg": 45.0, "method": "coulomb", "wall_friction_deg": 45.0},
        "no solution",
    ),
    ("seismic_active_coefficient", {**P, "horizontal_coefficient": 0.1, "wall_friction_deg": 31.0}, "wall friction"),
    ("seismic_active_coefficient", {**P, "horizontal_coefficient": 0.1, "backslope_deg": 31.0}, "no solution"),
    ("seismic_active_coefficient", {**P, "horizontal_coefficient": 0.1, "vertical_coefficient": 0.6}, "vertical"),
    (
        "seismic_active_coefficient",
        {"friction_angle_deg": 50.0, "horizontal_coefficient": 0.9, "wall_friction_deg": 50.0, "lean_deg": -30.0},
        "no solution",
    ),
    (
        "lateral_thrust",
        {"layers": [{**LAYER, "cohesion_kpa": 1.0, "coefficient": 0.5}], "state": "at_rest"},
        "cohesion",
    ),
    ("lateral_thrust", {"layers": [{**LAYER, "unit_weight_kn_m3": 9.0}], "water_depth_m": 0.5}, "unit weight"),
    ("lateral_thrust", {"layers": [{**LAYER, "colour": 1.0}]}, "colour"),
    ("lateral_thrust", {"layers": [LAYER], "surcharge_kpa": -1.0}, "surcharge"),
    ("lateral_thrust", {"layers": [LAYER], "state": "passive"}, "state"),
    ("line_load_thrust", {**LOADED, "line_load_kn_per_m": -1.0}, "line load"),
    ("line_load_thrust", {**LOADED, "depth_m": -0.1}, "depth"),
    ("point_load_pressure", {**POINT, "wall_height_m": 0.0}, "wall height"),
    ("point_load_pressure", {**POINT, "distance_m": -0.1}, "distance"),
    ("point_load_pressure", {**POINT, "offset_angle_deg": 81.0}, "offset"),
    ("strip_load_pressure", {**STRIP, "depth_m": -0.1}, "depth"),
    ("strip_load_pressure", {**STRIP, "doubled": 1.0}, "doubled"),
    (
        "compaction_pressure",
        {"line_load_kn_per_m": 1.0, "unit_weight_kn_m3": 18.0, "at_rest_coefficient": 1.1},
        "at rest",
    ),
    (
        "wall_stability",
        {
            **WALL,
            "blocks": [{"weight_kn_per_m": 0.1, "arm_m": 0.5}],
            "thrusts": [{"force_kn_per_m": 1.0, "height_m": 0.0, "angle_deg": -90.0}],
        },
        "weight",
    ),
    ("wall_stability", {**WALL, "blocks": [{"weight_kn_per_m": 9.0, "arm_m": 1.0}], "thrusts": []}, "outside the base"),
    ("wall_stability", {**WALL, "blocks": [{"weight_kn_per_m": 9.0, "arm_m": 0.0}], "thrusts": []}, "outside the base"),
    ("wall_stability", {**WALL, "ties": [{"force_kn_per_m": 50.0, "height_m": 0.5}]}, "outside the base"),
    ("wall_stability", {**WALL, "adhesion_over": "all"}, "adhesion"),
    ("tier_separation", {"lower_height_m": 1.0, "setback_m": 1.0}, "friction"),
    ("bearing_capacity", {**BASE, **P, "method": "vesic", "eccentricity_m": 0.5}, "eccentricity"),
    ("bearing_capacity", {**BASE, **P, **LEAN, "method": "terzaghi"}, "inclination"),
    ("bearing_capacity", {**BASE, **P, "method": "general", "horizontal_kn_per_m": 1.0}, "inclination"),
    ("bearing_capacity", {**BASE, **P, "method": "undrained", "cohesion_kpa": 5.0}, "cohesion"),
    ("bearing_capacity", {**BASE, **P, "method": "vesic", "shape": "rectangle"}, "length"),
    ("bearing_capacity", {**BASE, **P, "method": "vesic", "shape": "rectangle", "length_m": 0.9}, "length"),
    ("bearing_capacity", {**BASE, **P, "method": "bowles"}, "method"),
    ("bearing_beside_slope", {**BASE, "method": "vesic", "ground_slope_deg": 5.0}, "cohesion"),
    ("bearing_beside_slope", {**BASE, **P, "method": "vesic", "ground_slope_deg": 46.0}, "slope"),
    (
        "bearing_beside_slope",
        {**BASE, **P, "method": "hansen", "ground_slope_deg": 5.0, "eccentricity_m": 0.6},
        "eccentric",
    ),
    ("slice_factor", {"slices": [{"width_m": 1.0, "base_angle_deg": 90.0, "weight_kn_per_m": 1.0}]}, "base angle"),
    ("slip_circle_factor", {**CIRCLE, "radius_m": 4.9, "centre_y_m": 2.0}, "circle"),
    ("slip_circle_factor", {**CIRCLE, "from_x_m": -4.5, "to_x_m": 3.0}, "circle"),
    ("slip_circle_factor", {**CIRCLE, "from_x_m": 0.0, "to_x_m": 8.0}, "circle"),
    ("slip_circle_factor", {**CIRCLE, "layers": HARD}, "circle"),
    ("slip_circle_factor", {**CIRCLE, "centre_y_m": 2.5, "radius_m": 3.0, "from_x_m": 0.0, "to_x_m": 3.0}, "circle"),
    ("slip_circle_factor", {**CIRCLE, "ground": [[0.0, 0.0]]}, "ground"),
    ("slip_circle_factor", {**CIRCLE, "layers": []}, "layer"),
    ("slip_circle_factor", {**CIRCLE, "crack_depth_m": 0.5, "crack_water_m": 0.6}, "crack"),
    ("slip_circle_factor", {**CIRCLE, "method": "spencer", "crack_depth_m": 0.5, "crack_water_m": 0.1}, "spencer"),
    ("slip_circle_factor", {**CIRCLE, "pore_ratio": 1.1}, "pore ratio"),
    ("slip_circle_factor", {**CIRCLE, "water_line": [[0.0, -1.0]]}, "water line"),
    ("slip_search", {**SECTION, "left_x_m": [-5.0, 1.0]}, "window"),
    ("slip_search", {**SECTION, "right_x_m": [3.0, 2.0]}, "window"),
    ("slip_search", {**SECTION, **TIE}, "anchor"),
    ("slip_search", {**SECTION, "left_x_m": [8.0, 9.0], "right_x_m": [0.0, 1.0]}, "no circle"),
    ("slip_search", {**SECTION, "min_depth_m": 50.0}, "no circle"),
    ("infinite_slope_factor", {**P, "slope_deg": 89.5}, "slope"),
    ("plane_wedge_factor", {**BANK, "plane_angle_deg": 90.0}, "plane angle"),
    ("plane_wedge_factor", {**BANK, "plane_angle_deg": 45.0, "crest_offset_m": 2.0}, "plane angle"),
    ("plane_wedge_factor", {**BANK, "plane_angle_deg": 45.0, "crack_x_m": 2.1}, "crack"),
    ("plane_wedge_factor", {**BANK, "crest_offset_m": 0.5, "crack_x_m": 0.4}, "crack"),
    ("plane_wedge_factor", {**BANK, "crack_x_m": 1.0, "crack_water_m": 2.0}, "crack"),
    ("plane_wedge_factor", {**BANK, "crack_water_m": 0.2}, "crack"),
    ("anchor_capacity", {**ANCHOR, "kind": "continuous", "block_height_m": 0.29}, "block height"),
    ("anchor_capacity", {**ANCHOR, "kind": "face", "block_height_m": 0.61}, "block height"),
    ("anchor_capacity", {**ANCHOR, "kind": "face", "length_m": 1.0, "spacing_m": 0.9}, "spacing"),
    ("anchor_capacity", {**ANCHOR, "kind": "face", "overlap_depth_m": 0.61}, "overlap"),
    ("anchor_capacity", {**ANCHOR, "kind": "face", "safety_factor": 0.9}, "safety"),
    ("anchor_distance", {"wall_height_m": 1.0, "anchor_depth_m": 0.4, **P, "block_height_m": 0.5}, "block height"),
    ("anchor_distance", {"wall_height_m": 1.0, "anchor_depth_m": 0.4, **P, "distance_m": -0.1}, "distance"),
    ("tie_friction_length", {**GRIP, "timber_width_m": 0.0}, "timber width"),
    ("tie_friction_length", {**GRIP, "friction_angle_deg": 0.0}, "friction"),
    ("tie_friction_length", {**GRIP, "friction_ratio": 1.1}, "friction ratio"),
    ("tie_force", {**ROWS, "rows": [{"height_m": 0.5, "spacing_m": 0.0}]}, "spacing"),
    ("tie_force", {**ROWS, "rows": [{"height_m": 1.1, "spacing_m": 1.0}]}, "row"),
    ("tie_force", {**ROWS, "rows": [{"height_m": 0.5, "spacing_m": 1.0}] * 2}, "row"),
    ("tie_force", {**ROWS, "depth_m": [0.1, 1.0]}, "depth"),
    ("tie_force", {**ROWS, "depth_m": [0.0, 0.6, 0.5, 1.0], "pressure_kpa": [0.0, 1.0, 1.0, 2.0]}, "depth"),
    ("tie_force", {**ROWS, "pressure_kpa": [0.0, 1.0, 2.0]}, "pressure"),
    ("course_joint_check", {**JOINTS, "courses": 2.5}, "courses"),
    ("course_joint_check", {**JOINTS, "course_height_m": 0.0}, "height"),
    ("course_joint_check", {**JOINTS, "buried_m": 0.281}, "buried"),
    ("course_joint_check", {**JOINTS, "lean_deg": -1.0}, "lean"),
    ("course_joint_check", {**JOINTS, "timber_friction": 1.1}, "timber friction"),
    ("box_wall_check", {**BOX, "front_length_m": 0.28}, "front length"),
    ("box_wall_check", {**BOX, "buried_m": 0.3}, "buried"),
    ("box_wall_check", {**BOX, "span_coefficient": 0.0}, "span"),
    ("lateral_pin_capacity", {**SAND, "friction_angle_deg": 0.0}, "friction"),
    ("lateral_pin_capacity", {**CLAY, "cohesion_kpa": 0.0}, "cohesion"),
    ("lateral_pin_capacity", {"soil": "cohesive", "diameter_m": 0.02, "length_m": 0.5}, "cohesion"),
    ("lateral_pin_capacity", {**CLAY, "length_m": 0.03}, "length"),
    ("lateral_pin_capacity", {**CLAY, "spacing_m": 0.05}, "spacing"),
    (
        "reliability_index",
        {"form": "normal", "factor": 1.5, "coefficient_of_variation": 0.1, "pairs": [[1.6, 1.4]]},
        "pairs",
    ),
    ("reliability_index", {"form": "normal", "coefficient_of_variation": 0.1}, "factor"),
    ("reliability_index", {"form": "normal", "factor": 1.5, "coefficient_of_variation": 0.0}, "spread"),
    ("reliability_index", {"form": "normal", "factor": 1.5, "pairs": [[1.5, 1.5]]}, "spread"),
    (
        "reliability_index",
        {"form": "normal_margin", "resistance_mean": 3.0, "resistance_sd": 0.1, "load_mean": 1.0},
        "load sd",
    ),
    ("presumptive_soil", {"soil_class": 6}, "class"),
    ("presumptive_soil", {"soil_class": True}, "class"),
    ("presumptive_soil", {"soil_class": ""}, "class"),
    ("presumptive_soil", {"soil_class": "Pt"}, "class"),
    ("soil_typical", {"soil_class": "PT"}, "class"),
    ("soil_typical", {"soil_class": 4}, "class"),
    ("friction_typical", {"contact": "timber_on_soil"}, "friction"),
    ("permit_height", {"tiers": [TIER, TIER], "rules": [RULE]}, "setback"),
    ("permit_height", {"tiers": [{"retained_m": 0.5, "exposed_m": 0.0}], "rules": [RULE]}, "tier"),
    ("permit_height", {"tiers": [{"retained_m": 0.5, "surcharge": 1}], "rules": [RULE]}, "surcharge"),
    ("permit_height", {"tiers": [TIER], "rules": [{"measure": "exposed", "limit_m": 1.0}]}, "name"),
]


@pytest.mark.parametrize("name, given, word", REFUSED, ids=[f"{n}-{w}-{i}" for i, (n, _, w) in enumerate(REFUSED)])
def test_refused(name, given, word):
    """The calculator refuses, and the text holds the contract's word."""
    with pytest.raises(InputError) as error:
        call(find(name).function, given)
    assert word in str(error.value).lower()


TAKEN = [
    ("active_coefficient", {**P, "backslope_deg": 30.0}),
    ("active_coefficient", {"friction_angle_deg": 0}),
    ("seismic_active_coefficient", {**P, "horizontal_coefficient": 0.0, "backslope_deg": 30.0}),
    ("passive_coefficient", {**P, "method": "log_spiral"}),
    ("lateral_thrust", {"layers": [{**LAYER, "saturated_unit_weight_kn_m3": 9.0}], "water_depth_m": 1.0}),
    ("lateral_thrust", {"layers": [LAYER], "water_depth_m": 0.0}),
    ("wall_stability", {**WALL, "ties": []}),
    ("bearing_capacity", {**BASE, **LEAN, **P, "method": "vesic", "horizontal_kn_per_m": 20.0 * 0.57735026}),
    ("bearing_capacity", {**BASE, "method": "undrained", "cohesion_kpa": 5.0, "horizontal_kn_per_m": 5.0}),
    ("bearing_beside_slope", {**BASE, "method": "vesic", "cohesion_kpa": 20.0, "ground_slope_deg": 30.0}),
    ("anchor_capacity", {**ANCHOR, "kind": "continuous", "block_height_m": 0.3}),
    ("anchor_distance", {"wall_height_m": 1.0, "anchor_depth_m": 1.0, **P}),
    ("tie_friction_length", {**GRIP, "depth_m": 1.0}),
    ("tie_force", {**ROWS, "rows": [{"height_m": 1.0, "spacing_m": 1.0}]}),
    ("course_joint_check", {**JOINTS, "courses": 2.0, "buried_m": 0.28}),
    ("box_wall_check", {**BOX, "buried_m": 0.28}),
    ("lateral_pin_capacity", {**SAND, "spacing_m": 0.06}),
    ("lateral_pin_capacity", {**CLAY, "friction_angle_deg": 0.0}),
    (
        "reliability_index",
        {"form": "lognormal_quotient", "resistance_mean": 2.0, "resistance_sd": 0.0, "load_mean": 1.0, "load_sd": 0.1},
    ),
    ("presumptive_soil", {"soil_class": 3.0}),
    ("permit_height", {"tiers": [{"retained_m": 0.0, "buried_m": 0.1}], "rules": [RULE]}),
    ("slip_circle_factor", {**CIRCLE, "ties": []}),
    ("slip_circle_factor", {**CIRCLE, "to_x_m": 4.0}),
    ("slip_circle_factor", {**CIRCLE, "method": "ordinary", "pore_ratio": 0.2}),
]


@pytest.mark.parametrize("name, given", TAKEN, ids=[f"{n}-{i}" for i, (n, _) in enumerate(TAKEN)])
def test_taken(name, given):
    """Edges that lie inside what is accepted give a result."""
    assert call(find(name).function, given) is not None


def test_every_calculator_says_what_could_go_wrong_and_shows_its_working():
    """All of this room decide about safety: each carries a caution; those a builder checks show steps that end in the
    result."""
    shown = set()
    for entry in entries():
        if entry.room != "stability":
            continue
        declared = find(entry.name)
        assert declared.caution, entry.name
        text = declared.function.__doc__
        assert all(f"\n    {part}:" in text for part in ("Equation", "Symbols", "Limits")), entry.name
        if declared.working is not None:
            shown.add(entry.name)
            steps = declared.working(declared.example, call(declared.function, declared.example))
            assert steps and all(step.what for step in steps), entry.name
    assert shown >= {
        "active_coefficient", "lateral_thrust", "wall_stability", "course_joint_check", "box_wall_check",
        "bearing_capacity", "tie_force", "lateral_pin_capacity", "anchor_capacity", "anchor_distance",
        "tier_separation", "permit_height", "tie_friction_length",
    }  # fmt: skip
