"""What the water calculators refuse beside the published cases: ranges, rows, words of the error."""

import math

import pytest

from lynchet.calculators.checked import call
from lynchet.calculators.registry import find
from lynchet.core.errors import InputError

PIPE = {"diameter_m": 0.1, "slope": 0.01, "roughness": 0.012}
DRAIN = {**PIPE, "length_m": 5.0, "open_area_m2_per_m": 0.002, "head_m": 0.05}
SWALE = {"bottom_width_m": 0.3, "side_slope": 2.0, "slope": 0.01, "roughness": 0.03}
BED = {"eto_mm": 30.0, "plant_factor": 0.5, "efficiency": 0.8, "area_m2": 8.0}
PLACE = {"house_distance_m": 6.0, "below_house": True, "ground_slope": 0.1}
SHEET = {"kind": "sheet", "length_m": 10.0, "slope": 0.1, "roughness": 0.2, "rain_2yr_24h_mm": 80.0}
FABRIC = {"fines_pct": 20.0, "aos_mm": 0.2, "permittivity_per_s": 0.5}
BAND = {"fines_pct": 20.0, "base_d85_mm": 1.0, "base_d15_mm": 0.1}
GRADE = [{"size_mm": 0.1, "passing_pct": 10.0}, {"size_mm": 2.0, "passing_pct": 90.0}]


