"""Laws of soakaways, aprons, falls, evapotranspiration, watering and roof water."""

import numpy as np
import pytest
from scipy.integrate import quad

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.water import evapotranspiration as et
from lynchet.water.grass_reference import reference_evapotranspiration
from lynchet.water.house_fall import grade_from_house
from lynchet.water.outlet_stone import apron_d50_m, outlet_apron
from lynchet.water.rain import rain_ratio_depths
from lynchet.water.roof_water import downspout_flow_l_s, gutter_capacity, roof_flow_l_s, roof_runoff
from lynchet.water.soakaway import inflows_m3, soak_rate_m_s, soakaway_size, soakaway_test_rate, storages_m3
from lynchet.water.soakaway_siting import soakaway_place, wall_distance_m
from lynchet.water.watering import bed_irrigation, drip_application_rate, drip_rate_mm_h, net_need_mm, soil_storage_mm

RNG = np.random.default_rng(23)
PIT = {"length_m": 2.0, "width_m": 1.5, "depth_m": 1.5, "void_fraction": 0.3, "infiltration_rate_m_s": 4e-5}
PLACE = {"house_distance_m": 6.0, "below_house": True, "ground_slope": 0.1}
DAY = {"latitude_deg": 45.0, "day_of_year": 170, "tmax_c": 27.0, "tmin_c": 14.0}


def test_soakaway_keeps_account_of_its_water():
    """Inflow = storage + what soaked away, for every rain; the worst is the largest, the shorter one in a tie."""
    durations, depths = [10.0, 30.0, 60.0, 360.0], [12.0, 20.0, 26.0, 40.0]
    done = soakaway_size(**PIT, area_m2=60.0, durations_min=durations, depths_mm=depths, runoff_coefficient=0.9)
    soaked = [done.outflow_m3_s * 60 * minutes for minutes in durations]
    assert np.add(done.storages_m3, soaked) == pytest.approx(0.9 * 60 * np.array(depths) / 1000, rel=1e-12)
    assert done.required_storage_m3 == max(done.storages_m3)
    assert durations[done.storages_m3.index(max(done.storages_m3))] == done.worst_duration_min
    assert storages_m3(inflows_m3(0.9, 60.0, depths), done.outflow_m3_s, durations) == pytest.approx(done.storages_m3)
    assert done.half_empty_h * 3600 * done.outflow_m3_s == pytest.approx(done.required_storage_m3 / 2)
    tie = soakaway_size(**PIT, area_m2=60.0, durations_min=[10, 20], depths_mm=[0.0, 1000 * 5.25 * 4e-5 * 600 / 60])
    assert tie.storages_m3[0] == pytest.approx(tie.storages_m3[1]) and tie.worst_duration_min in (10, 20)


def test_soakaway_needs_nothing_when_the_soil_takes_it_all():
    """No storage is needed when every rain soaks away at once; it is half empty at once and passes."""
    done = soakaway_size(**PIT, area_m2=1.0, durations_min=[60.0], depths_mm=[10.0])
    assert done.storages_m3[0] < 0 and done.required_storage_m3 == 0 and done.half_empty_h == 0 and done.passes


@pytest.mark.parametrize(
    ("durations", "depths", "word"),
    [([], [], "length"), ([10.0], [], "length"), ([10.0, 10.0], [1.0, 2.0], "increasing")],
)
def test_soakaway_lists_must_fit(durations, depths, word):
    """Empty or unequal lists and durations that do not rise are refused."""
    with pytest.raises(InputError, match=word):
        soakaway_size(**PIT, area_m2=1.0, durations_min=durations, depths_mm=depths)


def test_soak_rate_kernel_is_the_calculator():
    """Rates over arrays are those one by one, and the slowest filling counts."""
    times = RNG.uniform(600, 9000, 6)
    done = soakaway_test_rate(length_m=1.2, width_m=0.6, water_depth_m=0.9, times_s=times.tolist())
    assert done.rates_m_s == pytest.approx(soak_rate_m_s(1.2, 0.6, 0.9, times), rel=1e-13)
    assert done.infiltration_rate_m_s == pytest.approx(done.volume_m3 / (done.area_half_m2 * times.max()), rel=1e-12)


