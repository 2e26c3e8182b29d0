"""The ground of a block at one moment of the work: existing ground, benches as far as they are cut, trenches as long as
they are open, fill and bed soil as far as they are brought in.

Everything is read from the placed things, the faces of the terraces and the measured ground; levels are the file's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import chain
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.quick import quick
from lynchet.core.same import Same
from lynchet.drawings.axo_before_walls import before_walls
from lynchet.drawings.axo_faces import Plane, flat, levels, lines_of
from lynchet.drawings.kept import united
from lynchet.earth.finishes import lowered_m
from lynchet.ground.model import Surface
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed
from lynchet.terraces.model import Face

_NO_AREA_M2 = 1e-6
_TOUCH_M = 1e-6
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
    zones = [face for face in plan.terraces.beds if face.polygon.intersects(block.shape)]
    for face in zones:
        own = areas(shapely.intersection(face.polygon, rest))
        rest = areas(shapely.difference(rest, face.polygon))
        _bed(made, face, own)
    for shape, plane in _existing(plan.ground.surface, rest):
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
    begun, left = _share_of(shape, plan.terraces.along, cut)
    surface = plan.ground.surface
    native: list[tuple[Any, Plane, str]] = [(part, plane, "") for part, plane in _existing(surface, left)]
    for (over, under), (_, plane) in _split_all(_existing(surface, begun), flat(dug_m)):
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
        brought, _ = _share_of(shapely.difference(own, walked), plan.terraces.along, soil)
        mulch_m = plan.project.planting.mulch_m if done.get(f"{face.id}/mulch", 0.0) > 0 else 0.0
        for part in polygons_of(brought):
            made.cells.append(Cell(BED, part, flat(soil_m), flat(dug_m), f"{face.id}/bed soil"))
            if mulch_m > 0:
                made.cells.append(Cell(MULCH, part, flat(soil_m + mulch_m), flat(soil_m), f"{face.id}/mulch"))


def _in_front(made: _Made, face: Face, strip: Any, front_m: float | None) -> None:
    """A strip in front of a wall: as it was, but down at the bench there once the bed behind is being cut."""
    low, cut = flat(made.block.floor_m), made.done.get(f"{face.terrace}/bench", 0.0) > 0
    bench = flat(front_m if cut and front_m is not None else inf)
    for (over, under), (_, plane) in _split_all(_existing(made.plan.ground.surface, strip), bench):
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
    lowest = float(_over(parts, flat(0.0))[0].min())
    laid = made.days.rises_to(f"{face.terrace}/fill", share)
    top = flat(max(lowest, min(laid, lowest + share * max(0.0, dug_m - lowest))))
    for (_, under), (_, plane) in _split_all(parts, top):
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


def _existing(surface: Surface, shape: Any) -> tuple[tuple[Any, Plane], ...]:
    """The measured ground under a shape, triangle by triangle; beds as they are stay so from picture to picture."""
    return () if shape is None or shape.is_empty else _under(Same(surface), shape)


@lru_cache(maxsize=256)
def _under(ground: Same[Surface], shape: Any) -> tuple[tuple[Any, Plane], ...]:
    import shapely

    surface = ground.thing
    at = np.sort(surface.tree.query(shape, predicate="intersects"))
    parts = shapely.intersection(surface.polygons[at], shape)
    plain = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    large = shapely.area(parts) > _NO_AREA_M2
    found: list[tuple[Any, Plane]] = []
    for part, plane, is_plain, is_large in zip(
        parts.tolist(), surface.planes[at].tolist(), plain.tolist(), large.tolist(), strict=True
    ):
        a, b, c = plane
        found += [(one, (a, b, c)) for one in ((part,) * is_large if is_plain else polygons_of(part))]
    return tuple(found)


def _over(parts: Sequence[tuple[Any, Plane]], plane: Plane) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """How high each part, of a plane of its own, lies over another at the corners of its outer ring; whose each is."""
    import shapely

    rings = shapely.get_exterior_ring(np.array([part for part, _ in parts], dtype=object))
    points, owners = shapely.get_coordinates(rings, return_index=True)
    planes = (np.array([own for _, own in parts]) - plane).reshape(-1, 3)[owners]
    return levels(planes, points), owners


def _split_all(
    parts: Sequence[tuple[Any, Plane]], two: Plane
) -> Iterator[tuple[tuple[tuple[Any, ...], tuple[Any, ...]], tuple[Any, Plane]]]:
    """Where the plane of each part is the higher, and where the second plane is; with the part itself."""
    if not parts:
        return
    values, owners = _over(parts, two)
    first = np.searchsorted(owners, np.arange(len(parts)))
    low, high = np.minimum.reduceat(values, first).tolist(), np.maximum.reduceat(values, first).tolist()
    for n, (shape, plane) in enumerate(parts):
        if low[n] > -_TOUCH_M:
            yield ((shape,), ()), parts[n]
        elif high[n] < _TOUCH_M:
            yield ((), (shape,)), parts[n]
        else:
            yield _split(shape, plane, two), parts[n]


@lru_cache(maxsize=256)
def _split(shape: Any, one: Plane, two: Plane) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """Where the first plane is the higher, and where the second is; both are somewhere."""
    import shapely

    a, b, c = (p - q for p, q in zip(one, two, strict=True))
    over = shapely.intersection(shape, _half(shape, (a, b, c)))
    return tuple(polygons_of(over)), tuple(polygons_of(shapely.difference(shape, over)))


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
    ends = [x * along[0] + y * along[1] for part in polygons_of(shape) for x, y in part.exterior.coords]
    at = min(ends) + share * (max(ends) - min(ends)) if ends else 0.0
    half = _half(shape, (-along[0], -along[1], at))
    return areas(shape.intersection(half)), areas(shape.difference(half))


def areas(shape: Any) -> Any:
    """The polygons of a shape alone."""
    from shapely.geometry import MultiPolygon

    return shape if shape.geom_type in ("Polygon", "MultiPolygon") else MultiPolygon(list(polygons_of(shape)))


def sound(shape: Any) -> Any:
    """The polygons of a shape alone, made sound where an overlay off the grid left a hole past its rim."""
    import shapely

    return areas(shape if shapely.is_valid(shape) else shapely.make_valid(shape))


def polygons_of(shape: Any) -> Iterator[Any]:
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon" and part.area > _NO_AREA_M2:
            yield part
