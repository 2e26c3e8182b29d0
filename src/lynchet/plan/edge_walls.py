"""Steps and the walls on edges that end as banks: where these stand is known only once the walls are built."""

from __future__ import annotations

from lynchet.core.intervals import joined
from lynchet.core.outlines import polygons_of
from lynchet.plan.clash import LEAST_AREA_M2, LEAST_DEPTH_M
from lynchet.terraces.crossings import EdgeWall
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Leg, Run, Walls


def edge_walls_met(laid: Terraces, built: Walls) -> tuple[EdgeWall, ...]:
    """The walls on edges that end as banks, where a step of the terraces stands in one; else none.

    Args:
        laid: the terraces, laid out without knowing of these walls.
        built: the walls on them.
    """
    banks = {line.id for line in laid.lines if line.finish == "bank"}
    if not laid.flights or not banks or not _met(laid, [run for run in built.runs if run.leg in banks]):
        return ()
    return tuple(EdgeWall(leg.id, part) for leg in built.legs if leg.id in banks for part in _strips(leg))


def _met(laid: Terraces, runs: list[Run]) -> bool:
    """Whether a step stands in one of these courses."""
    import shapely

    treads = [tread for flight in laid.flights if flight.kind == "projecting" for tread in flight.treads]
    boxes, timber = polygons_of(t.outline_m for t in treads), polygons_of(run.outline_m for run in runs)
    for i, j in zip(*shapely.STRtree(timber).query(boxes, predicate="intersects"), strict=True):
        deep = min(treads[i].top_m, runs[j].top_m) - max(treads[i].bottom_m, runs[j].bottom_m)
        if deep > LEAST_DEPTH_M and shapely.intersection(boxes[i], timber[j]).area > LEAST_AREA_M2:
            return True
    return False


def _strips(leg: Leg) -> list[tuple[tuple[float, float], ...]]:
    """Outlines of its timber, from end to end."""
    parts = joined([(segment.start_m, segment.end_m) for segment in leg.segments], 1e-9)
    return [(leg.point_at(a, 0.0), leg.point_at(b, 0.0), leg.point_at(b, leg.thickness_m),
             leg.point_at(a, leg.thickness_m)) for a, b in parts]  # fmt: skip
