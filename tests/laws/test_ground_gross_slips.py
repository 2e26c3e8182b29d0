"""One level far off all the others (a decimal point out of place) is asked for by name, also among few readings."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.ground.far_readings import far_readings


@pytest.mark.parametrize("count", [4, 5, 7, 9, 16])
@pytest.mark.parametrize("seed", range(4))
def test_a_level_times_ten_is_found(count: int, seed: int) -> None:
    """Whichever reading of a slope of 2 m is off by 38 m, that one is named first, and how far it is off."""
    chance = np.random.default_rng(seed)
    points = np.column_stack([chance.uniform(0, 10, (count, 2)), np.zeros(count)])
    points[:, 2] = 0.2 * points[:, 1] + chance.normal(0, 0.02, count)
    assert far_readings(points, np.full(count, 0.01)) == []
    slip = int(chance.integers(count))
    points[slip, 2] += 38.0
    found = far_readings(points, np.full(count, 0.01))
    assert found[0].index == slip
    assert found[0].off_m == pytest.approx(38.0, rel=0.25)


def test_a_long_even_slope_is_no_slip() -> None:
    """Three readings at the top and one far down upon the same plane: nothing is asked."""
    points = np.array([(0, 20, 4.0), (3, 20, 4.0), (0, 21, 4.2), (1, 0, 0.0)], dtype=float)
    assert far_readings(points, np.full(4, 0.01)) == []


def test_two_slips_of_one_kind_are_both_found() -> None:
    """Two readings of nine, each a decimal point out of place."""
    x, y = np.meshgrid([0.0, 4.0, 8.0], [0.0, 4.0, 8.0])
    points = np.column_stack([x.ravel(), y.ravel(), 0.25 * y.ravel()])
    points[[3, 8], 2] *= 10.0
    points[[3, 8], 2] += 10.0
    assert {far.index for far in far_readings(points, np.full(9, 0.01))} == {3, 8}
