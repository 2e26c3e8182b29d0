"""Laws on ground surfaces: levels, profiles, cut and fill."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from lynchet.ground.prisms import cut_fill, prisms, together
from lynchet.ground.surface import beyond, build_surface, level_at, off_ground_m, profile

RNG = np.random.default_rng(4)


def _readings(count: int = 80) -> np.ndarray:
    xy = np.vstack([RNG.uniform([0, 0], [15, 10], (count, 2)), [[0, 0], [15, 0], [15, 10], [0, 10]]])
    return np.column_stack([xy, 0.02 * xy[:, 0] + 0.2 * xy[:, 1] + 0.1 * np.sin(xy[:, 0])])


def test_readings_are_kept() -> None:
    """The surface passes through every reading."""
    points = _readings()
    assert np.allclose(level_at(build_surface(points), points[:, :2]), points[:, 2], atol=1e-9)


def test_a_plane_is_a_plane() -> None:
    """Readings of one plane give its level everywhere, and its slope in every triangle."""
    points = _readings()
    points[:, 2] = 3.0 + 0.1 * points[:, 0] - 0.25 * points[:, 1]
    surface = build_surface(points)
    at = RNG.uniform([0, 0], [15, 10], (50, 2))
    assert np.allclose(level_at(surface, at), 3.0 + 0.1 * at[:, 0] - 0.25 * at[:, 1])
    assert np.allclose(surface.planes, [0.1, -0.25, 3.0])


def test_off_the_ground_is_not_a_level() -> None:
    """Beyond the reach there is no level; within it the nearest edge gives one."""
    surface = build_surface(_readings())
    assert np.isnan(level_at(surface, [[16.0, 5.0]]))[0]
    assert level_at(surface, [[15.02, 5.0]])[0] == pytest.approx(level_at(surface, [[15.0, 5.0]])[0], abs=1e-9)
    assert off_ground_m(surface, [[16.0, 5.0], [3.0, 3.0]]) == pytest.approx([1.0, 0.0])


def test_beyond_the_ground_readings_along_a_straight_side_count() -> None:
    """A square of readings with a hump in the middle of one side: off that side the hump goes on, by hand, and so it
    does where it was read half a millimetre inside the side, too near to make a triangle of its own."""
    square = [(x, y, 5.0) for x in (0.0, 4.0, 8.0) for y in (0.0, 4.0, 8.0)]
    for inside in (0.0, 0.0005):
        points = np.array([(x, y + inside, 6.0) if (x, y) == (4.0, 0.0) else (x, y, z) for x, y, z in square])
        found = beyond(build_surface(points), np.array([(4.0, -3.0), (2.0, -1.0), (8.5, 2.0)]), (0.0, 0.1))
        assert found == pytest.approx([6.0 - 0.3, 5.5 - 0.1, 5.0], abs=2e-3)


def test_too_few_readings_are_refused() -> None:
    """Two readings, or readings on one line, make no surface."""
    with pytest.raises(ValueError, match="three"):
        build_surface([[0, 0, 1], [1, 1, 2]])
    with pytest.raises(ValueError, match="line"):
        build_surface([[0, 0, 1], [1, 1, 2], [2, 2, 2], [3, 3, 1]])


@pytest.mark.parametrize("ends", [((0.0, 0.0), (15.0, 10.0)), ((1.3, 9.0), (14.2, 0.4)), ((0.0, 0.0), (15.0, 0.0))])
def test_profile_agrees_with_levels(ends: tuple[tuple[float, float], tuple[float, float]]) -> None:
    """The profile is the surface along the line: at its stations and between them."""
    surface = build_surface(_readings())
    stations, levels = profile(surface, *ends)
    a, b = np.array(ends)
    tries = np.linspace(0, stations[-1], 200)
    at = a + np.outer(tries / stations[-1], b - a)
    assert np.allclose(np.interp(tries, stations, levels), level_at(surface, at), atol=1e-6)


def test_cut_and_fill_agree_with_counting() -> None:
    """Cut and fill under a hollow outline with a hole agree with 200,000 random points to a per cent."""
    surface = build_surface(_readings())
    outline = shapely.Polygon([(1, 1), (14, 2), (9, 5), (13, 9), (2, 8)], [[(3, 3), (5, 3), (5, 5), (3, 5)]])
    under = prisms(surface, outline)
    assert under.area_m2 == pytest.approx(outline.area, abs=1e-9)
    at = RNG.uniform([0, 0], [15, 10], (200_000, 2))
    inside = shapely.contains_xy(outline, at)
    z = level_at(surface, at[inside])
    for level in (0.7, 1.2, 1.6):
        cut, fill = cut_fill(under, level)
        assert cut[0] == pytest.approx(np.maximum(z - level, 0).sum() * 150 / 200_000, rel=0.02, abs=0.05)
        assert fill[0] == pytest.approx(np.maximum(level - z, 0).sum() * 150 / 200_000, rel=0.02, abs=0.05)


def test_a_split_bed_has_the_same_soil() -> None:
    """Cut a bed in two: volumes and areas add up to rounding."""
    surface = build_surface(_readings())
    whole = shapely.Polygon([(1, 1), (14, 2), (9, 5), (13, 9), (2, 8)])
    left, right = (
        shapely.intersection(whole, shapely.box(0, 0, 6.2, 10)),
        shapely.intersection(whole, shapely.box(6.2, 0, 15, 10)),
    )
    parts = together([prisms(surface, left), prisms(surface, right)], [0.0, 0.0])
    for one, other in zip(cut_fill(parts, 1.1), cut_fill(prisms(surface, whole), 1.1), strict=True):
        assert one[0] == pytest.approx(other[0], abs=1e-9)


def test_cut_less_fill_falls_with_the_level() -> None:
    """Raising the level by 1 cm takes 1 cm over the whole area from cut less fill."""
    under = prisms(build_surface(_readings()), shapely.box(2, 2, 9, 7))
    cut, fill = cut_fill(under, np.linspace(0.3, 2.0, 171))
    assert np.allclose(np.diff(cut - fill), -0.01 * 35.0, atol=1e-9)
    assert (cut >= -1e-12).all() and (fill >= -1e-12).all()
