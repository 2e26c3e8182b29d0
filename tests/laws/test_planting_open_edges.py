"""Plants keep clear of a bed's edge where the ground falls away and no timber holds it."""

from __future__ import annotations

import pytest
import shapely

from demo_plans import DEMOS, demo
from lynchet.ground.surface import level_at
from lynchet.planting.keep_clear import CLEAR_M
from worked import SEEDS, plan_of

FALLS_M = 0.02


@pytest.mark.parametrize("yard", [*DEMOS, *SEEDS])
def test_no_root_ball_reaches_an_open_edge(yard: str | int) -> None:
    """Beyond every plant's root ball there is ground as high as its bed, or timber that holds it, looked up from the
    outline of the bed, the timber placed and the ground outside; not from the wall lines."""
    plan = demo(yard) if isinstance(yard, str) else plan_of(yard)
    timber = shapely.union_all([run.polygon for run in plan.walls.runs])
    faces = shapely.union_all([face.polygon for face in plan.terraces.faces])
    beds = {bed.id: bed for bed in plan.terraces.beds}
    for planting in plan.planted.plantings:
        bed = beds[planting.bed]
        for plant in planting.plants:
            at = shapely.Point(plant.point_m)
            ball = at.buffer(planting.ball_m * 2**0.5 + CLEAR_M - 1e-3)
            edge = shapely.intersection(bed.polygon.exterior, ball)
            for part in getattr(edge, "geoms", [edge]):
                if part.is_empty or part.length < 0.02:
                    continue
                middle = part.interpolate(0.5, normalized=True)
                if shapely.distance(middle, timber) < 0.05:
                    continue
                away = 0.02 / max(at.distance(middle), 1e-6)
                out = shapely.Point(middle.x + away * (middle.x - at.x), middle.y + away * (middle.y - at.y))
                if faces.contains(out):
                    continue
                (level,) = level_at(plan.ground.surface, [(out.x, out.y)])
                assert bed.level_m - level <= FALLS_M + 0.01, (plant.id, bed.level_m, level)
