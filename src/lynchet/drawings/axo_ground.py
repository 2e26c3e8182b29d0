"""The ground of a block at one moment of the work: existing ground, benches as far as they are cut, trenches as long as
they are open, fill and bed soil as far as they are brought in.

Everything is read from the placed things, the faces of the terraces and the measured ground; levels are the file's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import chain
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.quick import quick
from lynchet.core.same import Same
from lynchet.drawings.axo_banks import bank_finishes
from lynchet.drawings.axo_before_walls import before_walls
from lynchet.drawings.axo_faces import Plane, flat, lines_of
from lynchet.drawings.axo_ground_parts import (
    areas,
    existing,
    over_plane,
    polygons_of,
    share_of,
    sound,
    split_all,
    where_higher,
)
from lynchet.drawings.kept import united
from lynchet.earth.finishes import Finish, lowered_m
from lynchet.ground.model import Surface
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed
from lynchet.terraces.model import Face
from lynchet.works.volumes import REST

Point = tuple[float, float]
NATIVE, DUG, FILL, STRIP, BED, MULCH = "existing ground", "dug ground", "fill", "strip", "bed soil", "mulch"
RANKS = {NATIVE: 0, DUG: 0, FILL: 1, STRIP: 2, BED: 2, MULCH: 3}


@dataclass(frozen=True, eq=False)
class Block:
    """The part of the yard that is shown: a plan polygon, and the level of the block's underside."""

    shape: Any
    floor_m: float
    lines: Any
    """Lines of its edges, ``axo_faces.lines_of``."""
    whole: bool = False
    """It is the whole yard: trenches are not shown."""


@quick
@dataclass(frozen=True, eq=False)
class Cell:
    """A part of the plan whose ground is one plane."""

    kind: str
    shape: Any
    top: Plane
    bottom: Plane
    task: str = ""
    """What made it so; empty for ground as it was."""


@dataclass(frozen=True, eq=False)
class Hole:
    """Ground dug out for something that is to lie in it."""

    shape: Any
    level_m: float
    task: str
    stays: bool
    """It is filled by what lies in it; else it is closed when the fill comes."""


@dataclass
class _Made:
    """The cells of a block."""

    plan: Plan
    days: BuildingDays
    block: Block
    done: Mapping[str, float]
    cells: list[Cell] = field(default_factory=list)


@lru_cache(maxsize=4)
def known_ground(surface: Surface) -> Any:
    """All the ground that was measured, as a shapely polygon."""
    import shapely

    return shapely.union_all(surface.polygons)


def block_of(plan: Plan, shape: Any, floor_m: float, whole: bool = False) -> Block:
    """A block over the measured ground.

    Args:
        plan: whose ground.
        shape: wished in plan, convex.
        floor_m: level of its underside.
        whole: it is the whole yard.
    """
    import shapely
    from shapely.geometry.polygon import orient

    kept = shapely.intersection(shape, known_ground(plan.ground.surface))
    parts = [part for part in getattr(kept, "geoms", [kept]) if part.geom_type == "Polygon"]
    kept = max(parts, key=lambda part: part.area) if parts else shape
    kept = orient(kept)
    return Block(kept, floor_m, lines_of([(x, y) for x, y in kept.exterior.coords[:-1]]), whole)


def ground_cells(days: BuildingDays, block: Block, done: Mapping[str, float]) -> list[Cell]:
    """Every cell of the ground in a block.

    Args:
        days: of the plan.
        block: what is shown.
        done: share of each task done, as ``BuildingDays.done`` gives it.
    """
    import shapely

    plan = days.plan
    made = _Made(plan, days, block, done)
    holes = [] if block.whole else list(_holes(days, block, done))
    rest = areas(block.shape)
    for hole in holes:
        part = areas(shapely.intersection(hole.shape, rest))
        rest = areas(shapely.difference(rest, part))
        for shape in polygons_of(part):
            made.cells.append(Cell(DUG, shape, flat(hole.level_m), flat(block.floor_m), hole.task))
    rest = _ends(made, rest)
    zones = [face for face in plan.terraces.beds if face.polygon.intersects(block.shape)]
    for face in zones:
        own = areas(shapely.intersection(face.polygon, rest))
        rest = areas(shapely.difference(rest, face.polygon))
        _bed(made, face, own)
    rest = _banks(made, rest)
    for shape, plane in existing(plan.ground.surface, rest):
        made.cells.append(Cell(NATIVE, shape, plane, flat(block.floor_m)))
    return made.cells


