"""Laws of the sun: a general solar library, closed forms of hours of sun, and a ray cast in plan as rivals."""

from datetime import UTC, date, datetime, timedelta, timezone
from itertools import pairwise

import numpy as np
import pytest
from pvlib import spa
from shapely.geometry import LineString, Point

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.planting.direct_sun import Bed, direct_sun_hours, sun_hours
from lynchet.planting.sun import (
    days_of,
    dynamical_less_universal,
    horizontal_place,
    refraction_deg,
    seen_from_ground,
    sun_place,
    sun_position,
)
from lynchet.planting.sun_grid import compiled_sun_hours, mean_sun_hours, plain_sun_hours
from lynchet.planting.sun_path import constant_path, dated_path
from lynchet.planting.sun_times import airless_altitude, sun_rise_set, universal_midnight


def refused(function, given, word):
    """The call is refused with a text that holds the word."""
    with pytest.raises(InputError) as error:
        call(function, given)
    assert word in str(error.value).lower(), str(error.value)


def by_library(instants, latitude, longitude, pressure_kpa=101.325, temperature=12.0):
    """Apparent altitude, airless altitude, azimuth and equation of time by the full algorithm of a solar library."""
    unix = np.array([instant.timestamp() for instant in instants])
    delta = spa.calculate_deltat(np.array([i.year for i in instants]), np.array([i.month for i in instants]))
    found = spa.solar_position(unix, latitude, longitude, 0.0, pressure_kpa * 10, temperature, delta, 0.5667)
    return found[2], found[3], found[4], found[5]


def random_instants(rng, n):
    """Instants from 1900 to 2100."""
    start = datetime(1900, 1, 2, tzinfo=UTC)
    return [start + timedelta(days=float(d)) for d in rng.uniform(0, 73_000, n)]


def test_position_against_a_solar_library():
    """Within 0.01 degrees on the sky of the full algorithm, at any place and time of two centuries."""
    rng = np.random.default_rng(1)
    for latitude, longitude in rng.uniform((-90, -180), (90, 180), (25, 2)):
        instants = random_instants(rng, 40)
        apparent, airless, azimuth, equation = by_library(instants, latitude, longitude)
        for i, instant in enumerate(instants):
            zone = timezone(timedelta(hours=int(rng.integers(-12, 15))))
            text = instant.astimezone(zone).isoformat()
            if not 1900 <= int(text[:4]) <= 2100:
                continue
            got = call(sun_position, {"time": text, "latitude_deg": latitude, "longitude_deg": longitude})
            assert got.airless_altitude_deg == pytest.approx(airless[i], abs=0.004)
            if abs(airless[i] + 0.8333) > 0.01 and airless[i] > -0.9:
                assert got.altitude_deg == pytest.approx(apparent[i], abs=0.01)
            turn = (got.azimuth_deg - azimuth[i] + 180) % 360 - 180
            assert abs(turn) * np.cos(np.radians(airless[i])) < 0.004
            assert got.equation_of_time_min == pytest.approx(equation[i], abs=0.02)


def test_kernel_is_the_calculator():
    """Arrays of instants through the kernels give the calculator's figures one by one."""
    rng = np.random.default_rng(2)
    instants = random_instants(rng, 30)
    place = sun_place(np.array([days_of(instant) for instant in instants]))
    altitude, azimuth = horizontal_place(place.declination_deg, place.greenwich_hour_deg + 15.0, 48.0)
    airless = seen_from_ground(altitude)
    lifted = airless + refraction_deg(airless, 90.0, 5.0)
    for i, instant in enumerate(instants):
        given = {"time": instant.isoformat(), "latitude_deg": 48.0, "longitude_deg": 15.0, "pressure_kpa": 90.0,
                 "temperature_c": 5.0}  # fmt: skip
        got = call(sun_position, given)
        assert (got.declination_deg, got.airless_altitude_deg, got.azimuth_deg, got.altitude_deg) == pytest.approx(
            (place.declination_deg[i], airless[i], azimuth[i], lifted[i]), abs=1e-9
        )
    assert airless_altitude(days_of(instants[0]), 48.0, 15.0) == pytest.approx(airless[0], abs=1e-9)


