"""Stone aprons at outlets: their outline, and whether two would lie in one place."""

from __future__ import annotations

from math import hypot

from lynchet.water.routes import Pipe
from lynchet.water.settings import Settings
from lynchet.water.yard import Yard

_SAME_M = 1e-3
_APRON_M = 0.1
"""Depth of its stone."""
Point = tuple[float, float]


def apron_of(pipe: Pipe, settings: Settings) -> tuple[Point, ...]:
    """Stone four diameters long, widening (HEC-14, class 1), anticlockwise.

    Args:
        pipe: the solid pipe that ends at the outlet.
        settings: bore.
    """
    bore = settings.bore_m
    long, near, far = 4 * bore, 1.5 * bore, 1.5 * bore + 4 * bore / 3
    point, way = pipe.points_m[-1], way_out(pipe)
    left = (-way[1], way[0])

    def at(along: float, aside: float) -> Point:
        return point[0] + along * way[0] + aside * left[0], point[1] + along * way[1] + aside * left[1]

    return at(0.0, -near), at(long, -far), at(long, far), at(0.0, near)


def way_out(pipe: Pipe) -> Point:
    """Unit vector in which a pipe pours."""
    point, before = pipe.points_m[-1], pipe.points_m[-2]
    length = hypot(point[0] - before[0], point[1] - before[1])
    return (point[0] - before[0]) / length, (point[1] - before[1]) / length


def meets_apron(pipe: Pipe, others: list[Pipe], settings: Settings) -> bool:
    """Whether the apron of one outlet would lie on that of another.

    Args:
        pipe: ends at an outlet.
        others: so do these.
        settings: bore.
    """
    from shapely.geometry import Polygon

    reach = 12 * settings.bore_m
    here = pipe.points_m[-1]
    near = [o for o in others if hypot(o.points_m[-1][0] - here[0], o.points_m[-1][1] - here[1]) < reach]
    if not near:
        return False
    mine = Polygon(apron_of(pipe, settings))
    return any(mine.intersects(Polygon(apron_of(other, settings))) for other in near)


def apron_barred(yard: Yard, pipe: Pipe) -> bool:
    """Whether the apron of an outlet would lie where the boxes of steps stand, or on ground that what stays needs.

    Args:
        yard: for its steps, roots, services, old walls.
        pipe: ends at the outlet.
    """
    from shapely.geometry import Point as Dot
    from shapely.geometry import Polygon

    dot, reach = Dot(pipe.points_m[-1]), 6 * yard.settings.bore_m
    stays = not yard.kept.is_empty and yard.kept.dwithin(dot, reach)
    if not stays and not yard.step_near(dot, reach):
        return False
    apron = Polygon(apron_of(pipe, yard.settings))
    return yard.step_near(apron, _SAME_M) or (stays and bool(yard.kept.intersects(apron)))


def passes_apron(yard: Yard, pipes: list[Pipe], mouths: list[Pipe]) -> bool:
    """Whether a pipe would lie in the stone apron of an outlet that is not its own.

    Args:
        yard: for the ground at the outlets.
        pipes: any pipes.
        mouths: solid pipes that end at outlets.
    """
    from shapely.geometry import LineString, Polygon

    s = yard.settings
    for mouth in mouths:
        near = [p for p in pipes if p.part_of != mouth.part_of and _in_reach(mouth.points_m[-1], p, 6 * s.bore_m)]
        if not near:
            continue
        apron = Polygon(apron_of(mouth, s)).buffer(s.radius_m, join_style="mitre")
        for pipe in near:
            if not apron.intersects(LineString(pipe.points_m)):
                continue
            ground = float(yard.level_at([mouth.points_m[-1]])[0])
            top = mouth.inverts_m[-1] if ground != ground else min(ground, mouth.inverts_m[-1])
            low = top - _APRON_M if ground != ground else ground - _APRON_M
            parts = zip(pipe.points_m, pipe.points_m[1:], pipe.inverts_m, pipe.inverts_m[1:], strict=False)
            for a, b, ya, yb in parts:
                levels = min(ya, yb) - s.wall_m < top and max(ya, yb) + s.outside_m - s.wall_m > low
                if levels and apron.intersects(LineString([a, b])):
                    return True
    return False


def _in_reach(point: Point, pipe: Pipe, reach: float) -> bool:
    """Whether the box round a pipe comes so near to a point: what lies further needs no closer look."""
    left, low, right, high = pipe.box_m
    return left - reach <= point[0] <= right + reach and low - reach <= point[1] <= high + reach
