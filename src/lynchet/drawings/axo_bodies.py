"""Placed things as bodies of a block: cut at its edges, pipes round, plants as discs turned to the viewer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import cos, dist, hypot, pi, sin

import numpy as np

from lynchet.drawings.axo_camera import Parallel
from lynchet.drawings.axo_faces import Array, Face, Plane, Upright, all_upright_faces
from lynchet.drawings.axo_ground import Block, reached
from lynchet.drawings.axo_ground_parts import areas
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.placed import Placed
from lynchet.water.model import Body

SHOWN: dict[str, int] = {
    "stone bed": 4, "stone": 4, "outlet": 4, "soakaway": 4, "step": 6, "tie": 7, "cross-piece": 7, "timber": 7,
    "fabric": 5,
    "drain pipe": 8, "solid pipe": 8, "roof pipe": 8, "cut-off": 8, "fitting": 8,
}  # fmt: skip
"""Kinds that are drawn, and which of two in one place is seen."""
IN_SIGHT = frozenset({"step", "timber", "outlet"})
"""Kinds that are shown of a whole yard: what lies in the ground is not seen at its scale."""
_PIPES = ("drain pipe", "solid pipe", "roof pipe", "cut-off")
_RUNNING = frozenset({"stone", "stone bed", "fabric"})
"""Kinds of which what runs on in one is one."""
_SIDES = 12
_DISC = 8
_CLEAR_M = 0.005
_NO_AREA_M2 = 1e-6


def bodies(
    days: BuildingDays, block: Block, done: Mapping[str, float], before: Mapping[str, float]
) -> Iterator[tuple[Placed, bool, list[Face]]]:
    """Every placed thing that stands in a block, whether it is new, and its faces; what runs on in one is one.

    Args:
        days: of the plan.
        block: what is shown.
        done: share of each task done.
        before: the same on the evening before.
    """
    import shapely

    pipes: dict[str, list[tuple[Placed, bool]]] = {}
    groups: dict[tuple[object, ...], list[tuple[Placed, bool]]] = {}
    for thing in reached(days, block):
        if thing.kind not in SHOWN or not days.stands(thing.id, done) or (block.whole and thing.kind not in IN_SIGHT):
            continue
        new = _new(days, thing, done, before)
        if thing.kind in _PIPES:
            pipes.setdefault(f"{thing.owner} {new}", []).append((thing, new))
        else:
            planes = (round(value, 5) for plane in _planes(thing, days, done) for value in plane)
            alone = thing.id if thing.kind not in _RUNNING else ""
            groups.setdefault((thing.kind, thing.owner, new, alone, *planes), []).append((thing, new))
    wholes = []
    for group in groups.values():
        shapes = [one.polygon for one, _ in group]
        wholes.append(shapes[0] if len(group) == 1 else shapely.union_all(shapes, grid_size=1e-6))
    inside = shapely.intersection(np.array(wholes, dtype=object), block.shape)
    stands: list[tuple[Placed, bool]] = []
    uprights: list[Upright] = []
    for whole, group in zip(inside.tolist(), groups.values(), strict=True):
        first, shape = group[0][0], areas(whole)
        if shape.area > _NO_AREA_M2:
            stands.append(group[0])
            uprights.append(Upright(first.id, shape, *_planes(first, days, done), SHOWN[first.kind]))
    for (first, new), faces in zip(stands, all_upright_faces(uprights, block.lines), strict=True):
        yield first, new, faces
    known = {body.id: body for body in days.plan.water.bodies if body.kind in _PIPES}
    for run in pipes.values():
        for thing, body in _runs([(thing, known[thing.id]) for thing, _ in run if thing.id in known]):
            faces = pipe_faces(body, block, SHOWN[thing.kind])
            if faces:
                yield thing, run[0][1], faces


def _new(days: BuildingDays, thing: Placed, done: Mapping[str, float], before: Mapping[str, float]) -> bool:
    """Whether a thing came today, or rose today."""
    if not days.stands(thing.id, before):
        return True
    task = days.coming[thing.id].task
    return thing.kind == "stone" and done.get(task, 0.0) > before.get(task, 0.0)


def _runs(pipes: list[tuple[Placed, Body]]) -> Iterator[tuple[Placed, Body]]:
    """Lengths of pipe that lie in one line, one after the other, as one."""
    run: tuple[Placed, Body] | None = None
    for thing, body in pipes:
        if run is not None and _goes_on(run[1], body):
            longer = replace(run[1], end_m=body.end_m, bottom_end_m=body.bottom_end_m, top_end_m=body.top_end_m)
            run = run[0], longer
            continue
        if run is not None:
            yield run
        run = thing, body
    if run is not None:
        yield run


def _goes_on(one: Body, two: Body) -> bool:
    """Whether a length of pipe goes on in a straight line, in plan and in fall."""
    if dist(one.end_m, two.start_m) > 1e-4 or abs(one.bottom_end_m - two.bottom_start_m) > 1e-4:
        return False
    a, b = dist(one.start_m, one.end_m), dist(two.start_m, two.end_m)
    if min(a, b) < 1e-6:
        return False
    ways = [_way(one, a), _way(two, b)]
    falls = [(body.bottom_end_m - body.bottom_start_m) / n for body, n in ((one, a), (two, b))]
    return dist(*ways) < 1e-4 and abs(falls[0] - falls[1]) < 1e-4


def _way(pipe: Body, length_m: float) -> tuple[float, float]:
    (ax, ay), (bx, by) = pipe.start_m, pipe.end_m
    return (bx - ax) / length_m, (by - ay) / length_m


def _planes(thing: Placed, days: BuildingDays, done: Mapping[str, float]) -> tuple[Plane, Plane]:
    """Bottom and top; drain stone rises with the courses before it."""
    (a, b), (x, y) = thing.slope, thing.origin_m
    low, high = thing.bottom_m, thing.top_m
    if thing.kind == "stone":
        task = days.coming[thing.id].task
        high = max(low, min(high, days.rises_to(task, done.get(task, 1.0))))
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


def discs(feet: Array, sizes: Array, look: Parallel, names: Sequence[str]) -> list[Face]:
    """Round bodies seen from afar: ovals that face the viewer, wholly over the ground they stand on.

    Args:
        feet: (n, 3).
        sizes: (n, 2) width and height.
        look: the camera.
        names: whose each is.
    """
    (wide, high), (slant, cosine) = sizes.T, (look.toward[2], look.up[2])
    half = 0.5 * np.hypot(high * cosine, wide * slant)
    forward = np.maximum(0.0, (half * cosine - high / 2.0 + _CLEAR_M) / slant)
    middles = feet + np.outer(high / 2.0, (0.0, 0.0, 1.0)) + forward[:, None] * look.toward
    turns = 2.0 * pi * np.arange(_DISC) / _DISC
    across, over = np.outer(0.5 * wide, np.cos(turns)), np.outer(half, np.sin(turns))
    rings = middles[:, None] + across[:, :, None] * look.right + over[:, :, None] * look.up
    return [Face((ring,), name, "plant", 9, look.toward, False) for ring, name in zip(rings, names, strict=True)]