def test_time_scales():
    """TT - UT follows a library's polynomials within a quarter of a second and is smooth between them."""
    years = np.arange(1901, 2100, 0.5)
    ours = dynamical_less_universal((years - 2000) * 365.25)
    theirs = spa.calculate_deltat(np.floor(years).astype(int), ((years % 1) * 12 + 1).astype(int))
    assert np.abs(ours - theirs).max() < 0.25
    assert np.abs(np.diff(ours)).max() < 2.0


def test_refraction_switch():
    """Pressure 0 switches refraction off; below -0.8333 degrees there is none."""
    assert refraction_deg([-0.8334, -0.8333, 10.0], 101.0, 10.0)[0] == 0
    assert refraction_deg([-0.8334, -0.8333, 10.0], 101.0, 10.0)[1] > 0.5
    got = call(
        sun_position, {"time": "2025-03-20T06:30:00Z", "latitude_deg": 50.0, "longitude_deg": 0.0, "pressure_kpa": 0}
    )
    assert got.altitude_deg == got.airless_altitude_deg


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"time": "noon"}, "time"), ({"time": "1899-12-31T12:00:00+00:00"}, "time"), ({"time": "2025-06-21"}, "offset"),
        ({"time": "2025-06-31T12:00:00+00:00"}, "time"), ({"longitude_deg": 181.0}, "longitude"),
        ({"pressure_kpa": 121.0}, "pressure"), ({"temperature_c": -91.0}, "temperature_c"),
        ({"elevation_m": 9001.0}, "elevation_m"), ({"latitude_deg": True}, "latitude_deg"), ({"time": 5}, "time"),
    ],
)  # fmt: skip
def test_position_refusals(given, word):
    """A place or time that is none is refused by its word."""
    whole = {"time": "2025-06-21T12:00:00+00:00", "latitude_deg": 40.0, "longitude_deg": 0.0, **given}
    refused(sun_position, whole, word)


def test_rise_and_set_stand_at_the_altitude():
    """At sunrise and sunset a library's sun stands at the altitude asked for, rising and sinking; noon lies between."""
    rng = np.random.default_rng(3)
    for _ in range(40):
        latitude, longitude, altitude = rng.uniform(-60, 60), rng.uniform(-180, 180), rng.uniform(-12, 5)
        offset = round(longitude / 15)
        day = datetime(1950, 1, 1) + timedelta(days=int(rng.integers(0, 50_000)))
        got = call(
            sun_rise_set,
            {"date": day.strftime("%Y-%m-%d"), "latitude_deg": latitude, "longitude_deg": longitude,
             "utc_offset_h": float(np.clip(offset, -12, 14)), "centre_altitude_deg": altitude},
        )  # fmt: skip
        if got.state != "rises and sets":
            continue
        midnight = day.replace(tzinfo=UTC) - timedelta(hours=float(np.clip(offset, -12, 14)))
        at = [
            midnight + timedelta(hours=h)
            for h in (got.sunrise_h, got.sunset_h, got.sunrise_h + 0.1, got.sunset_h - 0.1)
        ]
        _, airless, azimuth, _ = by_library(at, latitude, longitude)
        assert airless[:2] == pytest.approx(altitude, abs=0.005)
        assert (airless[2:] > altitude).all()
        assert azimuth[0] < 180 < azimuth[1]
        assert got.sunrise_h < got.solar_noon_h < got.sunset_h
        assert got.day_length_h == pytest.approx(got.sunset_h - got.sunrise_h)


