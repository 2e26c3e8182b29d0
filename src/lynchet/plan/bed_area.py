"""Level ground in the beds: the benches less timber, path strips, steps and their landings."""

from __future__ import annotations

from typing import Any

from lynchet.core.slivers import wide_enough
from lynchet.plan.model import Plan
from lynchet.units.format import area

_GRID_M = 1e-5


def plantable_m2(plan: Plan) -> float:
    """Plan area of all beds, square metres, without timber, path strips, steps, landings and slivers beside them.

    A run whose top lies under the bed is buried and takes nothing away.
    """
    import shapely

    total = 0.0
    steps: list[Any] = []
    for flight in plan.terraces.flights:
        steps += [shapely.Polygon(tread.outline_m) for tread in flight.treads]
        steps += [shapely.Polygon(landing.outline_m) for landing in flight.landings]
    for face in plan.terraces.beds:
        level = face.level_m
        taken: list[Any] = [run.polygon for run in plan.walls.runs if run.top_m > level + 1e-6]
        taken += [shapely.Polygon(ring) for ring in face.strip_m]
        taken += steps
        near = [shape for shape in taken if shape.intersects(face.polygon)]
        left: Any = face.polygon
        if near:
            left = shapely.difference(left, shapely.union_all(near, grid_size=_GRID_M), grid_size=_GRID_M)
        total += float(wide_enough(left).area)
    return total


def beds_words(plan: Plan, bed_m2: float) -> str:
    """Area of the beds, and what of it the planting sheet plants, with what makes the difference."""
    units, soil_m2 = plan.project.units, sum(bed.soil_m2 for bed in plan.planted.beds)
    said = f"{area(bed_m2, units)} of level ground in the beds"
    if not plan.planted.beds or area(soil_m2, units) == area(bed_m2, units):
        return said
    ways = plan.terraces.flights
    why = "the way from steps to steps and timber under the soil stay free" if ways else "timber under it stays free"
    return f"{said}, {area(soil_m2, units)} of it to plant ({why})"
