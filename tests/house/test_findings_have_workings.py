"""Which findings open a working and which have none by nature: every code a stage can say stands in one list here."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from house.source import modules
from lynchet.calculators.registry import entries

RULE = "a measured length beside a rule of place or practice; both stand in the text"
ASKED = "something is not known or not said in the file; nothing is worked out"
TOLD = "says what was done or what to do; nothing is compared"
SHAPE = "a shape drawn or found by geometry: too narrow, crossing, in the way"

WORKED = {
    "earth.pushed_out": "load_count", "earth.short": "load_count", "ground.held": "slope_convert",
    "ground.misclosure": "misclosure_spread", "planting.light": "light_class",
    "timber.cutting": "cut_bounds", "timber.lift": "timber_weight",
    "stability.corners": "corner_box_check",
    "stability.height": "permit_height", "stability.load": "lateral_thrust", "stability.slope": "slip_circle_factor",
    "stability.ties": "tie_force", "stability.tiers": "tier_separation", "stability.wall": "joint_case_check",
    "timber.WHAT": "member_check, dowel_yield, dowel_yield_eu or withdrawal", "water.capacity": "pipe_full_flow",
    "water.fall_from_house": "grade_from_house", "water.house_below": "grade_from_house",
    "water.roof_pipe": "rational_peak_flow", "water.soakaway": "soakaway_size",
}  # fmt: skip
"""Codes that open a calculator."""

_ALIKE = {
    RULE: """
    earth.gate earth.mulch earth.steep_run ground.flat ground.gap ground.level-book ground.rough ground.thinned
    standing.level standing.laps standing.notch_sawn standing.off standing.steps
    terraces.passage terraces.planted_slope terraces.reach
    terraces.roots walls.raked walls.bank_too_narrow walls.bank_unmeasured walls.bank_over_line walls.bank_step
    walls.bank_step_held
    walls.bank walls.bank_over_stays walls.bank_corner walls.dig_beyond walls.dig_outside walls.higher_than_wished
    walls.joint_offset walls.open_edge walls.over_lot_line walls.plumb walls.steep_footing water.dig_beyond
    water.gentle_fall water.gentle_pipe water.high_drain water.outlet_house water.outlet_lot_line water.siding
    water.at_footing water.soakaway_place water.soakaway_wall water.stone_only water.trench_at_house timber.one_stick
    water.hole_refusal water.hole_soak water.hole_slow water.hole_water water.outlet_over_wall water.pipe_in_bed
    timber.loose_lap timber.special timber.short_course timber.short_piece works.payload
    """,
    ASKED: """
    found.soft found.under_standing ground.far-reading planting.height_unknown planting.light_unknown
    planting.soil_unknown planting.wet_ground planting.zone_unknown standing.long_piece standing.notch_asked
    terraces.flight_unmeasured timber.assumed works.timber_price water.outlet_under water.outlet_unmeasured
    water.soak_rate works.prices works.price_rows works.unused_prices works.weighed_prices works.hands
    """,
    TOLD: """
    earth.payload found.clear found.water ground.shape planting.bloom planting.food_timber planting.when
    planting.wish stability.creosote stability.on-wall stability.posts stability.push stability.reused stability.rounded
    stability.treatment stability.tub
    stability.weeps standing.counted_on standing.kept standing.notch_unused standing.soil standing.under terraces.fewer
    terraces.for_steps water.cut_off_stone terraces.jog terraces.levels_moved terraces.path_strip
    timber.stamp timber.steps_sawn walls.none water.mound water.one_way water.open_notch water.outlet_unused
    water.pipe_out_of_bed
    water.outlet_not_named water.pipe_wish water.soakaway_unused water.spring planting.WHAT
    """,
    SHAPE: """
    clash earth.drop_room earth.heap_place earth.heap_room found.in_the_way found.over planting.no_room
    standing.cannot_keep stays.WHAT stays.lot-through-house terraces.area terraces.flight_no_wall terraces.flight_unfit
    terraces.flight_on_bank
    terraces.left_free terraces.narrow_strip terraces.no_area
    terraces.narrow_bed terraces.off_ground terraces.outline terraces.own_line terraces.pinned
    terraces.sharp_corner walls.stub walls.three_at_one_point water.corner water.no_way_out water.undrained
    """,
}
NONE = {code: reason for reason, codes in _ALIKE.items() for code in codes.split()}
"""Codes that have none, with the reason."""


def _codes() -> Iterator[tuple[str, bool]]:
    """Every code of a finding in the package, and whether a working is handed over with it."""
    makers = {"Finding", "refused", "_no_timber"}
    for module in modules().values():
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Call) and ast.unparse(node.func) in makers:
                given = {keyword.arg: keyword.value for keyword in node.keywords}
                first = given.get("code") or (node.args[0] if node.args else None)
                if isinstance(first, ast.Constant):
                    yield str(first.value), "working" in given
                elif isinstance(first, ast.JoinedStr):
                    words = ast.unparse(first)[2:-1]
                    yield re.sub(r"\{.*\}", "WHAT", words), "working" in given


def test_every_code_is_in_one_list():
    """A new finding must be put where it belongs: worked out, or without a working for a reason."""
    codes = {code for code, _ in _codes()}
    in_variables = {"stability.ties", "stability.wall"}
    assert codes | in_variables == set(WORKED) | set(NONE)
    assert not set(WORKED) & set(NONE) and all(NONE.values())


def test_codes_with_a_working_hand_one_over():
    """Where a code is said to be worked out, some place that says it hands a working over, and no other code does."""
    with_one = {code for code, working in _codes() if working}
    assert with_one == set(WORKED) - {"stability.ties", "stability.wall"}


def test_workings_are_calculators():
    """Every calculator named beside a code exists."""
    named = set(re.findall(r"[a-z_]{5,}", " ".join(WORKED.values())))
    assert named <= {entry.name for entry in entries()}
