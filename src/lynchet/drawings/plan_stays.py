"""What stays, on a plan: houses, trees and their root ground, services, lot lines, the measured area, the benchmark."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from math import cos, hypot, pi, radians, sin

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Area, Item, Label, Line, Symbol, View
from lynchet.drawings.placing import fits_inside
from lynchet.drawings.plan_built import walls_drawn
from lynchet.drawings.plan_used import load_items, path_items
from lynchet.drawings.source import Planned
from lynchet.project.things import Fixed, House

Point = tuple[float, float]
_NAME_MM = (4.0, 3.2, 2.5)
"""Heights the name of a building may have, the best first."""
_NUMBER = re.compile(r"[A-Za-z]?\d+")


def house_words(house: House) -> tuple[str, ...]:
    """The name of a building on a plan, and that its depth is assumed where nobody measured it."""
    return (printable(house.name).upper(), *(("depth assumed",) if house.far_side == "assumed" else ()))


def stay_items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """Everything that is there and stays there."""
    yield from area_lines(plan)
    yield from path_items(plan)
    for item in load_items(plan, figures):
        shown = shown_part(item.anchor, view) if isinstance(item, Label) else ()
        if not isinstance(item, Label):
            yield item
        elif shown:
            yield replace(item, anchor=shown)
    for n, house in enumerate(plan.project.houses):
        yield Area(id=f"house-{n}", layer="house", rings=(house.outline_m,), fill="paper", hatch="house", pen="cut",
                   key="house", of=house.name)  # fmt: skip
        yield from _house_name(f"house-{n}", house, view)
    for thing in plan.project.fixed:
        for item in _fixed(thing):
            if not isinstance(item, Label) or any(_on_sheet(at, view) for at in item.anchor):
                yield item
    for n, lot in enumerate(plan.project.lot_lines):
        yield from _lot(f"lot-{n}", lot.line_m, lot.trust == "survey")
    yield from _benchmark(plan, view, figures)


def _house_name(of: str, house: House, view: View) -> Iterable[Label]:
    """The name of a building: inside what is seen of it, smaller where that is small, else beside its longest wall."""
    shown = shown_part(house.outline_m, view)
    if not shown:
        return
    name = Label(id=of.replace("house-", "house-name-"), layer="labels", anchor=shown, h=4.0,
                 kind="area", weight="bold", lines=house_words(house), priority=2, halo="paper", optional=True,
                 of=of)  # fmt: skip
    inside = next((one for one in (replace(name, h=high) for high in _NAME_MM) if fits_inside(one, view)), None)
    at = _longest_wall(shown, view)
    yield inside or (replace(name, anchor=at, kind="point", gap_mm=3.0) if at else name)


def area_lines(plan: Planned) -> Iterable[Line]:
    """The area as it was measured on site; where an inset moved its edges, the edges of the beds too."""
    area = plan.project.area
    yield Line(id="area", layer="path edges", pts=area.corners_m, closed=True, pen="fine", dash="chain", role="mid",
               key="area")  # fmt: skip
    if area.drawn_m:
        yield Line(id="area-moved", layer="path edges", pts=area.outline_m, closed=True, pen="hair", dash="short",
                   role="mid", key="area moved")  # fmt: skip


def shown_part(ring: tuple[Point, ...], view: View) -> tuple[Point, ...]:
    """The part of an outline inside the view, in world points; empty where nothing of it is."""
    from shapely.geometry import Polygon, box

    paper = Polygon([view.paper(point) for point in ring]).buffer(0).intersection(box(*view.region))
    parts = [part for part in getattr(paper, "geoms", [paper]) if part.geom_type == "Polygon" and part.area > 40.0]
    if not parts:
        return ()
    largest = max(parts, key=lambda part: part.area)
    return tuple(unpaper(view, (x, y)) for x, y in largest.exterior.coords[:-1])


def _longest_wall(shown: tuple[Point, ...], view: View) -> tuple[Point, ...]:
    """The middle of the longest wall a sheet shows of a building; empty where none lies off the sheet's edge."""
    paper, (left, top, right, bottom) = view.papers(shown), view.region
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, hypot(b[0] - a[0], b[1] - a[1]))
               for a, b in pairwise((*paper, paper[0]))]  # fmt: skip
    walls = [one for one in middles if left + 0.1 < one[0] < right - 0.1 and top + 0.1 < one[1] < bottom - 0.1]
    x, y, _ = max(walls, key=lambda one: one[2], default=(0.0, 0.0, 0.0))
    return (unpaper(view, (x, y)),) if walls else ()


def unpaper(view: View, at: Point) -> Point:
    """The world point of a paper point."""
    k = view.scale / 1000.0
    px, py = (at[0] - view.at_paper[0]) * k, (view.at_paper[1] - at[1]) * k
    c, s = cos(radians(view.turn_deg)), sin(radians(view.turn_deg))
    x, y = px * c + py * s, -px * s + py * c
    return view.at_world[0] + x, view.at_world[1] + (-y if view.mirrored else y)


