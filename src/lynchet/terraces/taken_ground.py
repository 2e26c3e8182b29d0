"""Ground spoken for while flights are placed, and which of it is clear of timber."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from lynchet.core.kept import grown, less
from lynchet.core.outlines import polygons_of
from lynchet.core.plane import Point, left_of, move
from lynchet.terraces.crossings import Plot
from lynchet.terraces.model import Face, WallLine

PLAY_M = 2e-3
"""By so much a landing may pass the line it ends at."""
_OFF_TIMBER_M = 1e-4


@dataclass
class TakenGround:
    """Ground spoken for while flights are placed."""

    outlines: list[Any] = field(default_factory=list)
    """Of steps, with the timber beside those that are let in."""
    let_in: list[Any] = field(default_factory=list)
    """Of steps that are let in, without their timber."""
    landings: list[Any] = field(default_factory=list)
    rooms: dict[str, Any] = field(default_factory=dict)
    """Ground of each face that is clear of timber, worked out where something comes near to some."""
    timbers: dict[str, Any] = field(default_factory=dict)
    """Where timber may stand on each face looked at."""

    def covers(self, polygon: Any, face: Face, plot: Plot, thick_m: float) -> bool:
        """Whether a piece of ground lies on a face, clear of timber."""
        import shapely

        if face.id not in self.timbers:
            walls = [line for line in plot.lines if line.finish == "wall"]
            held = [(line, side) for line in walls for side in line.sides if side.left == face.id]
            self.timbers[face.id] = polygons_of(_timber(line, side.start_m, side.end_m, thick_m) for line, side in held)
        timbers = self.timbers[face.id]
        if not shapely.dwithin(timbers, polygon, _OFF_TIMBER_M).any():  # there the clear ground is all the face's
            return bool(face.polygon.covers(polygon) or grown(face.polygon, PLAY_M, "mitre").covers(polygon))
        if face.id not in self.rooms:
            region = face.polygon
            for timber in timbers:
                region = less(region, timber, 1e-6)
            self.rooms[face.id] = grown(region, PLAY_M, "mitre")
        return bool(self.rooms[face.id].covers(polygon))


def _timber(line: WallLine, start_m: float, end_m: float, thick_m: float) -> tuple[Point, ...]:
    """Outline of where timber may stand beside a stretch of a line."""
    length = line.length_m
    way = (line.end_m[0] - line.start_m[0]) / length, (line.end_m[1] - line.start_m[1]) / length
    left = left_of(way)
    a, b = move(line.start_m, way, start_m - thick_m), move(line.start_m, way, end_m + thick_m)
    return a, b, move(b, left, thick_m), move(a, left, thick_m)
