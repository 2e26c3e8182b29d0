"""Laws of the heights solids take up: compiled and plain, they are the same numbers."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.earth.stack import plain_sums

pytest.importorskip("numba")


def test_compiled_sums_are_the_plain_ones():
    """Of random solids over one another in random columns: to the last bit, for terms are added in the same order."""
    from lynchet.earth.stack_compiled import once_sums

    rng = np.random.default_rng(1)
    met = 0.0
    for _ in range(60):
        columns, size = int(rng.integers(1, 30)), int(rng.integers(0, 200))
        column, bottom = rng.integers(0, columns, size), rng.uniform(99.0, 102.0, size)
        order = np.lexsort((bottom, column))
        entries = column[order], bottom[order], bottom[order] + rng.uniform(0.0, 1.5, size)
        levels = np.sort(rng.uniform(99.0, 103.0, (columns, 3)), axis=1).T.copy()
        slots = rng.integers(0, 50, size), 50
        told = (entries, rng.random(size) < 0.7, slots, tuple(levels), 99.0, 107.0 + float(rng.random()))
        quick, plain = once_sums(*told), plain_sums(*told)
        np.testing.assert_array_equal(quick, plain)
        met += float(plain.sum())
    assert met > 100.0
