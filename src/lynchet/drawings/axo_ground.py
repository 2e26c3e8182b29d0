"""The ground of a block at one moment of the work: existing ground, benches as far as they are cut, trenches as long as
they are open, fill and bed soil as far as they are brought in.

Everything is read from the placed things, the faces of the terraces and the measured ground; levels are the file's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np

from lynchet.drawings.axo_before_walls import before_walls
from lynchet.drawings.axo_faces import Face as Side
from lynchet.drawings.axo_faces import Plane, Upright, flat, level, lines_of, on_lines, outward, side_faces, top_faces
from lynchet.earth.finishes import lowered_m
from lynchet.ground.model import Surface
from lynchet.ground.surface import level_at
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan
from lynchet.terraces.model import Face

_NO_AREA_M2 = 1e-6
_TOUCH_M = 1e-6
Point = tuple[float, float]
NATIVE, DUG, FILL, STRIP, BED, MULCH = "existing ground", "dug ground", "fill", "strip", "bed soil", "mulch"
_RANKS = {NATIVE: 0, DUG: 0, FILL: 1, STRIP: 2, BED: 2, MULCH: 3}


@dataclass(frozen=True, eq=False)
class Block:
    """The part of the yard that is shown: a plan polygon, and the level of the block's underside."""

    shape: Any
    floor_m: float
    lines: Any
    """Lines of its edges, ``axo_faces.lines_of``."""
    whole: bool = False
    """It is the whole yard: trenches are not shown."""


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
    made = _Made(plan, block, done)
    holes = [] if block.whole else list(_holes(days, block, done))
    rest = areas(block.shape)
    for hole in holes:
        part = areas(shapely.intersection(hole.shape, rest))
        rest = areas(shapely.difference(rest, part))
        for shape in _polygons(part):
            made.cells.append(Cell(DUG, shape, flat(hole.level_m), flat(block.floor_m), hole.task))
    zones = [face for face in plan.terraces.beds if face.polygon.intersects(block.shape)]
    for face in zones:
        own = areas(shapely.intersection(face.polygon, rest))
        rest = areas(shapely.difference(rest, face.polygon))
        _bed(made, face, own)
    for shape, plane in _existing(plan.ground.surface, rest):
        made.cells.append(Cell(NATIVE, shape, plane, flat(block.floor_m)))
    return made.cells


def ground_faces(cells: Sequence[Cell], block: Block, surface: Surface) -> Iterator[tuple[Cell, list[Side]]]:
    """Faces of the ground, cells of one sort and one plane as one body.

    A body's sides run round its whole outline, down to the lowest ground of the block, as the ground before them hides
    what is too deep; on the block's own edges they are as deep as the body, cell by cell: there the layers are seen.

    Args:
        cells: of the block.
        block: what is shown.
        surface: the measured ground.
    """
    import shapely

    lowest = min((level(cell.top, *point) for cell in cells for point in cell.shape.exterior.coords), default=0.0)
    groups: dict[tuple[Any, ...], list[Cell]] = {}
    for cell in cells:
        plane = () if cell.kind == NATIVE else tuple(round(v, 7) for v in cell.top)
        groups.setdefault((cell.kind, cell.task, plane), []).append(cell)
    for n, group in enumerate(groups.values()):
        first, name = group[0], f"{group[0].kind}/{n}"
        whole = shapely.union_all([cell.shape for cell in group]) if len(group) > 1 else first.shape
        known = _heights(group, surface)
        faces: list[Side] = []
        for part in _polygons(whole):
            tops = [part] if first.kind != NATIVE else []
            for shape in tops:
                faces += top_faces(_upright(first, shape, name))
            faces += _round(part, (known, _deepest(group, lowest)), block, (name, _RANKS[first.kind]))
        if first.kind == NATIVE:
            faces += [top for cell in group for top in top_faces(_upright(cell, cell.shape, name))]
        yield first, faces
        # On the block's own edges ground is ground, dug or not; what was brought shows its layers.
        shown = Cell(NATIVE, first.shape, first.top, first.bottom) if first.kind == DUG else first
        label = f"{shown.kind}/cut" if shown.kind == NATIVE else name
        edged = [_upright(cell, cell.shape, label) for cell in group if cell.shape.intersects(block.shape.exterior)]
        yield shown, [side for body in edged for side in side_faces(body, block.lines, only_cut=True)]


def _upright(cell: Cell, shape: Any, name: str) -> Upright:
    return Upright(name, shape, cell.bottom, cell.top, _RANKS[cell.kind])