def test_polar_states_by_scanning_the_day():
    """Near the poles the state is what a minute-by-minute scan from lower transit to lower transit shows."""
    rng = np.random.default_rng(4)
    seen = set()
    for _ in range(60):
        latitude = float(rng.choice([-1, 1]) * rng.uniform(60, 90))
        day = datetime(2025, 1, 1) + timedelta(days=int(rng.integers(0, 365)))
        given = {"date": day.strftime("%Y-%m-%d"), "latitude_deg": latitude, "longitude_deg": 0.0, "utc_offset_h": 0.0}
        got = call(sun_rise_set, given)
        noon = universal_midnight(day.date()) + got.solar_noon_h / 24
        height = airless_altitude(noon + np.linspace(-0.5, 0.5, 1441), latitude, 0.0) + 50 / 60
        sides = (height[:720] <= 0).any(), (height[721:] <= 0).any()
        wanted = "down all day" if height[720] <= 0 else "rises and sets" if all(sides) else "up all day"
        if min(abs(height[0]), abs(height[-1]), abs(height[720])) > 0.01:
            assert got.state == wanted
            seen.add(wanted)
    assert seen == {"down all day", "rises and sets", "up all day"}


@pytest.mark.parametrize("latitude", [64.6, 65.2, 65.6, -65.4])
def test_a_night_of_an_hour_is_still_one(latitude):
    """Where the sun dips below for an hour or two about midnight, its rise and set are those of a scan of the day."""
    day = datetime(2025, 6, 21) if latitude > 0 else datetime(2025, 12, 21)
    given = {"date": day.strftime("%Y-%m-%d"), "latitude_deg": latitude, "longitude_deg": 0.0, "utc_offset_h": 0.0}
    got = call(sun_rise_set, given)
    noon = universal_midnight(day.date()) + got.solar_noon_h / 24
    hours = np.linspace(-12.0, 12.0, 2881)
    up = hours[airless_altitude(noon + hours / 24, latitude, 0.0) + 50 / 60 > 0]
    assert got.state == "rises and sets" and 20.5 < got.day_length_h < 24.0
    assert (got.sunrise_h - got.solar_noon_h, got.sunset_h - got.solar_noon_h) == pytest.approx(
        (up[0], up[-1]), abs=0.01)  # fmt: skip


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"date": "2025-6-1"}, "date"), ({"date": "21 June"}, "date"), ({"date": "1899-12-31"}, "date"),
        ({"date": "2101-01-01"}, "date"), ({"date": "20250601"}, "date"), ({"utc_offset_h": 14.1}, "offset"),
        ({"longitude_deg": -180.1}, "longitude"), ({"centre_altitude_deg": -18.1}, "altitude"),
    ],
)  # fmt: skip
def test_rise_refusals(given, word):
    """A day or place that is none is refused by its word."""
    whole = {"date": "2025-06-21", "latitude_deg": 40.0, "longitude_deg": 0.0, "utc_offset_h": 0.0, **given}
    refused(sun_rise_set, whole, word)


def test_uniform_horizon_closed_form():
    """Hours above a horizon e: (2/15) acos((sin e - sin lat sin dec)/(cos lat cos dec)), also none and all."""
    rng = np.random.default_rng(5)
    for _ in range(60):
        lat, dec, e = rng.uniform(-80, 80), rng.uniform(-23.5, 23.5), rng.uniform(-1, 60)
        share = (np.sin(np.radians(e)) - np.sin(np.radians(lat)) * np.sin(np.radians(dec))) / (
            np.cos(np.radians(lat)) * np.cos(np.radians(dec))
        )
        wanted = 2 / 15 * np.degrees(np.arccos(np.clip(share, -1, 1)))
        got = call(direct_sun_hours, {"latitude_deg": lat, "declination_deg": dec, "horizon_deg": e})
        assert got.mean_sun_h == pytest.approx(wanted, abs=1e-6)
        assert got.morning_sun_h == pytest.approx(got.afternoon_sun_h, abs=1e-6)


