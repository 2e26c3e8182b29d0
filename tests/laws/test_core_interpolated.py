"""One value of a line through points is NumPy's, to the last digit."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.core.interpolated import interpolated


def test_a_value_of_a_line_is_that_of_numpy() -> None:
    """Random lines, some with upright steps: before, at, between and after their points."""
    rng = np.random.default_rng(3)
    upright = 0
    for _ in range(300):
        many = int(rng.integers(1, 40))
        xs = np.sort(np.round(rng.uniform(0.0, 10.0, many), int(rng.integers(0, 4)))).tolist()
        ys = rng.uniform(-3.0, 3.0, many).tolist()
        upright += len(set(xs)) < many
        for x in (*xs, *rng.uniform(-1.0, 11.0, 20).tolist()):
            assert interpolated(x, xs, ys) == float(np.interp(x, xs, ys))
    assert upright > 100


def test_no_line_without_points() -> None:
    """There is no value where nothing is given."""
    with pytest.raises(IndexError):
        interpolated(1.0, [], [])
