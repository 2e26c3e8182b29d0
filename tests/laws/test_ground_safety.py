"""Laws and edges of digging safety, lifting and hand labour."""

import itertools

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.dig_safety import (
    equivalent_diameter,
    excavation_caution,
    lowered_soil_type,
    root_protection_radius,
    safe_slope_ratio,
    utility_zone,
)
from lynchet.ground.hand_labour import backfill_hours, carrying_hours, digging_rates, filling_rate, hand_dig_hours
from lynchet.ground.lifting import frequency_multiplier, lifting_limit, position_multipliers


def refused(function, given, word):
    """The call is refused with a text that holds the word."""
    with pytest.raises(InputError) as error:
        call(function, given)
    assert word in str(error.value).lower(), str(error.value)


ORDER = ["locate_utilities", "spoil_back", "daily_inspection", "look_for_cave_in", "ladder", "air_test", "protect",
         "engineer", "structure", "water"]  # fmt: skip
FLAGS = ["people_enter", "seepage", "disturbed", "short_term", "hazardous_air", "near_structure", "standing_water"]


def test_cautions_rule_by_rule_over_every_mix():
    """Each caution appears exactly when its own rule holds, in the fixed order, for every mix of soil and flags."""
    for soil, flags in itertools.product(("stable_rock", "a", "b", "c"), itertools.product((False, True), repeat=7)):
        f = dict(zip(FLAGS, flags, strict=True))
        for depth in (0.5, 1.2192, 1.5, 1.524, 3.6576, 3.7, 6.096, 6.2):
            got = call(excavation_caution, {"depth_m": depth, "soil_type": soil, "bottom_width_m": 0.5, **f})
            rock = soil == "stable_rock"
            assert (got.soil_type == "stable_rock") == rock
            wanted = {"locate_utilities", "spoil_back"}
            if f["people_enter"]:
                wanted.add("daily_inspection")
                if depth >= 1.2192:
                    wanted.add("ladder")
                if f["hazardous_air"] and depth > 1.2192:
                    wanted.add("air_test")
                if f["standing_water"]:
                    wanted.add("water")
                if not rock:
                    wanted.add("protect" if depth >= 1.524 else "look_for_cave_in")
            if not rock and depth > 6.096:
                wanted.add("engineer")
            if not rock and f["near_structure"]:
                wanted.add("structure")
            assert got.cautions == [name for name in ORDER if name in wanted]
            assert (got.slope_ratio is None) == ("engineer" in wanted)
            if got.slope_ratio is not None:
                assert got.top_width_m == pytest.approx(0.5 + 2 * got.slope_ratio * depth)
                assert np.tan(np.radians(90 - got.slope_deg)) == pytest.approx(got.slope_ratio, abs=1e-12)


def test_softer_soil_is_never_steeper():
    """Slopes grow flatter from rock over a and b to c; lowering never makes a soil better."""
    ratios = [safe_slope_ratio(soil, 2.0) for soil in ("stable_rock", "a", "b", "c")]
    assert ratios == sorted(ratios) == [0.0, 0.75, 1.0, 1.5]
    assert [safe_slope_ratio("a", depth, True) for depth in (3.6576, 3.66)] == [0.5, 0.75]
    for soil, disturbed, seepage in itertools.product("abc", (False, True), (False, True)):
        assert lowered_soil_type(soil, disturbed, seepage) >= soil
    assert lowered_soil_type("a", True, True) == "c"
    assert lowered_soil_type("a", True, False) == "b"


def test_zone_edges():
    """A dig that only touches the zone is in it; a hair away it is not; from the mark the pipe does not count."""
    given = {"mark_m": 2.0, "pipe_diameter_mm": 200.0, "tolerance_m": 0.5}
    zone = call(utility_zone, given)
    assert (zone.zone_from_m, zone.zone_to_m) == pytest.approx((1.4, 2.6))
    for start, end, touched in (
        (2.6, 3.0, True),
        (2.6001, 3.0, False),
        (1.0, 1.4, True),
        (1.0, 1.3999, False),
        (0.0, 5.0, True),
    ):
        assert call(utility_zone, {**given, "dig_from_m": start, "dig_to_m": end}).hand_dig_only is touched
    mark = call(utility_zone, {**given, "measured_from": "mark"})
    assert (mark.zone_from_m, mark.zone_to_m) == pytest.approx((1.5, 2.5))
    refused(utility_zone, {**given, "dig_from_m": 1.0}, "dig")
    refused(utility_zone, {**given, "dig_from_m": 1.0, "dig_to_m": 1.0}, "dig")
    refused(utility_zone, {**given, "measured_from": "flag"}, "measured_from")


