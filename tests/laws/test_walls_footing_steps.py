"""Laws on bases and tops: the demand, windows at nodes, treads."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from lynchet.terraces.model import Lattice
from lynchet.walls.footing_steps import base_demand, segments, top_demand, with_least_tread, with_windows
from lynchet.walls.model import Span

LATTICE = Lattice(0.14, tuple(9.0 + 0.14 * k for k in range(60)))


def _spans(seed: int) -> list[Span]:
    """Random ground along 12 m, a level bed above it."""
    rng = np.random.default_rng(seed)
    stations = np.concatenate([[0.0], np.sort(rng.uniform(0.3, 11.7, 9)), [12.0]])
    low = 11.0 + np.cumsum(rng.normal(0, 0.15, len(stations)))
    high = float(low.max()) + 0.3
    return [
        Span(float(a), float(b), high, high, float(z0), float(z1), "B1", "outside")
        for a, b, z0, z1 in zip(stations, stations[1:], low, low[1:], strict=False)
    ]


def _lowered(spans: list[Span], by_m: float) -> list[Span]:
    return [Span(s.start_m, s.end_m, s.left0_m, s.left1_m, s.right0_m - by_m, s.right1_m - by_m, s.left, s.right)
            for s in spans]  # fmt: skip


def _at(treads: list[tuple[float, float, int]], station: float) -> int:
    return next(k for a, b, k in treads if a <= station <= b)


@pytest.mark.parametrize("seed", range(20))
def test_demand_is_exact(seed: int) -> None:
    """At 400 stations the demand is the highest course that keeps the embedment, counted by hand."""
    spans = _spans(seed)
    demand = base_demand(spans, (0.0, 12.0), LATTICE, 0.15)
    for station in np.linspace(0.01, 11.99, 400):
        span = next(s for s in spans if s.start_m <= station <= s.end_m)
        low = min(span.levels_at(float(station)))
        by_hand = int(np.floor((low - 0.15 - 9.0) / 0.14))
        near_edge = abs((low - 0.15 - 9.0) / 0.14 % 1.0 - 0.5) > 0.495
        assert _at(demand, float(station)) == by_hand or near_edge


@pytest.mark.parametrize("seed", range(20))
def test_lower_ground_never_raises_the_demand(seed: int) -> None:
    """Lowering the ground by 3 cm raises the demand nowhere."""
    spans = _spans(seed)
    before = base_demand(spans, (0.0, 12.0), LATTICE, 0.15)
    after = base_demand(_lowered(spans, 0.03), (0.0, 12.0), LATTICE, 0.15)
    assert all(_at(after, s) <= _at(before, s) for s in np.linspace(0.003, 11.99, 300).tolist())


@pytest.mark.parametrize("seed", range(20))
def test_base_is_never_above_the_demand_nor_top_under_it(seed: int) -> None:
    """Windows and least treads only ever deepen bases and raise tops; no tread is short; windows do not step."""
    spans = _spans(seed)
    base = base_demand(spans, (0.0, 12.0), LATTICE, 0.15)
    top = top_demand(_lowered(spans, 0.0), (0.0, 12.0), LATTICE, 0.05)
    windows = [(-0.4, 0.4), (5.2, 6.0), (11.5, 12.4)]
    bases = with_least_tread(with_windows(base, windows, 1), 0.3, 1)
    tops = with_least_tread(with_windows(top, windows, -1), 0.3, -1)
    for station in np.linspace(0.003, 11.99, 300).tolist():
        assert _at(bases, station) <= _at(base, station)
        assert _at(tops, station) >= _at(top, station)
    assert all(b - a >= 0.3 - 1e-9 for a, b, _ in bases)
    assert not any(low + 1e-9 < a < high - 1e-9 for a, _, _ in bases[1:] for low, high in windows)
    parts = segments(bases, tops)
    assert parts[0].start_m == 0.0
    assert parts[-1].end_m == 12.0
    assert all(a.end_m == b.start_m for a, b in pairwise(parts))


def test_a_short_high_tread_joins_its_higher_neighbour() -> None:
    """0.2 m of base 12 between bases 9 and 11 becomes 11: the least extra burial."""
    assert with_least_tread([(0.0, 2.0, 9), (2.0, 2.2, 12), (2.2, 5.0, 11)], 0.3, 1) == [(0.0, 2.0, 9), (2.0, 5.0, 11)]


def test_a_short_pit_pulls_its_nearer_neighbour_down() -> None:
    """0.2 m of base 7 between bases 9 and 8 takes the 8 with it."""
    assert with_least_tread([(0.0, 2.0, 9), (2.0, 2.2, 7), (2.2, 5.0, 8)], 0.3, 1) == [(0.0, 2.0, 9), (2.0, 5.0, 7)]
