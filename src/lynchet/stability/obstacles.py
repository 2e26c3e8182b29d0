"""What a tie or a pin must stay clear of: pipes, other walls, flights, things that stay, lot lines, other ties."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from lynchet.core.frame import Point
from lynchet.core.outlines import polygons_of
from lynchet.stability.kinds import Array
from lynchet.stability.places import Yard

PIPE_CLEAR_M = 0.10
"""Clear of pipes and fittings to the side. PRACTICE."""
PIPE_OVER_M = 0.05
"""Clear of pipes over and under them: the gap the clash check asks of a tie and a pipe. PRACTICE."""
TIMBER_CLEAR_M = 0.02
SERVICE_CLEAR_M = 0.60
"""Hand-digging zone of a service line where the file gives none. PRACTICE."""


@dataclass(frozen=True)
class Obstacle:
    """An outline with the levels between which it is in the way."""

    outline: Any
    bottom_m: float
    top_m: float
    owner: str


@dataclass
class Obstacles:
    """What stands before ties are placed, and the ties placed since."""

    standing: list[Obstacle]
    ties: list[Obstacle] = field(default_factory=list)

    @cached_property
    def _tree(self) -> Any:
        return shapely.STRtree([one.outline for one in self.standing])

    def add(self, outline: Any, bottom_m: float, top_m: float, owner: str) -> None:
        """One more tie in the way."""
        self.ties.append(Obstacle(outline, bottom_m, top_m, owner))

    def blocks(self, outline: Any, bottom_m: float, top_m: float, but: str = "") -> bool:
        """True where a thing of this outline and these levels meets anything not owned by ``but``."""
        hit = self.hits(np.array([outline]), np.array([(bottom_m, top_m)]), but)
        return bool(hit[0]) or self.meets_tie(outline, bottom_m, top_m)

    def meets_tie(self, outline: Any, bottom_m: float, top_m: float) -> bool:
        """True where a thing of this outline and these levels meets a tie placed since."""
        return any(
            one.bottom_m < top_m - 1e-6 and one.top_m > bottom_m + 1e-6 and outline.intersects(one.outline)
            for one in self.ties
        )

    def hits(self, outlines: Any, levels_m: Array, but: str = "") -> NDArray[np.bool_]:
        """Whether each of many things meets what stands, what is owned by ``but`` left out.

        Args:
            outlines: (n,) polygons.
            levels_m: (n, 2) bottoms and tops.
            but: an owner.
        """
        thing, other = self._tree.query(outlines, predicate="intersects")
        low, high, owners = self._levels
        meets = (low[other] < levels_m[thing, 1] - 1e-6) & (high[other] > levels_m[thing, 0] + 1e-6)
        found = np.zeros(len(outlines), dtype=np.bool_)
        found[thing[meets & (owners[other] != but)]] = True
        return found

    @cached_property
    def _levels(self) -> tuple[Array, Array, NDArray[np.str_]]:
        low = np.array([one.bottom_m for one in self.standing], dtype=np.float64)
        high = np.array([one.top_m for one in self.standing], dtype=np.float64)
        return low, high, np.array([one.owner for one in self.standing], dtype=np.str_)


def obstacles(yard: Yard) -> Obstacles:
    """Everything that stands before ties are placed; a leg's own timber is owned by the leg."""
    return Obstacles([*_built(yard), *_stays(yard)])


def _built(yard: Yard) -> Iterator[Obstacle]:
    runs = yard.walls.runs
    shapes: Any = (
        shapely.buffer(polygons_of(run.outline_m for run in runs), TIMBER_CLEAR_M, join_style="mitre") if runs else []
    )
    for run, shape in zip(runs, shapes, strict=True):
        yield Obstacle(shape, run.bottom_m, run.top_m, run.leg)
    bodies = [body for body in yard.water.bodies if body.kind not in ("stone", "fabric")]
    wide: Any = shapely.buffer(polygons_of(body.outline_m for body in bodies), PIPE_CLEAR_M) if bodies else []
    for body, shape in zip(bodies, wide, strict=True):
        yield Obstacle(shape, body.bottom_m - PIPE_OVER_M, body.top_m + PIPE_OVER_M, body.id)
    for flight in yard.terraces.flights:
        low = min((tread.bottom_m for tread in flight.treads), default=flight.foot_level_m)
        outline = shapely.Polygon(flight.outline_m).buffer(TIMBER_CLEAR_M)
        yield Obstacle(outline, low - 0.1, flight.head_level_m, flight.id)


def _stays(yard: Yard) -> Iterator[Obstacle]:
    low, high = float("-inf"), float("inf")
    for house in yard.project.houses:
        yield Obstacle(shapely.Polygon(house.outline_m).buffer(0.05), low, high, "house")
    for fixed in yard.project.fixed:
        clear = fixed.clear_m or SERVICE_CLEAR_M
        yield Obstacle(fixed_shape(fixed.line_m, fixed.closed).buffer(clear), low, high, fixed.id)
    for line in yard.project.lot_lines:
        yield Obstacle(shapely.LineString(line.line_m).buffer(0.01), low, high, line.name)


def fixed_shape(line_m: tuple[Point, ...], closed: bool) -> Any:
    """Point, line or outline of a thing that stays."""
    if len(line_m) == 1:
        return shapely.Point(line_m[0])
    return shapely.Polygon(line_m) if closed and len(line_m) > 2 else shapely.LineString(line_m)