def _heights(group: Sequence[Cell], surface: Surface) -> Any:
    """Level of the top of a group at its corners."""
    if group[0].kind != NATIVE:
        return lambda x, y: level(group[0].top, x, y)
    known = {(round(x, 6), round(y, 6)): level(cell.top, x, y)
             for cell in group for x, y in cell.shape.exterior.coords}  # fmt: skip

    def at(x: float, y: float) -> float:
        found = known.get((round(x, 6), round(y, 6)))
        return float(level_at(surface, [(x, y)])[0]) if found is None else found

    return at


def _deepest(group: Sequence[Cell], lowest: float) -> float:
    """How deep the sides of a group may be seen."""
    if group[0].kind in (NATIVE, DUG):
        return lowest
    return min(level(cell.bottom, *point) for cell in group for point in cell.shape.exterior.coords)


def _round(shape: Any, levels: tuple[Any, float], block: Block, who: tuple[str, int]) -> Iterator[Side]:
    """Sides of a body but for those on the block's own edges."""
    (known, low), (name, rank) = levels, who
    for ring in (shape.exterior, *shape.interiors):
        turned = ring.is_ccw == (ring is shape.exterior or ring.equals(shape.exterior))
        points = [(float(x), float(y)) for x, y in (ring.coords if turned else ring.coords[::-1])]
        for (a, b), on in zip(pairwise(points), on_lines(points, block.lines), strict=True):
            if on:
                continue
            high = known(*a), known(*b)
            if max(high) - low < _TOUCH_M:
                continue
            side = np.array([(*a, low), (*b, low), (*b, high[1]), (*a, high[0])])
            yield Side((side,), name, "side", rank, outward(a, b))


def _bed(made: _Made, face: Face, shape: Any) -> None:
    """A bed: its bench as far as it is cut, fill up to where it has come, bed soil, mulch."""
    import shapely

    done, plan, terrace = made.done, made.plan, face.terrace
    soil_m = face.level_m - lowered_m(plan.project)
    dug_m = soil_m - plan.project.bed_soil_m
    strips = list(before_walls(plan, shape))
    lean = areas(shapely.union_all([strip for strip, _ in strips]))
    shape = areas(shape)
    for strip, front_m in strips:
        _in_front(made, face, areas(shapely.intersection(shape, strip)), front_m)
    shape = areas(shapely.difference(shape, lean))
    cut, low = done.get(f"{terrace}/bench", 0.0), flat(made.block.floor_m)
    begun, left = _share_of(shape, plan.terraces.along, cut)
    surface = plan.ground.surface
    native: list[tuple[Any, Plane, str]] = [(part, plane, "") for part, plane in _existing(surface, left)]
    for part, plane in _existing(surface, begun):
        over, under = _split(part, plane, flat(dug_m))
        native += [(one, flat(dug_m), f"{terrace}/bench") for one in over]
        native += [(one, plane, "") for one in under]
    for part, plane, task in native:
        made.cells.append(Cell(DUG if task else NATIVE, part, plane, low, task))
    _filled(made, face, native, dug_m)
    soil = done.get(f"{face.id}/bed soil", 0.0)
    if soil > 0:
        own = areas(shapely.difference(areas(shapely.intersection(face.polygon, made.block.shape)), lean))
        timber = [run.polygon for run in plan.walls.runs if run.polygon.intersects(own)]
        own = shapely.difference(own, shapely.union_all(timber)) if timber else own
        walked = areas(shapely.union_all([shapely.polygons(ring) for ring in _walked(plan, face)]))
        for part in _polygons(shapely.intersection(own, walked)):
            made.cells.append(Cell(STRIP, part, flat(face.level_m), flat(dug_m), f"{face.id}/bed soil"))
        brought, _ = _share_of(shapely.difference(own, walked), plan.terraces.along, soil)
        mulch_m = plan.project.planting.mulch_m if done.get(f"{face.id}/mulch", 0.0) > 0 else 0.0
        for part in _polygons(brought):
            made.cells.append(Cell(BED, part, flat(soil_m), flat(dug_m), f"{face.id}/bed soil"))
            if mulch_m > 0:
                made.cells.append(Cell(MULCH, part, flat(soil_m + mulch_m), flat(soil_m), f"{face.id}/mulch"))


def _in_front(made: _Made, face: Face, strip: Any, front_m: float | None) -> None:
    """A strip in front of a wall: as it was, but down at the bench there once the bed behind is being cut."""
    low, cut = flat(made.block.floor_m), made.done.get(f"{face.terrace}/bench", 0.0) > 0
    for part, plane in _existing(made.plan.ground.surface, strip):
        over, under = _split(part, plane, flat(front_m)) if cut and front_m is not None else ([], [part])
        made.cells += [Cell(NATIVE, one, flat(front_m or 0.0), low) for one in over]
        made.cells += [Cell(NATIVE, one, plane, low) for one in under]


