"""Laws of soil classes, soil water, filters, fabric and seepage."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.core.tables import read_table
from lynchet.water.fabric import fabric_check
from lynchet.water.filter_band import nrcs_filter_limits
from lynchet.water.filters import filter_check
from lynchet.water.gradation import grain_size_at, size_at_mm
from lynchet.water.seepage import Strip, drain_seepage, gravel_layer_flow, layer_flow_m3_s_per_m
from lynchet.water.soil_group import hydrologic_soil_group
from lynchet.water.soil_texture import soil_texture_class, texture_names, texture_rules
from lynchet.water.soil_water import saturated_conductivity_mm_h, soil_water_properties, water_contents

RNG = np.random.default_rng(22)


def grading(*points):
    """Rows of a grading from (size, percent) pairs."""
    return [{"size_mm": size, "passing_pct": percent} for size, percent in points]


BASE = grading((0.2, 15.0), (0.5, 50.0), (1.2, 85.0))
STONE = grading((2.0, 15.0), (4.0, 50.0), (8.0, 85.0))
COVER = grading((20.0, 15.0), (35.0, 50.0), (60.0, 85.0))


def test_exactly_one_texture_class_holds():
    """Every mixture on a fine grid, its boundaries included, belongs to exactly one of the twelve classes."""
    sand, clay = (part.ravel() for part in np.meshgrid(np.arange(0, 100.5, 0.5), np.arange(0, 100.5, 0.5)))
    inside = sand + clay <= 100
    rules = texture_rules(sand[inside], clay[inside])
    assert len(rules) == 12
    assert np.all(np.sum(list(rules.values()), axis=0) == 1)


def test_texture_class_does_not_hang_on_the_last_digit():
    """Percents whose sum is not exact in the machine still fall on the right side of a boundary."""
    done = call(
        soil_texture_class, {"samples": [{"sand_pct": 45.1, "clay_pct": 26.9}, {"sand_pct": 52, "clay_pct": 7}]}
    )
    assert done.textures == ["loam", "loam"]
    rows = RNG.dirichlet((1, 1, 1), 30) * 100
    ones = [call(soil_texture_class, {"samples": [{"sand_pct": s, "clay_pct": c}]}).textures[0] for s, c, _ in rows]
    assert texture_names(rows[:, 0], rows[:, 1]).tolist() == ones
    assert soil_texture_class(samples=[]).textures == []


def test_soil_water_kernels_are_the_calculator():
    """Contents and conductivity over arrays are those one by one; they rise as they must."""
    sand, clay, organic = RNG.uniform(5, 60, 25), RNG.uniform(5, 40, 25), RNG.uniform(0.5, 5, 25)
    wilting, field, full = water_contents(sand / 100, clay / 100, organic)
    speed = saturated_conductivity_mm_h(wilting, field, full)
    for i in range(25):
        one = soil_water_properties(sand_pct=sand[i], clay_pct=clay[i], organic_matter_pct=organic[i])
        found = (one.wilting_point, one.field_capacity, one.saturation, one.conductivity_mm_h)
        assert found == pytest.approx((wilting[i], field[i], full[i], speed[i]), rel=1e-12)
        assert 0 < one.wilting_point < one.field_capacity < one.saturation < 1
        assert one.bulk_density_kg_m3 == pytest.approx(2650 * (1 - full[i]), rel=1e-12)
        assert one.available_water == pytest.approx(field[i] - wilting[i], rel=1e-9)


@pytest.mark.parametrize(
    ("sand", "clay", "organic", "word"),
    [(100, 0, 0, "regression"), (40, 60, 8, "regression"), (50, 60, 2, "sum"), (20, 61, 2, "clay")],
)
def test_soils_beyond_the_regression_are_refused(sand, clay, organic, word):
    """Where the regression gives no rising contents, or beyond its data, it is refused."""
    with pytest.raises(InputError, match=word):
        call(soil_water_properties, {"sand_pct": sand, "clay_pct": clay, "organic_matter_pct": organic})


def test_soil_group_gets_no_better_with_slower_soil_or_shallower_water():
    """Faster soil never falls a group; compaction costs one group and D stays D; shallow layers give D."""
    groups = [
        hydrologic_soil_group(method="conductivity", conductivity_mm_h=k, restrictive_layer_m=2.0).group
        for k in (0.0, 1.44, 1.45, 14.4, 14.5, 36.0, 36.1)
    ]
    assert groups == ["D", "D", "C", "C", "B", "B", "A"]
    shallow = [
        hydrologic_soil_group(method="conductivity", conductivity_mm_h=k, restrictive_layer_m=1.0).group
        for k in (3.6, 3.7, 36.0, 36.1, 144.0, 144.1)
    ]
    assert shallow == ["D", "C", "C", "B", "B", "A"]
    water = {"method": "conductivity", "conductivity_mm_h": 500.0, "restrictive_layer_m": 3.0}
    assert hydrologic_soil_group(**water, water_table_m=0.59).group == "D"
    assert hydrologic_soil_group(**water, water_table_m=0.6).group == "A"
    assert hydrologic_soil_group(method="texture", texture="clay", compacted=True).group == "D"
    assert hydrologic_soil_group(method="texture", texture="sand", compacted=True).group == "B"


@pytest.mark.parametrize(
    ("given_keys", "word"),
    [
        ({"method": "texture"}, "texture"),
        ({"method": "conductivity", "conductivity_mm_h": 20.0}, "conductivity"),
        ({"method": "conductivity", "restrictive_layer_m": 1.0}, "conductivity"),
        (
            {"method": "conductivity", "conductivity_mm_h": 2.0, "restrictive_layer_m": 1.0, "texture": "silt"},
            "texture",
        ),
        ({"texture": "loam"}, "method"),
    ],
)
def test_soil_group_needs_the_keys_of_its_method(given_keys, word):
    """What the method needs is asked for by name; keys it does not use are checked all the same."""
    with pytest.raises(InputError, match=word):
        call(hydrologic_soil_group, given_keys)


def test_grain_size_is_the_inverse_of_the_curve():
    """Reading the percent back at the size found gives the percent asked for; points give their own size exactly."""
    sizes, passing = np.array([0.075, 0.6, 2.0, 4.75]), np.array([12.0, 55.0, 55.0, 100.0])
    for percent in RNG.uniform(12, 100, 30):
        size = float(size_at_mm(sizes, passing, percent))
        assert np.interp(np.log(size), np.log(sizes), passing) == pytest.approx(percent, abs=1e-9)
    assert size_at_mm(sizes, passing, passing).tolist() == [0.075, 0.6, 0.6, 4.75]
    shuffled = grading((2.0, 55.0), (0.075, 12.0), (4.75, 100.0), (0.6, 55.0))
    assert call(grain_size_at, {"gradation": shuffled, "passing_pct": 80.0}).size_mm == size_at_mm(sizes, passing, 80.0)


@pytest.mark.parametrize(
    ("rows", "word"),
    [
        (grading((1.0, 50.0)), "gradation"),
        ([], "gradation"),
        (grading((1.0, 50.0), (1.0, 60.0)), "gradation"),
        (grading((1.0, 50.0), (2.0, 40.0)), "gradation"),
        (grading((1.0, 10.0), (2.0, 14.0)), "range"),
        (grading((1.0, 20.0), (2.0, 90.0)), "range"),
    ],
)
def test_gradings_that_are_none_are_refused(rows, word):
    """Too few points, a size twice, a falling percent, or a percent not reached."""
    with pytest.raises(InputError, match=word):
        call(grain_size_at, {"gradation": rows, "passing_pct": 15.0})


@given(st.floats(0.01, 100))
def test_filter_ratios_do_not_depend_on_the_unit_of_size(factor):
    """All sizes times one factor leave every ratio and verdict as it is; limits scale with the sizes."""
    scaled = [[{**row, "size_mm": row["size_mm"] * factor} for row in rows] for rows in (BASE, STONE, COVER)]
    names = ("base_gradation", "filter_gradation", "cover_gradation")
    one = call(filter_check, dict(zip(names, (BASE, STONE, COVER), strict=True)))
    other = call(filter_check, dict(zip(names, scaled, strict=True)))
    assert other.d15_d15_ratio == pytest.approx(one.d15_d15_ratio, rel=1e-9)
    assert other.d15_d85_ratio == pytest.approx(one.d15_d85_ratio, rel=1e-9)
    assert other.filter_d15_max_mm == pytest.approx(factor * one.filter_d15_max_mm, rel=1e-9)
    assert (other.cover_ok, other.passes, other.band_ok) == (one.cover_ok, one.passes, one.band_ok)


def test_silt_finer_than_a_tenth_of_a_millimetre_has_a_band():
    """Without a cover nothing limits the filter's D50 from below, however fine the soil; with a cover that asks for a
    coarser D50 than the soil allows there is no band."""
    silt = grading((0.0005, 10.0), (0.001, 50.0), (0.02, 90.0))
    alone = call(filter_check, {"base_gradation": silt})
    assert alone.filter_d50_max_mm < 0.1 and alone.filter_d15_min_mm <= alone.filter_d15_max_mm
    assert alone.band_ok is True
    stone = grading((20.0, 10.0), (30.0, 50.0), (40.0, 90.0))
    assert call(filter_check, {"base_gradation": silt, "cover_gradation": stone}).band_ok is False


def test_a_filter_within_its_limits_passes():
    """Stone drawn at the limits the calculator gives passes its own check, and just outside it fails."""
    limits = call(filter_check, {"base_gradation": BASE, "cover_gradation": COVER})
    assert limits.passes is None and limits.retention_ok is None
    fits = grading((limits.filter_d15_max_mm, 15.0), (limits.filter_d50_min_mm * 5, 50.0),
                   (limits.filter_d85_min_mm * 2, 85.0))  # fmt: skip
    keys = {"base_gradation": BASE, "cover_gradation": COVER}
    assert call(filter_check, {**keys, "filter_gradation": fits}).passes is True
    wide = [{**fits[0], "size_mm": fits[0]["size_mm"] * 1.01}, *fits[1:]]
    assert call(filter_check, {**keys, "filter_gradation": wide}).passes is False


def test_holes_must_be_passed_and_slots_by_a_fifth():
    """D85 equal to a hole fails, equal to 1.2 slots passes; a pipe tightens the limit of the middle size."""
    keys = {"base_gradation": BASE, "filter_gradation": STONE}
    assert call(filter_check, {**keys, "opening_mm": 8.0}).opening_ok is False
    assert call(filter_check, {**keys, "opening_mm": 7.99}).opening_ok is True
    assert call(filter_check, {**keys, "opening_mm": 8.0 / 1.2, "opening_kind": "slot"}).opening_ok is True
    assert call(filter_check, {**keys, "opening_mm": 6.8, "opening_kind": "slot"}).passes is False
    assert call(filter_check, {**keys, "opening_mm": 3.0}).filter_d50_max_mm == pytest.approx(25 * 0.5)
    assert call(filter_check, keys).filter_d50_max_mm == pytest.approx(40 * 0.5)
    assert call(filter_check, {**keys, "opening_mm": 3.0, "d50_ratio_limit": 30}).filter_d50_max_mm == pytest.approx(15)


def test_a_filter_needs_only_the_percents_it_is_asked_for():
    """Without pipe or cover the filter's D85 is not needed; with one it is; of the cover D85 never is."""
    short, cover = STONE[:2], COVER[:2]
    assert call(filter_check, {"base_gradation": BASE, "filter_gradation": short}).passes is True
    for more in ({"opening_mm": 3.0}, {"cover_gradation": COVER}):
        with pytest.raises(InputError, match="range"):
            call(filter_check, {"base_gradation": BASE, "filter_gradation": short, **more})
    assert call(filter_check, {"base_gradation": BASE, "filter_gradation": STONE, "cover_gradation": cover}).cover_ok


