"""Compiled searches of the ground give what the plain ones give, to the last digit."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.ground.prisms import Prisms, _by_arrays, _clipped_fans, _fans_by_rings, _mean_and_below
from lynchet.ground.surface import _away_by_tree, _levels_by_tree, build_surface, level_at, off_ground_m

pytest.importorskip("lynchet.ground.surface_compiled")


@pytest.mark.parametrize("seed", range(8))
def test_levels_are_those_of_the_search_tree(seed: int) -> None:
    """Inside, on readings, on edges and off the ground: one by one and together, the same bits."""
    rng = np.random.default_rng(seed)
    places = rng.uniform(-9, 9, (30 * (seed + 1), 2))
    if seed % 2:  # on a lattice, where points on edges are common
        places = np.stack(np.meshgrid(np.arange(-9.0, 10.0, seed), np.arange(-9.0, 10.0)), axis=-1).reshape(-1, 2)
    readings = np.column_stack([places, rng.uniform(98, 102, len(places))])
    surface = build_surface(readings)
    middles = surface.points[surface.edges].mean(axis=1)[:, :2]
    at = np.vstack([rng.uniform(-12, 12, (400, 2)), surface.points[:, :2], middles, middles + 1e-13])
    plain = _levels_by_tree(surface, at, 0.05)
    assert np.array_equal(level_at(surface, at), plain, equal_nan=True)
    assert np.array_equal(off_ground_m(surface, at), _away_by_tree(surface, at))
    for point, level in zip(at[::37], plain[::37], strict=True):
        assert np.array_equal(level_at(surface, [point]), [level], equal_nan=True)
    assert 100 < np.isfinite(plain).sum() < len(plain)


@pytest.mark.parametrize("seed", range(6))
def test_fans_over_rings_are_those_cut_one_by_one(seed: int) -> None:
    """Rings of any form, folded ones and holes too, cut to every triangle: the same rows."""
    rng = np.random.default_rng(seed)
    surface = build_surface(np.column_stack([rng.uniform(-9, 9, (60, 2)), rng.uniform(98, 102, 60)]))
    rings = [[(float(x), float(y)) for x, y in rng.uniform(-8, 8, (count, 2))] for count in (3, 4, 7, 12)]
    rings[0] = [(float(x), float(y)) for x, y in surface.points[surface.triangles[seed], :2]]
    every = np.arange(len(surface.triangles))
    plain = _fans_by_rings(surface, rings, every)
    assert len(plain) > 50
    assert np.array_equal(_clipped_fans(surface, rings, every), plain)
    assert _clipped_fans(surface, rings, every[:0]).shape == (0, 4)


@pytest.mark.parametrize("seed", range(6))
def test_prisms_are_those_of_whole_arrays(seed: int) -> None:
    """Mean and part below of flat and steep triangles, at levels between, at and beyond their corners."""
    rng = np.random.default_rng(seed)
    levels = np.sort(rng.uniform(98, 102, (80, 3)), axis=1)
    levels[::9, 1] = levels[::9, 0]
    levels[::7, 2] = levels[::7, 1]
    levels[::21] = 100.0
    under = Prisms(rng.uniform(-1, 2, 80), levels)
    at = np.concatenate([[97.0, 103.0, 100.0], levels[:20].ravel(), rng.uniform(98, 102, 20)])
    for one, other in zip(_mean_and_below(under, at), _by_arrays(under, at), strict=True):
        assert np.array_equal(one, other)
