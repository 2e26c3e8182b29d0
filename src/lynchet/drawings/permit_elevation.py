"""The walls as seen from the low side, looking up the slope: far ones first, so that near ones stand before them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Area, Item, Leader, Line, Text
from lynchet.drawings.permit_heights import wall_heights
from lynchet.drawings.source import Planned
from lynchet.drawings.wall_facts import standing, top_and_base
from lynchet.walls.model import Leg

Point = tuple[float, float]
_FACING = 0.35
"""How square to the view a wall must stand to be drawn: cosine of about 70 degrees."""
_ROW_MM = 4.2
_APART_MM = 6.0


def facing(plan: Planned) -> list[Leg]:
    """Walls whose low side looks down the slope, the farthest first."""
    along = plan.terraces.along
    up = (-along[1], along[0])

    def depth(leg: Leg) -> float:
        middle = leg.point_at(leg.length_m / 2, 0.0)
        return middle[0] * up[0] + middle[1] * up[1]

    found = []
    for leg in standing(plan):
        held = sum(span.held * (span.end_m - span.start_m) for span in leg.spans)
        # The low side lies on the line side (right) where the left is the higher.
        towards = (1 if held >= 0 else -1) * (leg.normal[0] * up[0] + leg.normal[1] * up[1])
        if towards > _FACING:
            found.append(leg)
    return sorted(found, key=depth, reverse=True)


def across(plan: Planned, leg: Leg, station_m: float) -> float:
    """Where a station stands from left to right as one looks up the slope."""
    x, y = leg.point_at(station_m, 0.0)
    ax, ay = plan.terraces.along
    side = x * ax + y * ay
    return -side if plan.project.frame.mirrored else side


def elevation_box(plan: Planned) -> tuple[Point, Point]:
    """Lowest left and highest right of what is drawn."""
    xs, zs = [], []
    for leg in facing(plan):
        for run in plan.walls.runs:
            if run.leg == leg.id:
                xs += [across(plan, leg, station) for station in run.outer_m]
                zs += [run.bottom_m, run.top_m]
    return (min(xs, default=0.0), min(zs, default=0.0)), (max(xs, default=1.0), max(zs, default=1.0))


def elevation_items(plan: Planned, figures: Figures, scale: int) -> Iterable[Item]:
    """Faces by course, buried timber dashed, ground in front, names with both heights."""
    legs = facing(plan)
    for n, leg in enumerate(legs):
        yield from _face(plan, leg, n)
    for leg in legs:
        yield from _buried(plan, leg)
    yield from _names(plan, legs, figures, scale / 1000.0)


def name_rows_mm(plan: Planned) -> float:
    """Room over the picture for the names."""
    return _ROW_MM * len(facing(plan)) + 4.0


def _face(plan: Planned, leg: Leg, rank: int) -> Iterable[Item]:
    """The timber that is seen: courses over the ground in front, and the ground's line."""
    from shapely.geometry import Polygon

    over = _over(plan, leg)
    for n, run in enumerate(run for run in plan.walls.runs if run.leg == leg.id):
        a, b = sorted(across(plan, leg, station) for station in run.outer_m)
        shown: Any = Polygon(((a, run.bottom_m), (b, run.bottom_m), (b, run.top_m), (a, run.top_m))).intersection(over)
        for k, part in enumerate(getattr(shown, "geoms", [shown])):
            if part.geom_type == "Polygon" and part.area > 1e-5:
                ring = tuple((float(x), float(z)) for x, z in part.exterior.coords[:-1])
                yield Area(id=f"face-{rank:02d}-{leg.id}-{n}-{k}", layer="walls", rings=(ring,), fill="timber",
                           pen="thin", key="wall", of=run.id)  # fmt: skip
    for n, pts in enumerate(_ground(plan, leg)):
        yield Line(id=f"face-{rank:02d}-{leg.id}-foot-{n}", layer="walls", pts=pts, pen="cut", key="ground after",
                   of=leg.id)  # fmt: skip


def _ground(plan: Planned, leg: Leg) -> list[tuple[Point, Point]]:
    """The lower ground along the stretches on which the wall stands."""
    found = []
    for segment in leg.segments:
        for span in leg.spans:
            a, b = max(segment.start_m, span.start_m), min(segment.end_m, span.end_m)
            if b - a > 1e-3:
                found.append(tuple((across(plan, leg, s), min(span.levels_at(s))) for s in (a, b)))
    return found  # type: ignore[return-value]