def test_no_single_layer_when_the_steps_are_too_far_apart():
    """A cover far coarser than the base leaves no band between: band_ok is false and still not part of passes."""
    huge = grading((300.0, 15.0), (500.0, 50.0), (800.0, 85.0))
    assert call(filter_check, {"base_gradation": BASE, "cover_gradation": huge}).band_ok is False


def test_filter_limits_meet_where_categories_meet():
    """Between 15 and 40 percent fines the largest D15 runs from 4 d85 to 0.7 mm; the band is never wider than 5."""
    at_15 = nrcs_filter_limits(fines_pct=15.0, base_d85_mm=2.0, base_d15_mm=0.01)
    below = nrcs_filter_limits(fines_pct=14.999, base_d85_mm=2.0, base_d15_mm=0.01)
    near_40 = nrcs_filter_limits(fines_pct=39.999999, base_d85_mm=2.0, base_d15_mm=0.01)
    at_40 = nrcs_filter_limits(fines_pct=40.0, base_d85_mm=2.0, base_d15_mm=0.01)
    assert (at_15.category, below.category, near_40.category, at_40.category) == (3, 4, 3, 2)
    assert at_15.d15_max_mm == pytest.approx(below.d15_max_mm) == pytest.approx(8.0)
    assert near_40.d15_max_mm == pytest.approx(0.7, abs=1e-5) == pytest.approx(at_40.d15_max_mm, abs=1e-5)
    for band in (at_15, below, at_40):
        assert band.d15_max_mm <= 5 * band.d15_min_mm * (1 + 1e-12)
        assert band.d60_max_mm == pytest.approx(5 * band.d15_max_mm)
    small = nrcs_filter_limits(fines_pct=30.0, base_d85_mm=0.1, base_d15_mm=0.01)
    assert small.d15_max_mm == pytest.approx(0.7)  # 4 d85 is not taken below 0.7
    edges = [nrcs_filter_limits(fines_pct=85.0, base_d85_mm=d, base_d15_mm=0.01).category for d in (0.07, 0.08)]
    assert edges == [2, 2]


