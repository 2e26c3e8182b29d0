"""Placed things as bodies of a block: cut at its edges, pipes round, plants as discs turned to the viewer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import cos, hypot, pi, sin

import numpy as np

from lynchet.drawings.axo_faces import Array, Face, Plane, Upright, upright_faces
from lynchet.drawings.axo_ground import Block
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.placed import Placed
from lynchet.water.model import Body

SHOWN: dict[str, int] = {
    "stone bed": 4, "stone": 4, "outlet": 4, "soakaway": 4, "step": 6, "tie": 7, "cross-piece": 7, "timber": 7,
    "drain pipe": 8, "solid pipe": 8, "roof pipe": 8, "cut-off": 8, "fitting": 8,
}  # fmt: skip
"""Kinds that are drawn, and which of two in one place is seen."""
_PIPES = ("drain pipe", "solid pipe", "roof pipe", "cut-off")
_SIDES = 12
_NO_AREA_M2 = 1e-6


def bodies(days: BuildingDays, block: Block, done: Mapping[str, float]) -> Iterator[tuple[Placed, list[Face]]]:
    """Every placed thing that stands in a block, with its faces.

    Args:
        days: of the plan.
        block: what is shown.
        done: share of each task done.
    """
    import shapely

    pipes = {body.id: body for body in days.plan.water.bodies if body.kind in _PIPES}
    left, low, right, high = block.shape.bounds
    for thing in days.things:
        rank = SHOWN.get(thing.kind)
        if rank is None or not days.stands(thing.id, done):
            continue
        xs, ys = zip(*thing.outline_m, strict=True)
        if max(xs) < left or min(xs) > right or max(ys) < low or min(ys) > high:
            continue
        if thing.id in pipes:
            faces = pipe_faces(pipes[thing.id], block, rank)
        else:
            shape = shapely.intersection(thing.polygon, block.shape)
            if shape.area < _NO_AREA_M2:
                continue
            faces = upright_faces(Upright(thing.id, shape, *_planes(thing, days, done), rank), block.lines)
        if faces:
            yield thing, faces


def _planes(thing: Placed, days: BuildingDays, done: Mapping[str, float]) -> tuple[Plane, Plane]:
    """Bottom and top; drain stone rises with its share."""
    (a, b), (x, y) = thing.slope, thing.origin_m
    low, high = thing.bottom_m, thing.top_m
    if thing.kind == "stone":
        task = days.coming[thing.id].task
        high = low + (high - low) * min(1.0, done.get(task, 1.0))
    return (a, b, low - a * x - b * y), (a, b, high - a * x - b * y)


def pipe_faces(body: Body, block: Block, rank: int) -> list[Face]:
    """A pipe as a round bar of many sides, cut at the block's edges."""
    found = _clipped(body, block)
    if found is None:
        return []
    (a, b), ends = found
    way = b - a
    length = float(np.sqrt(way @ way))
    if length < 1e-6:
        return []
    way = way / length
    level = hypot(way[0], way[1])
    if level < 1e-9:
        return []
    left = np.array([-way[1] / level, way[0] / level, 0.0])
    up = np.cross(way, left)
    radius = 0.5 * (body.top_start_m - body.bottom_start_m)
    turns = [2.0 * pi * n / _SIDES for n in range(_SIDES)]
    ring = np.array([radius * (cos(turn) * left + sin(turn) * up) for turn in turns])
    first, last = (_end(ring + at, way, line) for at, line in zip((a, b), ends, strict=True))
    faces = [Face((first[::-1],), body.id, "cut" if ends[0] is not None else "end", rank),
             Face((last,), body.id, "cut" if ends[1] is not None else "end", rank)]  # fmt: skip
    for n in range(_SIDES):
        k = (n + 1) % _SIDES
        faces.append(Face((np.array([first[n], last[n], last[k], first[k]])[::-1],), body.id, "round", rank))
    return faces


def _clipped(body: Body, block: Block) -> tuple[tuple[Array, Array], list[Array | None]] | None:
    """The pipe's middle line inside the block, and at each end the block's edge it is cut by."""
    from shapely.geometry import LineString

    part = LineString((body.start_m, body.end_m)).intersection(block.shape)
    if part.geom_type != "LineString" or part.is_empty:
        return None
    dx, dy = body.end_m[0] - body.start_m[0], body.end_m[1] - body.start_m[1]
    square = dx * dx + dy * dy
    points: list[Array] = []
    ends: list[Array | None] = []
    for x, y in (part.coords[0], part.coords[-1]):
        share = ((x - body.start_m[0]) * dx + (y - body.start_m[1]) * dy) / square
        low, high = body.levels_at((x, y))
        points.append(np.array([x, y, 0.5 * (low + high)]))
        inner = 1e-6 < share < 1.0 - 1e-6
        off = np.abs(block.lines[:, :2] @ np.array([x, y]) - block.lines[:, 2])
        ends.append(block.lines[int(off.argmin())] if inner and off.min() < 1e-5 else None)
    return (points[0], points[1]), ends


def _end(ring: Array, way: Array, line: Array | None) -> Array:
    """The end of a round bar: square, or moved along the bar onto the upright plane of a cut."""
    if line is None:
        return ring
    slant = float(line[0] * way[0] + line[1] * way[1])
    if abs(slant) < 0.1:
        return ring
    off = (line[2] - ring[:, :2] @ line[:2]) / slant
    moved: Array = ring + off[:, None] * way
    return moved


def disc(
    at: tuple[float, float, float], size: tuple[float, float], look: tuple[Array, Array, Array], body: str
) -> Face:
    """An upright oval that faces the viewer, its foot at a point: a plant seen from afar.

    Args:
        at: foot.
        size: width and height.
        look: right, up and toward the viewer, unit vectors.
        body: whose.
    """
    right, up, toward = look
    half, high = size[0] / 2.0, size[1] / 2.0
    middle = np.array(at) + np.array([0.0, 0.0, high])
    turns = [2.0 * pi * n / _SIDES for n in range(_SIDES)]
    ring = np.array([middle + half * cos(turn) * right + high * sin(turn) * up for turn in turns])
    return Face((ring,), body, "plant", 9, toward)
