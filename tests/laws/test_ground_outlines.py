"""Laws of plan outlines beneath the calculators: distance off a line, areas and centroids, against plain sums."""

import numpy as np
import pytest
from shapely.geometry import Polygon

from lynchet.core.errors import InputError
from lynchet.ground.outlines import area_and_centroid, off_line
from lynchet.ground.plan_areas import refuse_unless_increasing
from lynchet.ground.triangle_net import sweep, twice_areas


@pytest.mark.parametrize("seed", range(8))
def test_off_line_by_every_pair_of_points(seed):
    """The largest distance from the line through the two farthest points of three, wherever they stand and turn."""
    rng = np.random.default_rng(seed)
    long, off = rng.uniform(5, 9), rng.uniform(0.01, 1.0)
    corner = np.array([[0.0, 0.0], [long, 0.0], [rng.uniform(1, 4), off]])
    turn = rng.uniform(0, 2 * np.pi)
    spun = corner @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) + rng.uniform(-500, 500, 2)
    for order in ([0, 1, 2], [2, 0, 1], [1, 2, 0]):
        assert off_line(spun[order]) == pytest.approx(off, rel=1e-6)
    assert off_line(corner[:2]) == 0.0 and off_line(corner[[0, 0]]) == 0.0


@pytest.mark.parametrize("seed", range(5))
def test_area_and_centroid_by_a_geometry_library(seed):
    """Star-shaped outlines far from the origin, either way round."""
    rng = np.random.default_rng(seed)
    angle = np.sort(rng.uniform(0, 2 * np.pi, 9))
    ring = np.stack([np.cos(angle), np.sin(angle)], axis=1) * rng.uniform(1, 5, 9)[:, None] + rng.uniform(-1e4, 1e4, 2)
    plain = Polygon(ring)
    for way, sign in ((ring, 1.0), (ring[::-1], -1.0)):
        area, x, y = area_and_centroid(way)
        assert area == pytest.approx(sign * plain.area)
        assert (x, y) == pytest.approx((plain.centroid.x, plain.centroid.y), abs=1e-7)


def test_the_station_that_does_not_increase_is_named():
    """The refusal names the station by its place in the list, counted from 0."""
    with pytest.raises(InputError, match=r"chainage_m\[2\]"):
        refuse_unless_increasing([0.0, 3.0, 3.0, 5.0])


def test_the_slow_net_has_no_flat_triangle():
    """Points that lie along the hull's own edges make triangles with an area, one for each corner it needs."""
    across, up = np.meshgrid(np.arange(6.0), np.arange(4.0))
    grid = np.stack([across.ravel(), up.ravel()], axis=1)
    areas = twice_areas(grid, np.array(sweep(grid))) / 2.0
    assert np.all(areas > 1e-9) and areas.sum() == pytest.approx(15.0)
    assert len(areas) == 2 * len(grid) - 2 - 16  # Euler: 2 n - 2 - points on the outline