@pytest.mark.parametrize(
    ("keys", "failed"),
    [
        ({"house_distance_m": 3.0}, ["house"]),
        ({"below_house": False}, ["house"]),
        ({"ground_slope": 0.21}, ["slope"]),
        ({"boundary_distance_m": 3.0}, ["boundary"]),
        ({"well_distance_m": 15.0}, ["well"]),
        ({"septic_distance_m": 10.0}, ["septic"]),
        ({"steep_slope_distance_m": 15.0}, ["steep slope"]),
        ({"ground_water_gap_m": 0.9}, ["ground water"]),
        ({"infiltration_rate_m_s": 1.9e-6}, ["rate"]),
        ({"walls": [{"distance_m": 3.9, "height_m": 1.0, "side": "above"}]}, ["wall"]),
        ({"walls": [{"distance_m": 1.523, "height_m": 0.5, "side": "below"}]}, ["wall"]),
        ({"well_distance_m": 25.0, "well_limit_m": 30.48, "ground_slope": 0.3}, ["slope", "well"]),
        ({"well_distance_m": 15.24, "walls": []}, []),
    ],
)
def test_each_place_fails_for_its_own_reason(keys, failed):
    """One thing too near fails by its own name, in the order of the list; what is left out is not judged."""
    done = call(soakaway_place, {**PLACE, **keys})
    assert done.failed == failed and done.passes is (not failed)
    assert done.septic_ok is None or "septic_distance_m" in keys
    assert done.wall_needed_m is None or keys.get("walls")


def test_wall_distance_grows_with_the_wall():
    """A pit keeps off a wall by the larger of the house limit and four heights behind it, less in front."""
    assert [wall_distance_m(h, True) for h in (0.5, 1.0, 2.0)] == pytest.approx([3.048, 4.0, 8.0])
    assert [wall_distance_m(h, False) for h in (0.5, 2.0)] == pytest.approx([1.524, 2.0])


def test_apron_stone_by_scaling():
    """Scaled by Froude's rule (flow to the 5/2) the stone scales with the pipe; a deeper tailwater needs less."""
    small, large = apron_d50_m(0.02, 0.15, 0.06), apron_d50_m(0.02 * 2**2.5, 0.30, 0.12)
    assert large == pytest.approx(2 * small, rel=1e-12)
    assert apron_d50_m(0.02, 0.15, 0.15) < small == apron_d50_m(0.02, 0.15, 0.0)
    assert apron_d50_m(0.02, 0.15, 9.0) == apron_d50_m(0.02, 0.15, 0.15)


def test_apron_normal_depth_at_full_changes_nothing():
    """A pipe that runs full has its own diameter as normal depth; stone above the largest class is refused."""
    given = {"flow_m3_s": 0.02, "diameter_m": 0.15, "tailwater_m": 0.05}
    assert outlet_apron(**given, normal_depth_m=0.15) == outlet_apron(**given)
    with pytest.raises(InputError, match="stone"):
        outlet_apron(flow_m3_s=5.0, diameter_m=0.5, tailwater_m=0.0)


@pytest.mark.parametrize(
    ("keys", "fall_ok", "needs_drain", "drain_ok"),
    [
        ({"fall_m": 0.1524, "distance_m": 10.0}, True, False, True),
        ({"fall_m": 0.1523, "distance_m": 10.0}, False, False, True),
        ({"fall_m": 0.1, "distance_m": 2.0}, True, True, False),
        ({"fall_m": 0.1, "distance_m": 2.0, "drain": "drain"}, True, True, True),
        ({"fall_m": 0.1, "distance_m": 2.0, "drain": "swale", "swale_slope": 0.0199}, True, True, False),
        (
            {"fall_m": 0.04, "distance_m": 2.0, "surface": "hard", "drain": "swale", "swale_slope": 0.02},
            True,
            True,
            True,
        ),
        ({"fall_m": -0.1, "distance_m": 4.0}, False, False, True),
    ],
)
def test_fall_from_the_house_by_rule(keys, fall_ok, needs_drain, drain_ok):
    """Ground, hard ground and barriers each by their own rule."""
    done = grade_from_house(**keys)
    assert (done.fall_ok, done.needs_drain, done.drain_ok) == (fall_ok, needs_drain, drain_ok)
    assert done.passes is (fall_ok and drain_ok)
    assert done.slope == pytest.approx(keys["fall_m"] / min(keys["distance_m"], 3.048))


