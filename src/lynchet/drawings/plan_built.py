"""What we build, on a plan: beds and path strips, walls, ties, flights of steps, with their names and levels."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from math import hypot
from typing import Any, TypeGuard

from lynchet.core.findings import Verdict
from lynchet.core.same import Same
from lynchet.drawings.display import Letters, Mark
from lynchet.drawings.figures import Figures
from lynchet.drawings.kept import corners_of
from lynchet.drawings.letters import printable, wrap
from lynchet.drawings.model import Area, Item, Label, Line, Symbol, View
from lynchet.drawings.source import Planned
from lynchet.plan.model import said_place
from lynchet.terraces.model import Face, Flight
from lynchet.walls.model import Leg

Point = tuple[float, float]
Ring = tuple[Point, ...]
_STOP_TEXT_MM = 38.0
_STOP_LINES = 5
FEW_STOPS = 2
"""Up to so many stops carry their reason on the plan itself."""
_BOX_MM = 5.0
"""Half the height of the box with a bed's name and level."""
_SHORT_M, _BEFORE_M, _BEHIND_M = 0.2, 0.12, 0.35
"""A flight so short is one step over its timber: its arrow runs from before the timber to behind it."""
WALLS = "walls"
"""Id of all walls drawn as one, without the number of a part."""
_SMALL = 90
_NAMED_M = 0.5
"""Shorter stretches of a wall are not named once more."""
"""Beyond this scale a bed's name and level share one box."""


def bed_items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """Beds with name and level, their path strips, and paths that stay at the level of the ground."""
    for face in plan.terraces.faces:
        if face.kind == "bed":
            yield Area(id=f"bed-{face.id}", layer="tones", rings=(face.outline_m, *face.holes_m), fill="planted",
                       key="planting", of=face.id)  # fmt: skip
            yield from _bed_labels(plan, face, view, figures)
        elif face.kind == "path":
            yield Area(id=f"path-{face.id}", layer="tones", rings=(face.outline_m, *face.holes_m), fill="path",
                       key="path", pen="fine", of=face.id)  # fmt: skip


def _bed_labels(plan: Planned, face: Face, view: View, figures: Figures) -> Iterable[Item]:
    small = view.scale > _SMALL
    for n, strip in enumerate(face.strip_m):
        yield Area(id=f"strip-{face.id}-{n}", layer="tones", z=1, rings=(strip,), fill="path", pen="fine", key="strip",
                   of=face.id)  # fmt: skip
    free, bench = _places(Same(plan))[face.id]
    # In a bed too narrow for its box that may lie over the strip beside it, never beyond a wall.
    at = free if _inside_m(free) * 1000.0 / view.scale > _BOX_MM else bench
    # Name and level in one box: apart, a name beside the level of a landing was read with that.
    yield Label(id=f"bed-level-{face.id}", layer="labels", anchor=at, kind="area", h=2.2 if small else 2.8,
                lines=(f"BED {face.id[1:]}", figures.level(face.level_m)), weight="semibold", style="box", priority=1,
                key="level new", of=face.id, bars=_wall_ids(plan) if small else ())  # fmt: skip


@lru_cache(maxsize=2)
def _places(plan: Same[Planned]) -> dict[str, tuple[Ring, Ring]]:
    """Of every bed the largest place clear of walls, strips, steps and landings, and the largest with its strips.

    Kept for the next plan of the same yard: several sheets name the beds.
    """
    from shapely import buffer, polygons, union_all

    own = plan.thing
    walls = buffer([run.polygon for run in own.walls.runs], 0.0).tolist()
    flights = own.terraces.flights
    stepped = [polygons(ring) for flight in flights for ring in (flight.outline_m, *_landings(flight))]
    stepped = buffer(stepped, 0.0).tolist()
    built = union_all(walls, grid_size=1e-4)
    found = {}
    for face in own.terraces.faces:
        if face.kind == "bed":
            taken = [*walls, *(polygons(strip).buffer(0) for strip in face.strip_m), *stepped]
            free = face.polygon.buffer(0).difference(union_all(taken, grid_size=1e-4))
            bench = _minus_flights(own, face.outline_m).difference(built)
            found[face.id] = _largest(free), _largest(bench)
    return found


def _minus_flights(plan: Planned, ring: tuple[Point, ...]) -> Any:
    from shapely.geometry import Polygon

    shape: Any = Polygon(ring).buffer(0)
    for flight in plan.terraces.flights:
        for part in (flight.outline_m, *_landings(flight)):
            shape = shape.difference(Polygon(part).buffer(0))
    return shape


def _landings(flight: Flight) -> tuple[Ring, ...]:
    return tuple(landing.outline_m for landing in flight.landings)