@pytest.mark.parametrize(
    ("d15", "largest"),
    [(0.59, 20), (0.6, 25), (1.19, 25), (1.2, 30), (2.4, 40), (6.0, 50), (12.0, 50), (12.01, 60)],
)
def test_segregation_rows_by_the_smallest_d10(d15, largest):
    """The D90 row by d15_min/1.2, limits where the table says."""
    band = nrcs_filter_limits(fines_pct=5.0, base_d85_mm=d15, base_d15_mm=d15 / 4.0)
    assert band.d15_min_mm == pytest.approx(d15)
    assert band.d90_max_mm == largest


def test_fabric_classes_and_retention_meet_their_limits():
    """Limits of the class rows and of B, each on the side the contract names."""
    keys = {"aos_mm": 0.2, "permittivity_per_s": 0.5}
    classes = [fabric_check(fines_pct=f, **keys) for f in (14.9, 15.0, 50.0, 50.1)]
    assert [c.min_permittivity_per_s for c in classes] == [0.5, 0.2, 0.2, 0.1]
    assert [c.max_aos_mm for c in classes] == [0.43, 0.25, 0.25, 0.22]
    spread = (1, 2, 2.02, 3, 4, 4.04, 6, 7.9, 8)
    factors = [fabric_check(fines_pct=5, **keys, d85_mm=0.3, uniformity=u).retention_factor for u in spread]
    assert factors == pytest.approx([1, 1, 1.01, 1.5, 2, 8 / 4.04, 8 / 6, 8 / 7.9, 1])
    fine = fabric_check(fines_pct=60, **keys, d85_mm=0.5)
    assert fine.retention_factor == 1.8 and fine.retention_max_aos_mm == 0.3
    assert fabric_check(fines_pct=5, aos_mm=0.15, permittivity_per_s=0.5).clogging_ok is True
    assert fabric_check(fines_pct=84.9, **keys).passes is True
    permeability = {"soil_permeability_m_s": 1e-5, "fabric_permeability_m_s": 1e-4}
    assert fabric_check(fines_pct=5, **keys, **permeability, critical=True).permeability_ok is True
    assert fabric_check(fines_pct=5, **keys, soil_permeability_m_s=1e-5, fabric_permeability_m_s=9.9e-5,
                        critical=True).permeability_ok is False  # fmt: skip
    with pytest.raises(InputError, match="uniformity"):
        fabric_check(fines_pct=49.9, **keys, d85_mm=0.3)


