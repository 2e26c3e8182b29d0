"""Laws across plans: the same yard placed otherwise in the file, and a corner dragged by a millimetre."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lawbook.across import differences, drag_changes, facts
from lawbook.case import plan
from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.project.model import Project
from lynchet.terraces.stage import terraces
from random_yards import realistic


@pytest.mark.parametrize("seed", [0, 3, 7, 9, 11, 15, 18, 21, 172, 360])
def test_turned_mirrored_shifted_yard_is_the_same_plan(seed: int) -> None:
    """Turned by 37 and 90 degrees, mirrored, shifted 4 km: same ids, runs, pieces, areas, levels, findings."""
    assert differences(seed) == []


@pytest.mark.parametrize("seed", [3, 67, 172, 215, 360])
def test_a_yard_told_in_feet_is_the_same_plan(seed: int) -> None:
    """The same yard in a file of either unit system, flights between wing walls too: same walls, same flights."""
    project, ground = realistic(seed)
    first = facts(plan(project, ground))
    assert first["flights"] and (seed == 3 or _wing_walls(project, ground))
    assert facts(plan(replace(project, units="us"), ground)) == first


def _wing_walls(project: Project, ground: Ground) -> list[str]:
    """Lines beside flights that are let into a bench."""
    return [line.id for line in terraces(project, ground, Standing()).lines if line.role == "cheek"]


@pytest.mark.parametrize("seed", range(12))
def test_a_millimetre_changes_no_id(seed: int) -> None:
    """A corner dragged by 1 mm changes no id, unless a named threshold is crossed."""
    project, ground = realistic(seed)
    rng = np.random.default_rng(seed)
    corner = int(rng.integers(1, len(project.area.outline_m)))
    way = float(rng.uniform(0, 2 * np.pi))
    changed, threshold = drag_changes(project, ground, corner, (0.001 * np.cos(way), 0.001 * np.sin(way)))
    assert changed == set() or threshold