def test_sun_by_day_is_the_integral_over_the_day():
    """Daily radiation and daylight equal the integral of the sun's height over the hours it is up."""
    for latitude, day in ((-45.0, 15), (0.0, 80), (20.0, 200), (52.0, 350), (65.0, 172)):
        tilt = 0.409 * np.sin(2 * np.pi * day / 365 - 1.39)
        near = 1 + 0.033 * np.cos(2 * np.pi * day / 365)
        phi = np.radians(latitude)

        def height(hour, phi=phi, tilt=tilt):
            angle = np.pi * hour / 12
            return max(np.sin(phi) * np.sin(tilt) + np.cos(phi) * np.cos(tilt) * np.cos(angle), 0.0)

        energy = 60 * 0.0820 * near * quad(height, -12, 12, limit=200)[0]
        radiation, daylight = et.sun_by_day(latitude, day)
        assert radiation == pytest.approx(energy, rel=1e-6)
        assert height(daylight / 2 - 1e-6) > 0 >= height(daylight / 2 + 1e-6)


def test_saturation_slope_is_the_derivative():
    """The slope of the saturation curve is its derivative."""
    for t in (-5.0, 12.0, 30.0):
        step = (et.saturation_kpa(t + 1e-4) - et.saturation_kpa(t - 1e-4)) / 2e-4
        assert et.saturation_slope_kpa_c(t) == pytest.approx(step, rel=1e-3)


def test_still_saturated_air_leaves_the_sun_alone():
    """Without wind only the radiation term stays; with huge wind only the deficit drives it."""
    still = reference_evapotranspiration(**DAY, wind_m_s=0.0)
    own = 0.408 * still.slope_kpa_c * still.net_radiation_mj_m2_day / (still.slope_kpa_c + still.psychrometric_kpa_c)
    assert still.eto_mm_day == pytest.approx(own, rel=1e-12)
    gale = reference_evapotranspiration(**DAY, wind_m_s=1e9)
    deficit = gale.saturation_kpa - gale.vapour_kpa
    assert gale.eto_mm_day == pytest.approx(900 / (20.5 + 273) * deficit / 0.34, rel=1e-6)


def test_forms_of_humidity_agree_where_they_say_the_same():
    """The same moisture told as pressure, dew point or relative humidity gives the same day."""
    pressure = float(et.saturation_kpa(10.0))
    share = 200 * pressure / float(et.saturation_kpa(14.0) + et.saturation_kpa(27.0))
    days = [
        reference_evapotranspiration(**DAY, vapour_pressure_kpa=pressure),
        reference_evapotranspiration(**DAY, dewpoint_c=10.0),
        reference_evapotranspiration(**DAY, rh_max_pct=share, rh_min_pct=share),
    ]
    assert [day.eto_mm_day for day in days] == pytest.approx([days[0].eto_mm_day] * 3, rel=1e-12)
    nothing = reference_evapotranspiration(**DAY)
    assert nothing.vapour_kpa == pytest.approx(float(et.saturation_kpa(14.0)))


def test_sun_given_in_two_ways_agrees():
    """Sunshine turned into radiation by hand gives the same day; a temperature guess never exceeds the clear sky."""
    by_hours = reference_evapotranspiration(**DAY, sunshine_h=8.0)
    rs = (0.25 + 0.5 * 8 / by_hours.daylight_h) * by_hours.extraterrestrial_mj_m2_day
    assert reference_evapotranspiration(**DAY, solar_mj_m2_day=rs).eto_mm_day == pytest.approx(by_hours.eto_mm_day)
    hot = reference_evapotranspiration(**{**DAY, "tmax_c": 55.0}, radiation_coefficient=0.19)
    assert hot.solar_mj_m2_day == pytest.approx(hot.clear_sky_mj_m2_day)
    all_day = reference_evapotranspiration(**DAY, sunshine_h=by_hours.daylight_h)
    assert all_day.solar_mj_m2_day == pytest.approx(0.75 * by_hours.extraterrestrial_mj_m2_day)