def test_stems():
    """One stem is itself; several keep the basal area up to five, sqrt(n) x mean above; equal stems meet."""
    assert equivalent_diameter([300.0]) == pytest.approx(300)
    rng = np.random.default_rng(1)
    for n in range(2, 9):
        stems = rng.uniform(50, 400, n)
        wanted = np.sqrt((stems**2).sum()) if n <= 5 else np.sqrt(n) * stems.mean()
        got = call(root_protection_radius, {"stem_diameters_mm": stems.tolist()})
        assert got.equivalent_diameter_mm == pytest.approx(wanted)
        assert got.radius_m == pytest.approx(min(12 * wanted / 1000, 15))
        assert got.area_m2 == pytest.approx(np.pi * got.radius_m**2)
        assert equivalent_diameter([200.0] * n) == pytest.approx(200 * np.sqrt(n))
    at_cap = call(root_protection_radius, {"stem_diameters_mm": [1250.0], "sensitive": True})
    assert (at_cap.radius_m, at_cap.capped) == (pytest.approx(15.0), False)
    refused(root_protection_radius, {"stem_diameters_mm": [100.0, 0.0]}, "stem")
    refused(root_protection_radius, {"stem_diameters_mm": [100.0], "rule": "oak"}, "rule")


LIFT = {"load_kg": 12.0, "horizontal_m": 0.3, "vertical_m": 0.5, "travel_m": 0.5}


def test_a_lift_at_its_best():
    """At the reference place every multiplier is one and the limit is 23 kg, or 51 lb."""
    best = {"load_kg": 23.0, "horizontal_m": 0.25, "vertical_m": 0.75, "travel_m": 0.25, "coupling": "good"}
    got = call(lifting_limit, best)
    assert (got.rwl_kg, got.lifting_index) == pytest.approx((23.0, 1.0))
    us = {**best, "horizontal_m": 0.254, "vertical_m": 0.762, "travel_m": 0.254, "form": "us"}
    assert call(lifting_limit, us).rwl_kg == pytest.approx(51 * 0.45359237)


def test_worse_lifts_have_lower_limits():
    """Farther out, higher or lower, longer travel, more twist, more often, longer, worse grip: never a higher limit."""
    base = call(lifting_limit, LIFT).rwl_kg
    for key, value in (("horizontal_m", 0.5), ("vertical_m", 0.1), ("travel_m", 1.2), ("asymmetry_deg", 60.0),
                       ("lifts_per_min", 5.0), ("duration_h", 3.0), ("coupling", "poor")):  # fmt: skip
        assert call(lifting_limit, {**LIFT, key: value}).rwl_kg < base
    product = call(lifting_limit, {**LIFT, "asymmetry_deg": 45.0})
    parts = product.hm * product.vm * product.dm * product.am * product.fm * product.cm
    assert product.rwl_kg == pytest.approx(23 * parts)
    assert position_multipliers("metric", 0.3, 0.5, 0.5) == (product.hm, product.vm, product.dm)
    assert (product.am, product.lifting_index) == pytest.approx((1 - 0.0032 * 45, 12 / product.rwl_kg))


def test_grip_and_frequency_look_at_their_own_height():
    """The grip goes by the height checked, the frequency by the height at the origin; 75 cm counts as high."""
    low = call(
        lifting_limit, {**LIFT, "vertical_m": 0.74, "lifts_per_min": 10, "duration_h": 8, "origin_vertical_m": 0.8}
    )
    assert (low.cm, low.fm) == (0.95, pytest.approx(0.13))
    high = call(lifting_limit, {**LIFT, "vertical_m": 0.75})
    assert high.cm == 1.0
    refused(
        lifting_limit,
        {**LIFT, "vertical_m": 0.8, "lifts_per_min": 10, "duration_h": 8, "origin_vertical_m": 0.7},
        "frequency",
    )
    assert call(lifting_limit, {**LIFT, "vertical_m": 0.762, "form": "us"}).cm == 1.0
    assert call(lifting_limit, {**LIFT, "vertical_m": 0.76, "form": "us"}).cm == 0.95


