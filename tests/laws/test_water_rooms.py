"""Laws of free ground for pipes: what is told before it is worked out is what it then shows."""

from __future__ import annotations

import numpy as np
import shapely

from lynchet.water.ways import Room

BED = shapely.Polygon([(0, 0), (9, 0), (9, 5), (5, 5), (5, 3), (0, 3)])


def _taken(rng: np.random.Generator) -> list[shapely.Polygon]:
    corners = rng.uniform((0, 0), (8, 4), (4, 2))
    pipe = shapely.LineString(rng.uniform((0, 0), (9, 5), (2, 2))).buffer(0.1)
    return [*(shapely.box(x, y, x + rng.uniform(0.1, 1.5), y + 0.3) for x, y in corners), pipe]


def test_straight_ways_are_the_same_before_and_after_free_ground_is_worked_out():
    """A room that looks at what is taken one by one gives the ways of one made of the ground that is left."""
    rng = np.random.default_rng(3)
    found = []
    for _ in range(40):
        taken = _taken(rng)
        left = BED.difference(shapely.union_all(taken, grid_size=1e-5), grid_size=1e-5)
        known = Room(left)
        for start, end in rng.uniform((-0.5, -0.5), (9.5, 5.5), (10, 2, 2)).tolist():
            ways = Room(BED, taken), known
            first, second = (room.way(tuple(start), tuple(end)) for room in ways)
            assert first == second
            found.append(len(first or ()))
    assert {0, 2} < set(found), "some ways are straight, some turn, some are not there"
