"""Where the section is cut: square to the walls between benches, where it meets most of them and no steps."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import hypot
from typing import Any

from lynchet.core.same import Same
from lynchet.drawings.kept import area_of
from lynchet.drawings.source import Planned

Point = tuple[float, float]
_BEYOND_M = 2.0
_HOUSE_M = 3.0
"""A house this much further off is drawn too."""
_INTO_M = 0.6
_TRIES = 25


@dataclass(frozen=True)
class Cut:
    """A straight cut through the yard, from the low side up."""

    start_m: Point
    end_m: Point

    @cached_property
    def length_m(self) -> float:
        """Length in plan."""
        return hypot(self.end_m[0] - self.start_m[0], self.end_m[1] - self.start_m[1])

    @cached_property
    def direction(self) -> Point:
        """Unit vector uphill."""
        dx, dy = self.end_m[0] - self.start_m[0], self.end_m[1] - self.start_m[1]
        return dx / self.length_m, dy / self.length_m

    def at(self, station_m: float) -> Point:
        """The plan point at a distance from the start."""
        ux, uy = self.direction
        return self.start_m[0] + station_m * ux, self.start_m[1] + station_m * uy

    def station_of(self, point: Point) -> float:
        """Distance from the start of the foot of the perpendicular from a point."""
        ux, uy = self.direction
        return (point[0] - self.start_m[0]) * ux + (point[1] - self.start_m[1]) * uy

    def line(self) -> Any:
        """As a shapely line."""
        return self._line

    @cached_property
    def _line(self) -> Any:
        from shapely.geometry import LineString

        return LineString((self.start_m, self.end_m))


def section_cut(plan: Planned) -> Cut | None:
    """The section of a plan, or None where the area has no room for one.

    Of evenly spread cuts, the one that meets the most fronts, then the fewest steps, then lies nearest to the middle.
    """
    return _section_cut(Same(plan))


@lru_cache(maxsize=4)
def _section_cut(same: Same[Planned]) -> Cut | None:
    plan = same.thing
    ax, ay = plan.terraces.along
    ux, uy = -ay, ax
    outline = plan.project.area.outline_m
    sides = [x * ax + y * ay for x, y in outline]
    ups = [x * ux + y * uy for x, y in outline]
    low, high = min(ups) - _BEYOND_M, max(ups) + _BEYOND_M
    best: tuple[tuple[int, int, float], Cut] | None = None
    for n in range(1, _TRIES):
        side = min(sides) + n / _TRIES * (max(sides) - min(sides))
        cut = Cut((side * ax + low * ux, side * ay + low * uy), (side * ax + high * ux, side * ay + high * uy))
        score = _score(plan, cut, abs(n - 0.47 * _TRIES))
        if score is not None and (best is None or score < best[0]):
            best = score, cut
    return _ended(plan, best[1]) if best else None


def _score(plan: Planned, cut: Cut, off_middle: float) -> tuple[int, int, float] | None:
    line = cut.line()
    if not area_of(plan.project.area.outline_m).intersects(line):
        return None
    met = {run.leg for run in plan.walls.runs if run.polygon.intersects(line)}
    square = {leg.id for leg in plan.walls.legs if abs(_across(leg.direction, cut.direction)) > 0.8}
    flights = sum(area_of(flight.outline_m, 0.3).intersects(line) for flight in plan.terraces.flights)
    ties = sum(area_of(tie.outline_m, 0.05).intersects(line) for tie in plan.stability.ties)
    along = len(met - square)
    return -len(met & square), flights + along, off_middle - 0.5 * min(ties, 1)


def _met(long: Cut, shape: Any, cut: Cut) -> list[float]:
    """Stations on the cut where a longer cut meets the outline of a house."""
    found = shape.exterior.intersection(long.line())
    return [cut.station_of((part.x, part.y)) for part in getattr(found, "geoms", [found]) if part.geom_type == "Point"]


def _across(a: Point, b: Point) -> float:
    return a[0] * b[1] - a[1] * b[0]


def _ended(plan: Planned, cut: Cut) -> Cut:
    """The cut, no further than the ground is measured, and a little into a house it meets."""
    from shapely.geometry import Polygon, box

    start, end = -_HOUSE_M, cut.length_m + _HOUSE_M
    long = Cut(cut.at(start), cut.at(end))
    walls = [s for house in plan.project.houses for s in _met(long, Polygon(house.outline_m), cut)]
    start = max((s - _INTO_M for s in walls if start < s < cut.length_m / 2), default=0.0)
    end = min((s + _INTO_M for s in walls if cut.length_m / 2 < s < end), default=cut.length_m)
    xs, ys = plan.ground.surface.points[:, 0], plan.ground.surface.points[:, 1]
    near: Any = box(float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max()))
    for house in plan.project.houses:
        near = near.union(Polygon(house.outline_m).buffer(0.3))
    shown = near.intersection(Cut(cut.at(start), cut.at(end)).line())
    stations = [cut.station_of((x, y)) for part in getattr(shown, "geoms", [shown]) for x, y in part.coords]
    if stations:
        start, end = max(start, min(stations)), min(end, max(stations))
    return Cut(cut.at(start), cut.at(end))
