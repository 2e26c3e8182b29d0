"""Laws of the small terms of the sun's place, one by one, against a solar library's own and longer series."""

import numpy as np
import pytest
from pvlib import spa

from lynchet.planting.sun import (
    distance_au,
    dynamical_century,
    dynamical_less_universal,
    mean_longitude_deg,
    mean_sidereal_deg,
    nutation_deg,
    sun_place,
)

CENTURY = np.linspace(-0.93, 0.93, 20_001)
"""Five full turns of the moon's node before 2000 and five after."""


def library_nutation(century):
    """Seconds of arc in longitude and in obliquity by all 63 terms."""
    out = np.empty((2, len(century)))
    angles = [spa.mean_elongation, spa.mean_anomaly_sun, spa.mean_anomaly_moon, spa.moon_argument_latitude,
              spa.moon_ascending_longitude]  # fmt: skip
    spa.longitude_obliquity_nutation(century, *(angle(century) for angle in angles), out)
    return out * 3600.0


def parts(values, angles):
    """Shares of the sines and cosines of angles, with a constant, by least squares."""
    columns = [wave(angle) for angle in angles for wave in (np.sin, np.cos)] + [np.ones_like(angles[0])]
    return np.linalg.lstsq(np.stack(columns, axis=1), values, rcond=None)[0]


def test_terms_of_nutation_are_the_largest_of_the_long_series():
    """What our four terms leave of the 63 holds no part of any of them: 0.006 seconds of arc at most."""
    turn = [spa.moon_ascending_longitude(CENTURY), 280.4665 + 36000.7698 * CENTURY, 218.3165 + 481267.8813 * CENTURY]
    node, sun, moon = (np.radians(angle) for angle in turn)
    for ours, theirs in zip(nutation_deg(CENTURY), library_nutation(CENTURY), strict=True):
        left = parts(3600.0 * ours - theirs, [node, 2 * node, 2 * sun, 2 * moon])
        assert np.abs(left).max() < 0.006
        assert np.abs(3600.0 * ours - theirs).max() < 0.5


def test_distance_is_the_ellipse():
    """What our distance leaves of the library's series holds no part of the anomaly or its double: a millionth."""
    anomaly = np.radians(spa.mean_anomaly_sun(CENTURY))
    theirs = spa.heliocentric_radius_vector(CENTURY / 10.0)
    trend = CENTURY * np.cos(anomaly)  # the earth's path grows rounder: our ellipse is that of 2000
    columns = np.stack([np.cos(anomaly), np.sin(anomaly), np.cos(2 * anomaly), np.sin(2 * anomaly),
                        np.ones_like(anomaly), trend, CENTURY * np.sin(anomaly)], axis=1)  # fmt: skip
    left = np.linalg.lstsq(columns, distance_au(CENTURY) - theirs, rcond=None)[0]
    assert np.abs(left[:5]).max() < 6e-6
    assert np.abs(distance_au(CENTURY) - theirs).max() < 1.5e-4


def test_mean_longitude_and_sidereal_time_are_the_library_s():
    """Within a hundred thousandth of a degree from 1900 to 2100; the times of a library's own polynomials."""
    ut = CENTURY * 36525.0
    turn = mean_sidereal_deg(ut) - spa.mean_sidereal_time(ut + 2451545.0, CENTURY)
    assert np.abs((turn + 180.0) % 360.0 - 180.0).max() < 1e-6
    assert mean_longitude_deg(CENTURY) == pytest.approx(spa.sun_mean_longitude(CENTURY / 10.0), abs=1e-5)


def test_clock_difference_is_the_library_s():
    """Dynamical less universal time in the middle of every month from 1900 to 2099, and where one span ends."""
    year, month = (part.ravel() for part in np.meshgrid(np.arange(1900, 2100), np.arange(1, 13), indexing="ij"))
    days = (year + (month - 0.5) / 12.0 - 2000.0) * 365.25
    assert dynamical_less_universal(days) == pytest.approx(spa.calculate_deltat(year, month), abs=1e-6)
    joints = np.array([1920, 1941, 1961, 1986, 2005, 2050])
    at_joints = spa.calculate_deltat(joints, np.full(6, 0.5))
    assert dynamical_less_universal((joints - 2000.0) * 365.25) == pytest.approx(at_joints, abs=1e-9)
    centuries = spa.julian_ephemeris_century(
        spa.julian_ephemeris_day(days + 2451545.0, spa.calculate_deltat(year, month))
    )
    assert dynamical_century(days) == pytest.approx(centuries, abs=1e-12)


def test_place_to_the_library_s_last_digits():
    """Declination, hour angle and equation of time by the library's parts put together: 0.0008 degrees, 0.004 min; on
    average none at all, to a ten thousandth of a degree."""
    ut = np.linspace(-18_000, 18_000, 4001) + 0.31
    tt = ut + dynamical_less_universal(ut) / 86400.0
    century = tt / 36525.0
    along, tilting = library_nutation(century) / 3600.0
    obliquity = spa.mean_ecliptic_obliquity(century / 10.0) / 3600.0 + tilting
    radius = spa.heliocentric_radius_vector(century / 10.0)
    longitude = spa.heliocentric_longitude(century / 10.0) + 180.0 + along - 20.4898 / 3600.0 / radius
    beta = -spa.heliocentric_latitude(century / 10.0)
    ascension = spa.geocentric_sun_right_ascension(longitude, obliquity, beta)
    place = sun_place(ut)
    declined = spa.geocentric_sun_declination(longitude, obliquity, beta)
    assert place.declination_deg == pytest.approx(declined, abs=4e-4)
    sidereal = spa.mean_sidereal_time(ut + 2451545.0, ut / 36525.0) + along * np.cos(np.radians(obliquity))
    turn = (place.greenwich_hour_deg - (sidereal - ascension) + 180.0) % 360.0 - 180.0
    assert np.abs(turn).max() < 8e-4 and abs(turn.mean()) < 1e-4
    mean = spa.sun_mean_longitude(century / 10.0)
    off = place.equation_of_time_min - spa.equation_of_time(mean % 360.0, ascension, along, obliquity)
    assert np.abs(off).max() < 4e-3 and abs(off.mean()) < 4e-4
