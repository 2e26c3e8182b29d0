"""Laws of the compiled twins in drawings: hatches and places of labels are those of the plain ways."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.drawings.hatches import HATCHES, all_inside, inside, lines_in, rounds_in
from lynchet.drawings.label_tries import Wish
from lynchet.drawings.labels import Scene, place
from lynchet.drawings.placing import spread
from lynchet.drawings.symbols import circle

pytest.importorskip("numba")
Rings = tuple[tuple[tuple[float, float], ...], ...]


def _area(rng: np.random.Generator) -> Rings:
    """A star with as many corners as comes, bent inward or not, and now and then a hole."""
    angle = np.sort(rng.uniform(0.0, 2.0 * np.pi, int(rng.integers(3, 14))))
    reach = rng.uniform(4.0, 25.0, len(angle))
    x, y = rng.uniform(-40.0, 80.0, 2)
    star = tuple(zip((x + reach * np.cos(angle)).tolist(), (y + reach * np.sin(angle)).tolist(), strict=True))
    return (star, circle((float(x), float(y)), 2.0)) if rng.random() < 0.4 else (star,)


def test_hatches_by_compiled_code_are_the_plain_ones() -> None:
    """In random areas with and without holes: the same lines, pebbles and dots in the same order, the same insides."""
    rng = np.random.default_rng(5)
    filled = 0
    for _ in range(10):
        rings = _area(rng)
        points = rng.uniform(-70.0, 110.0, (200, 2))
        assert (inside(rings, points) == inside(rings, points, compiled=False)).all()
        for hatch in HATCHES.values():
            if hatch.kind == "lines":
                one, two = (lines_in(rings, hatch.gap_mm, hatch.angle_deg, how) for how in (True, False))
            else:
                one, two = (rounds_in(rings, hatch, how) for how in (True, False))
            assert len(one) == len(two)
            assert np.allclose(np.array(one), np.array(two), rtol=0.0, atol=1e-6)
            filled += len(one)
    assert filled > 3000


def test_places_with_room_by_compiled_code_are_the_plain_ones() -> None:
    """In random areas with and without holes: the same places with room for a box, and the same of them set apart."""
    rng = np.random.default_rng(6)
    roomy = apart = 0
    for _ in range(10):
        rings = _area(rng)
        points = rng.uniform(np.min(rings[0], axis=0), np.max(rings[0], axis=0), (600, 2))
        box = np.array([(-1.0, -0.5), (1.0, -0.5), (1.0, 0.5), (-1.0, 0.5)]) * float(rng.uniform(1.0, 3.0))
        one, two = (all_inside(rings, points, box, how) for how in (True, False))
        assert (one == two).all()
        assert spread(one) == spread(one, compiled=False)
        roomy, apart = roomy + len(one), apart + len(spread(points))
        assert spread(points) == spread(points, compiled=False)
    assert roomy > 500 and apart > 300
    assert spread(np.empty((0, 2))) == spread(np.empty((0, 2)), compiled=False) == ()


def _scene(rng: np.random.Generator, count: int) -> tuple[list[Wish], Scene]:
    """Labels at points, in areas of their own or with no leader, among boxes and lines of some owners."""
    wishes = []
    for n in range(count):
        at, size = (float(rng.uniform(25, 310)), float(rng.uniform(15, 250))), (float(rng.uniform(6, 24)), 3.6)
        spots = [((at[0] + 3.0 * k, at[1] + 1.0), size) for k in range(int(rng.integers(1, 4)))]
        own = frozenset({f"wall{int(rng.integers(12))}"})
        wishes.append(Wish(f"L{n:03d}", at, size, int(rng.integers(4)), own=own, leaders=rng.random() < 0.8,
                           spots=tuple(spots) if rng.random() < 0.3 else ()))  # fmt: skip
    corners = np.column_stack([rng.uniform(25, 290, 10), rng.uniform(15, 240, 10)])
    boxes = tuple((x, y, x + 12.0, y + 6.0) for x, y in corners.tolist())
    start = np.column_stack([rng.uniform(20, 320, 60), rng.uniform(10, 260, 60)])
    lines = np.column_stack([start, start + rng.uniform(-60, 60, (60, 2)) * rng.integers(0, 2, (60, 2))])
    return wishes, Scene((20.0, 10.0, 320.0, 260.0), boxes, lines, tuple(f"wall{n % 12}" for n in range(60)))


@pytest.mark.parametrize("count", [1, 30, 120])
def test_labels_by_compiled_code_stand_where_the_plain_way_puts_them(count: int) -> None:
    """In random scenes: the same place, cost, leader and number of lines crossed for every label."""
    rng = np.random.default_rng(count)
    for _ in range(3):
        wishes, scene = _scene(rng, count)
        one, two = place(wishes, scene), place(wishes, scene, compiled=False)
        assert one == two
    assert any(spot and spot.crossings for spot in one.values()) or count == 1
