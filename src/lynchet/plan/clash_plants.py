"""Plants against everything placed and all that stays: root balls are looked at together, there may be thousands."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from lynchet.core.findings import Finding
from lynchet.core.outlines import polygons_of
from lynchet.plan.clash import Clash, stay_findings
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
    apart = [thing for thing in things if not rule_for("plant", thing.kind).may_share]
    rows = [(plant, planting.ball_m) for planting in planted.plantings for plant in planting.plants]
    if not rows or not apart:
        return []
    at = np.array([plant.point_m for plant, _ in rows])
    half = np.array([ball for _, ball in rows])[:, None]
    shapes = polygons_of(thing.outline_m for thing in apart)
    boxes = shapely.box(*(at - half).T, *(at + half).T)
    first, second = shapely.STRtree(shapes).query(boxes, predicate="intersects")
    found = []
    for plant, thing in ((rows[i][0], apart[j]) for i, j in zip(first.tolist(), second.tolist(), strict=True)):
        low, high = thing.levels_at(plant.point_m)
        depth = min(high, plant.top_m) - max(low, plant.bottom_m)
        if depth > 0:
            found.append(Clash(plant.id, thing.id, ("plant", thing.kind), plant.point_m, 0.0, depth))
    return found


def plant_stays(project: Project, planted: Planted) -> list[Finding]:
    """Root balls on houses, lot lines, roots, services and the rest."""
    return stay_findings(project, list(placed_plants(planted))) if project.houses or project.fixed else []