def test_wind_at_two_metres_is_left_alone():
    """Wind measured at 2 m is taken as it is; higher up it is taken down."""
    assert reference_evapotranspiration(**DAY, wind_m_s=3.0).wind_2m_m_s == 3.0
    assert reference_evapotranspiration(**DAY, wind_m_s=3.0, wind_height_m=10.0).wind_2m_m_s < 2.5


@pytest.mark.parametrize(
    ("keys", "word"),
    [
        ({"sunshine_h": 17.0}, "sunshine"),
        ({"sunshine_h": 5.0, "solar_mj_m2_day": 20.0}, "solar"),
        ({"rh_max_pct": 80.0}, "humidity"),
        ({"rh_max_pct": 80.0, "rh_min_pct": 40.0, "dewpoint_c": 9.0}, "humidity"),
        ({"method": "hargreaves", "rh_min_pct": 40.0}, "humidity"),
        ({"method": "hargreaves", "sunshine_h": 17.0}, "sunshine"),
        ({"tmax_c": 13.0}, "temperature"),
        ({"day_of_year": 367}, "day of year"),
        ({"day_of_year": 1.5}, "day of year"),
        ({"wind_height_m": 0.4}, "wind height"),
    ],
)
def test_weather_that_cannot_be_is_refused(keys, word):
    """Each rule is tested whatever the method."""
    with pytest.raises(InputError, match=word):
        call(reference_evapotranspiration, {**DAY, **keys})


def test_hargreaves_gives_only_its_own_results():
    """The shorter method leaves out what it does not reckon with."""
    done = reference_evapotranspiration(**DAY, method="hargreaves")
    assert done.solar_mj_m2_day is None and done.wind_2m_m_s is None and done.eto_mm_day > 0
    kernel = et.hargreaves_mm(DAY["tmax_c"], DAY["tmin_c"], done.extraterrestrial_mj_m2_day)
    assert done.eto_mm_day == pytest.approx(float(kernel), rel=1e-13)


def test_a_day_of_one_temperature_is_taken():
    """Highest and lowest temperature may be equal: no guess of sunshine from their range, Hargreaves gives nothing."""
    flat = {**DAY, "tmin_c": DAY["tmax_c"]}
    assert reference_evapotranspiration(**flat).solar_mj_m2_day == 0
    assert reference_evapotranspiration(**flat, method="hargreaves").eto_mm_day == 0


def test_watering_kernels_are_the_calculators():
    """Need, storage and rate over arrays are those one by one; rain does not lengthen the interval."""
    eto, factor, rain = RNG.uniform(0, 60, 12), RNG.uniform(0.2, 1.2, 12), RNG.uniform(0, 30, 12)
    need, held = net_need_mm(factor, eto, rain), soil_storage_mm(0.13, 0.3, 0.4)
    for i in range(12):
        keys = {"eto_mm": eto[i], "plant_factor": factor[i], "efficiency": 0.8, "area_m2": 3.0, "depletion": 0.4}
        soil = {"available_water": 0.13, "root_depth_m": 0.3}
        one = bed_irrigation(**keys, **soil, rain_mm=rain[i], days=10.0)
        assert one.net_need_mm == pytest.approx(need[i], rel=1e-13)
        assert one.volume_l == pytest.approx(3 * need[i] / 0.8, rel=1e-12)
        assert one.storage_mm == held
        assert one.interval_days == bed_irrigation(**keys, **soil, days=10.0).interval_days
        assert one.interval_days * one.use_mm / 10 == pytest.approx(held)
    assert drip_rate_mm_h([2.0, 4.0], 0.3, 0.4) == pytest.approx([2 / 0.12, 4 / 0.12])
    drip = drip_application_rate(emitter_flow_l_h=2.0, emitter_spacing_m=0.3, row_spacing_m=0.4, applied_mm=12.0)
    assert drip.run_time_h * drip.rate_mm_h == pytest.approx(12.0)


