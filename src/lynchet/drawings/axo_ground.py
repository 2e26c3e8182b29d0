"""The ground of a block at one moment of the work: existing ground, benches as far as they are cut, trenches as long as
they are open, fill and bed soil as far as they are brought in.

Everything is read from the placed things, the faces of the terraces and the measured ground; levels are the file's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from lynchet.drawings.axo_faces import Face as Side
from lynchet.drawings.axo_faces import Plane, Upright, flat, level, lines_of, upright_faces
from lynchet.ground.model import Surface
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan
from lynchet.terraces.model import Face

_NO_AREA_M2 = 1e-6
_TOUCH_M = 1e-6
NATIVE, DUG, FILL, BED, MULCH = "existing ground", "dug ground", "fill", "bed soil", "mulch"
_RANKS = {NATIVE: 0, DUG: 0, FILL: 1, BED: 2, MULCH: 3}
_MULCH_M = 0.05


@dataclass(frozen=True, eq=False)
class Block:
    """The part of the yard that is shown: a plan polygon, and the level of the block's underside."""

    shape: Any
    floor_m: float
    lines: Any
    """Lines of its edges, ``axo_faces.lines_of``."""


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


def block_of(plan: Plan, shape: Any, floor_m: float) -> Block:
    """A block over the measured ground.

    Args:
        plan: whose ground.
        shape: wished in plan, convex.
        floor_m: level of its underside.
    """
    import shapely
    from shapely.geometry.polygon import orient

    known = shapely.union_all(plan.ground.surface.polygons)
    kept = shapely.intersection(shape, known)
    parts = [part for part in getattr(kept, "geoms", [kept]) if part.geom_type == "Polygon"]
    kept = max(parts, key=lambda part: part.area) if parts else shape
    kept = orient(kept)
    return Block(kept, floor_m, lines_of([(x, y) for x, y in kept.exterior.coords[:-1]]))


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
    holes = list(_holes(days, block, done))
    rest = block.shape
    for hole in holes:
        part = shapely.intersection(hole.shape, rest)
        rest = shapely.difference(rest, part)
        for shape in _polygons(part):
            made.cells.append(Cell(DUG, shape, flat(hole.level_m), flat(block.floor_m), hole.task))
    taken = shapely.union_all([hole.shape for hole in holes if hole.stays]) if holes else None
    zones = [face for face in plan.terraces.beds if face.polygon.intersects(block.shape)]
    for face in zones:
        own = shapely.intersection(face.polygon, rest)
        rest = shapely.difference(rest, face.polygon)
        _bed(made, face, own, taken)
    for shape, plane in _existing(plan.ground.surface, rest):
        made.cells.append(Cell(NATIVE, shape, plane, flat(block.floor_m)))
    return _joined(made.cells)


def ground_faces(cells: Sequence[Cell], block: Block) -> list[tuple[Cell, list[Side]]]:
    """Faces of every cell; sides that two cells share at one level are left out."""
    found: list[tuple[Cell, list[Side]]] = []
    shared: dict[tuple[float, ...], tuple[int, int]] = {}
    for n, cell in enumerate(cells):
        body = Upright(f"{cell.kind}/{n}", cell.shape, cell.bottom, cell.top, _RANKS[cell.kind])
        sides = [side for side in upright_faces(body, block.lines) if side.side != "bottom"]
        kept: list[Side | None] = list(sides)
        for k, side in enumerate(sides):
            if side.side == "top" or cell.kind not in (NATIVE, DUG):
                continue
            a, b, c, d = np.round(side.rings[0], 6)
            back = shared.pop((*b[:2], *a[:2], c[2], d[2]), None)
            if back is None:
                shared[*a[:2], *b[:2], d[2], c[2]] = (n, k)
                continue
            kept[k] = None
            mine = kept if back[0] == n else found[back[0]][1]
            mine[back[1]] = None  # type: ignore[call-overload]
        found.append((cell, kept))  # type: ignore[arg-type]
    return [(cell, [side for side in sides if side is not None]) for cell, sides in found]


def _bed(made: _Made, face: Face, shape: Any, taken: Any) -> None:
    """A bed: its bench as far as it is cut, fill up to where it has come, bed soil, mulch."""
    import shapely

    done, plan, terrace = made.done, made.plan, face.terrace
    dug_m = face.level_m - plan.project.bed_soil_m
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
    _filled(made, face, native)
    soil = done.get(f"{face.id}/bed soil", 0.0)
    if soil > 0:
        own = shapely.intersection(face.polygon, made.block.shape)
        timber = [run.polygon for run in plan.walls.runs if run.polygon.intersects(own)]
        own = shapely.difference(own, shapely.union_all(timber)) if timber else own
        brought, _ = _share_of(own, plan.terraces.along, soil)
        mulched = done.get(f"{face.id}/mulch", 0.0)
        for part in _polygons(brought):
            top = face.level_m if mulched <= 0 else face.level_m - _MULCH_M
            made.cells.append(Cell(BED, part, flat(top), flat(dug_m), f"{face.id}/bed soil"))
            if mulched > 0:
                made.cells.append(Cell(MULCH, part, flat(face.level_m), flat(top), f"{face.id}/mulch"))


def _filled(made: _Made, face: Face, native: Iterable[tuple[Any, Plane, str]]) -> None:
    """Fill in level layers from the lowest ground of the bed up, as far as its share is done."""
    share = made.done.get(f"{face.terrace}/fill", 0.0)
    parts = [(part, plane) for part, plane, _ in native]
    if share <= 0 or not parts:
        return
    dug_m = face.level_m - made.plan.project.bed_soil_m
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
    return shape.intersection(half), shape.difference(half)


def _joined(cells: Sequence[Cell]) -> list[Cell]:
    """Cells of one kind on one level plane as one."""
    import shapely

    groups: dict[tuple[Any, ...], list[Cell]] = {}
    for cell in cells:
        key = (cell.kind, cell.task, *(round(v, 7) for v in (*cell.top, *cell.bottom)))
        groups.setdefault(key, []).append(cell)
    found = []
    for group in groups.values():
        whole = group[0].shape if len(group) == 1 else shapely.union_all([cell.shape for cell in group])
        first = group[0]
        found += [Cell(first.kind, part, first.top, first.bottom, first.task) for part in _polygons(whole)]
    return found


def _polygons(shape: Any) -> Iterator[Any]:
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon" and part.area > _NO_AREA_M2:
            yield part
