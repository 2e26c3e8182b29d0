"""What a tie or a pin must stay clear of: pipes, other walls, flights, things that stay, lot lines, other ties."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import shapely

from lynchet.core.frame import Point
from lynchet.stability.places import Yard

PIPE_CLEAR_M = 0.10
"""Clear of pipes and fittings on every side. PRACTICE."""
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
        for one in self._near(outline):
            if one.owner != but and one.bottom_m < top_m - 1e-6 and one.top_m > bottom_m + 1e-6:
                return True
        return False

    def _near(self, outline: Any) -> Iterator[Obstacle]:
        for index in self._tree.query(outline, predicate="intersects"):
            yield self.standing[int(index)]
        for one in self.ties:
            if outline.intersects(one.outline):
                yield one


def obstacles(yard: Yard) -> Obstacles:
    """Everything that stands before ties are placed; a leg's own timber is owned by the leg."""
    return Obstacles([*_built(yard), *_stays(yard)])


def _built(yard: Yard) -> Iterator[Obstacle]:
    runs = yard.walls.runs
    shapes: Any = shapely.buffer([run.polygon for run in runs], TIMBER_CLEAR_M, join_style="mitre") if runs else []
    for run, shape in zip(runs, shapes, strict=True):
        yield Obstacle(shape, run.bottom_m, run.top_m, run.leg)
    bodies = [body for body in yard.water.bodies if body.kind not in ("stone", "fabric")]
    wide: Any = shapely.buffer([shapely.Polygon(body.outline_m) for body in bodies], PIPE_CLEAR_M) if bodies else []
    for body, shape in zip(bodies, wide, strict=True):
        yield Obstacle(shape, body.bottom_m - PIPE_CLEAR_M, body.top_m + PIPE_CLEAR_M, body.id)
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
