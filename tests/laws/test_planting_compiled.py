"""Laws of the compiled twins in planting: the same as the plain sums in NumPy."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from lynchet.planting.plant_counts import _convex, lattice_points
from lynchet.planting.setting_out import places, rows_in
from lynchet.planting.sun_sweep import swept_hours
from lynchet.planting.sun_year import sample_declinations

pytest.importorskip("numba")


def test_an_outline_is_convex_where_its_hull_is_no_larger():
    """By a library's hull, of outlines bent inwards by much, by a little and not at all."""
    rng = np.random.default_rng(5)
    seen = set()
    for _ in range(200):
        angle = np.sort(rng.uniform(0, 2 * np.pi, int(rng.integers(3, 6))))
        ring = np.stack([np.cos(angle), np.sin(angle)], axis=1) * rng.uniform(0.5, 1.5, (len(angle), 1)) * 3.0
        shape = shapely.Polygon(ring)
        if shape.is_valid and shape.exterior.is_ccw:
            dent = shape.convex_hull.area - shape.area
            if dent == 0 or dent > 1e-4:
                assert _convex(ring) == (dent < 1e-9)
                seen.add(dent > 0)
    assert seen == {True, False}


def test_compiled_rows_are_the_plain_ones():
    """In random outlines, bent inwards or not: the same places in the same order, along any side, whole or in part."""
    rng = np.random.default_rng(12)
    bent = 0
    for _ in range(80):
        angle = np.sort(rng.uniform(0, 2 * np.pi, int(rng.integers(4, 11))))
        ring = np.stack([np.cos(angle), np.sin(angle)], axis=1) * rng.uniform(1, 4, (len(angle), 1)) + [30.0, -7.0]
        shape = shapely.Polygon(ring)
        if not shape.is_valid or not shape.exterior.is_ccw:
            continue
        bent += shape.convex_hull.area > shape.area + 1e-6
        side, spacing = int(rng.integers(len(ring))), float(rng.uniform(0.15, 0.9))
        along = ring[(side + 1) % len(ring)] - ring[side]
        at = ring @ along / np.hypot(*along)
        for stretch in ((at.min() - 1, at.max() + 1), (at.min() + 0.3, at.mean())):
            given = (ring, side, spacing, float(rng.choice([0.0, 0.05, spacing / 2])), stretch)
            one, two = rows_in(*given), rows_in(*given, compiled=False)
            assert one.shape == two.shape
            assert one == pytest.approx(two, abs=1e-9)
    assert bent > 20


def test_places_in_a_hole_are_left_out():
    """A bed with a hole in it: the lattice of its outer ring, less what comes within half the distance of the hole."""
    hole = shapely.box(3, 1, 4, 2)
    whole = places(shapely.box(0, 0, 8, 3), [0.3])[0]
    kept = places(shapely.box(0, 0, 8, 3) - hole, [0.3])[0]
    away = np.array([hole.distance(shapely.Point(point)) for point in whole])
    assert kept == pytest.approx(whole[away >= 0.15]) and len(kept) < len(whole)


@pytest.mark.parametrize("latitude", [-89.0, -66.0, -20.0, 0.0, 23.4, 52.0, 80.0])
def test_compiled_sun_is_the_plain_one(latitude):
    """Any screens, on deep foundations or floating, points and days, left out low ones or not: the same hours."""
    rng = np.random.default_rng(int(latitude) + 100)
    for count in (0, 1, 4, 20):
        points = rng.uniform(-8, 8, (5, 3)) * (1, 1, 0.1)
        start, base = rng.uniform(-10, 10, (count, 2)), rng.uniform(-1, 1, count)
        top = base + rng.uniform(0.1, 8, count)
        ends = start + rng.uniform(-6, 6, (count, 2))
        screens = np.column_stack([start, ends, base - rng.choice([0, 100], count), top])
        for low in (-90.0, 1.5):
            given = (sample_declinations(7), latitude, points, screens, low)
            assert swept_hours(*given) == pytest.approx(swept_hours(*given, compiled=False), abs=1e-9)


@pytest.mark.parametrize("pattern", ["square", "triangular"])
def test_small_outlines_are_planted_as_large_ones(pattern):
    """An outline in fiftieths, convex or bent, either way round, with spacing and clearance in fiftieths: as many
    places, each a fiftieth of the way."""
    rng = np.random.default_rng(14)
    counts = []
    for number in range(30):
        angle = np.sort(rng.uniform(0, 2 * np.pi, int(rng.integers(3, 8))))
        ring = np.stack([np.cos(angle), np.sin(angle)], axis=1) * rng.uniform(1, 4, (len(angle), 1))
        if not shapely.Polygon(ring).is_valid:
            continue
        ring, gap = ring[:: 1 - 2 * (number % 2)], 0.2137 * (number % 3)
        large, small = (np.concatenate(lattice_points(scale * ring, 0.537 * scale, pattern, gap * scale))
                        for scale in (1.0, 0.02))  # fmt: skip
        assert len(large) == len(small)
        assert 50 * small == pytest.approx(large, abs=1e-6)
        counts.append(len(large))
    assert max(counts) > 20


@pytest.mark.parametrize("seed", range(3))
def test_stretches_within_all_four_arcs_are_those_of_a_dense_day(seed):
    """Arcs of any middle and width, whole days among them, in tables without room to spare: every time of a fine day
    lies in a stretch just where it lies within all four arcs, and what stood in the tables before plays no part."""
    from lynchet.planting.sun_sweep_compiled import _arcs_met

    rng = np.random.default_rng(seed)
    times = np.linspace(-np.pi, np.pi, 1801)
    for _ in range(40):
        middles = rng.uniform(-np.pi, np.pi, 4)
        halves = np.where(rng.random(4) < 0.4, np.pi, rng.uniform(0.3, 3.1, 4))
        ends, found = np.full(10, 50.0), np.full((12, 2), np.nan)
        count = _arcs_met.py_func(middles, halves, ends, found, 3)
        off = np.abs((times[:, None] - middles + np.pi) % (2 * np.pi) - np.pi)
        wanted = ((off < halves) | (halves == np.pi)).all(axis=1)
        low, high = found[3:count].T
        got = ((times[:, None] > low) & (times[:, None] < high)).any(axis=1)
        assert (got != wanted).sum() <= 2 * (count - 3) + 2 and (high > low).all()
        assert float((high - low).sum()) == pytest.approx(wanted.mean() * 2 * np.pi, abs=0.01)
        assert np.isnan(found[:3]).all() and np.isnan(found[count:]).all()
