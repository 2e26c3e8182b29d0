"""Laws of the ways to pack loads, each against its definition played through piece by piece."""

from itertools import product
from math import ceil, inf
from time import monotonic

import numpy as np
import pytest
from scipy.optimize import linprog

from lynchet.calculators.checked import call
from lynchet.works.delivery_loads import delivery_loads
from lynchet.works.load_packing import Pieces, _fullest, _generated, best_filled, fewest_loads, first_fit, full_loads


def drawn(seed, kinds=4):
    """Some kinds of pieces that fill a load to a fifth up to two thirds each."""
    rng = np.random.default_rng(seed)
    return Pieces(tuple(rng.integers(1, 5, kinds).tolist()), tuple(rng.integers(20, 70, kinds).astype(float).tolist()),
                  tuple(rng.integers(1, 7, kinds).astype(float).tolist()), 100.0, 10.0)  # fmt: skip


def by_single_pieces(pieces, size):
    """First fit with the largest first (Johnson 1973), one piece at a time."""
    loads = []
    for kind in sorted(range(len(pieces.count)), key=lambda kind: -size(kind)):
        for _ in range(pieces.count[kind]):
            for load in loads:
                if (sum(pieces.kg[k] for k in [*load, kind]) <= pieces.payload_kg + 1e-9
                        and sum(pieces.m3[k] for k in [*load, kind]) <= pieces.space_m3 + 1e-9):  # fmt: skip
                    load.append(kind)
                    break
            else:
                loads.append([kind])
    return [[load.count(kind) for kind in range(len(pieces.count))] for load in loads]


@pytest.mark.parametrize("seed", range(12))
def test_first_fit_is_played_through_piece_by_piece(seed):
    """Loads of many pieces at once are those of every piece by itself put into the first load that takes it."""
    pieces = drawn(seed)
    for size in (lambda kind: pieces.kg[kind], lambda kind: pieces.m3[kind], lambda kind: -kind):
        assert first_fit(pieces, size) == by_single_pieces(pieces, size)


@pytest.mark.parametrize("seed", range(8))
def test_loads_are_filled_as_full_as_they_can_be(seed):
    """Each round the load holds the largest piece left and no load from what is left is worth more, by trying all;
    what a piece is worth is its weight by the loads that weight needs at least, and its room likewise."""
    pieces = drawn(seed, 3)
    size = pieces.kg.__getitem__
    loads = best_filled(pieces, size, inf)
    need = [ceil(np.dot(pieces.count, part) / room) for part, room in ((pieces.kg, 100.0), (pieces.m3, 10.0))]
    worth = np.array(pieces.kg) * need[0] / 100.0 + np.array(pieces.m3) * need[1] / 10.0
    left = np.array(pieces.count)
    for load in loads:
        largest = max((kind for kind in range(3) if left[kind]), key=size)
        every = [one for one in product(*(range(n + 1) for n in left)) if one[largest]
                 and np.dot(one, pieces.kg) <= 100.0 and np.dot(one, pieces.m3) <= 10.0]  # fmt: skip
        assert tuple(load) in every
        assert worth @ np.array(load) == pytest.approx(max(worth @ np.array(one) for one in every))
        left = left - load
    assert not left.any()
    assert best_filled(pieces, size, monotonic() - 1.0) is None


def test_room_without_an_end_counts_for_nothing():
    """Where a vehicle has no limit of room the fullest load is the heaviest."""
    pieces = Pieces((2, 3, 4), (41.0, 35.0, 23.0), (9.0, 1.0, 5.0), 100.0)
    assert best_filled(pieces, pieces.kg.__getitem__, inf)[0] == [1, 1, 1]
    assert pieces.part_bounds() == (ceil((82 + 105 + 92) / 100), 0)


def test_the_fullest_load_by_trying_all():
    """Of all loads within room and numbers none is worth more."""
    rng = np.random.default_rng(4)
    for _ in range(10):
        worth, rows = rng.uniform(0.1, 1.0, 3), rng.uniform(1.0, 6.0, (2, 3))
        least, most = np.array([0.0, 1.0, 0.0]), np.array([3.0, 2.0, 4.0])
        load = _fullest(worth, (rows, np.array([14.0, 16.0])), (least, most))
        every = [one for one in product(range(4), range(1, 3), range(5)) if (rows @ one <= [14.0, 16.0]).all()]
        assert worth @ load == pytest.approx(max(worth @ np.array(one) for one in every))


@pytest.mark.parametrize("seed", range(8))
def test_generated_loads_reach_the_bound_of_all_loads(seed):
    """The bound from the loads brought up one by one is that of the linear programme over every full load."""
    pieces = drawn(40 + seed)
    matrix = np.array(full_loads(pieces), dtype=float).T
    whole = linprog(np.ones(matrix.shape[1]), A_ub=-matrix, b_ub=-np.array(pieces.count, dtype=float))
    start = [[int(k == kind) for k in range(4)] for kind in range(4)]
    patterns, least = _generated(pieces, start, monotonic() + 20)
    assert least == max(ceil(whole.fun - 1e-6), pieces.bound())
    own = np.array(patterns, dtype=float).T
    again = linprog(np.ones(own.shape[1]), A_ub=-own, b_ub=-np.array(pieces.count, dtype=float))
    assert again.fun == pytest.approx(whole.fun)
    assert all(np.dot(one, pieces.kg) <= 100 + 1e-6 and np.dot(one, pieces.m3) <= 10 + 1e-6 for one in patterns)
    assert _generated(pieces, start, monotonic() - 1.0) == ([tuple(one) for one in start], pieces.bound())


def test_no_proof_without_time():
    """Where no quick packing meets the bound and there is no time, there is no answer; with time there is."""
    pieces = Pieces((3, 4, 2, 5), (31.0, 42.0, 57.0, 23.0), (2.0, 1.0, 3.0, 1.0), 100.0, 10.0)
    assert fewest_loads(pieces, 0.0) is None
    assert len(fewest_loads(pieces, 20.0)) == 5


def test_one_small_piece_needs_one_load_at_least():
    """Every trip counts once: a piece of next to nothing has a bound of one load, and so has one without weight."""
    for kg in (0.0, 0.5):
        found = call(delivery_loads, {"items": [{"name": "a", "each_kg": kg}], "payload_kg": 10})
        assert (found.loads, found.bound) == (1, 1)