def _over(plan: Planned, leg: Leg) -> Any:
    """The room over the lower ground."""
    from shapely import union_all
    from shapely.geometry import Polygon

    parts, top = [], max((run.top_m for run in plan.walls.runs if run.leg == leg.id), default=0.0)
    for (ax, az), (bx, bz) in _ground(plan, leg):
        low, high = ((ax, az), (bx, bz)) if ax < bx else ((bx, bz), (ax, az))
        sky = max(top, az, bz) + 1.0
        parts.append(Polygon(((low[0] - 0.3, low[1]), low, high, (high[0] + 0.3, high[1]), (high[0] + 0.3, sky),
                              (low[0] - 0.3, sky))))  # fmt: skip
    return union_all(parts)


def _buried(plan: Planned, leg: Leg) -> Iterable[Item]:
    """The underside of the timber in the ground, dashed over what stands before it."""
    for n, segment in enumerate(leg.segments):
        middle = top_and_base(plan, leg, (segment.start_m + segment.end_m) / 2)
        if middle is None:
            continue
        base = middle[1]
        a, b = across(plan, leg, segment.start_m), across(plan, leg, segment.end_m)
        low = [min(leg.span_at(s).levels_at(s)) for s in (segment.start_m + 1e-4, segment.end_m - 1e-4)]
        if max(low) - base > 0.01:
            pts = ((a, max(base, low[0])), (a, base), (b, base), (b, max(base, low[1])))
            yield Line(id=f"buried-{leg.id}-{n}", layer="ground after", pts=pts, pen="fine", dash="short",
                       of=leg.id)  # fmt: skip


def _names(plan: Planned, legs: list[Leg], figures: Figures, per_mm: float) -> Iterable[Item]:
    """Names over the picture like stairs, the first at the left on top: so no line to a wall crosses another name."""
    found = wall_heights(plan)
    heights = {wall.leg: wall for wall in (*found.stack, *found.others)}
    shown = sorted((leg for leg in legs if leg.id in heights), key=lambda leg: sum(_ends(plan, leg)))
    (left, _), (right, top) = elevation_box(plan)
    apart = min(_APART_MM * per_mm, 0.9 * (right - left) / max(1, len(shown)))
    last = -1e9
    for n, (leg, at) in enumerate(zip(shown, _spread(plan, shown), strict=True)):
        at = max(at, last + apart)
        last, wall = at, heights[leg.id]
        up = _ROW_MM * (len(shown) - n - 1) + 3.5
        words = f"{leg.id}: {figures.timber(wall.seen_m)} / {figures.timber(wall.whole_m)}"
        yield Text(id=f"name-{leg.id}", layer="labels", at=(at, top), text=words, weight="semibold", of=leg.id,
                   shift_mm=(1.2, -up))  # fmt: skip
        target = (at, min(_top_at(plan, leg, at), top) - 0.3 * per_mm)
        yield Leader(id=f"name-{leg.id}-line", layer="labels", start=(at, top), start_mm=(0.0, -up - 2.4), end=target)


def _ends(plan: Planned, leg: Leg) -> tuple[float, float]:
    """Left and right end of a wall in the picture."""
    ends = [across(plan, leg, s) for run in plan.walls.runs if run.leg == leg.id for s in run.outer_m]
    return min(ends), max(ends)


def _spread(plan: Planned, legs: list[Leg]) -> list[float]:
    """A place on each wall, spread over the picture as far as the walls reach."""
    (left, _), (right, _) = elevation_box(plan)
    found = []
    for n, leg in enumerate(legs):
        low, high = _ends(plan, leg)
        wished = left + (n + 0.3) / len(legs) * (right - left)
        found.append(min(max(wished, low + 0.1 * (high - low)), high - 0.2 * (high - low)))
    return found


def _top_at(plan: Planned, leg: Leg, at: float) -> float:
    """Top of the wall at a place of the picture; of its highest timber where none stands there."""
    runs = [run for run in plan.walls.runs if run.leg == leg.id]
    here = [run.top_m for run in runs
            if min(x := [across(plan, leg, s) for s in run.outer_m]) - 1e-6 <= at <= max(x) + 1e-6]  # fmt: skip
    return max(here or [run.top_m for run in runs])