def _bed(made: _Made, face: Face, shape: Any) -> None:
    """A bed: its bench as far as it is cut, fill up to where it has come, bed soil, mulch."""
    import shapely

    done, plan, terrace = made.done, made.plan, face.terrace
    soil_m = face.level_m - lowered_m(plan.project)
    dug_m = soil_m - plan.project.bed_soil_m
    strips = list(before_walls(plan, shape))
    lean = areas(united(tuple(strip for strip, _ in strips)))
    shape = areas(shape)
    for strip, front_m in strips:
        _in_front(made, face, areas(shapely.intersection(shape, strip)), front_m)
    shape = sound(shapely.difference(shape, lean))
    cut, low = done.get(f"{terrace}/bench", 0.0), flat(made.block.floor_m)
    begun, left = share_of(shape, plan.terraces.along, cut)
    surface = plan.ground.surface
    native: list[tuple[Any, Plane, str]] = [(part, plane, "") for part, plane in existing(surface, left)]
    for (over, under), (_, plane) in split_all(existing(surface, begun), flat(dug_m)):
        native += [(one, flat(dug_m), f"{terrace}/bench") for one in over]
        native += [(one, plane, "") for one in under]
    for part, plane, task in native:
        made.cells.append(Cell(DUG if task else NATIVE, part, plane, low, task))
    _filled(made, face, native, dug_m)
    soil = done.get(f"{face.id}/bed soil", 0.0)
    if soil > 0:
        own = sound(shapely.difference(areas(shapely.intersection(face.polygon, made.block.shape)), lean))
        timber = [run.polygon for run in plan.walls.runs if run.polygon.intersects(own)]
        own = sound(shapely.difference(own, united(tuple(timber)))) if timber else own
        walked = areas(united(tuple(shapely.polygons(ring) for ring in _walked(plan, face))))
        for part in polygons_of(shapely.intersection(own, walked)):
            made.cells.append(Cell(STRIP, part, flat(face.level_m), flat(dug_m), f"{face.id}/bed soil"))
        brought, _ = share_of(shapely.difference(own, walked), plan.terraces.along, soil)
        mulch_m = plan.project.planting.mulch_m if done.get(f"{face.id}/mulch", 0.0) > 0 else 0.0
        for part in polygons_of(brought):
            made.cells.append(Cell(BED, part, flat(soil_m), flat(dug_m), f"{face.id}/bed soil"))
            if mulch_m > 0:
                made.cells.append(Cell(MULCH, part, flat(soil_m + mulch_m), flat(soil_m), f"{face.id}/mulch"))


def _ends(made: _Made, rest: Any) -> Any:
    """Ends of banks round fronts whose fill is there, over beds and banks; the ground beside them."""
    import shapely

    soil_m, ground = made.plan.project.digging.topsoil_m, made.plan.ground.surface
    back = made.done.get(f"{REST}/bed soil", 0.0) > 0
    for one in reversed([one for one in bank_finishes(made.plan) if one.over]):
        task, (a, b, c) = f"{one.terrace}/fill", one.level
        if made.done.get(task, 0.0) < 1.0:
            continue
        shape, under, low = areas(shapely.intersection(_ring(one), rest)), (a, b, c - soil_m), flat(made.block.floor_m)
        for part, plane in existing(ground, shape):
            for cut in where_higher(part, plane, under):
                made.cells.append(Cell(DUG, cut, under, low, task))
            for made_up in where_higher(part, under, plane):
                made.cells.append(Cell(NATIVE, made_up, plane, low))
                made.cells.append(Cell(FILL, made_up, under, plane, task))
            if back and soil_m > 0:
                made.cells.append(Cell(BED, part, one.level, under, f"{REST}/bed soil"))
        rest = areas(shapely.difference(rest, shape))
    return rest


def _ring(one: Finish) -> Any:
    from shapely.geometry import Polygon

    return areas(Polygon(one.rings[0]).buffer(0))


def _banks(made: _Made, rest: Any) -> Any:
    """Banks outside the area as far as they are cut or made up, topsoil back on them last; the ground beside them."""
    import shapely

    soil_m, ground = made.plan.project.digging.topsoil_m, made.plan.ground.surface
    back = made.done.get(f"{REST}/bed soil", 0.0) > 0
    for one in (one for one in bank_finishes(made.plan) if not one.over):
        a, b, c = one.level
        task = f"{one.terrace}/{'fill' if one.raised > 0 else 'bench'}"
        shape = areas(shapely.intersection(_ring(one), rest))
        begun, _ = share_of(shape, made.plan.terraces.along, made.done.get(task, 0.0))
        shaped = []
        for ground_part, plane in existing(ground, areas(begun)):
            high, low = (one.level, plane) if one.raised > 0 else (plane, one.level)
            shaped += [(part, plane) for part in where_higher(ground_part, high, low)]
        for part, plane in shaped:
            _shaped(made, (part, plane), (a, b, c - soil_m), (task, one.raised > 0))
            if back and soil_m > 0:
                made.cells.append(Cell(BED, part, one.level, (a, b, c - soil_m), f"{REST}/bed soil"))
        if shaped:
            rest = areas(shapely.difference(rest, united(tuple(part for part, _ in shaped))))
    return rest