def _walked(plan: Plan, face: Face) -> Iterator[tuple[Point, ...]]:
    """Parts of a bed that get no bed soil: its path strip and the landings of steps."""
    yield from face.strip_m
    for flight in plan.terraces.flights:
        for landing in flight.landings:
            if landing.face == face.id:
                yield landing.outline_m


def _filled(made: _Made, face: Face, native: Iterable[tuple[Any, Plane, str]], dug_m: float) -> None:
    """Fill in level layers from the lowest ground of the bed up, as far as its share is done."""
    share = made.done.get(f"{face.terrace}/fill", 0.0)
    parts = [(part, plane) for part, plane, _ in native]
    if share <= 0 or not parts:
        return
    lowest = min(level(plane, x, y) for part, plane in parts for x, y in part.exterior.coords)
    top = flat(lowest + share * max(0.0, dug_m - lowest))
    for part, plane in parts:
        _, under = _split(part, plane, top)
        for one in under:
            made.cells.append(Cell(FILL, one, top, plane, f"{face.terrace}/fill"))


def _holes(days: BuildingDays, block: Block, done: Mapping[str, float]) -> Iterator[Hole]:
    """What is dug for walls, drain stone and pipes, as long as it is open or filled by what lies in it."""
    import shapely

    room = days.plan.project.digging.work_room_m
    found: list[Hole] = []
    around: list[Hole] = []
    for thing in days.things:
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
    yield from found
    yield from (hole for hole in around if shapely.area(hole.shape) > 0)


def _closed(days: BuildingDays, stage: int, done: Mapping[str, float]) -> bool:
    """Whether the trenches of a stage are filled beside the walls: with the first fill, or the last course."""
    for kind in ("fill", "courses", "first course"):
        if f"{stage}/{kind}" in days.tasks:
            return done.get(f"{stage}/{kind}", 0.0) > 0
    return False


def _existing(surface: Surface, shape: Any) -> Iterator[tuple[Any, Plane]]:
    """The measured ground under a shape, triangle by triangle."""
    import shapely

    if shape is None or shape.is_empty:
        return
    at = np.sort(surface.tree.query(shape, predicate="intersects"))
    for n, part in zip(at.tolist(), shapely.intersection(surface.polygons[at], shape), strict=True):
        for one in _polygons(part):
            a, b, c = surface.planes[n].tolist()
            yield one, (a, b, c)


def _split(shape: Any, one: Plane, two: Plane) -> tuple[list[Any], list[Any]]:
    """Where the first plane is the higher, and where the second is."""
    import shapely

    a, b, c = (p - q for p, q in zip(one, two, strict=True))
    values = [a * x + b * y + c for x, y in shape.exterior.coords]
    if min(values) > -_TOUCH_M:
        return [shape], []
    if max(values) < _TOUCH_M:
        return [], [shape]
    over = shapely.intersection(shape, _half(shape, (a, b, c)))
    return list(_polygons(over)), list(_polygons(shapely.difference(shape, over)))


def _half(shape: Any, line: Plane) -> Any:
    """Round a shape, where a x + b y + c is over nothing."""
    import shapely

    a, b, c = line
    size = float(np.hypot(a, b))
    left, low, right, high = shape.bounds
    middle, wide = np.array([(left + right) / 2, (low + high) / 2]), right - left + high - low + 1.0
    across, along = np.array([a, b]) / size, np.array([-b, a]) / size
    start = middle - across * (a * middle[0] + b * middle[1] + c) / size
    deep = wide + float(np.hypot(*(start - middle)))
    corners = [start - along * deep, start - along * deep + across * deep, start + along * deep + across * deep,
               start + along * deep]  # fmt: skip
    return shapely.polygons(np.array(corners))


def _share_of(shape: Any, along: tuple[float, float], share: float) -> tuple[Any, Any]:
    """A shape cut across: the part that is done, from one end on, and the part that is not."""
    from shapely.geometry import Polygon

    if share >= 1.0 or shape.is_empty:
        return shape, Polygon()
    if share <= 0.0:
        return Polygon(), shape
    ends = [x * along[0] + y * along[1] for part in _polygons(shape) for x, y in part.exterior.coords]
    at = min(ends) + share * (max(ends) - min(ends)) if ends else 0.0
    half = _half(shape, (-along[0], -along[1], at))
    return areas(shape.intersection(half)), areas(shape.difference(half))


def areas(shape: Any) -> Any:
    """The polygons of a shape alone."""
    from shapely.geometry import MultiPolygon

    return shape if shape.geom_type in ("Polygon", "MultiPolygon") else MultiPolygon(list(_polygons(shape)))


def _polygons(shape: Any) -> Iterator[Any]:
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon" and part.area > _NO_AREA_M2:
            yield part
