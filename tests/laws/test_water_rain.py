"""Laws of rain tables, intensities and runoff."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.water.rain import depth_at_mm, formula_intensity_mm_h, rain_formula_intensity, rain_intensity
from lynchet.water.rain_table import read_rain_table
from lynchet.water.runoff import (
    composite_curve_number,
    curve_number_runoff,
    curve_runoff_mm,
    rational_flow_m3_s,
    rational_peak_flow,
    retention_mm,
)
from lynchet.water.travel_time import kirpich_min, kirpich_time, sheet_time_min, travel_time

RNG = np.random.default_rng(21)
HEAD = """Point precipitation frequency estimates (inches)
NOAA Atlas 14 Volume 2 Version 3
Data type: Precipitation depth
Time series type: {series}
Project area: Ohio River Basin
Location name (ESRI Maps): Champaign, Illinois, USA
Station Name: -
Latitude: 40.0962 Degree
Longitude: -88.2574 Degree
Elevation (USGS): None None


PRECIPITATION FREQUENCY ESTIMATES
"""
ROWS = {"5-min": "0.409,0.485,0.50", "60-min": "1.26,1.52,1.9", "24-hr": "2.57,3.07,3.73", "2-day": "2.99,3.55,4.29"}
FOOT = "\nDate/time (GMT):  Mon Jun 19 14:23:29 2023\npyRunTime:  0.0132\n"


def served(series="Partial duration", header="by duration for ARI (years):, 1,2,25", rows=None):
    """A table as the office serves it."""
    body = "".join(f"{label}:, {values}\n" for label, values in (rows or ROWS).items())
    return HEAD.format(series=series) + header + "\n" + body + FOOT


def resaved():
    """The same table through a spreadsheet: padded with commas, no colons, zeros dropped, no footer."""
    lines = HEAD.format(series="Partial duration").splitlines()
    lines += [",1,2,25", *(f"{label},{values.replace('0.50', '0.5')}" for label, values in ROWS.items())]
    return "\r\n".join(line + "," * max(0, 3 - line.count(",")) for line in lines) + "\r\n"


def read(text, period=25, minutes=5):
    """One cell."""
    return read_rain_table(text=text, return_period_years=period, duration_min=minutes)


def test_both_dialects_read_alike():
    """A table saved again by a spreadsheet gives the same result, whatever cell is asked for."""
    for period in (1, 2, 25):
        for minutes in (5, 60, 1440, 2880):
            assert read(resaved(), period, minutes) == read(served(), period, minutes)
    head = read(resaved())
    assert head.place == "Champaign, Illinois, USA"
    assert head.elevation_known is False and head.elevation_m is None
    assert head.depth_mm == pytest.approx(0.5 * 25.4)


def test_padding_and_blank_lines_change_nothing():
    """Lines padded with more commas, and blank lines above the rows, read alike; so does a name in quotes."""
    wide = "\n".join(line + ",,," for line in resaved().splitlines())
    gap = served().replace("1,2,25\n", "1,2,25\n\n\n")
    quoted = resaved().replace("Location", '"Location').replace("USA", 'USA"')
    for text in (wide, gap, quoted):
        assert read(text, 2, 60) == read(served(), 2, 60)


def test_order_of_rows_and_columns_does_not_matter():
    """Cells are found by value, never by position."""
    turned = {label: ",".join(values.split(",")[::-1]) for label, values in reversed(ROWS.items())}
    other = read(served(header="by duration for ARI (years):, 25,2,1", rows=turned), 25, 60)
    assert other.depth_mm == read(served(), 25, 60).depth_mm
    assert other.durations_min == [5, 60, 1440, 2880]


def test_annual_maximum_columns_are_probabilities():
    """A column 1/T with a leading apostrophe is the return period T."""
    text = served("Annual maximum", "by duration for AEP:, '1/2,'1/5,'1/25")
    done = read(text, 5, 60)
    assert done.series == "annual maximum" and done.return_periods_years == [2, 5, 25]
    assert done.depth_mm == pytest.approx(1.52 * 25.4)


def test_hours_count_before_days_of_the_same_length():
    """Where a file has both 24-hr and 1-day, the hour row counts, in either order."""
    for order in (("24-hr", "1-day"), ("1-day", "24-hr")):
        rows = {label: "2.0,3.0,4.0" if label == "24-hr" else "1.9,2.9,3.9" for label in order}
        done = read(served(rows=rows), 25, 1440)
        assert done.depth_mm == pytest.approx(4.0 * 25.4) and done.durations_min == [1440]


def test_only_the_first_block_counts():
    """Blocks of confidence bounds below the first change nothing."""
    bounds = "\nPRECIPITATION FREQUENCY ESTIMATES UPPER BOUND\nby duration for ARI (years):, 1,2,25\n5-min:, 9,9,9\n"
    bounds += "10-day:, 9,9,9\n7-day:, 9\n"
    assert read(served().replace(FOOT, bounds) + FOOT) == read(served())
    with pytest.raises(InputError):  # ten days stand in a later block alone
        read(served().replace(FOOT, bounds) + FOOT, minutes=14_400)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (served().replace("(inches)", "(inches/hour)"), "intensity"),
        (served().replace("depth", "intensity").replace("(inches)", "(furlongs)"), "intensity"),
        (served().replace(" (inches)", ""), "units"),
        (served("Mean"), "series"),
        (served().replace("by duration", "for duration"), "table"),
        (served(rows={"": ""}), "table"),
        (served(rows={"5-min": "1,2,3", "12-hr": "1,2"}), "12-hr"),
        (served(rows={"5-min": "1,2,NA"}), "missing"),
        (served(rows={"5-min": "1,2,"}), "missing"),
        (served(rows={"5-min": "1,2,0"}), "missing"),
        (served(rows={"60-min": "1,2,3"}), "duration"),
        (served(header="by duration for ARI (years):, 1,2,50"), "return period"),
        ("Error 3.0: Selected location is not within a project area", "coverage"),
        ("", "units"),
    ],
)
def test_spoiled_tables_are_refused(text, word):
    """Each fault of a table is refused and named."""
    with pytest.raises(InputError) as caught:
        read(text)
    assert word in str(caught.value).lower()


def test_depths_run_through_the_rows_and_never_fall():
    """The curve passes through every row, rises between them, and its intensity never rises below the first."""
    rows, depths = np.array([5.0, 10, 15, 30, 60]), np.array([16.4, 25.4, 31.2, 43.4, 43.4])
    times = np.linspace(0.5, 60, 400)
    curve = depth_at_mm(rows, depths, times)
    assert depth_at_mm(rows, depths, rows) == pytest.approx(depths, rel=1e-13)
    assert np.all(np.diff(curve) >= -1e-12)
    assert curve[times <= 5] / times[times <= 5] == pytest.approx(16.4 / 5)
    for time, depth in zip(times, curve, strict=True):
        one = rain_intensity(durations_min=rows.tolist(), depths_mm=depths.tolist(), duration_min=float(time))
        assert one.depth_mm == pytest.approx(depth, rel=1e-13)
        assert one.intensity_mm_h == pytest.approx(60 * depth / time, rel=1e-13)


def test_between_two_rows_the_depth_is_a_power_of_time():
    """If the table follows d = a t^m, so does every depth between."""
    rows = np.array([5.0, 20.0, 60.0])
    assert depth_at_mm(rows, 7 * rows**0.4, 33.3) == pytest.approx(7 * 33.3**0.4, rel=1e-12)


def test_formula_kernel_is_the_calculator():
    """Formula intensities over arrays are those one by one; without offset they are a plain power."""
    a, b, c, t = (RNG.uniform(low, high, 10) for low, high in ((500, 5000), (0, 30), (0.5, 1.1), (3, 120)))
    for i, value in enumerate(formula_intensity_mm_h(a, b, c, t)):
        one = rain_formula_intensity(coefficient_a=a[i], offset_min=b[i], exponent=c[i], duration_min=t[i])
        assert one.intensity_mm_h == pytest.approx(value, rel=1e-13)


def test_rational_flow_adds_up_and_governs():
    """Areas may be split; the flow of parts is the flow of the whole; the fast part governs only when larger."""
    areas = [{"area_m2": 30.0, "runoff_coefficient": 0.9, "fast": True}, {"area_m2": 70.0, "runoff_coefficient": 0.2}]
    split = [{**areas[0], "area_m2": 10.0}, {**areas[0], "area_m2": 20.0}, areas[1]]
    function = rational_peak_flow
    whole = call(function, {"areas": areas, "intensity_mm_h": 85.0, "fast_intensity_mm_h": 140.0})
    assert call(function, {"areas": split, "intensity_mm_h": 85.0, "fast_intensity_mm_h": 140.0}).whole_flow_m3_s == (
        pytest.approx(whole.whole_flow_m3_s, rel=1e-12)
    )
    assert whole.whole_flow_m3_s == pytest.approx(
        float(sum(rational_flow_m3_s(a["runoff_coefficient"], 85.0, a["area_m2"]) for a in areas)), rel=1e-12
    )
    assert whole.fast_flow_m3_s == pytest.approx(float(rational_flow_m3_s(0.9, 140.0, 30.0)), rel=1e-12)
    assert whole.governs == "fast" and whole.design_flow_l_s == pytest.approx(1000 * whole.fast_flow_m3_s)
    tie = call(function, {"areas": areas[:1], "intensity_mm_h": 85.0, "fast_intensity_mm_h": 85.0})
    assert tie.governs == "whole"
    none = call(function, {"areas": areas[1:], "intensity_mm_h": 85.0, "fast_intensity_mm_h": 99.0})
    assert none.fast_flow_m3_s == 0 and none.governs == "whole"
    assert call(function, {"areas": areas[1:], "intensity_mm_h": 0.0}).design_flow_m3_s == 0


@given(st.floats(1, 100), st.floats(0, 500), st.floats(0, 100))
def test_runoff_is_less_than_rain_and_grows_with_it(number, rain, more):
    """Never more runs off than falls; more rain or a higher curve number never gives less."""
    low, high = (
        curve_number_runoff(curve_number=number, rain_mm=rain),
        curve_number_runoff(curve_number=number, rain_mm=rain + more),
    )
    assert 0 <= low.runoff_mm <= rain + 1e-9
    assert high.runoff_mm >= low.runoff_mm - 1e-9
    assert curve_runoff_mm(retention_mm(min(number + 1, 100)), rain) >= low.runoff_mm - 1e-9
    assert curve_runoff_mm(low.retention_mm, rain) == low.runoff_mm


def test_heavy_rain_loses_only_what_the_ground_keeps():
    """For endless rain the loss tends to Ia + S."""
    done = curve_number_runoff(curve_number=70, rain_mm=1e7)
    assert 1e7 - done.runoff_mm == pytest.approx(1.2 * done.retention_mm, rel=1e-4)


def test_composite_curve_number_weighs_by_area():
    """Hard ground drawn as its own part of 98 gives the same number; all hard ground is 98; unconnected counts less."""
    mixed = call(composite_curve_number, {"parts": [{"area_m2": 100, "curve_number": 61, "impervious_fraction": 0.35}]})
    apart = call(
        composite_curve_number,
        {"parts": [{"area_m2": 65, "curve_number": 61}, {"area_m2": 35, "curve_number": 98}]},
    )
    assert mixed.curve_number == pytest.approx(apart.curve_number, rel=1e-12)
    hard = {"area_m2": 10.0, "curve_number": 40.0, "impervious_fraction": 1.0, "unconnected_fraction": 1.0}
    assert call(composite_curve_number, {"parts": [hard]}).curve_number == pytest.approx(98)
    loose = {"area_m2": 10.0, "curve_number": 60.0, "impervious_fraction": 0.3, "unconnected_fraction": 1.0}
    assert call(composite_curve_number, {"parts": [loose]}).curve_number == pytest.approx(60 + 0.15 * 38)
    half = [{"area_m2": 1.0, "curve_number": 74.0}, {"area_m2": 1.0, "curve_number": 75.0}]
    assert call(composite_curve_number, {"parts": half}).curve_number_whole == 75


def test_sheet_time_in_feet_and_inches():
    """The sheet formula in its own units of feet and inches gives the same minutes."""
    feet, inches = 80.0, 3.2
    own = 60 * 0.007 * (0.24 * feet) ** 0.8 / (inches**0.5 * 0.06**0.4)
    assert sheet_time_min(0.24, feet * 0.3048, inches * 25.4, 0.06) == pytest.approx(own, rel=1e-12)


def test_travel_times_add_and_velocities_fit():
    """Times add; length over time is the velocity; sheet at the limit is taken, beyond it refused."""
    segments = [
        {"kind": "sheet", "length_m": 30.48, "slope": 0.03, "roughness": 0.24, "rain_2yr_24h_mm": 80.0},
        {"kind": "shallow", "length_m": 40.0, "slope": 0.05, "surface": "paved"},
        {
            "kind": "channel",
            "length_m": 25.0,
            "slope": 0.02,
            "roughness": 0.05,
            "area_m2": 0.1,
            "wetted_perimeter_m": 1,
        },
    ]
    done = call(travel_time, {"segments": segments, "minimum_min": 0.001})
    assert done.total_min == pytest.approx(sum(done.segment_times_min)) == done.design_min
    for segment, time, velocity in zip(segments, done.segment_times_min, done.segment_velocities_m_s, strict=True):
        assert velocity * time * 60 == pytest.approx(segment["length_m"], rel=1e-12)
    assert done.segment_velocities_m_s[1] == pytest.approx(20.3282 * 0.3048 * 0.05**0.5, rel=1e-12)
    assert done.segment_velocities_m_s[2] == pytest.approx(0.1 ** (2 / 3) * 0.02**0.5 / 0.05, rel=1e-12)
    with pytest.raises(InputError, match="sheet"):
        call(travel_time, {"segments": [{**segments[0], "length_m": 30.49}]})
    assert call(travel_time, {"segments": [{**segments[0], "length_m": 91.44}], "sheet_limit_m": 91.44}).total_min > 0


@pytest.mark.parametrize(
    ("segment", "word"),
    [
        ({"kind": "shallow", "length_m": 1.0, "slope": 0.1}, "surface"),
        ({"kind": "sheet", "length_m": 1.0, "slope": 0.1, "roughness": 0.2}, "rain 2yr 24h"),
        ({"kind": "shallow", "length_m": 1.0, "slope": 0.1, "surface": "paved", "roughness": 0.2}, "roughness"),
        ({"kind": "channel", "length_m": 1.0, "slope": 0.1, "roughness": 0.2, "area_m2": 1.0}, "wetted perimeter"),
    ],
)
def test_keys_of_another_kind_are_unknown(segment, word):
    """A segment takes the keys of its own kind and needs them all."""
    with pytest.raises(InputError, match=word):
        call(travel_time, {"segments": [segment]})


def test_kirpich_kernel_is_the_calculator():
    """Kirpich over arrays equals Kirpich one by one."""
    length, slope = RNG.uniform(10, 900, 8), RNG.uniform(0.005, 0.3, 8)
    ones = [kirpich_time(length_m=a, slope=b).time_min for a, b in zip(length, slope, strict=True)]
    assert kirpich_min(length, slope) == pytest.approx(ones, rel=1e-13)