def _shaped(made: _Made, native: tuple[Any, Plane], level: Plane, how: tuple[str, bool]) -> None:
    """A part of a bank under its topsoil.

    Args:
        made: the cells.
        native: its outline, and the plane of the ground there.
        level: what it is shaped to.
        how: the task, and whether it is made up.
    """
    (shape, plane), low, (task, filled) = native, flat(made.block.floor_m), how
    if filled:
        made.cells.append(Cell(NATIVE, shape, plane, low))
        made.cells += [Cell(FILL, part, level, plane, task) for part in where_higher(shape, level, plane)]
    else:
        made.cells.append(Cell(DUG, shape, level, low, task))


def _in_front(made: _Made, face: Face, strip: Any, front_m: float | None) -> None:
    """A strip in front of a wall: as it was, but down at the bench there once the bed behind is being cut."""
    low, cut = flat(made.block.floor_m), made.done.get(f"{face.terrace}/bench", 0.0) > 0
    bench = flat(front_m if cut and front_m is not None else inf)
    for (over, under), (_, plane) in split_all(existing(made.plan.ground.surface, strip), bench):
        made.cells += [Cell(NATIVE, one, bench, low) for one in over]
        made.cells += [Cell(NATIVE, one, plane, low) for one in under]


def _walked(plan: Plan, face: Face) -> Iterator[tuple[Point, ...]]:
    """Parts of a bed that get no bed soil: its path strip and the landings of steps."""
    yield from face.strip_m
    for flight in plan.terraces.flights:
        for landing in flight.landings:
            if landing.face == face.id:
                yield landing.outline_m


def _filled(made: _Made, face: Face, native: Iterable[tuple[Any, Plane, str]], dug_m: float) -> None:
    """Fill in level layers from the lowest ground of the bed up, as far as its share and the courses reach."""
    share = made.done.get(f"{face.terrace}/fill", 0.0)
    parts = [(part, plane) for part, plane, _ in native]
    if share <= 0 or not parts:
        return
    lowest = float(over_plane(parts, flat(0.0))[0].min())
    laid = made.days.rises_to(f"{face.terrace}/fill", share)
    top = flat(max(lowest, min(laid, lowest + share * max(0.0, dug_m - lowest))))
    for (_, under), (_, plane) in split_all(parts, top):
        for one in under:
            made.cells.append(Cell(FILL, one, top, plane, f"{face.terrace}/fill"))


def _holes(days: BuildingDays, block: Block, done: Mapping[str, float]) -> Iterator[Hole]:
    """What is dug for walls, drain stone and pipes, as long as it is open or filled by what lies in it."""
    import shapely

    room = days.plan.project.digging.work_room_m
    found: list[Hole] = []
    around: list[Hole] = []
    for thing in reached(days, block):
        if thing.kind not in ("stone bed", "stone", "solid pipe") or thing.owner.startswith("S"):
            continue
        shape = thing.polygon
        if not shape.is_valid or not shape.intersects(block.shape):
            continue
        stage = max(1, days.stage_of(thing))
        task = f"{stage}/trench"
        dug = done.get(task, 0.0)
        if task in days.tasks and (dug <= 0 or (dug <= days.coming[thing.id].share and thing.kind == "stone bed")):
            continue
        low = min(thing.levels_at(point)[0] for point in thing.outline_m)
        closed = _closed(days, stage, done)
        if thing.kind == "solid pipe":
            if not closed:
                around.append(Hole(shape.buffer(room, join_style="mitre"), low, task, False))
            continue
        found.append(Hole(shape, low, task, True))
        if not closed:
            around.append(Hole(shape.buffer(room, join_style="mitre"), low, task, False))
    # Where two meet, the ground is dug to the lower.
    yield from sorted(found, key=_level)
    yield from sorted((hole for hole in around if shapely.area(hole.shape) > 0), key=_level)


def _level(hole: Hole) -> float:
    return hole.level_m


def reached(days: BuildingDays, block: Block) -> Iterator[Placed]:
    """Placed things whose box touches that of a block."""
    left, low, right, high = block.shape.bounds
    a, b, c, d = _boxes(Same(days)).T
    for n in np.flatnonzero((c >= left) & (a <= right) & (d >= low) & (b <= high)).tolist():
        yield days.things[n]


@lru_cache(maxsize=2)
def _boxes(days: Same[BuildingDays]) -> NDArray[np.float64]:
    """(n, 4): least x and y, greatest x and y of every placed thing."""
    rings = [thing.outline_m for thing in days.thing.things]
    points = np.array(list(chain.from_iterable(rings))).reshape(-1, 2)
    first = np.cumsum([0, *map(len, rings)])[:-1]
    return np.column_stack([np.minimum.reduceat(points, first), np.maximum.reduceat(points, first)])


def _closed(days: BuildingDays, stage: int, done: Mapping[str, float]) -> bool:
    """Whether the trenches of a stage are filled beside the walls: with the first fill, or the last course."""
    for kind in ("fill", "courses", "first course"):
        if f"{stage}/{kind}" in days.tasks:
            return done.get(f"{stage}/{kind}", 0.0) > 0
    return False
