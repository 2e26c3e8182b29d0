"""Ways out that are equal but for rounding."""

from __future__ import annotations

import numpy as np

from lynchet.water.options import Mouth, Option, level_and_cost, not_dominated
from lynchet.water.pockets import Piece, _cut_ends
from lynchet.water.programme import Sink


def _options(noise: np.ndarray) -> list[Option]:
    """Two ways out at each of four nodes, equal in level and cost but for noise."""
    found = []
    for number, (level, cost) in enumerate(noise):
        node = number // 2
        mouth = Mouth(node, None, (float(number), 0.0), (0.0, 1.0), 0.0, 1.0, 0.0, 0.0, None, 0.0)
        found.append(Option(Sink(node, 50.0 + level, 18.7 + cost), "tail", mouth))
    return found


def test_equal_ways_out_keep_their_order_whatever_the_last_digit() -> None:
    """The way kept at each node and the first of all nodes do not hang on noise far under the tolerance."""
    rng = np.random.default_rng(5)
    plain = _options(np.zeros((8, 2)))
    for _ in range(50):
        noisy = _options(rng.uniform(-1e-13, 1e-13, (8, 2)))
        kept = not_dominated(noisy)
        assert [noisy.index(option) for option in kept] == [0, 2, 4, 6]
        ordered = sorted(noisy, key=lambda option: (*level_and_cost(option), option.sink.node))
        assert [noisy.index(option) for option in ordered] == list(range(len(plain)))


def test_a_wall_that_holds_just_the_least_is_not_drained_whatever_the_last_digit() -> None:
    """One course of the least height needs no pipe, a nanometre up or down; a micrometre more does."""
    least = 0.15
    for held, drained in ((least - 1e-13, False), (least, False), (least + 1e-13, False), (least + 1e-6, True)):
        piece = Piece(0.0, 4.0, 1.0, 1.0, 1.0 + held, 1.0 + held, "B1", 0, 0.9, 1.2)
        assert bool(_cut_ends([piece], least)) == drained
