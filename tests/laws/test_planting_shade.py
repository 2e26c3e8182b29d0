"""Laws of the sun on beds: rays cast one by one, higher things never add sun, turned yards, what is not known."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import degrees

import numpy as np
import pytest
from pvlib import spa

from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.planting.bed_light import FULL, LIVE, Grid, SunEffort, bed_suns
from lynchet.planting.direct_sun import Bed, sun_hours
from lynchet.planting.open_ground import open_beds, sample_points
from lynchet.planting.shade import TALLEST_M, Shade, screens_of, shades
from lynchet.planting.sun_path import SunPath
from lynchet.planting.sun_sweep import swept_hours
from lynchet.planting.sun_year import (
    Season,
    day_shares,
    growing_season,
    month_shares,
    sample_declinations,
    season_months,
    season_share,
)
from lynchet.project import model as pm
from lynchet.project import things
from lynchet.terraces.stage import terraces
from lynchet.walls.stage import walls
from random_yards import Placing, realistic
from yards import ell

SITE = pm.Site(45.0, 8.0, 20.0)


def _screens(rng: np.random.Generator, count: int) -> np.ndarray:
    ends = rng.uniform(-12, 12, (count, 4))
    return np.column_stack([ends, np.full(count, -50.0), rng.uniform(0.0, 6.0, count)])


def _path(days: np.ndarray) -> SunPath:
    flat = np.zeros(len(days))
    return SunPath(np.column_stack([days, flat, flat]), np.tile([[-np.pi, np.pi / 12.0, 0.0]], (len(days), 1)), 0.0)


def _suns(project: pm.Project, ground: Ground, effort: SunEffort = FULL):
    laid = terraces(project, ground, Standing())
    built = walls(project, ground, laid, Standing())
    grids = [Grid(b.face.id, b.face.level_m, sample_points(b.soil, effort.points)) for b in open_beds(laid, built)]
    season = growing_season(project.site.latitude_deg, None, None) if project.site.latitude_deg is not None else None
    return bed_suns(project.site, project.frame, grids, shades(project, ground, built), season, effort)


@pytest.mark.parametrize("latitude", [-34.0, 0.0, 47.0, 68.0])
def test_swept_hours_are_those_of_one_point_at_a_time(latitude):
    """All points and days in one go give what the search for every passing, point by point, gives."""
    rng = np.random.default_rng(abs(int(latitude)))
    points, screens = rng.uniform(-3, 3, (6, 3)), _screens(rng, 9)
    days = sample_declinations(5)
    swept = swept_hours(days, latitude, points, screens)
    for point, hours in zip(points, swept, strict=True):
        assert hours == pytest.approx(sun_hours(_path(days), latitude, Bed(*point), screens), abs=1e-6)


def test_sun_of_a_day_against_rays_and_the_almanac():
    """Two points by a wall, a day in June and one in October: every two minutes the sun of pvlib, one ray to it."""
    screens = np.array([[-6.0, 4.0, 9.0, 4.5, -9.0, 3.0], [5.0, -7.0, 5.5, 4.0, -9.0, 2.2]])
    points = np.array([[0.0, 0.0, 0.1], [4.0, -2.0, 0.4]])
    season = growing_season(40.0, "01-01", "12-31")
    for day, number in (("2025-06-10", 160), ("2025-10-08", 280)):
        unix = np.datetime64(day, "s").astype(float) + 60.0 * np.arange(0, 1440, 2.0) + 7 * 3600.0
        sun = spa.solar_position_numpy(unix, 40.0, -105.0, 0.0, 0.0, 12.0, 69.0, 0.0, 1)
        altitude, azimuth = np.radians(sun[3]), np.radians(sun[4])
        expected = [
            sum(_sees(point, screens, a, z) for a, z in zip(altitude, azimuth, strict=True)) * 2.0 / 60.0
            for point in points
        ]
        shares = day_shares(25, -105.0)[number]
        hours = swept_hours(sample_declinations(25), 40.0, points, screens)
        assert (hours[..., 0] + hours[..., 1]) @ shares == pytest.approx(expected, abs=0.12)
    assert len(season.days()) == 365


def _sees(point, screens, altitude, azimuth) -> bool:
    """Whether a plain ray to the sun passes over every screen."""
    if altitude <= 0:
        return False
    way = np.array([np.sin(azimuth), np.cos(azimuth)])
    for x1, y1, x2, y2, _, top in screens:
        side = np.array([x2 - x1, y2 - y1])
        det = -way[0] * side[1] + way[1] * side[0]
        if abs(det) < 1e-12:
            continue
        off = np.array([x1 - point[0], y1 - point[1]])
        along = (-off[0] * side[1] + off[1] * side[0]) / det
        share = (way[0] * off[1] - way[1] * off[0]) / det
        if along > 0 and 0 <= share <= 1 and point[2] + along * np.tan(altitude) < top:
            return False
    return True


def test_a_taller_screen_never_adds_sun():
    """Raise any screens at any points and days: no hour of sun is won, and open sky stays."""
    rng = np.random.default_rng(5)
    for _ in range(30):
        points, screens = rng.uniform(-3, 3, (5, 3)), _screens(rng, 6)
        taller = screens.copy()
        taller[:, 5] += rng.uniform(0, 4, 6) * (rng.random(6) < 0.5)
        latitude = float(rng.uniform(-60, 60))
        low = swept_hours(sample_declinations(4), latitude, points, screens)
        high = swept_hours(sample_declinations(4), latitude, points, taller)
        assert (high[..., :2] <= low[..., :2] + 1e-9).all()
        assert high[..., 2] == pytest.approx(low[..., 2])


def test_leaving_low_things_out_costs_little_and_only_adds_sun():
    """What stands under 3 degrees shades the low sun alone: leaving it out never takes sun away."""
    rng = np.random.default_rng(6)
    points, screens = rng.uniform(-3, 3, (20, 3)), _screens(rng, 12)
    whole = swept_hours(sample_declinations(4), 50.0, points, screens)
    fewer = swept_hours(sample_declinations(4), 50.0, points, screens, 3.0)
    assert (fewer - whole >= -1e-9).all()
    assert (fewer - whole)[..., :2].max() < 1.0


@pytest.mark.parametrize("seed", [1, 4])
def test_taller_houses_trees_and_fences_never_add_sun_to_a_bed(seed):
    """On whole yards: eaves, a ridge, a tree or a fence made taller leaves every bed with no more sun."""
    project, ground = realistic(seed)
    rng = np.random.default_rng(seed)
    outline = project.area.outline_m
    tree = things.Fixed("F9", "tree", "tree", (outline[1],), height_m=4.0, crown_m=3.0)
    fence = things.LotLine("back fence", (outline[2], outline[3 % len(outline)]), "fence", 1.5)
    house = tuple(replace(h, eaves_m=3.0, ridge_m=4.0) for h in project.houses)
    plain = replace(project, site=SITE, fixed=(tree,), lot_lines=(fence,), houses=house)
    more = float(rng.uniform(0.3, 4.0))
    for part in (
        {"fixed": (replace(tree, height_m=4.0 + more),)},
        {"lot_lines": (replace(fence, height_m=1.5 + more),)},
        {"houses": tuple(replace(h, eaves_m=3.0 + more, ridge_m=4.0 + more) for h in house)},
    ):
        for before, after in zip(_suns(plain, ground, LIVE), _suns(replace(plain, **part), ground, LIVE), strict=True):
            assert after.season_h <= before.season_h + 1e-9
            assert all(a <= b + 1e-9 for a, b in zip(after.months_h, before.months_h, strict=True))


@pytest.mark.parametrize("seed", [0, 2])
def test_a_turned_yard_with_north_turned_has_the_same_sun(seed):
    """Turn the page and north with it: the same hours. Mirror both: the same hours, morning and evening changed."""
    turn = 0.3 + 1.1 * seed
    first, ground = realistic(seed, Placing())
    second, turned = realistic(seed, Placing(turn, False, (30.0, -12.0)))
    third, mirrored = realistic(seed, Placing(turn, True))
    base = _suns(replace(first, site=replace(SITE, north_deg=25.0)), ground, LIVE)
    again = _suns(replace(second, site=replace(SITE, north_deg=(25.0 - degrees(turn)) % 360)), turned, LIVE)
    other = _suns(replace(third, site=replace(SITE, north_deg=(-25.0 - degrees(turn)) % 360)), mirrored, LIVE)
    for one, two, three in zip(base, again, other, strict=True):
        assert two.season_h == pytest.approx(one.season_h, abs=0.02)
        assert (two.morning_h, two.afternoon_h) == pytest.approx((one.morning_h, one.afternoon_h), abs=0.02)
        assert (three.afternoon_h, three.morning_h) == pytest.approx((one.morning_h, one.afternoon_h), abs=0.02)
        assert two.lights == one.lights == three.lights


@pytest.mark.parametrize("missing", ["latitude_deg", "longitude_deg", "north_deg"])
def test_without_latitude_longitude_or_north_the_light_is_not_known(missing):
    """One of the three left out: no number, no class, on every bed."""
    project, ground = ell()
    project = replace(project, site=replace(SITE, **{missing: None}))
    for sun in _suns(project, ground, LIVE):
        assert (sun.light, sun.lights, sun.season_h, sun.low_h, sun.months_h) == ("unknown", (), None, None, ())


def test_a_height_nobody_gave_leaves_a_range_that_holds_every_height():
    """A house without eaves: whatever height it turns out to have, its hours lie within the range given before."""
    project, ground = ell(site=SITE)
    unknown = _suns(project, ground, LIVE)
    assert any(sun.high_h - sun.low_h > 1.0 for sun in unknown)
    for eaves in (2.5, 11.9):
        houses = tuple(replace(house, eaves_m=eaves) for house in project.houses)
        for sun, before in zip(_suns(replace(project, houses=houses), ground, LIVE), unknown, strict=True):
            assert before.low_h <= sun.season_h <= before.high_h
    assert TALLEST_M["house"] >= 11.9


def test_a_height_that_decides_the_class_leaves_it_unknown():
    """A thing that may be there or not, and makes sun or shade: the class is not known."""
    grid = Grid("B1", 0.0, np.array([[0.0, 0.0]]))
    ring = [(-2, -2), (2, -2), (2, 2), (-2, 2), (-2, -2)]
    segments = tuple((float(a), float(b), float(c), float(d)) for (a, b), (c, d) in pairwise(ring))
    hedge = Shade("hedge", segments, 0.0, 8.0, "height")
    season = growing_season(45.0, None, None)
    frame = ell()[0].frame
    (sun,) = bed_suns(SITE, frame, [grid], [hedge], season, FULL)
    assert sun.light == "unknown" and sun.lights == () and sun.high_h > 12 and sun.low_h < 3
    (known,) = bed_suns(SITE, frame, [grid], [replace(hedge, low_m=8.0, write="")], season, FULL)
    assert known.light == "shade"
    assert len(screens_of([hedge], True)) == 4


@pytest.mark.parametrize("seed", [0, 7])
def test_a_quick_look_holds_the_fine_one(seed):
    """The band of the live effort holds the hours of the full one on random yards, and its classes the class."""
    project, ground = realistic(seed + 40)
    houses = tuple(replace(house, eaves_m=4.0, ridge_m=6.5) for house in project.houses)
    project = replace(project, site=SITE, houses=houses)
    for quick, full in zip(*(_suns(project, ground, effort) for effort in (LIVE, FULL)), strict=True):
        assert quick.low_h <= full.season_h <= quick.high_h
        assert full.high_h - full.low_h <= quick.high_h - quick.low_h
        assert full.light in quick.lights


def test_shares_of_months_and_seasons():
    """Every day's shares add up to 1 and give back its declination; a season is the mean of its days."""
    shares = day_shares(13, 8.0)
    assert shares.sum(axis=1) == pytest.approx(np.ones(365))
    place = shares @ np.degrees(sample_declinations(13))
    assert place[171] == pytest.approx(23.44, abs=0.02) and place[354] == pytest.approx(-23.44, abs=0.02)
    assert abs(place[78]) < 0.2
    year = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) / 365.0
    assert year @ month_shares(13, 8.0) == pytest.approx(season_share(Season(1, 365, False), 13, 8.0))


@pytest.mark.parametrize(
    ("latitude", "frosts", "months"),
    [
        (50.0, (None, None), list(range(4, 11))),
        (-36.0, (None, None), [10, 11, 12, 1, 2, 3, 4]),
        (5.0, (None, None), list(range(1, 13))),
        (50.0, ("05-10", "09-20"), [5, 6, 7, 8, 9]),
        (-36.0, ("09-15", "05-02"), [9, 10, 11, 12, 1, 2, 3, 4, 5]),
    ],
)
def test_growing_season_by_frost_or_hemisphere(latitude, frosts, months):
    """Frost dates make the season; without them the usual months of the hemisphere, and the tropics all year."""
    season = growing_season(latitude, *frosts)
    assert season_months(season) == months
    assert season.known is (frosts[0] is not None)