def test_long_wall_to_the_south_closed_form():
    """Behind a long east-west wall the sun shows while A cos H > B (north latitudes, sun to the south)."""
    rng = np.random.default_rng(6)
    for _ in range(40):
        lat, dec = np.radians(rng.uniform(25, 60)), np.radians(rng.uniform(-23, -1))
        height, away = rng.uniform(0.1, 2), rng.uniform(0.5, 6)
        k = height / away
        a = np.cos(lat) * np.cos(dec) * (1 - k * np.tan(lat))
        b = -np.sin(dec) * (np.sin(lat) + k * np.cos(lat))
        # level of the sun over the top edge: z - k s > 0 with s the southward part
        hour = np.linspace(-np.pi, np.pi, 400_001)
        z = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(hour)
        wanted = 24 * ((a * np.cos(hour) > b) & (z > 0)).mean()
        wall = {"x1_m": -1e5, "y1_m": -away, "x2_m": 1e5, "y2_m": -away, "base_m": 0.0, "top_m": height}
        got = call(
            direct_sun_hours,
            {"latitude_deg": float(np.degrees(lat)), "declination_deg": float(np.degrees(dec)), "obstructions": [wall]},
        )
        assert got.mean_sun_h == pytest.approx(float(wanted), abs=2e-3)


def test_tilt_is_another_latitude():
    """A slope facing the equator sees the sun in front of it as level ground at latitude less the slope does."""
    rng = np.random.default_rng(7)
    for _ in range(30):
        lat, dec, slope = rng.uniform(20, 60), rng.uniform(0, 23.4), rng.uniform(1, 18)
        got = call(direct_sun_hours, {"latitude_deg": lat, "declination_deg": dec, "plane_slope_deg": slope,
                                      "horizon_deg": -1.0})  # fmt: skip
        level = call(direct_sun_hours, {"latitude_deg": lat - slope, "declination_deg": dec})
        assert got.mean_sun_h == pytest.approx(level.mean_sun_h, abs=1e-6)


def random_screens(rng, n):
    """Screens round the origin, none touching it."""
    found = []
    while len(found) < n:
        (x1, y1), (x2, y2) = rng.uniform(-8, 8, (2, 2))
        if LineString([(x1, y1), (x2, y2)]).distance(Point(0, 0)) > 0.3:
            base = rng.uniform(-1, 2)
            found.append([x1, y1, x2, y2, base, base + rng.uniform(0.3, 6)])
    return np.array(found)


def cast(screens, level, horizon, slope, facing, altitude, azimuth):
    """Direct sun or not, by a ray in plan against each segment with a geometry library."""
    if altitude <= horizon:
        return False
    east, north = np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))
    up = np.tan(np.radians(altitude))
    s, f = np.radians(slope), np.radians(facing)
    if slope and east * np.sin(s) * np.sin(f) + north * np.sin(s) * np.cos(f) + up * np.cos(s) <= 0:
        return False
    ray = LineString([(0, 0), (1000 * east, 1000 * north)])
    for x1, y1, x2, y2, base, top in screens:
        met = ray.intersection(LineString([(x1, y1), (x2, y2)]))
        if not met.is_empty and base <= level + met.distance(Point(0, 0)) * up <= top:
            return False
    return True


def test_screens_by_ray_casting_with_a_solar_library():
    """Hours among random screens, on random slopes and days, agree with minute-by-minute rays and a library's sun."""
    rng = np.random.default_rng(8)
    for _ in range(6):
        lat, lon, level = rng.uniform(-60, 60), rng.uniform(-180, 180), rng.uniform(-0.5, 0.5)
        horizon, slope, facing = rng.uniform(-1, 8), rng.choice([0.0, 20.0]), rng.uniform(0, 360)
        screens = random_screens(rng, 5)
        day = datetime(2025, 1, 1, tzinfo=UTC) + timedelta(days=int(rng.integers(0, 365)))
        start = day - timedelta(hours=lon / 15)
        instants = [start + timedelta(minutes=m + 0.5) for m in range(1440)]
        _, airless, azimuth, _ = by_library(instants, lat, lon)
        lit = [cast(screens, level, horizon, slope, facing, *place) for place in zip(airless, azimuth, strict=True)]
        rows = [
            dict(zip(("x1_m", "y1_m", "x2_m", "y2_m", "base_m", "top_m"), map(float, row), strict=True))
            for row in screens
        ]
        got = call(
            direct_sun_hours,
            {"latitude_deg": lat, "longitude_deg": lon, "date": day.strftime("%Y-%m-%d"), "point_level_m": level,
             "horizon_deg": horizon, "plane_slope_deg": float(slope), "plane_azimuth_deg": facing,
             "obstructions": rows},
        )  # fmt: skip
        assert got.mean_sun_h == pytest.approx(sum(lit) / 60, abs=0.06)
        assert got.open_sky_h == pytest.approx((airless > 0).sum() / 60, abs=0.04)