@pytest.mark.parametrize(
    ("name", "keys", "word"),
    [
        ("rain_intensity", {"durations_min": [5, 10], "depths_mm": [0.0, 4.0], "duration_min": 6}, "depth"),
        ("rain_intensity", {"durations_min": [5, 5], "depths_mm": [3.0, 4.0], "duration_min": 5}, "increasing"),
        ("rain_intensity", {"durations_min": [], "depths_mm": [], "duration_min": 5}, "length"),
        ("rain_ratio_depths", {"depth_24h_mm": 90.0, "durations_min": [7]}, "duration"),
        ("rain_formula_intensity", {"coefficient_a": 1.0, "offset_min": -1, "exponent": 1, "duration_min": 5},
         "offset"),
        ("rational_peak_flow", {"areas": [{"area_m2": 0, "runoff_coefficient": 0.1}], "intensity_mm_h": 1}, "area"),
        ("rational_peak_flow", {"areas": [{"area_m2": 1, "runoff_coefficient": 0.1}], "intensity_mm_h": 1,
                                "frequency_factor": 0.9}, "frequency factor"),
        ("rational_peak_flow", {"areas": [{"area_m2": 1, "runoff_coefficient": 0.1, "fast": 1}], "intensity_mm_h": 1},
         "fast"),
        ("curve_number_runoff", {"curve_number": 101, "rain_mm": 1.0}, "curve number"),
        ("curve_number_runoff", {"curve_number": 0, "rain_mm": 1.0}, "curve number"),
        ("curve_number_runoff", {"curve_number": True, "rain_mm": 1.0}, "curve number"),
        ("composite_curve_number", {"parts": [{"area_m2": 1, "curve_number": 120}]}, "curve number"),
        ("travel_time", {"segments": [{**SHEET, "slope": 0.0}]}, "slope"),
        ("travel_time", {"segments": [SHEET], "sheet_limit_m": 100.0}, "sheet limit"),
        ("travel_time", {"segments": [{"kind": "shallow", "length_m": 1.0, "slope": 0.1, "surface": "lawn"}]},
         "surface"),
        ("kirpich_time", {"length_m": 10.0, "slope": -0.1}, "slope"),
        ("pipe_full_flow", {**PIPE, "diameter_m": 0.0}, "diameter"),
        ("pipe_full_flow", {**PIPE, "colour": 1}, "colour"),
        ("pipe_full_flow", {**PIPE, "slope": math.nan}, "slope"),
        ("pipe_full_flow", {**PIPE, "slope": "2 %"}, "slope"),
        ("pipe_part_full_flow", PIPE, "exactly one"),
        ("pipe_part_full_flow", {**PIPE, "depth_m": 0.05, "flow_m3_s": 0.001}, "exactly one"),
        ("channel_flow", SWALE, "exactly one"),
        ("channel_flow", {**SWALE, "bottom_width_m": 0, "side_slope": 0, "depth_m": 0.1}, "width"),
        ("orifice_flow", {"head_m": 0.1}, "exactly one"),
        ("orifice_flow", {"head_m": 0.1, "area_m2": 0.1, "count": 0.5}, "count"),
        ("inlet_capacity", {"head_m": 0.1, "perimeter_m": 0.0, "open_area_m2": 0.1}, "perimeter"),
        ("overflow_weir", {"width_m": 1.0}, "exactly one"),
        ("overflow_weir", {"width_m": 1.0, "head_m": 0.1, "flow_m3_s": 0.1}, "exactly one"),
        ("overflow_weir", {"width_m": 1.0, "head_m": 0.1, "coefficient": 1.2}, "coefficient"),
        ("perforated_drain_capacity", {**DRAIN, "outlet_head_m": 0.1}, "outlet"),
        ("perforated_drain_capacity", {**DRAIN, "outlet_diameter_m": 0.1}, "outlet"),
        ("filter_check", {"base_gradation": GRADE, "opening_kind": "ring"}, "opening"),
        ("nrcs_filter_limits", {**BAND, "fines_pct": 120}, "fines"),
        ("nrcs_filter_limits", {**BAND, "base_d85_mm": 0.05, "base_d15_mm": 0.01}, "d85"),
        ("fabric_check", {**FABRIC, "d85_mm": 0.3}, "uniformity"),
        ("fabric_check", {**FABRIC, "fabric_permeability_m_s": 1e-4}, "permeability"),
        ("drain_seepage", {"length_m": 5, "head_start_m": -1, "head_end_m": 1, "permeability_m_s": 1}, "head start"),
        ("soakaway_test_rate", {"length_m": 1, "width_m": 1, "water_depth_m": 1, "times_s": []}, "times"),
        ("soakaway_test_rate", {"length_m": 1, "width_m": 1, "water_depth_m": 1, "times_s": [0]}, "times"),
        ("soakaway_place", {**PLACE, "house_distance_m": -1}, "house distance"),
        ("soakaway_place", {**PLACE, "below_house": "yes"}, "below house"),
        ("soakaway_place", {**PLACE, "walls": [{"distance_m": 1, "height_m": 1}]}, "side"),
        ("grade_from_house", {"fall_m": 0.1, "distance_m": 2.0, "drain": "pipe"}, "drain"),
        ("soil_texture_class", {"samples": [{"sand_pct": 101, "clay_pct": 0}]}, "percent"),
        ("reference_evapotranspiration", {"latitude_deg": 40, "day_of_year": 0, "tmax_c": 20, "tmin_c": 10},
         "day of year"),
        ("bed_irrigation", {**BED, "root_depth_m": 0.3}, "soil"),
        ("bed_irrigation", {**BED, "efficiency": 0}, "efficiency"),
        ("drip_application_rate", {"emitter_flow_l_h": 2, "emitter_spacing_m": 0, "row_spacing_m": 1},
         "emitter spacing"),
        ("roof_runoff", {"roof_area_m2": 50, "intensity_mm_h": 100}, "exactly one"),
        ("roof_runoff", {"roof_area_m2": 50, "intensity_mm_h": 100, "downspout_diameter_m": 0.1, "fill_fraction": 0.34},
         "fill fraction"),
        ("gutter_capacity", {"profile": "k_style", "size_m": 0.1, "roof_area_m2": 50, "intensity_mm_h": 100}, "size"),
    ],
)  # fmt: skip
def test_refused_and_named(name, keys, word):
    """Each fault is refused with an error that names it in the words a person reads."""
    with pytest.raises(InputError) as caught:
        call(find(name).function, keys)
    assert word in str(caught.value).lower()
