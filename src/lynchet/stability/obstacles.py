"""What a tie or a pin must stay clear of: pipes, other walls, flights, things that stay, lot lines, other ties."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import shapely

from lynchet.core.frame import Point
from lynchet.stability.places import Yard

PIPE_CLEAR_M = 0.10
"""Clear of pipes and fittings on every side. PRACTICE."""
TIMBER_CLEAR_M = 0.02
SERVICE_CLEAR_M = 0.60
"""Hand-digging zone of a service line where the file gives none. PRACTICE."""


@dataclass
class Obstacles:
    """Outlines with the levels between which they are in the way; grows as ties are placed."""

    outlines: list[Any] = field(default_factory=list)
    bottoms_m: list[float] = field(default_factory=list)
    tops_m: list[float] = field(default_factory=list)
    owners: list[str] = field(default_factory=list)

    def add(self, outline: Any, bottom_m: float, top_m: float, owner: str) -> None:
        """One more thing in the way."""
        self.outlines.append(outline)
        self.bottoms_m.append(bottom_m)
        self.tops_m.append(top_m)
        self.owners.append(owner)

    def blocks(self, outline: Any, bottom_m: float, top_m: float, but: str = "") -> bool:
        """True where a thing of this outline and these levels meets anything not owned by ``but``."""
        for other, low, high, owner in zip(self.outlines, self.bottoms_m, self.tops_m, self.owners, strict=True):
            if owner != but and low < top_m - 1e-6 and high > bottom_m + 1e-6 and outline.intersects(other):
                return True
        return False


def obstacles(yard: Yard) -> Obstacles:
    """Everything that stands before ties are placed; a leg's own timber is owned by the leg."""
    found = Obstacles()
    for run in yard.walls.runs:
        found.add(run.polygon.buffer(TIMBER_CLEAR_M, join_style="mitre"), run.bottom_m, run.top_m, run.leg)
    for body in yard.water.bodies:
        if body.kind not in ("stone", "fabric"):
            outline = shapely.Polygon(body.outline_m).buffer(PIPE_CLEAR_M)
            found.add(outline, body.bottom_m - PIPE_CLEAR_M, body.top_m + PIPE_CLEAR_M, body.id)
    for flight in yard.terraces.flights:
        low = min((tread.bottom_m for tread in flight.treads), default=flight.foot_level_m)
        found.add(shapely.Polygon(flight.outline_m).buffer(TIMBER_CLEAR_M), low - 0.1, flight.head_level_m, flight.id)
    _add_stays(yard, found)
    return found


def _add_stays(yard: Yard, found: Obstacles) -> None:
    everywhere = (float("-inf"), float("inf"))
    for house in yard.project.houses:
        found.add(shapely.Polygon(house.outline_m).buffer(0.05), *everywhere, "house")
    for fixed in yard.project.fixed:
        found.add(_shape(fixed.line_m, fixed.closed).buffer(fixed.clear_m or SERVICE_CLEAR_M), *everywhere, fixed.id)
    for line in yard.project.lot_lines:
        found.add(shapely.LineString(line.line_m).buffer(0.01), *everywhere, line.name)


def _shape(line_m: tuple[Point, ...], closed: bool) -> Any:
    if len(line_m) == 1:
        return shapely.Point(line_m[0])
    return shapely.Polygon(line_m) if closed and len(line_m) > 2 else shapely.LineString(line_m)
