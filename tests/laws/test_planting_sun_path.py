"""Laws of the sun's path and of what hides it, to the last digit: fits, parallax as plain vectors, grazing edges."""

import numpy as np
import pytest

from lynchet.planting.direct_sun import Bed, sun_conditions, sun_hours
from lynchet.planting.sun import PARALLAX_DEG, seen_from_ground, sun_place, sun_vector
from lynchet.planting.sun_grid import compiled_sun_hours, plain_sun_hours
from lynchet.planting.sun_path import (
    PARALLAX,
    SunPath,
    constant_path,
    dated_path,
    horizon_condition,
    plane_condition,
    screen_conditions,
)


def at_hours(rows, hours):
    """Values of the polynomials (days, 3) at the hours."""
    return rows[:, :1] + rows[:, 1:2] * hours + rows[:, 2:] * hours**2


def test_polynomials_meet_the_sun_at_start_middle_and_end():
    """A day's polynomials give the sun's own declination and hour angle at 0, 12 and 24 hours, whole turns aside."""
    longitude, hours = 23.7, np.array([0.0, 12.0, 24.0])
    midnights = np.arange(9000.5, 9360.5, 7.0)
    path = dated_path(midnights, longitude)
    sun = sun_place((midnights - longitude / 360.0)[:, None] + hours / 24.0)
    assert at_hours(path.declination, hours) == pytest.approx(np.radians(sun.declination_deg), abs=1e-12)
    turn = at_hours(path.hour, hours) - np.radians(sun.greenwich_hour_deg + longitude)
    assert np.abs((turn + np.pi) % (2 * np.pi) - np.pi).max() < 1e-9
    assert path.hour[:, 0] == pytest.approx(-np.pi, abs=0.08)


def test_compiled_sum_follows_bent_paths():
    """On days whose declination and hour angle bend a hundred times more than the sun's, compiled and plain agree."""
    pytest.importorskip("numba")
    rng = np.random.default_rng(41)
    path = SunPath(np.array([[0.2, 2e-3, 1e-4], [-0.1, -1e-3, -5e-5]]),
                   np.array([[-3.1, 0.255, 3e-4], [-3.1, 0.268, -2e-4]]), PARALLAX)  # fmt: skip
    points = np.column_stack([rng.uniform(-0.5, 0.5, (6, 2)), np.zeros(6)])
    screens = np.array([[-4, 3, 6, 4, 0, 2.5], [3, -4, 5, 2, 0.5, 3]], dtype=float)
    one = compiled_sun_hours(path, 40.0, points, screens, (8.0, 150.0))
    assert one == pytest.approx(plain_sun_hours(path, 40.0, points, screens, (8.0, 150.0)), abs=2e-2)


def test_parallax_is_the_earths_radius_seen_from_the_sun():
    """8.794 seconds of arc: equatorial radius 6378.137 km over the astronomical unit, 149,597,870.7 km."""
    assert pytest.approx(np.degrees(np.arcsin(6378.137 / 149597870.7)), rel=1e-4) == PARALLAX_DEG
    assert pytest.approx(np.radians(PARALLAX_DEG)) == PARALLAX


def test_conditions_are_plain_vectors_from_the_eye():
    """With the eye a step up from the earth's middle, each condition is the sign that plain vectors give."""
    rng, parallax = np.random.default_rng(31), 1e-4
    for _ in range(200):
        sun = rng.normal(size=3)
        sun /= np.linalg.norm(sun)
        seen = sun - parallax * np.array([0.0, 0.0, 1.0])
        horizon, slope, facing = rng.uniform(-2, 30), rng.uniform(1, 60), rng.uniform(0, 360)
        normal, offset = horizon_condition(horizon, parallax)
        above = seen[2] - np.sin(np.radians(horizon)) * np.linalg.norm(seen)
        assert normal @ sun + offset == pytest.approx(above, abs=2 * parallax**2)
        normal, offset = plane_condition(slope, facing, parallax)
        s, f = np.radians([slope, facing])
        front = np.array([np.sin(s) * np.sin(f), np.sin(s) * np.cos(f), np.cos(s)])
        assert normal @ sun + offset == pytest.approx(front @ seen, abs=1e-12)


