"""What lies ahead on the ring is the same compiled and by whole arrays, to the last digit."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.water.ring import Ring
from lynchet.water.tails import _bare_by_arrays, _between, _from, _pours, _samples_by_arrays

compiled = pytest.importorskip("lynchet.water.tails_compiled")


def _ring(rng: np.random.Generator) -> Ring:
    """Ground up and down round a ring, some of it not measured, some sides shut."""
    count = int(rng.integers(6, 60))
    at = np.concatenate([[0.0], np.cumsum(rng.uniform(0.05, 0.3, count))])
    levels = 100.0 + 0.3 * np.sin(at) + rng.uniform(-0.05, 0.05, count + 1)
    levels[rng.random(count + 1) < 0.02] = np.nan
    levels[-1] = levels[0]
    pour = rng.random(count + 1) < 0.7
    pour[-1] = pour[0]
    return Ring(at, np.zeros((count + 1, 2)), levels, rng.random(count) < 0.95, pour)


@pytest.mark.parametrize("seed", range(30))
def test_what_lies_ahead_is_the_same_compiled(seed: int) -> None:
    """Distances, levels and flags from any place either way, up to any bar; and the bare length of every tail."""
    rng = np.random.default_rng(seed)
    ring = _ring(rng)
    long = 0
    for _ in range(20):
        r_m, way, stop = float(rng.uniform(-1, ring.length_m + 1)), int(rng.choice([-1, 1])), float(rng.uniform(0, 12))
        r, here, first, last = _from(ring, r_m, way)
        start, side = (r, _between(ring, ring.levels, here, r), _pours(ring, here, r)), (first, last)
        plain = _samples_by_arrays(ring, start, way, side, stop)
        quick = compiled.samples_ahead(start, way, side, (stop, ring.length_m), ring.runs[way].table)
        assert [one.tolist() for one in quick] == [one.tolist() for one in plain]
        d, rise = plain[0], plain[1] + 0.01 * plain[0]
        long += len(d) > 3
        for crown in (0.0, 0.05, 0.2):
            assert compiled.bare_lengths(d, rise, crown).tolist() == _bare_by_arrays(d, rise, crown).tolist()
    assert long
