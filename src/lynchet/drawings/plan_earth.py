"""Places of the earth works on a plan: heaps, where timber is set down, truck stop, gate, way of the barrows."""

from __future__ import annotations

from collections.abc import Iterable
from math import dist

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Area, Item, Label, Line, Symbol
from lynchet.drawings.source import Planned
from lynchet.earth.model import BarrowRun, DropZone, Heap
from lynchet.earth.room import heap_foot
from lynchet.units.format import area, volume

Point = tuple[float, float]
_STACK = "drop-zone"
_TIP_M = 0.2
HEAP_WORDS = {"heap": "HEAP", "topsoil heap": "TOPSOIL HEAP"}


def earth_points(plan: Planned) -> list[Point]:
    """Every plan point of these places, to lay the sheet out round them."""
    earth, access = plan.earth, plan.project.access
    points = [point for heap in earth.heaps for point in heap.outline_m]
    points += [point for point in (access.truck_stop_m, access.gate_at_m) if point is not None]
    points += earth.drop_zone.outline_m if earth.drop_zone else ()
    return points + list(earth.barrow_run.points_m if earth.barrow_run else ())


def earth_items(plan: Planned, figures: Figures) -> Iterable[Item]:
    """All of them; what found no place is not drawn (the sheet says so in its strip)."""
    earth, access = plan.earth, plan.project.access
    if earth.barrow_run is not None:
        yield from _run(earth.barrow_run)
    for heap in earth.heaps:
        if heap.outline_m:
            yield from _heap(heap, figures)
    if earth.drop_zone is not None and earth.drop_zone.outline_m:
        yield from _drop(earth.drop_zone, figures)
    if access.truck_stop_m is not None:
        yield Symbol(id="truck-stop", layer="levels", name="truck", at=access.truck_stop_m, key="truck stop")
        yield Label(id="truck-stop-name", layer="labels", anchor=(access.truck_stop_m,), lines=("truck stops here",),
                    weight="semibold", priority=1, gap_mm=4.6)  # fmt: skip
    if access.gate_at_m is not None:
        wide = f"gate {figures.words(access.gate_m)} wide" if access.gate_m is not None else "gate"
        yield Symbol(id="gate", layer="levels", name="gate", at=access.gate_at_m, key="gate")
        yield Label(id="gate-name", layer="labels", anchor=(access.gate_at_m,), lines=(wide,), priority=1,
                    weight="semibold", gap_mm=2.8)  # fmt: skip


def _run(run: BarrowRun) -> Iterable[Item]:
    from shapely.geometry import LineString

    band = LineString(run.points_m).buffer(run.passage_m / 2, cap_style="flat", join_style="round", quad_segs=6)
    ring = tuple((float(x), float(y)) for x, y in band.exterior.coords[:-1])
    yield Area(id="barrow-run", layer="barrow run", rings=(ring,), fill="barrow", pen="fine", dash="short", role="mid",
               key="barrow run")  # fmt: skip
    yield Line(id="barrow-way", layer="heaps", z=1, pts=run.points_m, pen="fine", dash="hidden", arrow=True,
               key="barrow run")  # fmt: skip
    # Beside the middle of its longest part, so that the words stand by the way and not on it.
    parts = list(zip(run.points_m, run.points_m[1:], strict=False))
    a, b = max(parts, key=lambda part: dist(*part))
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    # Its length and climb stand in the table beside the plan.
    yield Label(id="barrow-words", layer="labels", anchor=(middle,), lines=("barrow run",), weight="semibold",
                priority=1, gap_mm=run.passage_m * 4.0 + 2.0, of="barrow-way", optional=True)  # fmt: skip


def climb_words(run: BarrowRun, figures: Figures) -> tuple[str, ...]:
    """How far it climbs on its way, as far as that was measured."""
    if run.climb_m is None:
        return ("climb not known: no level taken",)
    if abs(run.climb_m) < 0.05:
        return ("its ends are level",)
    way = "climbs" if run.climb_m > 0 else "goes down"
    return (f"{way} {figures.words(abs(run.climb_m))}",)


def _heap(heap: Heap, figures: Figures) -> Iterable[Item]:
    name = heap.id.replace(" ", "-")
    yield Area(id=name, layer="heaps", rings=(heap_foot(heap.outline_m),), fill="fill", pen="visible", role="earth",
               key="heap", of=heap.id)  # fmt: skip
    for n, ends in enumerate(_crest(heap.outline_m)):
        yield Line(id=f"{name}-crest-{n}", layer="heaps", z=1, pts=ends, pen="hair", role="earth", of=heap.id,
                   gives_way=True)  # fmt: skip
    lines = [HEAP_WORDS[heap.id], f"{volume(heap.volume_loose_m3, figures.system)} loose",
             f"{figures.words(heap.height_m)} high"]  # fmt: skip
    lines += ["not where the", "file puts it"] if heap.moved_m is not None else []
    yield Label(id=f"{name}-name", layer="labels", anchor=heap.outline_m, kind="area", lines=tuple(lines),
                weight="semibold", priority=1, of=name)  # fmt: skip


def _crest(outline: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    """The crest of a long heap between the tips of its round ends; a cone has a tip and no crest."""
    if len(outline) != 4:
        return []
    a, b, c, d = outline if dist(outline[0], outline[1]) >= dist(outline[1], outline[2]) else outline[1:] + outline[:1]
    long, short = dist(a, b), dist(b, c)
    if long - short < _TIP_M:
        return []
    share = short / (2.0 * long)
    near = ((a[0] + d[0]) / 2, (a[1] + d[1]) / 2)
    far = ((b[0] + c[0]) / 2, (b[1] + c[1]) / 2)
    low = (near[0] + share * (far[0] - near[0]), near[1] + share * (far[1] - near[1]))
    high = (far[0] + share * (near[0] - far[0]), far[1] + share * (near[1] - far[1]))
    return [(low, high)]


def _drop(zone: DropZone, figures: Figures) -> Iterable[Item]:
    yield Area(id=_STACK, layer="heaps", rings=(zone.outline_m,), fill="timber", pen="visible", dash="hidden",
               key="drop zone")  # fmt: skip
    lines = ("TIMBER", "AND STONE", area(zone.area_m2, figures.system))
    yield Label(id="drop-zone-name", layer="labels", anchor=zone.outline_m, kind="area", lines=lines,
                weight="semibold", priority=1, of=_STACK)  # fmt: skip