def test_seepage_loses_no_water_and_obeys_darcy():
    """What leaves less what enters is the rain on the strip; everywhere q = -K h dh/dx, as an ODE solver finds it."""
    for _ in range(12):
        length, k = RNG.uniform(2, 30), 10 ** RNG.uniform(-7, -4)
        h0, h1, w = RNG.uniform(0.3, 2), RNG.uniform(0.3, 2), k * RNG.uniform(0, 0.2)
        strip = Strip(length, h0, h1, k, w)
        done = drain_seepage(length_m=length, head_start_m=h0, head_end_m=h1, permeability_m_s=k, recharge_m_s=w)
        assert done.flow_end_m3_s_per_m - done.flow_start_m3_s_per_m == pytest.approx(w * length, rel=1e-6, abs=1e-18)
        assert done.flow_start_m3_s_per_m == strip.flow_m3_s_per_m(0.0)
        run = solve_ivp(lambda x, h, s=strip: -s.flow_m3_s_per_m(x) / (s.permeability_m_s * h), (0, length), [h0],
                        rtol=1e-10, atol=1e-12)  # fmt: skip
        assert run.y[0, -1] == pytest.approx(h1, rel=1e-6)
        xs = np.linspace(0, length, 2001)
        assert done.head_max_m == pytest.approx(float(strip.head_m(xs).max()), rel=1e-5)
        assert done.divide_exists == (done.divide_m is not None)
        if done.divide_m is not None:
            assert strip.flow_m3_s_per_m(done.divide_m) == pytest.approx(0, abs=1e-9 * w * length)


