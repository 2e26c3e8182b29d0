"""Compiled searches of the ground give what the plain ones give, to the last digit."""

from __future__ import annotations

import numpy as np
import pytest

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
