"""From where the eye-level picture is drawn: a place the file names, or the foot of the garden, looking up the fall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Any

import numpy as np

from lynchet.drawings.axo_camera import FromEye
from lynchet.ground.surface import level_at
from lynchet.plan.model import Plan
from lynchet.project.views import EYE_M

Point = tuple[float, float]
HALF_WIDTH = 0.72
"""Half the picture's width over the distance: about what one takes in without turning the head."""
NEAR_M = 0.8
SAME_PLACE_M = 1e-6
_LEAST_M, _MOST_M = 2.5, 12.0
_ASKEW = radians(35.0)
"""How far to one side one stands to see walls and beds from their end as well."""
_FAR_M = 60.0


@dataclass(frozen=True, eq=False)
class Stand:
    """A standpoint."""

    name: str
    point_m: Point
    ground_m: float
    eye_m: float
    """Height of the eye over the ground."""
    way: Point
    """Plan direction one looks, a unit vector."""

    def camera(self, mirrored: bool) -> FromEye:
        """The eye."""
        return FromEye.looking((*self.point_m, self.ground_m + self.eye_m), self.way, mirrored)

    def inside(self, outline_m: Sequence[Point]) -> bool:
        """Whether one stands in or at an outline, nearer than anything is drawn."""
        from shapely.geometry import Point as Spot
        from shapely.geometry import Polygon

        return bool(Polygon(outline_m).distance(Spot(self.point_m)) < SAME_PLACE_M)

    def wedge(self) -> Any:
        """What lies before the eye, in plan, as a shapely polygon."""
        from shapely.geometry import Polygon

        (x, y), (ux, uy) = self.point_m, self.way
        ring = [
            (x + far * ux - side * far * HALF_WIDTH * uy, y + far * uy + side * far * HALF_WIDTH * ux)
            for far, side in ((NEAR_M, -1), (_FAR_M, -1), (_FAR_M, 1), (NEAR_M, 1))
        ]
        return Polygon(ring)


def stand_of(plan: Plan, number: int = 0) -> Stand:
    """One of the file's own standpoints, by its number from 0; without any, one at the foot of the garden.

    That is straight before the lowest wall; or askew to one side, where ground that falls sideways lets one look
    down on more of the beds there.
    """
    for view in plan.project.views[number : number + 1]:
        middle = _middle(plan) if view.toward_m is None else view.toward_m
        name = view.name[5:].lstrip() if view.name.lower().startswith("from ") else view.name
        return _stand(plan, name, (view.point_m, view.eye_m), middle)
    stands = [_before(plan, turn) for turn in (0.0, _ASKEW, -_ASKEW)]
    straight, *askew = stands
    free = [straight, *(stand for stand in askew if _free(plan, stand))]
    return max(free, key=lambda stand: _looked_down_on(plan, stand))  # the first of equals


def _before(plan: Plan, turn: float) -> Stand:
    """At the foot of the garden, so far off that all of it is in the picture, looking up the fall or askew to it."""
    (fx, fy), (ax, ay) = _up(plan), plan.terraces.along
    ux, uy = cos(turn) * fx + sin(turn) * ax, cos(turn) * fy + sin(turn) * ay
    points = np.array(_area(plan))
    along, up = points @ np.array((uy, -ux)), points @ np.array((ux, uy))
    half = 0.5 * float(along.max() - along.min())
    back = min(_MOST_M, max(_LEAST_M, 1.06 * half / HALF_WIDTH))
    across, low = 0.5 * float(along.max() + along.min()), float(up.min()) - back
    at = across * uy + low * ux, -across * ux + low * uy
    name = "the foot of the garden" + (", off to one side" if turn else "")
    return _stand(plan, name, (at, EYE_M), (at[0] + ux, at[1] + uy))


def _free(plan: Plan, stand: Stand) -> bool:
    """Whether nothing one may not stand on or look through lies between a standpoint and the garden."""
    from shapely.geometry import LineString, Polygon

    sight = LineString([stand.point_m, _middle(plan)])
    return not any(Polygon(house.outline_m).buffer(0.5).intersects(sight) for house in plan.project.houses)


def _looked_down_on(plan: Plan, stand: Stand) -> int:
    """How many beds lie under the eye."""
    eye = stand.ground_m + stand.eye_m
    return sum(face.level_m < eye for face in plan.terraces.beds)


def _stand(plan: Plan, name: str, eye: tuple[Point, float], toward: Point) -> Stand:
    at, height = eye
    dx, dy = toward[0] - at[0], toward[1] - at[1]
    size = hypot(dx, dy) or 1.0
    return Stand(name, at, _ground(plan, at), height, (dx / size, dy / size))


def _ground(plan: Plan, at: Point) -> float:
    """Level of the finished ground at a place; off all that was measured, that of the nearest reading."""
    from shapely.geometry import Point as Spot

    for face in plan.terraces.beds:
        if face.polygon.contains(Spot(at)):
            return face.level_m
    surface = plan.ground.surface
    found = float(level_at(surface, [at])[0])
    if not np.isnan(found):
        return found
    near = np.hypot(surface.points[:, 0] - at[0], surface.points[:, 1] - at[1]).argmin()
    return float(surface.points[near, 2])


def _up(plan: Plan) -> Point:
    x, y = plan.terraces.along
    return -y, x


def _area(plan: Plan) -> list[Point]:
    rings = [rings[0] for rings in plan.terraces.area_outlines_m] or [plan.project.area.outline_m]
    return [point for ring in rings for point in ring]


def _middle(plan: Plan) -> Point:
    points = np.array(_area(plan))
    x, y = points.mean(axis=0)
    return float(x), float(y)
