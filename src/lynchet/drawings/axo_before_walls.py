"""The strips of ground in front of leaning walls that lie inside the outline of the bed behind them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lynchet.plan.model import Plan


def before_walls(plan: Plan, shape: Any) -> Iterator[tuple[Any, float | None]]:
    """What a leaning wall leaves free of its line: ground in front of it, though inside the bed's outline.

    Each with the level of the bed in front of it; None where the ground there is as it was.
    """
    import shapely

    for leg in plan.walls.legs:
        for segment in leg.segments if leg.setback_m > 0 else ():
            far = leg.setback_m * (segment.top - leg.lowest_course) + leg.thickness_m / 2.0
            span = leg.span_at(0.5 * (segment.start_m + segment.end_m))
            if span.held > 0:
                corners = ((segment.start_m, 0.0), (segment.end_m, 0.0), (segment.end_m, far), (segment.start_m, far))
                strip = shapely.polygons([leg.point_at(station, left) for station, left in corners])
                front = plan.terraces.face(span.low_face)
                if strip.intersects(shape):
                    yield strip, front.level_m if front is not None and front.kind == "bed" else None