def test_more_screens_never_more_sun():
    """A further screen never adds sun; two halves of a screen hide what the whole hides; ends may be swapped."""
    rng = np.random.default_rng(9)
    path, bed = dated_path([9000.0, 9100.0], 10.0), Bed(level_m=0.2)
    for _ in range(15):
        screens = random_screens(rng, 4)
        hours = [sun_hours(path, 45.0, bed, screens[:n]).sum() for n in range(5)]
        assert all(after <= before + 1e-9 for before, after in pairwise(hours))
        x1, y1, x2, y2, base, top = screens[0]
        mx, my, mid = (x1 + x2) / 2, (y1 + y2) / 2, (base + top) / 2
        whole = sun_hours(path, 45.0, bed, screens[:1])
        for parts in ([[x2, y2, x1, y1, base, top]], [[x1, y1, mx, my, base, top], [mx, my, x2, y2, base, top]],
                      [[x1, y1, x2, y2, base, mid], [x1, y1, x2, y2, mid, top]]):  # fmt: skip
            assert sun_hours(path, 45.0, bed, np.array(parts)) == pytest.approx(whole, abs=1e-6)


def test_point_and_screens_may_move_together():
    """Only the place of the screens relative to the point counts."""
    wall = {"x1_m": -4.0, "y1_m": -3.0, "x2_m": -3.0, "y2_m": 5.0, "base_m": 0.2, "top_m": 3.0}
    moved = {key: value + (100.0 if key[0] == "x" else -50.0 if key[0] == "y" else 7.0) for key, value in wall.items()}
    common = {"latitude_deg": -35.0, "declination_deg": 10.0}
    one = call(direct_sun_hours, {**common, "obstructions": [wall]})
    two = call(
        direct_sun_hours,
        {**common, "obstructions": [moved], "point_x_m": 100.0, "point_y_m": -50.0, "point_level_m": 7.0},
    )
    assert one.mean_sun_h == pytest.approx(two.mean_sun_h, abs=1e-9)


def test_screen_edge_on_hides_nothing():
    """A screen whose line runs through the point is met by no sight line."""
    thin = {"x1_m": 0.0, "y1_m": -2.0, "x2_m": 0.0, "y2_m": -9.0, "base_m": 0.0, "top_m": 50.0}
    free = call(direct_sun_hours, {"latitude_deg": 40.0, "declination_deg": 0.0})
    assert call(direct_sun_hours, {"latitude_deg": 40.0, "declination_deg": 0.0, "obstructions": [thin]}) == free


def test_a_thin_trunk_is_not_missed():
    """A trunk a tenth of a degree wide hides the sun for its own width, four minutes a degree at the equator's noon."""
    half = 10 * np.tan(np.radians(0.05))
    trunk = {"x1_m": 10.0, "y1_m": -half, "x2_m": 10.0, "y2_m": half, "base_m": -1.0, "top_m": 5.0}
    free = call(direct_sun_hours, {"latitude_deg": 0.0, "declination_deg": 0.0})
    # at the equator on the equinox the sun climbs due east: hidden from altitude 0 to atan(5/10)
    got = call(direct_sun_hours, {"latitude_deg": 0.0, "declination_deg": 0.0, "obstructions": [trunk]})
    assert free.mean_sun_h - got.mean_sun_h == pytest.approx(np.degrees(np.arctan(0.5)) / 15, abs=1e-6)


