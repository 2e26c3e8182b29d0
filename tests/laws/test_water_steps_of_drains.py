"""A drain beside a step of the footing lies as deep as the timber it runs behind, not as that beyond the step."""

from __future__ import annotations

from itertools import pairwise

import pytest

from lawbook.case import plan
from lynchet.project.model import DrainWish
from lynchet.water.chains import pocket_chain
from lynchet.water.pockets import stretches_of
from lynchet.water.settings import settings_of
from random_yards import realistic


@pytest.mark.parametrize("seed", range(4))
def test_a_drain_that_begins_beside_a_step_keeps_to_its_own_timber(seed: int) -> None:
    """From 1.5 mm before a step of the footing to the next step, and back to 1.5 mm past one: its base is that of the
    one piece; 50 mm past it is the deeper of the two."""
    case = plan(*realistic(seed))
    settings = settings_of(DrainWish())
    seen = 0
    for stretch in stretches_of(case.walls, settings):
        for before, after in pairwise(stretch.pieces):
            if before.base == after.base or min(p.end_m - p.start_m for p in (before, after)) < 0.2:
                continue
            for off_m, bases in ((0.0015, after.base_m), (0.05, min(before.base_m, after.base_m))):
                chain = pocket_chain(stretch, (after.start_m - off_m, after.end_m), settings)
                deepest = min(edge.base_m for edge in chain.edges)
                assert deepest == pytest.approx(bases, abs=1e-9)
                chain = pocket_chain(stretch, (before.start_m, before.end_m + off_m), settings)
                bases = before.base_m if off_m < 0.002 else min(before.base_m, after.base_m)
                assert min(edge.base_m for edge in chain.edges) == pytest.approx(bases, abs=1e-9)
                seen += 1
    assert seen > 3
