"""Plants against everything placed and all that stays: root balls are looked at together, there may be thousands."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import shapely

from lynchet.core.findings import Finding
from lynchet.core.same import Same
from lynchet.plan.clash import Clash, stay_findings, things_that_stay
from lynchet.plan.gathered import gathered
from lynchet.plan.placed import Placed, placed_plants
from lynchet.plan.sharing import rule_for
from lynchet.planting.model import Planted
from lynchet.project.model import Project


def plant_clashes(planted: Planted, things: Sequence[Placed]) -> list[Clash]:
    """Root balls that meet what they may not.

    Args:
        planted: every plant.
        things: what else the plan places.
    """
    apart = gathered(things).where(lambda kind: not rule_for("plant", kind).may_share)
    boxes = _balls(Same(planted))
    if not len(boxes) or not apart:
        return []
    plants = [(planting, n) for planting in planted.plantings for n in range(planting.count)]
    first, second = apart.tree.query(boxes, predicate="intersects")
    found = []
    for (planting, number), thing in zip([plants[i] for i in first.tolist()],
                                         [apart[j] for j in second.tolist()], strict=True):  # fmt: skip
        plant = planting.plants[number]
        low, high = thing.levels_at(plant.point_m)
        depth = min(high, plant.top_m) - max(low, plant.bottom_m)
        if depth > 0:
            found.append(Clash(plant.id, thing.id, ("plant", thing.kind), plant.point_m, 0.0, depth))
    return found


@lru_cache(maxsize=2)
def _balls(same: Same[Planted]) -> Any:
    """(n,) root balls of all plants, as boxes; asked for twice."""
    planted = same.thing
    points = [point for planting in planted.plantings for point in planting.points_m]
    if not points:
        return np.array([], dtype=object)
    counts = [planting.count for planting in planted.plantings]
    half = np.repeat([planting.ball_m for planting in planted.plantings], counts)[:, None]
    at = np.array(points)
    return shapely.box(*(at - half).T, *(at + half).T)


def plant_stays(project: Project, planted: Planted) -> list[Finding]:
    """Root balls on houses, lot lines, roots, services and the rest."""
    if not (project.houses or project.fixed):
        return []
    boxes = _balls(Same(planted))
    stays = [shape for shape, _, _ in things_that_stay(project)]
    shapely.prepare(stays)
    if not any(shapely.intersects(shape, boxes).any() for shape in stays):
        return []  # most yards by far: no thing need be made of every plant
    return stay_findings(project, list(placed_plants(planted)))
