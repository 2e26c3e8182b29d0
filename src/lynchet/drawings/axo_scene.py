"""Everything of a block at the end of a day, what is seen of it, and what of that is new."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from lynchet.core.quick import quick
from lynchet.core.same import Same
from lynchet.drawings.axo_bodies import bodies, discs
from lynchet.drawings.axo_camera import Array, Parallel
from lynchet.drawings.axo_faces import Face
from lynchet.drawings.axo_ground import Block, Cell, block_of, ground_cells
from lynchet.drawings.axo_ground_faces import ground_faces
from lynchet.drawings.axo_visible import Seen, seen_of
from lynchet.drawings.axo_window import UNDER_M, Window
from lynchet.ground.model import Surface
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.placed import Placed

Point = tuple[float, float]
TILT_DEG = 38.0
_FAR_M = 10000.0


@quick
@dataclass(frozen=True, eq=False)
class Part:
    """What is seen of one thing, or of one kind of ground, on sides of one sort."""

    id: str
    kind: str
    side: str
    new: bool
    """It came, or became so, today."""
    shape: Any
    """Shapely polygon or multipolygon, picture metres."""
    thing: Placed | None = None
    cell: Cell | None = None


@dataclass(frozen=True, eq=False)
class Scene:
    """What a picture shows."""

    camera: Parallel
    block: Block
    parts: tuple[Part, ...]
    fabric: tuple[tuple[tuple[Point, ...], bool], ...]
    """Lines of the filter fabric on the cut, and whether each came today."""
    finished: bool = False
    """Nothing came today: all that stands is shown in full."""


class _About(NamedTuple):
    """What a body is."""

    name: str
    kind: str
    new: bool
    thing: Placed | None
    cell: Cell | None


def scene_of(days: BuildingDays, day: int, window: Window) -> Scene:
    """The scene of a day.

    Args:
        days: of the plan.
        day: from 1.
        window: what is shown.
    """
    done, before = days.done(day), days.done(day - 1)
    block = block_of(days.plan, window.shape, _floor(days, window), window.whole)
    camera = Parallel.from_side(window.bearing, TILT_DEG, days.plan.project.frame.mirrored)
    labels: dict[str, _About] = {}
    faces: list[Face] = []
    for cell, sides in ground_faces(ground_cells(days, block, done), block, days.plan.ground.surface):
        new = bool(cell.task) and done.get(cell.task, 0.0) > before.get(cell.task, 0.0)
        for side in sides:
            # Trenches of one stage are dug to the level of each wall's own stone: each level is one ground.
            deep = f"{cell.top[2]:.5f}" if cell.task.endswith("/trench") else ""
            labels[side.body] = _About(f"{cell.kind} {cell.task} {deep}".strip(), cell.kind, new, None, cell)
            faces.append(side)
    for thing, new, sides in bodies(days, block, done, before):
        labels[thing.id] = _About(thing.id, thing.kind, new, thing, None)
        faces += sides
    if window.whole:
        for name, side, new in _plants(days, (block, camera), done, before):
            labels[name] = _About(name, "plant", new, None, None)
            faces.append(side)
    finished = not any(about.new for about in labels.values())
    if finished:
        labels = {body: about._replace(new=not about.cell or bool(about.cell.task)) for body, about in labels.items()}
    parts = tuple(_parts(seen_of(faces, camera, groups=_groups(faces, labels)), labels, camera.toward))
    fabric = () if window.whole else tuple(_fabric(days, (block, camera), done, before))
    return Scene(camera, block, parts, fabric, finished)


def _floor(days: BuildingDays, window: Window) -> float:
    """A level under all that is shown."""
    import shapely

    plan = days.plan
    surface = plan.ground.surface
    levels: list[float] = []
    at = surface.tree.query(window.shape, predicate="intersects")
    lowest = _lowest(Same(surface))[at]
    inside = shapely.contains_properly(window.shape, surface.polygons[at])
    levels += lowest[inside].tolist()
    # Of those on the edge only what reaches lower than these can tell more.
    at = at[~inside & (lowest < min(levels, default=np.inf))]
    points, owners = shapely.get_coordinates(
        shapely.intersection(surface.polygons[at], window.shape), return_index=True
    )
    if len(points):
        a, b, c = surface.planes[at[owners]].T
        levels.append(float((a * points[:, 0] + b * points[:, 1] + c).min()))
    if not window.whole:
        left, low, right, high = window.shape.bounds
        for thing in days.things:
            if thing.kind not in ("stone bed", "stone", "drain pipe"):
                continue
            x, y = thing.outline_m[0]
            if left < x < right and low < y < high:
                levels.append(thing.bottom_m)
    return min(levels, default=plan.ground.lowest_m) - UNDER_M


@lru_cache(maxsize=4)
def _lowest(surface: Same[Surface]) -> Array:
    """(n,) level of the lowest corner of every triangle."""
    corners = surface.thing.points[surface.thing.triangles]
    a, b, c = surface.thing.planes.T[:, :, None]
    found: Array = (a * corners[:, :, 0] + b * corners[:, :, 1] + c).min(axis=1)
    return found


def _plants(days: BuildingDays, place: tuple[Block, Parallel], done: Mapping[str, float],
            before: Mapping[str, float]) -> Iterator[tuple[str, Face, bool]]:  # fmt: skip
    import shapely

    block, camera = place
    for planting in days.plan.planted.plantings:
        inside = shapely.contains_xy(block.shape, np.array(planting.points_m).reshape(-1, 2)).tolist()
        plants = [plant for plant, within in zip(planting.plants, inside, strict=True) if within]
        plants = [plant for plant in plants if days.stands(plant.id, done)]
        size = max(0.15, 0.4 * planting.species.spread_m), max(0.15, 0.4 * planting.species.height_m)
        mulch_m = days.plan.project.planting.mulch_m
        feet = np.array([(*plant.point_m, plant.soil_m + mulch_m) for plant in plants]).reshape(-1, 3)
        names = [plant.id for plant in plants]
        for name, face in zip(names, discs(feet, np.tile(size, (len(names), 1)), camera, names), strict=True):
            yield name, face, not days.stands(name, before)


def _groups(faces: Sequence[Face], labels: Mapping[str, _About]) -> list[tuple[Any, ...]]:
    """What each face belongs to: ground of one kind is one; of a thing each flat face is, and all that is round."""
    known = [labels[face.body] for face in faces]
    sides = [n for n, face in enumerate(faces) if face.side == "side" and known[n].cell is not None]
    out = np.array([faces[n].outward() for n in sides]).reshape(-1, 3)
    off = np.einsum("ij,ij->i", out, np.array([faces[n].rings[0][0] for n in sides]).reshape(-1, 3))
    planes = dict(zip(sides, zip(np.round(out, 4).tolist(), np.round(off, 3).tolist(), strict=True), strict=True))
    found: list[tuple[Any, ...]] = []
    for n, (face, about) in enumerate(zip(faces, known, strict=True)):
        if n in planes:
            found.append((about.name, face.side, *planes[n][0], planes[n][1]))
        elif face.side in ("top", "side") and about.thing is not None:
            found.append((about.name, face.side, n))
        else:
            found.append((about.name, face.side))
    return found


def _parts(seen: Sequence[Seen], labels: Mapping[str, _About], toward: Array) -> Iterator[Part]:
    # Plants are drawn over one another, the farther first: their names keep that order.
    plants = [k for k, one in enumerate(seen) if one.face.side == "plant"]
    middles = np.array([seen[k].face.rings[0] for k in plants]).mean(axis=1) if plants else np.empty((0, 3))
    near = dict(zip(plants, (middles @ toward).tolist(), strict=True))
    for k, one in enumerate(seen):
        name, kind, new, thing, cell = labels[one.face.body]
        side = one.face.side
        name = f"plant {near[k] + _FAR_M:012.6f} {name}" if side == "plant" else name
        yield Part(f"{name}/{side}/{k}", kind, side, new, one.shape, thing, cell)


def _fabric(days: BuildingDays, place: tuple[Block, Parallel], done: Mapping[str, float],
            before: Mapping[str, float]) -> Iterator[tuple[tuple[Point, ...], bool]]:  # fmt: skip
    """Filter fabric where the cut goes through it: round the trench of the stone, closed once that is full."""
    from shapely.geometry import LineString

    block, camera = place
    ring = list(block.shape.exterior.coords)
    for stone in (thing for thing in days.things if thing.kind == "stone"):
        name = stone.id.replace("/stone/", "/fabric/")
        if name not in days.coming or not days.stands(name, done):
            continue
        for a, b in pairwise(ring) if stone.polygon.intersects(block.shape) else ():
            out: Array = np.array([b[1] - a[1], a[0] - b[0], 0.0])
            part = LineString((a, b)).intersection(stone.polygon)
            if out @ camera.toward <= 0 or part.geom_type != "LineString" or part.length < 0.02:
                continue
            (x0, y0), (x1, y1) = part.coords[0], part.coords[-1]
            low0, high0 = stone.levels_at((x0, y0))
            low1, high1 = stone.levels_at((x1, y1))
            line = np.array([(x0, y0, high0), (x0, y0, low0), (x1, y1, low1), (x1, y1, high1), (x0, y0, high0)])
            full = done.get(days.coming[stone.id].task, 0.0) >= 1.0
            flat = camera.project(line if full else line[:4])
            yield tuple((float(u), float(v)) for u, v, _ in flat), not days.stands(name, before)