def test_frequency_columns():
    """Durations belong to the column they end in; rows interpolate; under 0.2 counts as 0.2; zeros are refused."""
    assert [frequency_multiplier(4, hours, True) for hours in (0.5, 1, 1.1, 2, 2.1, 8)] == [
        0.84,
        0.84,
        0.72,
        0.72,
        0.45,
        0.45,
    ]
    assert frequency_multiplier(0.0, 1, True) == 1.0
    assert frequency_multiplier(0.35, 8, False) == pytest.approx(0.83)
    lasts = {(1, True): 12, (1, False): 15, (2, True): 10, (2, False): 12, (8, True): 8, (8, False): 10}
    for (hours, low), last in lasts.items():
        assert frequency_multiplier(last, hours, low) > 0
        assert frequency_multiplier(last + 0.01, hours, low) is None


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"people": 0}, "person"), ({"horizontal_m": 0.6301}, "horizontal"),
        ({"horizontal_m": 0.6351, "form": "us"}, "horizontal"),
        ({"vertical_m": 1.76}, "vertical"), ({"vertical_m": -0.1}, "vertical"),
        ({"origin_vertical_m": 1.76}, "vertical"),
        ({"travel_m": 1.751}, "travel"), ({"asymmetry_deg": -1.0}, "asymmetry"), ({"duration_h": 8.1}, "duration"),
        ({"duration_h": 0.0}, "duration"), ({"lifts_per_min": 12.1}, "frequency"),
        ({"lifts_per_min": -1.0}, "frequency"),
    ],
)  # fmt: skip
def test_lifting_refusals(given, word):
    """A lift outside the equation is refused by its word."""
    refused(lifting_limit, {**LIFT, **given}, word)


def test_lifting_limits_include_themselves():
    """The largest distances of each form are taken."""
    for form, far, high in (("metric", 0.63, 1.75), ("us", 25 * 0.0254, 70 * 0.0254)):
        got = call(lifting_limit, {**LIFT, "horizontal_m": far, "vertical_m": high, "travel_m": high, "form": form})
        assert got.hm == pytest.approx(25 / 63 if form == "metric" else 0.4)


def test_digging_bands():
    """A depth on a boundary belongs to the shallower band, a hair more to the deeper; rates fall with depth."""
    for kind, soils in (("trench", ("loose", "firm", "clay", "boulder_clay")),
                        ("pit", ("loose", "firm", "gravel", "clay", "boulder_clay"))):  # fmt: skip
        for soil in soils:
            bands = digging_rates(kind, soil)
            assert [to for to, _ in bands] == ([1.5, 3.0, 4.5] if kind == "trench" else [1.5, 3.0])
            assert [rate for _, rate in bands] == sorted((rate for _, rate in bands), reverse=True)
            for (to, rate), following in itertools.zip_longest(bands, bands[1:]):
                given = {"bank_m3": 2.0, "soil": soil, "kind": kind}
                assert call(hand_dig_hours, {**given, "depth_m": to}).dig_rate_m3_per_h == rate
                if following:
                    assert call(hand_dig_hours, {**given, "depth_m": to + 1e-3}).dig_rate_m3_per_h == following[1]
                else:
                    refused(hand_dig_hours, {**given, "depth_m": to + 1e-3}, "depth")
    refused(hand_dig_hours, {"bank_m3": 1.0, "soil": "gravel", "depth_m": 1.0}, "soil")
    refused(hand_dig_hours, {"bank_m3": 1.0, "soil": "peat", "depth_m": 1.0}, "soil")
    refused(hand_dig_hours, {"bank_m3": 1.0, "soil": "firm", "depth_m": 1.0, "carry_m": -1.0}, "carry")


def test_carrying_and_filling_bands():
    """Carry and layer bands take their boundary in the smaller band; hours add up; 150 mm is the tamper's limit."""
    assert [carrying_hours(1.0, d) for d in (0, 10, 10.1, 20, 20.1, 50)] == pytest.approx(
        [0, 1 / 6.25, 1 / 3.23, 1 / 3.23, 1 / 2.13, 1 / 2.13]
    )
    assert [filling_rate("hoggin", mm) for mm in (50, 100, 101, 200, 201, 300, 301)] == [
        0.81,
        0.81,
        0.97,
        0.97,
        1.2,
        1.2,
        1.61,
    ]
    got = call(backfill_hours, {"compacted_m3": 2.0, "material": "clay", "layer_mm": 150, "carry_m": 20})
    assert got.total_h == pytest.approx(2 / 0.92 + 2 / 3.23)
    assert got.hand_tamp_ok is True
    assert call(backfill_hours, {"compacted_m3": 2.0, "material": "clay", "layer_mm": 151}).hand_tamp_ok is False
    refused(backfill_hours, {"compacted_m3": 2.0, "material": "peat", "layer_mm": 150}, "material")
