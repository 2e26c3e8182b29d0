"""The project's own frame: the same yard turned, mirrored or shifted becomes the same numbers.

Vertex 0 of the outline is the origin, edge 0 lies along +x, the area lies on the +y side. Plan coordinates are rounded
to 10 micrometres, so that rounding of the input's own coordinates cannot change a plan.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Number = TypeVar("Number", float, NDArray[np.float64])
_GRID = 1e5


@dataclass(frozen=True)
class Frame:
    """How the own frame lies in the file's coordinates."""

    origin_m: Point = (0.0, 0.0)
    axis: Point = (1.0, 0.0)
    """Unit vector of the own x axis in the file's coordinates."""
    mirrored: bool = False

    @staticmethod
    def of_outline(outline_m: Iterable[Point]) -> Frame:
        """The own frame of an outline.

        Args:
            outline_m: three vertices or more, not on one line; edge 0 is not of length zero.
        """
        points = list(outline_m)
        (x0, y0), (x1, y1) = points[0], points[1]
        length = hypot(x1 - x0, y1 - y0)
        twice_area = sum(
            (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
            for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1], strict=True)
        )
        return Frame((x0, y0), ((x1 - x0) / length, (y1 - y0) / length), twice_area < 0)

    def inward(self, point: Point) -> Point:
        """A point of the file in the own frame, rounded to 10 micrometres."""
        dx, dy = point[0] - self.origin_m[0], point[1] - self.origin_m[1]
        ux, uy = self.axis
        x, y = dx * ux + dy * uy, dy * ux - dx * uy
        return round(x * _GRID) / _GRID + 0.0, round((-y if self.mirrored else y) * _GRID) / _GRID + 0.0

    def outward(self, point: tuple[Number, Number]) -> tuple[Number, Number]:
        """A point of the own frame in the file's coordinates; many in one go, given as arrays of x and y."""
        x, y = point[0], -point[1] if self.mirrored else point[1]
        ux, uy = self.axis
        return self.origin_m[0] + x * ux - y * uy, self.origin_m[1] + x * uy + y * ux

    def bearing_inward(self, bearing_deg: float) -> float:
        """A bearing (clockwise from the file's +y) as a bearing clockwise from the own +y, 0 to 360.

        In a mirrored frame clockwise turns into anticlockwise; the result is measured in the own frame's sense.
        """
        dx, dy = sin(radians(bearing_deg)), cos(radians(bearing_deg))
        ux, uy = self.axis
        x, y = dx * ux + dy * uy, dy * ux - dx * uy
        return degrees(atan2(x, -y if self.mirrored else y)) % 360.0
