"""Stone aprons at outlets: their outline, and whether two would lie in one place."""

from __future__ import annotations

from math import hypot

from lynchet.water.routes import Pipe
from lynchet.water.settings import Settings

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