def test_mean_over_days_is_the_mean_of_days():
    """A range gives the mean of its days, the last one only when the step reaches it."""
    common = {"latitude_deg": 52.0, "longitude_deg": 5.0}
    days = ["2025-05-01", "2025-05-11", "2025-05-21"]
    single = [call(direct_sun_hours, {**common, "date": day}).mean_sun_h for day in days]
    for end in ("2025-05-21", "2025-05-30"):
        got = call(direct_sun_hours, {**common, "date_from": days[0], "date_to": end, "step_days": 10})
        assert (got.day_count, got.mean_sun_h) == (3, pytest.approx(np.mean(single)))


def test_every_day_of_a_year_follows_the_last():
    """Day by day through a year the hours change smoothly, also where the right ascension starts a new turn."""
    path = dated_path(universal_midnight(datetime(2025, 1, 1).date()) + np.arange(366.0), 25.0)
    hours = sun_hours(path, 52.0, Bed(horizon_deg=4.0), np.array([[-3.0, -2.0, -3.0, 9.0, -1.0, 2.0]]))
    assert np.abs(np.diff(hours, axis=0)).max() < 0.12
    assert np.abs(np.diff(hours[:, 2], n=2)).max() < 0.005
    for day in (264, 265, 266):  # the September equinox
        start = universal_midnight(datetime(2025, 1, 1).date()) + day - 25.0 / 360
        height = airless_altitude(start + (np.arange(86_400) + 0.5) / 86_400, 52.0, 25.0)
        assert hours[day, 2] == pytest.approx(24 * (height > 0).mean(), abs=1e-3)


def test_at_the_pole():
    """At the pole the sun circles at its declination: day or night, and on the equinox day the crossing counts."""
    assert call(direct_sun_hours, {"latitude_deg": 90.0, "declination_deg": 5.0}).mean_sun_h == pytest.approx(24)
    assert call(direct_sun_hours, {"latitude_deg": 90.0, "declination_deg": -5.0}).mean_sun_h == 0
    day = {"latitude_deg": 90.0, "longitude_deg": 0.0, "date": "2025-03-20"}
    height = airless_altitude(universal_midnight(datetime(2025, 3, 20).date()) + np.linspace(0, 1, 86_401), 90.0, 0.0)
    assert call(direct_sun_hours, day).open_sky_h == pytest.approx(24 * (height > 0).mean(), abs=0.01)