def test_downspouts_carry_the_roof_they_are_said_to():
    """A roof of just the area per downspout needs one and passes; a hair more needs two."""
    keys = {"intensity_mm_h": 150.0, "downspout_diameter_m": 0.0762}
    area = roof_runoff(roof_area_m2=1.0, **keys).roof_area_per_downspout_m2
    exact, over = roof_runoff(roof_area_m2=area, **keys), roof_runoff(roof_area_m2=area * 1.001, **keys)
    assert (exact.downspouts_needed, exact.passes) == (1, True)
    assert (over.downspouts_needed, over.passes) == (2, False)
    assert roof_runoff(roof_area_m2=area * 1.4, **keys, downspouts=1.5).passes is True
    assert exact.downspout_capacity_l_s == pytest.approx(float(downspout_flow_l_s(0.0762)), rel=1e-13)
    square = roof_runoff(roof_area_m2=1.0, intensity_mm_h=150.0, downspout_section_m=[0.0762 * np.pi**0.5 / 2] * 2)
    assert square.downspout_capacity_l_s == pytest.approx(exact.downspout_capacity_l_s, rel=1e-12)


@pytest.mark.parametrize(
    ("section", "word"), [([0.05], "section"), ([0.05, 0.06, 0.07], "section"), ([0.02, 0.0601], "section")]
)
def test_sections_that_are_none_are_refused(section, word):
    """A section is two numbers, the longer at most three times the shorter."""
    keys = {"roof_area_m2": 50.0, "intensity_mm_h": 100.0}
    with pytest.raises(InputError, match=word):
        call(roof_runoff, {**keys, "downspout_section_m": section})
    assert call(roof_runoff, {**keys, "downspout_section_m": [0.02, 0.06]}).downspouts_needed >= 1


def test_gutter_carries_its_largest_roof():
    """A roof of just the largest area passes; steeper pitches count more, at the printed limits."""
    keys = {"profile": "half_round", "size_m": 0.127, "intensity_mm_h": 120.0}
    factors = [
        gutter_capacity(**keys, roof_area_m2=1.0, roof_pitch=p / 12).pitch_factor
        for p in (0, 3, 3.01, 5, 5.5, 8, 8.5, 11, 11.1, 24)
    ]
    assert factors == [1, 1, 1.05, 1.05, 1.1, 1.1, 1.2, 1.2, 1.3, 1.3]
    area = gutter_capacity(**keys, roof_area_m2=1.0, roof_pitch=0.5).largest_roof_area_m2
    assert gutter_capacity(**keys, roof_area_m2=area, roof_pitch=0.5).passes is True
    assert gutter_capacity(**keys, roof_area_m2=area * 1.001, roof_pitch=0.5).passes is False
    assert gutter_capacity(**{**keys, "size_m": 0.1275}, roof_area_m2=1.0).capacity_l_s == pytest.approx(
        float(roof_flow_l_s(1.0, 25.4, 2500 * 0.09290304)), rel=1e-13
    )
    with pytest.raises(InputError, match="size"):
        gutter_capacity(**{**keys, "size_m": 0.1276}, roof_area_m2=1.0)


def test_short_depths_are_fractions_of_the_day():
    """The day's own row is the day's depth; depths rise and intensities fall with time; nothing asked, nothing told."""
    done = rain_ratio_depths(depth_24h_mm=100.0)
    assert done.depths_mm[-1] == 100 and np.all(np.diff(done.depths_mm) > 0)
    assert np.all(np.diff(done.intensities_mm_h) < 0)
    assert rain_ratio_depths(depth_24h_mm=100.0, durations_min=[]).depths_mm == []
    with pytest.raises(InputError, match="duration"):
        rain_ratio_depths(depth_24h_mm=100.0, durations_min=[20.0])


def test_a_bed_that_hardly_drinks_has_a_long_interval():
    """Half a millimetre used in seven days lets a store of 30 mm last for 420; where nothing is used there is none."""
    bed = {"plant_factor": 0.5, "efficiency": 0.9, "area_m2": 10.0, "days": 7.0,
           "available_water": 0.2, "root_depth_m": 0.3, "depletion": 0.5}  # fmt: skip
    assert call(bed_irrigation, {**bed, "eto_mm": 1.0}).interval_days == pytest.approx(420.0)
    assert call(bed_irrigation, {**bed, "eto_mm": 0.0}).interval_days is None
