"""Pipes on the water sheet: short names, arrows the way the water runs, fittings, levels to lay them by."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import atan2, degrees, dist

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable, width
from lynchet.drawings.model import Area, Item, Label, Line, Symbol, View
from lynchet.drawings.pipe_list import Pipe, outlet_names, pipes
from lynchet.drawings.source import Planned
from lynchet.water.told_points import is_drop

Point = tuple[float, float]
_SIGNS = {"wye": "joint", "tee": "joint", "cleanout": "rod eye", "cap": "cap"}
_KEYS = {"joint": "pipe joint", "rod eye": "cleanout", "cap": "pipe cap"}
_FIRST = {"joint": 0, "rod eye": 1, "cap": 2}
_ARROW_EVERY_MM = 55.0
_LEAST_ARROW_MM = 9.0
_NAME_H = 2.8


def pipe_items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """All pipes with their names, arrows, fittings and inverts; notches, outlets, soakaways, springs."""
    yield from _stone(plan)
    for pipe in pipes(plan):
        for n, (points, holes) in enumerate(pipe.stretches):
            yield Line(id=f"pipe-{pipe.name}{'-on' * n}", layer="water", pts=points, pen="outline", role="water",
                       bed_mm=1.1, dash="holes" if holes else "solid", key="pipe" if holes else "solid pipe",
                       of=pipe.id)  # fmt: skip
        yield from _arrows(pipe, view)
        yield _name(pipe, view)
    yield from _fittings(plan)
    yield from _inverts(plan, figures)
    yield from _drops(plan, figures)
    for notch in plan.water.notches:
        x = sum(point[0] for point in notch.outline_m) / len(notch.outline_m)
        y = sum(point[1] for point in notch.outline_m) / len(notch.outline_m)
        yield Symbol(id=f"notch-{notch.id}", layer="water", z=1, name="notch", at=(x, y), role="water", key="notch",
                     of=notch.id)  # fmt: skip
    yield from _outlets(plan, figures)


def _stone(plan: Planned) -> Iterable[Item]:
    """Drain stone, one outline for all that hangs together."""
    from shapely import union_all
    from shapely.geometry import Polygon

    rings_m = [stone.outline_m for stone in plan.water.stone]
    rings_m += [part.outline_m for cut in plan.water.cut_offs for part in cut.stone]
    whole = union_all([Polygon(ring).buffer(0) for ring in rings_m], grid_size=1e-3)
    parts = [part for part in getattr(whole, "geoms", [whole]) if part.geom_type == "Polygon"]
    for n, part in enumerate(parts):
        rings = tuple(tuple((float(x), float(y)) for x, y in r.coords[:-1]) for r in (part.exterior, *part.interiors))
        yield Area(id=f"stone-{n:03d}", layer="hatches", rings=rings, fill="stone", pen="hair", role="mid",
                   key="drain stone")  # fmt: skip


def _name(pipe: Pipe, view: View) -> Label:
    """In the pipe where a straight part is long enough, else beside it."""
    n, (a, b) = max(enumerate(pairwise(pipe.points_m)), key=lambda part: dist(*part[1]))
    of = f"pipe-{pipe.name}{'-on' * (pipe.holed is not None and n >= pipe.holed - 1)}"
    if dist(a, b) * 1000.0 / view.scale > width(pipe.name, _NAME_H, "bold") + 8.0:
        return Label(id=f"name-{pipe.name}", layer="labels", anchor=(a, b), kind="line", lines=(pipe.name,), h=_NAME_H,
                     weight="bold", role="water", priority=0, of=of)  # fmt: skip
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    return Label(id=f"name-{pipe.name}", layer="labels", anchor=(middle,), lines=(pipe.name,), h=_NAME_H,
                 weight="bold", role="water", priority=0, of=of)  # fmt: skip


def _arrows(pipe: Pipe, view: View) -> Iterable[Item]:
    """Heads along each arm, pointing down its fall."""
    for n, arm in enumerate(pipe.arms):
        long_mm = pipe.length(arm) * 1000.0 / view.scale
        if long_mm < _LEAST_ARROW_MM:
            continue
        count = max(1, round(long_mm / _ARROW_EVERY_MM))
        for k in range(count):
            # Off the middle of the arm, where its name would stand.
            at, turn = _along(pipe, arm, (k + 0.68) / count)
            yield Symbol(id=f"flow-{pipe.name}-{n}-{k}", layer="water", z=1, name="head", at=at, turn_deg=turn,
                         role="water", key="flow", of=pipe.id)  # fmt: skip


def _along(pipe: Pipe, arm: tuple[int, ...], share: float) -> tuple[Point, float]:
    """The point at a share of an arm, and the direction down the pipe there."""
    rest = share * pipe.length(arm)
    for one, two in pairwise(arm):
        (ax, ay), (bx, by) = pipe.points_m[one], pipe.points_m[two]
        long = dist((ax, ay), (bx, by))
        if rest <= long and long > 0:
            part = rest / long
            return (ax + part * (bx - ax), ay + part * (by - ay)), degrees(atan2(by - ay, bx - ax))
        rest -= long
    return pipe.points_m[arm[-1]], 0.0


def _fittings(plan: Planned) -> Iterable[Item]:
    """One sign for everything set at one place: a joint before a rod eye before a cap."""
    at: dict[Point, tuple[str, str, Point]] = {}
    for fitting in plan.water.fittings:
        sign = _SIGNS.get(fitting.kind, "")
        place = (round(fitting.point_m[0], 1), round(fitting.point_m[1], 1))
        if sign and (place not in at or _FIRST[sign] < _FIRST[at[place][1]]):
            at[place] = (fitting.id, sign, fitting.point_m)
    for name, sign, point in at.values():
        yield Symbol(id=f"fitting-{name}", layer="water", z=1, name=sign, at=point, role="water", key=_KEYS[sign],
                     of=name)  # fmt: skip


def _inverts(plan: Planned, figures: Figures) -> Iterable[Item]:
    """The invert at both ends and the lowest point of every pipe, once for each place."""
    seen: set[Point] = {(round(o.point_m[0], 1), round(o.point_m[1], 1)) for o in plan.water.outlets}
    for pipe in pipes(plan):
        for index in sorted({0, pipe.sink, len(pipe.points_m) - 1}):
            point = pipe.points_m[index]
            place = (round(point[0], 1), round(point[1], 1))
            if place in seen:
                continue
            seen.add(place)
            yield Label(id=f"inv-{pipe.name}-{index}", layer="labels", anchor=(point,), role="water", h=2.2,
                        lines=(f"inv {figures.level(pipe.inverts_m[index])}",), priority=2, gap_mm=2.0,
                        optional=True)  # fmt: skip


def _drops(plan: Planned, figures: Figures) -> Iterable[Item]:
    """Of pipes without holes, where they go down steeply: from which invert to which."""
    for pipe in (one for one in pipes(plan) if not one.holes):
        for arm in pipe.arms:
            for part in pipe.parts(arm):
                high, low = pipe.inverts_m[part[0]], pipe.inverts_m[part[-1]]
                if is_drop(pipe.length(part), high - low):
                    (ax, ay), (bx, by) = pipe.points_m[part[0]], pipe.points_m[part[-1]]
                    yield Label(id=f"drop-{pipe.name}-{part[0]}", layer="labels", role="water", h=2.2, priority=2,
                                anchor=(((ax + bx) / 2, (ay + by) / 2),), gap_mm=2.0, optional=True,
                                lines=(f"drop {figures.level(high)}", f"to {figures.level(low)}"))  # fmt: skip


def _outlets(plan: Planned, figures: Figures) -> Iterable[Item]:
    names = outlet_names(plan)
    for outlet in plan.water.outlets:
        if outlet.apron_m:
            yield Area(id=f"apron-{outlet.id}", layer="hatches", rings=(outlet.apron_m,), hatch="stone small",
                       hatch_role="water", of=outlet.id)  # fmt: skip
        yield Symbol(id=f"outlet-{outlet.id}", layer="water", z=2, name="outlet", at=outlet.point_m, role="water",
                     key="outlet", of=outlet.id)  # fmt: skip
        yield Label(id=f"out-{outlet.id}", layer="labels", anchor=(outlet.point_m,), role="water", weight="semibold",
                    lines=(names[outlet.id], f"inv {figures.level(outlet.invert_m)}"), priority=0,
                    gap_mm=3.0)  # fmt: skip
    for pit in (one for one in plan.water.soakaways if one.drains):
        yield Area(id=f"soakaway-{pit.name}", layer="water", rings=(pit.outline_m,), fill="paper", hatch="stone small",
                   hatch_role="water", pen="visible", role="water", of=pit.name)  # fmt: skip
        yield Label(id=f"soakaway-name-{pit.name}", layer="labels", anchor=(pit.point_m,), role="water", priority=0,
                    lines=(printable(pit.name), f"inlet {figures.level(pit.inlet_m)}"), gap_mm=4.0)  # fmt: skip
    for spring in plan.project.springs:
        at = spring.line_m[len(spring.line_m) // 2]
        yield Symbol(id=f"spring-{spring.name}", layer="water", z=1, name="spring", at=at, role="water", key="spring")
        yield Label(id=f"spring-name-{spring.name}", layer="labels", anchor=(at,), role="water", priority=2,
                    lines=(printable(spring.name),), gap_mm=2.5)  # fmt: skip
