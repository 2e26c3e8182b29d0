"""Outlines that plainly have no narrow place are left as they are, which is what opening them would do."""

from __future__ import annotations

import numpy as np
import shapely

from lynchet.terraces.cleaning import _opened, _wide_all_over
from random_yards import crooked, realistic


def _outlines():
    for seed in range(40):
        yield realistic(seed)[0]
        yield crooked(seed)[0]


def test_opening_a_wide_outline_gives_it_back():
    """Of 80 random outlines, and of these with a corner pulled about, every one called wide is opened to itself."""
    rng = np.random.default_rng(5)
    wide = narrow = 0
    for project in _outlines():
        for _ in range(3):
            points = np.array(project.area.outline_m)
            points[rng.integers(len(points))] += rng.uniform(-1.5, 1.5, 2)
            shape = shapely.Polygon(np.round(points, 5))
            if not shape.is_valid:
                continue
            opened, findings = _opened(project, shape)
            if _wide_all_over(shape):
                wide += 1
                assert opened is shape
                assert not findings
            else:
                narrow += 1
    assert wide > 40
    assert narrow > 10


def test_narrow_and_sharp_outlines_are_looked_at():
    """A strip, a gap between two parts, a spike and an outline off the grid are never called wide."""
    strip = [(0, 0), (8, 0), (8, 0.62), (0, 0.62)]
    gap = [(0, 0), (6, 0), (6, 4), (3.3, 4), (3.3, 1), (2.8, 1), (2.8, 4), (0, 4)]
    spike = [(0, 0), (12, 0), (0, 3)]
    off = [(0, 0), (8.0000004, 0), (8, 6), (0, 6)]
    for outline in (strip, gap, spike, off):
        assert not _wide_all_over(shapely.Polygon(outline))
    assert _wide_all_over(shapely.Polygon([(0, 0), (8, 0), (8, 6), (0, 6)]))
