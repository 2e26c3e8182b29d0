"""How near the works come to each lot line: one dimension each, where it is shortest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import dist
from typing import Any

from lynchet.drawings.figures import Figures
from lynchet.drawings.kept import united
from lynchet.drawings.letters import printable, width
from lynchet.drawings.model import Item, Label, Line, View
from lynchet.drawings.source import Planned

Point = tuple[float, float]
TRUST_WORDS = {"survey": "by survey", "fence": "from a fence", "guess": "guessed"}


@dataclass(frozen=True)
class Gap:
    """The shortest way from the works to one lot line."""

    name: str
    trust: str
    start_m: Point
    end_m: Point

    @property
    def length_m(self) -> float:
        """Its length."""
        return dist(self.start_m, self.end_m)


def gaps(plan: Planned) -> tuple[Gap, ...]:
    """From walls and steps, or from the area where none stands, to every lot line."""
    from shapely.geometry import LineString
    from shapely.ops import nearest_points

    built, found = _built(plan), []
    for n, lot in enumerate(plan.project.lot_lines):
        if len(lot.line_m) < 2:
            continue
        near, far = nearest_points(built, LineString(lot.line_m))
        name = printable(lot.name) or f"line {n + 1}"
        found.append(Gap(name, lot.trust, (float(near.x), float(near.y)), (float(far.x), float(far.y))))
    return tuple(found)


def _built(plan: Planned) -> Any:
    from shapely.geometry import Polygon

    shapes = [run.polygon for run in plan.walls.runs]
    shapes += [Polygon(flight.outline_m).buffer(0) for flight in plan.terraces.flights]
    return united(tuple(shapes)) if shapes else Polygon(plan.project.area.outline_m).buffer(0)


def lot_items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """Lines with strokes at their ends, the figure in the line or beside it."""
    for n, gap in enumerate(gaps(plan)):
        said = figures.length(gap.length_m)
        on_paper = gap.length_m * 1000.0 / view.scale
        if on_paper > 0.5:
            yield Line(id=f"gap-{n}", layer="lot lines", pts=(gap.start_m, gap.end_m), pen="fine", key="lot distance")
            for k, at in enumerate((gap.start_m, gap.end_m)):
                yield Line(id=f"gap-{n}-tick{k}", layer="lot lines", pts=_tick(gap, at, view), pen="visible",
                           of=f"gap-{n}")  # fmt: skip
        if on_paper > width(said, 2.5, "semibold") + 6.0 and _shown(gap, view):
            yield Label(id=f"gap-{n}-figure", layer="labels", anchor=(gap.start_m, gap.end_m), kind="line",
                        lines=(said,), weight="semibold", priority=0, of=f"gap-{n}")  # fmt: skip
        elif _shown(gap, view):
            middle = ((gap.start_m[0] + gap.end_m[0]) / 2, (gap.start_m[1] + gap.end_m[1]) / 2)
            yield Label(id=f"gap-{n}-figure", layer="labels", anchor=(middle,), lines=(f"{said} to the lot line",),
                        weight="semibold", priority=1, of=f"gap-{n}")  # fmt: skip


def _tick(gap: Gap, at: Point, view: View) -> tuple[Point, Point]:
    """A stroke of 2 mm at half a right angle to the line."""
    k = view.scale / 1000.0 / gap.length_m
    dx, dy = (gap.end_m[0] - gap.start_m[0]) * k, (gap.end_m[1] - gap.start_m[1]) * k
    ax, ay = 0.7 * (dx - dy), 0.7 * (dx + dy)
    return (at[0] - ax, at[1] - ay), (at[0] + ax, at[1] + ay)


def _shown(gap: Gap, view: View) -> bool:
    left, top, right, bottom = view.region
    points = (view.paper(gap.start_m), view.paper(gap.end_m))
    return all(left < x < right and top < y < bottom for x, y in points)
