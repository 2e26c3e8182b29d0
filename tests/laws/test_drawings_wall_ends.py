"""The detail of a wall's end names every wall that ends alone, be it at a corner of the yard."""

from __future__ import annotations

import pytest
from shapely import union_all
from shapely.geometry import Point

from demo_plans import DEMOS, demo
from lynchet.drawings.detail_faces import end_detail
from lynchet.drawings.figures import Figures


@pytest.mark.parametrize("name", DEMOS)
def test_every_wall_that_ends_alone_is_named(name: str) -> None:
    """Where the farthest corner of a wall lies over 0.4 m from the timber of every other, the detail names it."""
    plan = demo(name)
    detail = next(end_detail(plan, Figures(plan.project.units)), None)
    said = detail.used.replace(",", " ").replace(".", " ").split() if detail else []
    for leg in plan.walls.legs:
        own = [run.polygon for run in plan.walls.runs if run.leg == leg.id]
        rest = [run.polygon for run in plan.walls.runs if run.leg != leg.id]
        if not own or not rest:
            continue
        (ax, ay), (bx, by) = leg.start_m, leg.end_m
        along = [(x - ax) * (bx - ax) + (y - ay) * (by - ay) for shape in own for x, y in shape.exterior.coords]
        points = [point for shape in own for point in shape.exterior.coords]
        ends = points[along.index(min(along))], points[along.index(max(along))]
        others = union_all(rest)
        if any(others.distance(Point(end)) > 0.4 for end in ends):
            assert leg.id in said, (leg.id, detail)
