"""What plants keep clear of: pipes, ties, timber, steps, open edges, houses, roots and all else that stays."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from lynchet.core.frame import Point
from lynchet.core.kept import outlines_of
from lynchet.core.outlines import polygons_of
from lynchet.core.same import Same
from lynchet.project.model import Project
from lynchet.project.things import Fixed, LotLine
from lynchet.stability.model import Stability
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Leg, Walls
from lynchet.water.model import Water

Array = NDArray[np.float64]
CLEAR_M = 0.05
"""Gap from a root ball to anything placed. PRACTICE."""
HOUSE_M = 0.305
"""Beyond half the grown spread, from a building: Clemson Cooperative Extension (1 ft)."""
_ROOTS_THROUGH = frozenset({"stone", "fabric", "cut-off stone"})
"""Plants may stand over drain stone: it lies under a cover of soil and fabric."""
_OPEN = float("inf")
FALLS_M = 0.02
"""An edge over which the ground is lower by more than this, and no timber holds it, is kept off. PRACTICE."""
_SHORT_M = 1e-3


@dataclass(frozen=True)
class Buried:
    """Earlier results with what lies in the beds."""

    water: Water
    stability: Stability


@dataclass(frozen=True)
class Kept:
    """Everything plants keep clear of, indexed."""

    tree: Any
    tops_m: Array
    """Highest level of each; a plant is in its way only where its roots reach down to it."""
    houses: Any
    """(n,) outlines."""

    def free(self, points: Array, roots_m: Array, balls_m: Array, spreads_m: Array) -> NDArray[np.bool_]:
        """Which places are clear.

        Args:
            points: (n, 2) plan places.
            roots_m: (n,) level the roots or the hole reach down to.
            balls_m: (n,) half width of the root ball.
            spreads_m: (n,) grown spread.
        """
        found = np.ones(len(points), dtype=bool)
        if not len(points):
            return found
        at: Any = shapely.points(points)
        reach = balls_m * np.sqrt(2.0) + CLEAR_M
        plant, thing = self.tree.query(at, predicate="dwithin", distance=reach)
        found[plant[self.tops_m[thing] > roots_m[plant]]] = False
        reach = spreads_m / 2.0 + HOUSE_M - 1e-9
        for house, box in zip(self.houses, shapely.bounds(self.houses), strict=True):
            away = np.maximum(box[:2] - points, points - box[2:]).max(axis=1)
            near = np.flatnonzero(away <= reach)
            found[near[shapely.distance(house, at[near]) <= reach[near]]] = False
        return found


def kept_clear(project: Project, terraces: Terraces, walls: Walls, buried: Buried) -> Kept:
    """All of it, from what is built, buried and what stays."""
    runs, bodies = walls.runs, buried.water.bodies
    shapes = [*outlines_of(Same(runs)), *outlines_of(Same(bodies), _ROOTS_THROUGH)]
    tops = [*(run.top_m for run in runs), *(body.top_m for body in bodies if body.kind not in _ROOTS_THROUGH)]
    rings: list[Sequence[Point]] = []
    for outline, top in _placed(terraces, buried.water, buried.stability):
        rings.append(outline)
        tops.append(top)
    shapes += [*polygons_of(rings), *_open_edges(terraces, walls),
               *_staying(project.lot_lines, project.fixed)]  # fmt: skip
    tops += [_OPEN] * (len(shapes) - len(tops))
    houses = polygons_of([house.outline_m for house in project.houses])
    return Kept(shapely.STRtree(shapes), np.array(tops), houses)


def _placed(terraces: Terraces, water: Water, stability: Stability) -> Iterable[tuple[Sequence[Point], float]]:
    """Outlines and tops of all but timber and what lies about the drains."""
    for outlet in water.outlets:
        if outlet.apron_m:
            yield outlet.apron_m, _OPEN
    for tie in stability.ties:
        yield tie.outline_m, tie.top_m
        yield tie.cross_outline_m, tie.top_m
    for flight in terraces.flights:
        for tread in flight.treads:
            yield tread.outline_m, _OPEN


def _open_edges(terraces: Terraces, walls: Walls) -> Iterable[Any]:
    """Edges of beds where the ground falls away and nothing is built: roots would lie bare, the hole break out."""
    beds = {bed.id for bed in terraces.beds}
    for leg in walls.legs:
        for span in leg.spans:
            drop = max(span.high0_m - span.low0_m, span.high1_m - span.low1_m)
            if span.high_face in beds and drop > FALLS_M:
                for start, end in _unbuilt(leg, span.start_m, span.end_m):
                    yield shapely.LineString([leg.point_at(start, 0.0), leg.point_at(end, 0.0)])


def _unbuilt(leg: Leg, start_m: float, end_m: float) -> Iterable[tuple[float, float]]:
    """Stretches of a leg between two stations where no wall stands."""
    for segment in sorted(leg.segments, key=lambda one: one.start_m):
        if segment.start_m - start_m > _SHORT_M and start_m < end_m:
            yield start_m, min(segment.start_m, end_m)
        start_m = max(start_m, segment.end_m)
    if end_m - start_m > _SHORT_M:
        yield start_m, end_m


@lru_cache(maxsize=8)
def _staying(lines: tuple[LotLine, ...], things: tuple[Fixed, ...]) -> tuple[Any, ...]:
    """Kept by value from plan to plan of a yard."""
    found = [shapely.LineString(line.line_m) for line in lines]
    for fixed in things:
        found.append(fixed.shape.buffer(fixed.clear_m or (0.6 if fixed.kind == "service" else CLEAR_M)))
    return tuple(found)