def test_altitude_at_the_ground_is_that_of_the_vector_from_the_eye():
    """The parallax that lowers an altitude is that of the plain vector, at every altitude."""
    altitude = np.linspace(-90, 90, 37)
    up, flat = np.sin(np.radians(altitude)), np.cos(np.radians(altitude))
    wanted = np.degrees(np.arctan2(up - np.radians(PARALLAX_DEG), flat))
    assert seen_from_ground(altitude) == pytest.approx(wanted, abs=5e-7)


def test_planes_of_a_screen_hold_its_corners():
    """Each of the four planes holds the eye and two corners, and its middle lies on the hidden side of all four; far
    and wide screens, and stakes of a few centimetres close to the eye."""
    rng = np.random.default_rng(32)
    for near in np.repeat([1.0, 0.02], 100):
        eye = rng.uniform(-2, 2, 3)
        (ax, ay), (bx, by) = eye[:2] + near * rng.uniform(-9, 9, (2, 2))
        base, top = np.sort(rng.uniform(-3, 6, 2))
        left, right, high, low = screen_conditions([[ax, ay, bx, by, base, top]], eye)[0]
        corners = {(end, z): np.array([*xy, z]) - eye
                   for end, xy in (("a", (ax, ay)), ("b", (bx, by))) for z in (base, top)}  # fmt: skip
        for normal, held in ((high, [("a", top), ("b", top)]), (low, [("a", base), ("b", base)])):
            assert all(abs(normal @ corners[corner]) < 1e-9 for corner in held)
        ends = [sorted(abs(normal @ corners[end, top]) for end in "ab") for normal in (left, right)]
        assert all(near < 1e-9 < far for near, far in ends)
        middle = sum(corners.values()) / 4
        assert all(normal @ middle > 0 for normal in (left, right, low, high))


@pytest.mark.parametrize("seed", range(6))
def test_a_grazing_edge_is_found_between_full_hours(seed):
    """A sun that dips behind a top edge, or passes over it, for minutes between two full hours is told to seconds."""
    rng = np.random.default_rng(seed)
    latitude, declination = rng.uniform(30, 55), rng.uniform(8, 23) * rng.choice([-1, 1])
    graze_h = rng.choice([9.5, 10.5, 13.5, 14.5]) + rng.uniform(-0.2, 0.2)

    def sun(hours):
        return np.stack(sun_vector(declination, 15.0 * (np.asarray(hours) - 12.0), latitude), axis=-1)

    there, ahead = sun(graze_h), sun(graze_h + 1e-4) - sun(graze_h - 1e-4)
    normal = np.cross(there, ahead / np.linalg.norm(ahead))  # the plane that touches the path
    normal *= np.sign(normal[2])
    for lift in (-3e-4, 3e-4):
        edge = np.cross(normal, [0.0, 0.0, 1.0])
        edge /= np.linalg.norm(edge)
        out = there / np.linalg.norm(there[:2]) * 10.0
        a, b = out[:2] - 60 * edge[:2], out[:2] + 60 * edge[:2]
        top = float(out[2]) + lift * 10.0
        screen = np.array([[*a, *b, -50.0, top]])
        (morning, afternoon, _), *_ = sun_hours(constant_path(declination), latitude, Bed(horizon_deg=1.0), screen)
        hours = np.arange(0.0, 24.0, 1 / 1800) + 1 / 3600
        seen = sun(hours)
        planes = screen_conditions(screen, (0.0, 0.0, 0.0))[0]
        hidden = (seen @ planes.T > 0).all(axis=1)
        lit = (seen[:, 2] > np.sin(np.radians(1.0))) & ~hidden
        assert morning + afternoon == pytest.approx(lit.sum() / 1800, abs=3 / 1800)


@pytest.mark.parametrize("slope", [0.3, 0.9, 4.0])
def test_a_gentle_bed_has_a_plane_of_its_own(slope):
    """Falling by a part of a degree to the west a bed sees the sun in front of its plane, and not by level ground."""
    bed = Bed(0.0, 0.0, 0.0, slope_deg=slope, azimuth_deg=270.0)
    normals, _ = sun_conditions(constant_path(0.1), bed, np.empty((0, 6)))
    tilt = np.radians(slope)
    assert normals[2] == pytest.approx([-np.sin(tilt), 0.0, np.cos(tilt)], abs=1e-12)