def test_compiled_is_plain():
    """The compiled sum over a grid is the NumPy sum, and both are the calculator point by point."""
    pytest.importorskip("numba")
    rng = np.random.default_rng(10)
    for latitude, path in ((47.0, dated_path(9000 + np.arange(0, 150, 30.0), 8.0)), (-30.0, constant_path(-20.0))):
        screens, points = (
            random_screens(rng, 6),
            np.column_stack([rng.uniform(-0.1, 0.1, (12, 2)), rng.uniform(0, 1, 12)]),
        )
        one = compiled_sun_hours(path, latitude, points, screens, (12.0, 200.0))
        two = plain_sun_hours(path, latitude, points, screens, (12.0, 200.0))
        assert one == pytest.approx(two, abs=2e-3)
    x, y, level = points[0].tolist()
    rows = [
        dict(zip(("x1_m", "y1_m", "x2_m", "y2_m", "base_m", "top_m"), map(float, row), strict=True)) for row in screens
    ]
    got = call(
        direct_sun_hours,
        {"latitude_deg": -30.0, "declination_deg": -20.0, "obstructions": rows, "point_x_m": x, "point_y_m": y,
         "point_level_m": level, "plane_slope_deg": 12.0, "plane_azimuth_deg": 200.0},
    )  # fmt: skip
    assert (got.morning_sun_h, got.afternoon_sun_h, got.open_sky_h) == pytest.approx(tuple(two[0]), abs=1e-9)
    assert mean_sun_hours(constant_path(-20.0), -30.0, points, screens, (12.0, 200.0)) == pytest.approx(two)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({}, "date"), ({"declination_deg": 0.0, "date": "2025-01-01"}, "date"), ({"step_days": 3}, "date"),
        ({"declination_deg": 0.0, "step_days": 3}, "date"), ({"longitude_deg": 5.0}, "date"),
        ({"date": "2025-01-01", "date_from": "2025-01-01", "longitude_deg": 0.0}, "date"),
        ({"date_from": "2025-01-01", "date_to": "2025-02-01", "longitude_deg": 0.0}, "date"),
        ({"date_from": "2025-01-01", "step_days": 2, "longitude_deg": 0.0}, "date"),
        ({"date_from": "2025-03-01", "date_to": "2025-02-01", "step_days": 2, "longitude_deg": 0.0}, "date"),
        ({"date": "2025-02-30", "longitude_deg": 0.0}, "date"), ({"declination_deg": 23.6}, "declination_deg"),
        ({"date_from": "2025-01-01", "date_to": "2025-02-01", "step_days": 2.5, "longitude_deg": 0.0}, "step_days"),
        ({"date_from": "2025-01-01", "date_to": "2025-02-01", "step_days": 2}, "longitude"),
        ({"declination_deg": 0.0, "horizon_deg": 90.0}, "horizon_deg"),
        ({"declination_deg": 0.0, "horizon_deg": -1.1}, "horizon_deg"),
        ({"declination_deg": 0.0, "plane_slope_deg": 90.0}, "plane_slope_deg"),
        ({"declination_deg": 0.0, "latitude_deg": 91.0}, "latitude"),
    ],
)  # fmt: skip
def test_direct_sun_refusals(given, word):
    """No kind of day, more than one, or a size out of range is refused by its word."""
    refused(direct_sun_hours, {"latitude_deg": 40.0, **given}, word)


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({"top_m": 0.0}, "top"), ({"x2_m": 5.0, "y2_m": 1.0}, "obstruction"),
        ({"x1_m": -5.0, "y1_m": -1.0}, "obstruction"),
        ({"width_m": 1.0}, "width_m"), ({"base_m": None}, "base_m"),
    ],
)  # fmt: skip
def test_screen_refusals(changes, word):
    """A screen upside down, without length, touching the point or with wrong keys is refused by its word."""
    screen = {"x1_m": 5.0, "y1_m": 1.0, "x2_m": 5.0, "y2_m": 3.0, "base_m": 0.0, "top_m": 2.0, **changes}
    if changes.get("x1_m") == -5.0:
        screen |= {"x2_m": 5.0, "y2_m": 1.0}
    rows = [{key: value for key, value in screen.items() if value is not None}]
    refused(direct_sun_hours, {"latitude_deg": 40.0, "declination_deg": 0.0, "obstructions": rows}, word)


def test_library_of_the_tests_is_read_right():
    """The rival's own published example (NREL/TP-560-34302, Table A5.1) comes out of the way these tests call it."""
    at = [datetime.fromisoformat("2003-10-17T12:30:30-07:00")]
    _, airless, azimuth, _ = by_library(at, 39.742476, -105.1786, 82.0, 11.0)
    assert (airless[0], azimuth[0]) == pytest.approx((39.872046, 194.340241), abs=2e-3)