def test_seepage_without_rain_has_no_divide():
    """Without recharge the water runs one way and stands no higher than the higher end."""
    done = drain_seepage(length_m=10, head_start_m=2, head_end_m=1, permeability_m_s=1e-5)
    assert done.divide_exists is False and done.divide_m is None and done.head_max_m == 2
    assert done.flow_start_m3_s_per_m == done.flow_end_m3_s_per_m == pytest.approx(1e-5 * 3 / 20)


def test_layer_flow_is_proportional_to_each():
    """Darcy's flow in a layer doubles with permeability, thickness or gradient."""
    base = gravel_layer_flow(permeability_m_s=0.02, thickness_m=0.3, gradient=0.5)
    assert base.flow_l_s_per_m == pytest.approx(1000 * base.flow_m3_s_per_m) == pytest.approx(3.0)
    assert layer_flow_m3_s_per_m([0.02, 0.04], 0.3, 0.5) == pytest.approx([0.003, 0.006])


def test_every_table_has_its_source_and_units():
    """Each data file names source, knowledge and a unit for every column, and its rows are whole."""
    names = ("rain_ratios", "filter_d90", "fabric_classes", "apron_classes", "soil_groups", "gutters", "roof_pitches")
    for name in names:
        table = read_table("water", name)
        assert table.source and table.known in ("SEEN", "MEMORY", "PRACTICE")
        assert all(table.units.values()) and table.rows