def _largest(shape: Any) -> tuple[Point, ...]:
    parts = [part for part in getattr(shape, "geoms", [shape]) if part.geom_type == "Polygon" and not part.is_empty]
    if not parts:
        return ((0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
    best = max(parts, key=lambda part: part.area)
    while best.interiors:
        best = _beside_hole(best)
    return tuple((float(x), float(y)) for x, y in best.exterior.coords[:-1])


def _beside_hole(shape: Any) -> Any:
    """The largest part of an area at one side of its first hole: a landing in the middle of a bed is no place in it."""
    from shapely.geometry import Polygon, box

    (a, b, c, d), (left, low, right, high) = shape.bounds, Polygon(shape.interiors[0]).bounds
    sides = (box(a, b, left, d), box(right, b, c, d), box(a, b, c, low), box(a, high, c, d))
    cut = (shape.intersection(side) for side in sides)
    parts = [part for one in cut for part in getattr(one, "geoms", [one]) if part.geom_type == "Polygon"]
    return max(parts, key=lambda part: part.area)


@lru_cache(maxsize=1 << 6)
def _inside_m(ring: Ring) -> float:
    """Radius of the greatest circle in an area."""
    from shapely import maximum_inscribed_circle
    from shapely.geometry import Polygon

    return float(maximum_inscribed_circle(Polygon(ring).buffer(0), tolerance=0.02).length)


def wall_items(plan: Planned) -> Iterable[Item]:
    """Walls as seen from above, with their bubbles."""
    walls = frozenset(_wall_ids(plan))
    for leg, parts in _outlines(Same(plan)):
        for n, rings in enumerate(parts):
            yield Area(id=f"wall-{leg.id}-{n}", layer="walls", rings=rings, fill="timber", pen="outline", key="wall",
                       of=leg.id)  # fmt: skip
        first = _low_side(leg, 0.22)
        name = Label(id=f"bubble-{leg.id}", layer="labels", anchor=(first,), lines=(leg.id,), h=2.5, weight="bold",
                     style="bubble", priority=1, key="bubble",
                     bars=tuple(sorted(walls - {f"wall-{leg.id}"})))  # fmt: skip
        yield name
        for n, at in enumerate(_other_parts(leg, parts, first)):
            yield replace(name, id=f"again-{leg.id}-{n}", anchor=(at,), priority=3, optional=True)


def _other_parts(leg: Leg, parts: Sequence[Sequence[Ring]], named: Point) -> Iterator[Point]:
    """A point on the lower face of each further stretch of a wall that stands in several, where it is long enough."""
    at = leg.station_of(named)
    for rings in parts if len(parts) > 1 else ():
        stations = [leg.station_of(point) for point in rings[0]]
        low, high = min(stations), max(stations)
        if high - low > _NAMED_M and not low - 0.01 <= at <= high + 0.01:
            middle = (low + high) / 2
            yield leg.point_at(middle, leg.thickness_m if leg.span_at(middle).held < 0 else 0.0)


def _wall_ids(plan: Planned) -> tuple[str, ...]:
    """Ids of the walls as drawn, without the numbers of their parts."""
    return tuple(f"wall-{leg.id}" for leg in plan.walls.legs)


def walls_drawn(plan: Planned) -> tuple[str, ...]:
    """What words are kept off: ids of all walls as drawn, one by one or all together, without the numbers of parts."""
    return (*_wall_ids(plan), WALLS)


@lru_cache(maxsize=2)
def _outlines(plan: Same[Planned]) -> list[tuple[Leg, list[tuple[tuple[Point, ...], ...]]]]:
    """Every wall with the outlines of what stands of it, holes after each; kept for the next plan of the same yard."""
    from shapely import union_all

    found = []
    for leg in plan.thing.walls.legs:
        runs = [run.polygon for run in plan.thing.walls.runs if run.leg == leg.id]
        if runs:
            whole = union_all(runs, grid_size=1e-4)
            parts = getattr(whole, "geoms", [whole])
            found.append((leg, [tuple(map(corners_of, (part.exterior, *part.interiors))) for part in parts]))
    return found


def _low_side(leg: Leg, share: float) -> Point:
    """A point on the lower face of a leg, at a share of its longest standing stretch."""
    longest = max(leg.segments, key=lambda segment: segment.end_m - segment.start_m)
    station = longest.start_m + share * (longest.end_m - longest.start_m)
    held = leg.span_at(station).held
    return leg.point_at(station, leg.thickness_m if held < 0 else 0.0)


def stops(plan: Planned) -> dict[str, str]:
    """Walls with a stop, and the first sentence of the reason."""
    found: dict[str, str] = {}
    built = {run.leg for run in plan.walls.runs}
    for finding in plan.findings:
        over = finding.place.partition("@")[2]  # a flight that finds no room over this wall
        leg = over or said_place(finding.place, built)
        if finding.verdict is Verdict.STOP and leg in built and leg not in found:
            found[leg] = printable(finding.text).split(". ")[0].rstrip(".")
    return found


def stop_items(plan: Planned) -> Iterable[Item]:
    """A stop at every wall that has one: with its reason where they are few, else the reasons stand in the strip."""
    reasons = stops(plan)
    for leg in plan.walls.legs:
        if leg.id in reasons:
            few = len(reasons) <= FEW_STOPS
            lines = wrap(_at_wall(leg.id, reasons[leg.id]), _STOP_TEXT_MM, 2.5) if few else ()
            lines = (*lines[: _STOP_LINES - 1], f"{lines[_STOP_LINES - 1]} …") if len(lines) > _STOP_LINES else lines
            others = tuple(name for name in walls_drawn(plan) if name != f"wall-{leg.id}")
            yield Label(id=f"stop-{leg.id}", layer="labels", anchor=(_low_side(leg, 0.55),), lines=lines, role="warn",
                        weight="semibold", style="stop", priority=0, key="stop", of=leg.id, gap_mm=2.5,
                        bars=others, off=(*walls_drawn(plan), "tie", "cross"))  # fmt: skip


def without_reasons(items: Iterable[Item]) -> tuple[Item, ...]:
    """The same items, of stops the signs alone."""
    return tuple(replace(item, lines=()) if _is_stop(item) else item for item in items)


def reasons_on_walls(view: View, marks: Iterable[Mark]) -> bool:
    """Whether a reason came to stand on timber: between walls close together there is no room for its words."""
    from shapely import STRtree, box
    from shapely.geometry import Polygon

    names = {item.id for item in view.items if _is_stop(item)}
    words = [box(*mark.box()) for mark in marks if isinstance(mark, Letters) and mark.of in names]
    timber = [Polygon(view.papers(item.rings[0]), [view.papers(ring) for ring in item.rings[1:]]) for item in view.items
              if isinstance(item, Area) and item.layer in ("walls", "ties")]  # fmt: skip
    return bool(words and timber) and STRtree(timber).query(words, predicate="intersects").size > 0


def _is_stop(item: Item) -> TypeGuard[Label]:
    return isinstance(item, Label) and item.style == "stop" and bool(item.lines)


def _at_wall(leg: str, reason: str) -> str:
    """A reason short enough to stand at its wall: what gives way, not where, for the sign stands there."""
    where, _, what = reason.partition(": ")
    return f"{leg}: {what}" if where.startswith(f"Wall {leg} ") and where.endswith(" courses") else reason


def tie_items(plan: Planned) -> Iterable[Item]:
    """Ties with their cross-pieces, hidden in the fill."""
    for tie in plan.stability.ties:
        for name, ring in (("tie", tie.outline_m), ("cross", tie.cross_outline_m)):
            yield Area(id=f"{name}-{tie.id}", layer="ties", rings=(ring,), pen="fine", dash="hidden", key="tie plan",
                       of=tie.id)  # fmt: skip


def flight_items(plan: Planned) -> Iterable[Item]:
    """Flights: treads from the foot up, an arrow up, and how many steps."""
    for flight in plan.terraces.flights:
        for n, tread in enumerate(flight.treads):
            yield Area(id=f"tread-{flight.id}-{n:02d}", layer="steps", rings=(tread.outline_m,), fill="path",
                       pen="visible", key="steps", of=tread.id)  # fmt: skip
        foot, head = _arrow(flight)
        yield Line(id=f"way-{flight.id}", layer="steps", z=1, pts=(foot, head), pen="visible", arrow=True, key="steps",
                   of=flight.id)  # fmt: skip
        yield Symbol(id=f"way-foot-{flight.id}", layer="steps", z=1, name="joint", at=foot, of=flight.id)
        yield Label(id=f"steps-{flight.id}", layer="labels", anchor=(foot,), lines=(f"{flight.risers} up",),
                    weight="semibold", priority=2, gap_mm=2.0)  # fmt: skip


def _arrow(flight: Flight) -> tuple[Point, Point]:
    """From foot to head; of one step over the timber it is, from a little before it to a little behind."""
    foot, head = walk(flight)
    (ax, ay), (bx, by), (dx, dy) = foot, head, flight.direction
    if hypot(bx - ax, by - ay) > _SHORT_M:
        return foot, head
    return (ax - _BEFORE_M * dx, ay - _BEFORE_M * dy), (bx + _BEHIND_M * dx, by + _BEHIND_M * dy)


def walk(flight: Flight) -> tuple[Point, Point]:
    """From the middle of the foot to the middle of the head."""
    dx, dy = flight.direction
    middle_x = sum(x for x, _ in flight.outline_m) / len(flight.outline_m)
    middle_y = sum(y for _, y in flight.outline_m) / len(flight.outline_m)
    along = [(x - middle_x) * dx + (y - middle_y) * dy for x, y in flight.outline_m]
    return (
        (middle_x + min(along) * dx, middle_y + min(along) * dy),
        (middle_x + max(along) * dx, middle_y + max(along) * dy),
    )
