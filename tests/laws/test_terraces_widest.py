"""The widest circle in a bed, against shapes whose circle is known and against a search by halving cells."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from shapely import affinity

from lynchet.terraces.widest import CIRCLE_M, _between_sides_m, widest_m

_FINE_M = 1e-4


def _shape(seed: int) -> Any:
    """A rectangle, every second with another at its corner, and up to two strips of timber taken out of it."""
    rng = np.random.default_rng(seed)
    shape = shapely.box(0.0, 0.0, rng.uniform(3, 9), rng.uniform(1, 4))
    if seed % 2:
        shape = shape.union(shapely.box(0.0, 0.0, rng.uniform(1, 4), rng.uniform(2, 7)))
    for _ in range(seed % 3):
        x, y = rng.uniform(0, 8), rng.uniform(-1, 2)
        strip = shapely.box(x, y, x + rng.uniform(0.1, 1.5), rng.uniform(0.1, 3))
        shape = shapely.difference(shape, affinity.rotate(strip, rng.uniform(-20, 20)), grid_size=1e-5)
    return affinity.rotate(shape, rng.uniform(0, 360))


def test_the_widest_circle_is_that_of_a_search_by_halving_cells() -> None:
    """Whatever it touches, it is no more than the hair allowed under the widest, and never over it; both ways of
    finding it come up."""
    by_sides = 0
    shapes = [shape for shape in map(_shape, range(120)) if not shape.is_empty]
    for shape in shapes:
        found = widest_m(shape)
        rival = float(shapely.maximum_inscribed_circle(shape, tolerance=_FINE_M).length)
        assert rival - CIRCLE_M - 1e-9 <= found <= rival + _FINE_M + 1e-9
        by_sides += found == _between_sides_m(shape)
    assert 20 < by_sides < len(shapes) - 5


@pytest.mark.parametrize("turn_deg", [0.0, 17.0, 90.0, 211.0])
def test_the_widest_circle_of_shapes_known(turn_deg: float) -> None:
    """Half the width of a rectangle, a third of the height of an even triangle, the larger of two parts, none in a
    hole."""
    triangle = shapely.Polygon([(0, 0), (6, 0), (3, 27**0.5)])
    known = [
        (shapely.box(0, 0, 8, 1.4), 0.7),
        (triangle, 27**0.5 / 3),
        (shapely.MultiPolygon([shapely.box(0, 0, 5, 1), shapely.box(0, 2, 5, 3.6)]), 0.8),
        (shapely.box(0, 0, 6, 6) - shapely.box(1, 1, 5, 5), 0.5858),  # in a corner: 2 - 2 ** 0.5
    ]
    for shape, radius in known[:3]:
        assert widest_m(affinity.rotate(shape, turn_deg)) == pytest.approx(radius, abs=1e-9)
    ring, radius = known[3]
    assert radius - CIRCLE_M - 1e-4 <= widest_m(affinity.rotate(ring, turn_deg)) <= radius + 1e-4