@pytest.mark.parametrize("day, side", [("2025-09-21", -1), ("2025-03-24", 1)])
def test_a_night_of_a_minute_near_the_pole_is_found(day, side):
    """Half a degree from the pole the sun stands lowest well off its lower transit: asked for a height it falls short
    of for about a minute only, it passes where its heights every two seconds say so."""
    given = {"date": day, "latitude_deg": 89.5, "longitude_deg": 0.0, "utc_offset_h": 0.0}
    noon = call(sun_rise_set, given).solar_noon_h
    hours = noon + side * np.linspace(0.0, 11.9, 20_001)
    height = airless_altitude(universal_midnight(date.fromisoformat(day)) + hours / 24.0, 89.5, 0.0)
    asked = float(height.min()) + 2e-6
    dark = np.nonzero(height <= asked)[0]
    assert 0.5 < (dark[-1] - dark[0]) * 11.9 / 20_000 * 60 < 3.0
    found = call(sun_rise_set, {**given, "centre_altitude_deg": asked})
    passed = found.sunrise_h if side < 0 else found.sunset_h
    assert passed == pytest.approx(hours[dark[0]], abs=7e-4)


@pytest.mark.parametrize("day, latitude", [("2025-06-12", 66.0), ("2025-06-30", 66.0), ("2025-06-01", 67.0)])
def test_a_day_that_passes_on_one_side_alone_counts_as_up_all_day(day, latitude):
    """On the edge of the bright nights the sun goes under before noon or after it, not both: heights every few seconds
    say so, and by the contract's rule a missing passing is a day of 24 hours."""
    given = {"date": day, "latitude_deg": latitude, "longitude_deg": 20.0, "utc_offset_h": 1.0}
    found = call(sun_rise_set, given)
    hours = found.solar_noon_h + np.linspace(-12.0, 12.0, 20_001)
    at = universal_midnight(date.fromisoformat(day)) + (hours - 1.0) / 24.0
    under = airless_altitude(at, latitude, 20.0) <= -50.0 / 60.0
    assert under[:10_000].any() != under[10_000:].any()
    assert (found.state, found.day_length_h, found.sunrise_h, found.sunset_h) == ("up all day", 24.0, None, None)


@pytest.mark.parametrize("longitude, offset", [(150.0, -1.0), (-150.0, 1.0), (179.9, 12.0)])
def test_noon_is_where_the_hour_angle_is_none(longitude, offset):
    """However far the clock is from the sun, at the noon told the hour angle is 0 to a thousandth of a second."""
    given = {"date": "2025-11-03", "latitude_deg": 40.0, "longitude_deg": longitude, "utc_offset_h": offset}
    noon = call(sun_rise_set, given).solar_noon_h
    at = universal_midnight(date(2025, 11, 3)) + (noon - offset) / 24.0
    hour = float(sun_place(at).greenwich_hour_deg) + longitude
    assert (hour + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-5)


def test_a_plane_that_the_sun_just_rises_over():
    """A bed that faces near the pole of the sky, early in October: at the declination of midday the sun would never
    come over its plane, four hours before, a little higher, it does for some forty minutes. The compiled sum has them
    as the angle between the sun and the plane's own place on the sky tells."""
    pytest.importorskip("numba")
    latitude, high, before = np.radians([47.0, 84.72, -60.0])
    flat = np.cos(high) * np.cos(before)
    east, north = -np.cos(high) * np.sin(before), np.sin(high) * np.cos(latitude) - flat * np.sin(latitude)
    slope = np.degrees(np.arccos(np.sin(high) * np.sin(latitude) + flat * np.cos(latitude)))
    tilt = float(slope), float(np.degrees(np.arctan2(east, north)))
    midnight = universal_midnight(date(2025, 10, 6))
    sun = sun_place(midnight + np.arange(0.0, 1.0, 1e-4))
    low, hour = np.radians(sun.declination_deg), np.radians(sun.greenwich_hour_deg)
    sine = np.sin(low) * np.sin(high) + np.cos(low) * np.cos(high) * np.cos(hour - before)
    over = sine > np.radians(8.794 / 3600.0) * np.cos(np.radians(slope))  # seen from the ground, not from its middle
    found = compiled_sun_hours(dated_path([midnight], 0.0), 47.0, np.zeros((1, 3)), np.zeros((0, 6)), tilt)[0]
    assert 0.5 < 24 * over.mean() < 0.8
    assert found[:2] == pytest.approx((24 * over.mean(), 0.0), abs=0.02)