def circle_of(at: Point, radius: float) -> tuple[Point, ...]:
    """A ring of 48 corners."""
    return tuple((at[0] + radius * cos(pi * n / 24), at[1] + radius * sin(pi * n / 24)) for n in range(48))


def _fixed(thing: Fixed) -> Iterable[Item]:
    name = f"fixed-{thing.id}"
    at = thing.line_m[0]
    for n, ring in enumerate(_clear_ground(thing)):
        yield Area(id=f"{name}-clear-{n}", layer="tones", z=2, rings=(ring,), fill="warn tone", hatch="no dig",
                   hatch_role="warn", pen="visible", dash="hidden", role="warn", key="no dig", of=thing.id)  # fmt: skip
    if thing.kind == "tree":
        if thing.crown_m:
            yield Area(id=f"{name}-crown", layer="things that stay", rings=(_wavy(at, thing.crown_m / 2),), pen="fine",
                       role="plant", key="tree", of=thing.id)  # fmt: skip
        stem = max(0.08, (thing.stem_m or 0.2) / 2)
        yield Area(id=f"{name}-stem", layer="things that stay", rings=(circle_of(at, stem),), fill="paper",
                   pen="visible", key="tree", of=thing.id)  # fmt: skip
    elif len(thing.line_m) > 1:
        yield Line(id=f"{name}-line", layer="things that stay", pts=thing.line_m, closed=thing.closed, pen="visible",
                   dash="short", role="warn", key="stays", of=thing.id)  # fmt: skip
    else:
        yield Symbol(id=f"{name}-dot", layer="things that stay", name="found mark", at=at, role="warn", of=thing.id)
    named = printable(f"{thing.name or thing.kind}, keep")
    words = (named, "NO DIGGING") if thing.clear_m > 0 else (named,)
    middle = thing.line_m[len(thing.line_m) // 2] if not thing.closed else at
    ground = _clear_ground(thing)
    anchor, kind = (ground[0], "area") if ground else ((middle,), "point")
    yield Label(id=f"{name}-name", layer="labels", anchor=anchor, kind=kind, lines=words, weight="semibold",  # type: ignore[arg-type]
                role="warn", priority=0, gap_mm=3.0, of=f"{name}-crown")  # fmt: skip


def _wavy(at: Point, radius: float) -> tuple[Point, ...]:
    waves = max(8, round(radius * 12))
    points = []
    for n in range(waves * 8):
        angle = 2 * pi * n / (waves * 8)
        reach = radius * (1 + 0.06 * sin(angle * waves))
        points.append((at[0] + reach * cos(angle), at[1] + reach * sin(angle)))
    return tuple(points)


def _clear_ground(thing: Fixed) -> list[tuple[Point, ...]]:
    """Outlines of the ground to keep free round a thing."""
    if thing.clear_m <= 0:
        return []
    wide = thing.shape.buffer(thing.clear_m, quad_segs=12)
    return [tuple((float(x), float(y)) for x, y in wide.exterior.coords[:-1])]


def _lot(name: str, line: tuple[Point, ...], survey: bool) -> Iterable[Item]:
    key = "lot" if survey else "lot guessed"
    yield Line(id=name, layer="lot lines", pts=line, pen="visible", dash="lot", key=key)
    if survey:
        for n, at in enumerate(line):
            yield Symbol(id=f"{name}-mark-{n}", layer="lot lines", z=1, name="found mark", at=at, key=key)
        return
    for n, (a, b) in enumerate(pairwise(line)):
        count = max(1, min(6, int(hypot(b[0] - a[0], b[1] - a[1]) / 1.5)))
        for k in range(count):
            share = (k + 0.5) / count
            at = (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
            yield Symbol(id=f"{name}-unsure-{n}-{k}", layer="lot lines", z=1, name="unsure", at=at, key=key)


def _on_sheet(at: Point, view: View) -> bool:
    (x, y), (left, top, right, bottom) = view.paper(at), view.region
    return left <= x <= right and top <= y <= bottom


def benchmark_words(plan: Planned, figures: Figures) -> str:
    """Name and level of the benchmark: "door sill = ±0.00", "point 7 = +1.20"; empty without one."""
    setting = plan.walls.setting_out
    if not setting.benchmark:
        return ""
    name = printable(setting.benchmark)
    # A bare number before a level would be read as a sum.
    return f"{'point ' if _NUMBER.fullmatch(name) else ''}{name} = {figures.level(setting.benchmark_m)}"


def _benchmark(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    setting = plan.walls.setting_out
    at = setting.benchmark_at_m
    if at is not None and _on_sheet(at, view):
        yield Symbol(id="benchmark", layer="levels", name="benchmark", at=at, key="benchmark")
        yield Label(id="benchmark-name", layer="labels", anchor=(at,), weight="semibold", priority=1, gap_mm=3.4,
                    lines=(f"BM {benchmark_words(plan, figures)}",), off=walls_drawn(plan))  # fmt: skip
