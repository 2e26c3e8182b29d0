"""The ground on a plan: contours as measured with their figures, and a few measured levels."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import hypot
from typing import Any

from lynchet.drawings.contours import Contour, contours
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Item, Label, Line, View
from lynchet.drawings.source import Planned
from lynchet.drawings.strip import Note

Point = tuple[float, float]
_SPOT_GAP_MM = 38.0
ONE_SLOPE = (
    "Drawn from one slope, and on beyond what was measured: no level was read on site. Read the ground before you "
    "order or dig."
)
_MOST_SPOTS = 14
_SCRAP_MM = 12.0


def step_of(plan: Planned, view: View, figures: Figures) -> float:
    """The contour step of a plan: the smallest whose lines stay apart on paper."""
    return figures.contour_step(view.scale, 1.3 * hypot(*plan.terraces.fall))


def contour_items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """Contours of the ground before; dashed inside the area and in banks, where the ground will change.

    Figures stand in the thick lines, once each, outside the area where one can.
    """
    step = step_of(plan, view, figures)
    every = figures.index_every(step)
    area, houses = _changed(plan), _houses(plan)
    for n, line in enumerate(contours(plan.ground.surface, step)):
        thick = line.number % every == 0
        inside, outside = _split(line, area, houses, _SCRAP_MM * view.scale / 1000.0)
        for kind, parts in (("in", inside), ("out", outside)):
            for k, part in enumerate(parts):
                yield Line(
                    id=f"contour-{line.number:04d}-{n}-{kind}{k}", layer="ground before", pts=part,
                    pen="thin" if thick else "hair", dash="short" if kind == "in" else "solid", role="earth",
                    key="contour",
                )  # fmt: skip
        if thick:
            room = 0.020 * view.scale
            far = [(f"out{k}", part) for k, part in enumerate(outside) if _length(part) > room]
            near = [(f"in{k}", part) for k, part in enumerate(inside) if _length(part) > room]
            yield from _figure(line, n, far or near, figures)


def _figure(line: Contour, n: int, parts: list[tuple[str, tuple[Point, ...]]], figures: Figures) -> Iterable[Item]:
    if not parts:
        return
    name, longest = max(parts, key=lambda one: _length(one[1]))
    yield Label(
        id=f"contour-figure-{line.number:04d}-{n}", layer="labels", anchor=longest, kind="line", h=2.2, role="earth",
        lines=(figures.ground(line.level_m),), priority=3, of=f"contour-{line.number:04d}-{n}-{name}", optional=True,
    )  # fmt: skip


def _area(plan: Planned) -> Any:
    from shapely.geometry import Polygon

    return Polygon(plan.project.area.outline_m).buffer(0)


def _changed(plan: Planned) -> Any:
    """The area with the banks outside it."""
    from shapely import union_all
    from shapely.geometry import Polygon

    banks = [Polygon(bank.outline_m).buffer(0) for bank in plan.walls.shaped]
    return union_all([_area(plan), *banks]) if banks else _area(plan)


def _houses(plan: Planned) -> Any:
    from shapely import union_all
    from shapely.geometry import Polygon

    return union_all([Polygon(house.outline_m).buffer(0) for house in plan.project.houses])


def _split(line: Contour, area: Any, houses: Any, scrap_m: float) -> tuple[list[tuple[Point, ...]], ...]:
    """What runs inside the area and outside it, houses left out; a scrap too small to tell a slope is no line."""
    from shapely import union_all
    from shapely.geometry import LineString

    found = LineString(line.points).difference(houses)
    parts = [part for part in getattr(found, "geoms", [found]) if _across(part) > scrap_m]
    whole = union_all(parts) if len(parts) != 1 else parts[0]
    return _parts(whole.intersection(area)), _parts(whole.difference(area))


def _across(part: Any) -> float:
    left, low, right, high = part.bounds
    return hypot(right - left, high - low)


def _parts(found: Any) -> list[tuple[Point, ...]]:
    lines = [part for part in getattr(found, "geoms", [found]) if part.geom_type == "LineString" and part.length > 1e-3]
    return [tuple((float(x), float(y)) for x, y in part.coords) for part in lines]


def _length(points: tuple[Point, ...]) -> float:
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))


def spot_items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """A few levels as measured, well apart, outside the area first; none where all is drawn from one slope."""
    from shapely.geometry import Point as Spot
    from shapely.geometry import Polygon

    if plan.project.ground.kind == "slope":
        return
    area = _area(plan)
    taken = [area, *(Polygon(house.outline_m).buffer(0.3) for house in plan.project.houses)]
    left, top, right, bottom = view.region
    chosen: list[Point] = []
    readings = sorted(plan.project.ground.readings, key=lambda r: (area.contains(Spot(r.point_m)), r.name))
    for reading in readings:
        x, y = view.paper(reading.point_m)
        if reading.point_m == plan.walls.setting_out.benchmark_at_m:
            continue  # told with its name
        if any(shape.contains(Spot(reading.point_m)) for shape in taken) or not (
            left + 12 < x < right - 14 and top + 6 < y < bottom - 6
        ):
            continue
        if any(hypot(x - a, y - b) < _SPOT_GAP_MM for a, b in chosen) or len(chosen) == _MOST_SPOTS:
            continue
        chosen.append((x, y))
        yield Label(
            id=f"spot-{reading.name}", layer="labels", anchor=(reading.point_m,), h=2.2, role="earth", style="spot",
            lines=(figures.ground(reading.level_m),), priority=3, optional=True, key="level old", gap_mm=1.3,
        )  # fmt: skip


def one_slope_note(plan: Planned) -> tuple[Note, ...]:
    """Of ground that is drawn from one slope: that it was not read, and runs on beyond what was measured."""
    return (Note("Ground", ONE_SLOPE),) if plan.project.ground.kind == "slope" else ()
