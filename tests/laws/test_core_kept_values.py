"""Law of what is kept by value from plan to plan: asked again, in any order, it is what is worked out afresh."""

from __future__ import annotations

import numpy as np
import shapely

from demo_plans import DEMOS, demo
from lynchet.core.kept import outlines_of
from lynchet.core.same import Same
from lynchet.planting.care import _covered
from lynchet.planting.open_ground import open_beds
from lynchet.planting.setting_out import grounds_of, places, places_on
from lynchet.walls.setting_out import _best_pair
from lynchet.works.items import _sold_by, plain_key
from lynchet.works.stick_names import stick_named


def test_kept_words_of_price_lists_are_those_worked_out():
    """Names of sticks, keys, units: each asked twice, the second answer is the fresh one."""
    names = ["6x6x8", "timber 8'", "150 x 150 sleeper 2.4 m", "Box of 50", "sq. yds", "yd3", "tins", "drain rock", ""]
    for known in (stick_named, plain_key):
        for name in (*names, *names):
            assert known(name) == known.__wrapped__(name)
    for name in (*names, *names):
        (pack, word), (fresh, own) = _sold_by(name), _sold_by.__wrapped__(name)
        assert (pack and pack.groups(), word) == (fresh and fresh.groups(), own)


def test_kept_cover_and_corners_are_those_worked_out():
    """Ground covered by plants of many sizes, and the corners that fix a point best."""
    rng = np.random.default_rng(4)
    known = tuple((f"corner {n}", (float(x), float(y))) for n, (x, y) in enumerate(rng.uniform(0, 9, (5, 2))))
    for _ in range(50):
        spread, spacing = (float(one) for one in rng.uniform(0.1, 1.2, 2))
        point = (float(rng.uniform(0, 9)), float(rng.uniform(0, 9)))
        for _ in range(2):
            assert _covered(spread, spacing, "triangular") == _covered.__wrapped__(spread, spacing, "triangular")
            assert _best_pair(point, known) == _best_pair.__wrapped__(point, known)


def test_places_on_parts_looked_at_together_are_those_of_each_alone():
    """Lattices on every part of the demos' beds, their rings made in one go: the places of each part by itself."""
    for name in DEMOS:
        plan = demo(name)
        parts = [shape for bed in open_beds(plan.terraces, plan.walls) for _, shape in bed.parts]
        for shape, together in zip(parts, grounds_of(parts), strict=True):
            for one, two in zip(places(shape, [0.3, 0.45]), places_on(together, [0.3, 0.45]), strict=True):
                np.testing.assert_array_equal(one, two)


def test_kept_outlines_are_those_of_the_things_asked_for():
    """Of the runs and pipes of all demos, asked in turn and again: never those of another yard."""
    for name in (*DEMOS, *DEMOS):
        plan = demo(name)
        for things in (plan.walls.runs, plan.water.bodies):
            for shape, thing in zip(outlines_of(Same(things)), things, strict=True):
                assert shape.equals(shapely.Polygon(thing.outline_m))
