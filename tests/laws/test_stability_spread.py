"""Laws of the forces averaged along a wall: compiled and plain, they are the same numbers."""

from __future__ import annotations

import numpy as np
import pytest

from demo_plans import DEMOS, demo
from lynchet.stability.checks import check, parts
from lynchet.stability.spread import spread

pytest.importorskip("numba")


@pytest.mark.parametrize("name", DEMOS)
def test_compiled_sums_are_the_plain_ones(name):
    """Every push and help of every joint of a yard's walls: to the last bit, for terms are added in the same order."""
    plan = demo(name)
    table = check(plan.project, plan.stability.places)
    quick, plain = (parts(spread(table, plan.stability.places, compiled)) for compiled in (True, False))
    assert len(table.place) > 100
    for one, two in zip(quick, plain, strict=True):
        np.testing.assert_array_equal(one, two)
